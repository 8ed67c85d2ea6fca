"""The library's own settings: severities changed, findings accepted with a reason."""

from typing import Annotated, Literal

from pydantic import Field

from profiles.model.base import Identifier, Value, Words
from profiles.model.finding import Severity

SETTINGS_NAME = "platebook.toml"
"""The settings file's name, at the root of the library."""


class Acceptance(Value):
    """A finding the owner has looked at and lives with."""

    code: Identifier
    subject: Words
    reason: Words


class Settings(Value):
    """The settings file."""

    format: Literal[1]
    severity: dict[Identifier, Severity | Literal["off"]] = Field(default_factory=dict)
    accept: Annotated[tuple[Acceptance, ...], Field(strict=False)] = ()
