"""The library's own settings: severities changed, findings accepted with a reason."""

from typing import Annotated, Literal

from pydantic import Field

from profiles.model.base import Identifier, Value, Words
from profiles.model.finding import Severity

SETTINGS_NAME = "platebook.toml"
"""The settings file's name, at the root of the library."""


class Acceptance(Value):
    """A finding the owner has looked at and lives with."""

    code: Identifier = Field(description="Code of the finding.")
    subject: Words = Field(description="Subject of the finding, as `check` prints it.")
    reason: Words = Field(description="Why it is accepted.")


class Settings(Value):
    """The settings file."""

    format: Literal[1] = Field(description="Version of the file format.")
    severity: dict[Identifier, Severity | Literal["off"]] = Field(
        default_factory=dict, description="Severity by finding code; off hides it."
    )
    accept: Annotated[tuple[Acceptance, ...], Field(strict=False)] = Field(
        default=(), description="Findings accepted, each with its reason."
    )
