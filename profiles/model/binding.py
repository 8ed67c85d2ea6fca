"""Bindings as written: `shift + helm-desk/horn.press = "sound-horn"`.

A key names contacts joined by `+`: those before the last are held meanwhile, the last one acts.
A contact is `control`, `control.contact`, or `device/control.contact`.
"""

import re
from functools import lru_cache
from typing import Annotated, NamedTuple

from pydantic import Field

from profiles.model.base import Identifier, Legend, Note, Value

_NAME = r"[A-Za-z0-9][A-Za-z0-9_-]*"
_CONTACT = re.compile(rf"(?:({_NAME})/)?({_NAME})(?:\.({_NAME}))?")


class BindingKeyError(ValueError):
    """A key that cannot be read as contacts."""


class ContactName(NamedTuple):
    """One contact as a key names it; device and contact may be left out."""

    device: str | None
    control: str
    contact: str | None

    def __str__(self) -> str:
        device = f"{self.device}/" if self.device else ""
        contact = f".{self.contact}" if self.contact else ""
        return f"{device}{self.control}{contact}"


class BindingKey(NamedTuple):
    """The contacts of a key: those held meanwhile, and the one that acts."""

    held: tuple[ContactName, ...]
    acting: ContactName

    def __str__(self) -> str:
        return " + ".join(str(name) for name in (*self.held, self.acting))


@lru_cache(maxsize=16384)
def parse_key(text: str) -> BindingKey:
    """Read a binding key.

    Raises:
        BindingKeyError: where a part is not `control`, `control.contact` or
            `device/control.contact`, or a contact stands twice.
    """
    names = tuple(_parse_contact(part.strip()) for part in text.split("+"))
    if len(set(names)) != len(names):
        raise BindingKeyError("names one contact twice")
    return BindingKey(held=names[:-1], acting=names[-1])


def _parse_contact(text: str) -> ContactName:
    match = _CONTACT.fullmatch(text)
    if match is None:
        raise BindingKeyError("is no contact such as `horn` or `trim.clockwise`")
    device, control, contact = match.groups()
    return ContactName(device=device, control=control, contact=contact)


class BoundAction(Value):
    """The long form of what a binding does."""

    action: Identifier
    legend: Legend | None = None
    short: Legend | None = None
    note: Note = ""


OneUse = Annotated[Identifier | BoundAction, Field(union_mode="left_to_right")]
Uses = Annotated[
    Identifier | BoundAction | Annotated[tuple[OneUse, ...], Field(strict=False, min_length=1)],
    Field(union_mode="left_to_right"),
]
"""One action id, one long form, or a list of either."""


def uses_of(written: str | BoundAction | tuple[str | BoundAction, ...]) -> tuple[BoundAction, ...]:
    """What was written for one key as a tuple of long forms."""
    if isinstance(written, str):
        return _short_use(written)
    if isinstance(written, BoundAction):
        return (written,)
    return tuple([use if isinstance(use, BoundAction) else _short_use(use)[0] for use in written])


@lru_cache(maxsize=16384)
def _short_use(action: str) -> tuple[BoundAction]:
    return (BoundAction(action=action),)
