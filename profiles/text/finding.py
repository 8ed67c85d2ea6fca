"""Findings: what is wrong, where, and what to do about it.

A check knows nothing of files: it points with a `Spot`, a path inside the document of one id.
Whoever read the files turns a spot into a `Place`: file, line and column.
"""

import re
from typing import Literal, NamedTuple

from profiles.text.inert import escape_controls

Severity = Literal["error", "warning", "note"]

SEVERITIES: tuple[Severity, ...] = ("error", "warning", "note")
"""From the worst to the mildest."""

_BARE = re.compile(r"[A-Za-z0-9_-]+")


class Spot(NamedTuple):
    """A key path inside one document of the library, named by its id.

    The settings file has the id `platebook.toml`. An empty path is the document itself.
    """

    document: str
    path: tuple[str | int, ...] = ()

    def __str__(self) -> str:
        """`id:controls.horn.position`, keys quoted where TOML would quote them."""
        if not self.path:
            return self.document
        return f"{self.document}:" + ".".join(_write_key(part) for part in self.path)


def _write_key(part: str | int) -> str:
    text = str(part)
    if _BARE.fullmatch(text):
        return text
    escaped = text.replace("\\", "\\\\").replace('"', '\\"')
    return f'"{escaped}"'


class Place(NamedTuple):
    """A place in a file; line and column count from 1, None where not known.

    `end_column` is the column just past the last character meant.
    """

    file: str
    line: int | None = None
    column: int | None = None
    end_column: int | None = None

    def __str__(self) -> str:
        """`file:line:column`, as far as known."""
        known = [part for part in (self.line, self.column) if part is not None]
        return ":".join([escape_controls(self.file), *map(str, known)])


class Related(NamedTuple):
    """Another spot that belongs to a finding."""

    message: str
    spot: Spot
    place: Place | None = None


class Finding(NamedTuple):
    """One result of a check.

    The message has about seven words, no full stop, and the user's own names; the remedy starts
    with a verb. `about` is a name that sets it apart from others of its code at the same spot.
    """

    code: str
    severity: Severity
    message: str
    remedy: str
    spot: Spot
    related: tuple[Related, ...] = ()
    place: Place | None = None
    about: str = ""

    @property
    def subject(self) -> str:
        """The spot in words, and what it is about where that is needed; an acceptance names it."""
        return f"{self.spot} {self.about}" if self.about else str(self.spot)


class Accepted(NamedTuple):
    """A finding the owner lives with, and why."""

    finding: Finding
    reason: str


class Page(NamedTuple):
    """What `explain` shows for one code.

    `source` names where a figure comes from, empty where the check rests on none; `see_also` the
    codes whose pages belong to it.
    """

    code: str
    severity: Severity
    title: str
    what: str
    why: str
    example: str
    remedy: str
    source: str = ""
    see_also: tuple[str, ...] = ()


def is_at_least(severity: Severity, threshold: Severity) -> bool:
    """Whether a severity is the threshold or worse."""
    return SEVERITIES.index(severity) <= SEVERITIES.index(threshold)
