"""The library's own settings: severities changed, findings accepted with a reason."""

from typing import Annotated, Literal

from pydantic import Field

from profiles.model.base import Identifier, Value, Words
from profiles.text.finding import Severity

SETTINGS_NAME = "platebook.toml"
"""The settings file's name, at the root of the library."""


class Acceptance(Value):
    """A finding the owner has looked at and lives with."""

    code: Identifier
    subject: Words
    reason: Words


Hundred = Annotated[float, Field(ge=90, le=110, allow_inf_nan=False)]
"""What 100 mm measured on paper, mm."""


class Printing(Value):
    """What the owner's printer makes of true scale."""

    measured: Annotated[tuple[Hundred, Hundred], Field(strict=False)] | None = None


class Settings(Value):
    """The settings file."""

    format: Literal[1]
    severity: dict[Identifier, Severity | Literal["off"]] = Field(default_factory=dict)
    printing: Printing = Field(default_factory=Printing)
    accept: Annotated[tuple[Acceptance, ...], Field(strict=False)] = ()
