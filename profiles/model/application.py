"""A simulator title or any other program: its actions, its contexts, how it counts buttons."""

from typing import Annotated, Literal

from pydantic import Field, StringConstraints

from profiles.model.base import Identifier, Note, Value, Words

Behaviour = Literal["pulse", "held", "follows", "step"]
"""How an application treats an input: acts once a press, acts while pressed, state equals the
contact, one detent a press."""

Need = Literal["must", "want", "may"]


class Action(Value):
    """Something the application can do."""

    name: Words = Field(description="The name in the application.")
    legend: Words | None = Field(default=None, description="Short words for print; else the name.")
    group: Identifier | None = Field(
        default=None, description="Function group; the same word in two applications compares."
    )
    behaviour: Behaviour = Field(default="pulse", description="How it treats the input.")
    contexts: Annotated[tuple[Identifier, ...], Field(strict=False)] = Field(
        default=(), description="Where it is alive; left out: everywhere."
    )
    need: Need = Field(default="may", description="Whether a profile must, should or may bind it.")
    direction: Literal["increase", "decrease"] | None = Field(
        default=None, description="Which way a step goes."
    )
    partner: Identifier | None = Field(default=None, description="The step the other way.")
    note: Note = Field(default="", description="Free words of the owner.")

    @property
    def short(self) -> str:
        """The words to print: the legend, or the name where it has none."""
        return self.name if self.legend is None else self.legend


class ApplicationHeader(Value):
    """The application's id, name, and how it counts and reads buttons."""

    id: Identifier = Field(description="Id, unique in the library.")
    name: Words = Field(description="The name people use.")
    first_number: Literal[0, 1] = Field(
        default=1, description="The number it shows for the first button."
    )
    number_format: Annotated[str, StringConstraints(pattern=r"\{n\}", max_length=60)] = Field(
        default="Button {n}", description="How it writes a number; {n} stands for it."
    )
    buttons: Annotated[int, Field(ge=1, le=65535)] = Field(
        default=128, description="How many buttons of one device it accepts."
    )
    interface: Identifier | None = Field(
        default=None, description="Host interface through which it reads devices."
    )
    frame_rate: float = Field(
        default=60.0,
        gt=0,
        le=2000,
        allow_inf_nan=False,
        description="Frames a second at its worst.",
    )
    inputs_per_action: Annotated[int, Field(ge=1, le=64)] = Field(
        default=1, description="How many inputs one action takes."
    )
    chords: bool = Field(default=True, description="Whether it can bind held combinations.")
    catches_held: bool = Field(
        default=True, description="Whether its binding screen takes an input that is already down."
    )
    contexts: Annotated[tuple[Identifier, ...], Field(strict=False)] = Field(
        default=(), description="Its contexts; left out: whatever the actions name."
    )
    note: Note = Field(default="", description="Free words of the owner.")


class Application(Value):
    """One application, as its file gives it."""

    format: Literal[1] = Field(description="Version of the file format.")
    application: ApplicationHeader = Field(description="Id, name, and how it counts buttons.")
    actions: dict[Identifier, Action] = Field(description="What it can do, by id.")

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
