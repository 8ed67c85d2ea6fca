"""A simulator title or any other program: its actions, its contexts, how it counts buttons."""

from collections.abc import Iterator
from typing import Annotated, Literal

from pydantic import Field, StringConstraints

from profiles.model.base import (
    Identifier,
    Legend,
    Note,
    UnknownName,
    UnknownNamesError,
    Value,
    Words,
    judges,
)
from profiles.model.settings_file import SettingsFile
from profiles.text.sign_words import spell_braces

Behaviour = Literal["pulse", "held", "follows", "step", "axis"]
"""How an application treats an input: acts once per press, acts while pressed, state equals the
contact, one detent a press, value equals the place of an axis."""

Need = Literal["must", "want", "may"]


class Action(Value):
    """Something the application can do."""

    name: Words
    legend: Legend | None = None
    short: Legend | None = None
    group: Identifier | None = None
    behaviour: Behaviour = "pulse"
    contexts: Annotated[tuple[Identifier, ...], Field(strict=False)] = ()
    need: Need = "may"
    direction: Literal["increase", "decrease"] | None = None
    partner: Identifier | None = None
    note: Note = ""

    @property
    def words(self) -> str:
        """The words to print: the legend, or the name, in which no sign is meant."""
        if self.legend is not None:
            return self.legend
        return spell_braces(self.name)


class ApplicationHeader(Value):
    """The application's id, name, and how it counts and reads buttons."""

    id: Identifier
    name: Words
    first_number: Literal[0, 1] = 1
    number_format: Annotated[str, StringConstraints(pattern=r"\{n\}", max_length=60)] = "Button {n}"
    buttons: Annotated[int, Field(ge=1, le=65535)] = 128
    interface: Identifier | None = None
    frame_rate: float = Field(default=60.0, gt=0, le=2000, allow_inf_nan=False)
    inputs_per_action: Annotated[int, Field(ge=1, le=64)] = 1
    chords: bool = True
    catches_held: bool = True
    contexts: Annotated[tuple[Identifier, ...], Field(strict=False)] = ()
    note: Note = ""


class Application(Value):
    """One application, as its file gives it."""

    format: Literal[1]
    application: ApplicationHeader
    actions: dict[Identifier, Action]
    settings_file: SettingsFile | None = None

    @judges
    def _check_settings_file(self) -> Iterator[ValueError]:
        table = self.settings_file
        wrong = [
            UnknownName("action", ("settings_file", "actions", word), word, tuple(self.actions))
            for word in (table.actions if table else ())
            if word not in self.actions
        ]
        if wrong:
            yield UnknownNamesError(wrong, "application")

    @property
    def id(self) -> str:
        """Id, unique in the library."""
        return self.application.id

    @property
    def name(self) -> str:
        """The name people use."""
        return self.application.name

    def write_number(self, number: int) -> str:
        """How the application writes an input number (HID numbering, from 1)."""
        shown = number - 1 + self.application.first_number
        return self.application.number_format.replace("{n}", str(shown))


def contexts_meet(one: Action, other: Action) -> bool:
    """Whether both actions can be alive at once; no contexts means alive everywhere."""
    if not one.contexts or not other.contexts:
        return True
    return not set(one.contexts).isdisjoint(other.contexts)
