"""Bindings of one application to one or more devices."""

from collections.abc import Iterator
from functools import cached_property
from typing import Annotated, Literal

from pydantic import AfterValidator, Field

from profiles.model.base import Identifier, Note, Value, Words, judges
from profiles.model.binding import BindingKey, BoundAction, Uses, parse_key, uses_of


def _readable_key(text: str) -> str:
    parse_key(text)
    return text


Key = Annotated[str, AfterValidator(_readable_key), Field(max_length=400)]


class ProfileHeader(Value):
    """Which application the profile binds, and to which devices."""

    id: Identifier | None = None
    name: Words | None = None
    application: Identifier
    device: Identifier | None = None
    devices: Annotated[tuple[Identifier, ...], Field(strict=False, min_length=1)] | None = None
    note: Note = ""

    @judges
    def _check_devices(self) -> Iterator[ValueError]:
        if (self.device is None) == (self.devices is None):
            yield ValueError("needs either `device` or `devices`")
        if self.devices is not None and len(set(self.devices)) != len(self.devices):
            yield ValueError("`devices` names one device twice")


class Profile(Value):
    """One profile, as its file gives it."""

    format: Literal[1]
    profile: ProfileHeader
    bindings: dict[Key, Uses] = Field(default_factory=dict)

    @cached_property
    def device_ids(self) -> tuple[str, ...]:
        """Ids of the devices, in the order written."""
        header = self.profile
        return header.devices if header.devices is not None else (header.device or "",)

    @cached_property
    def id(self) -> str:
        """Id, unique in the library."""
        return self.profile.id or f"{self.profile.application}-on-{self.device_ids[0]}"

    @property
    def name(self) -> str:
        """The name people use."""
        return self.profile.name or self.id

    @cached_property
    def entries(self) -> tuple[tuple[str, BindingKey, tuple[BoundAction, ...]], ...]:
        """(key as written, key read, what it does) in the order of the file."""
        return tuple([(key, parse_key(key), uses_of(uses)) for key, uses in self.bindings.items()])
