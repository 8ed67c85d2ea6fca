"""What a working copy remembers of its files, and what it tells of a save or of the disk."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import NamedTuple

from profiles.files.validate import AnyValue
from profiles.model import Finding, Library

NEW_SETTINGS = b"format = 1\n"
"""What the settings file holds before anything is put into it."""


class Version(NamedTuple):
    """A file as it was at some moment here: its bytes, and what the model makes of them.

    `data` is None where there is no file, `value` where it cannot be used. `seen` counts the
    changes from outside that it has taken in.
    """

    data: bytes | None
    value: AnyValue | None
    seen: int = 0

    @property
    def is_unsound(self) -> bool:
        """Whether there is a file that cannot be used."""
        return self.data is not None and self.value is None


State = Mapping[str, Version]
"""The files edited so far, by document."""


@dataclass(slots=True)
class OnDisk:
    """What is known of a file on disk: its bytes, and every change from outside, old and new."""

    data: bytes | None
    first: Version
    changes: list[tuple[bytes | None, bytes | None]] = field(default_factory=list)


class Step(NamedTuple):
    """One change in words, and the states before and after it."""

    words: str
    before: State
    after: State

    @property
    def touched(self) -> tuple[str, ...]:
        """The documents that are different after it."""
        old = {key: version.data for key, version in self.before.items()}
        return tuple(key for key, one in self.after.items() if one.data != old.get(key))


class Trial(NamedTuple):
    """What a change would make of the library, and of each file: its text before and after."""

    library: Library
    problems: tuple[Finding, ...]
    texts: Mapping[str, tuple[str, str]]


class Saved(NamedTuple):
    """What a save did, by document: written, of these merged; clashes; and other failures."""

    written: tuple[str, ...]
    merged: tuple[str, ...]
    clashes: tuple[str, ...]
    failures: tuple[str, ...]


class News(NamedTuple):
    """What came from the disk, by document: taken in, merged with edits, deleted, clashes."""

    taken: tuple[str, ...]
    merged: tuple[str, ...]
    deleted: tuple[str, ...]
    clashes: tuple[str, ...]
