"""Function groups that sit elsewhere in one profile than in most profiles of the device.

The one rule of what counts as moved; the check reports it and the comparison marks it.
"""

from collections.abc import Iterable, Iterator, Sequence
from typing import NamedTuple

from profiles.model import ResolvedBinding

Titles = Iterable[tuple[str, Sequence[ResolvedBinding]]]
"""Profiles by id, with what they bind."""


class Move(NamedTuple):
    """A group that one profile has elsewhere than most."""

    device: str
    group: str
    profile: str
    home: str
    """The first profile that has it in the usual place."""
    controls: frozenset[str]
    """Where the profile has it."""
    usual: frozenset[str]

    @property
    def new(self) -> frozenset[str]:
        """Controls that serve the group only in the profile that moved it."""
        return self.controls - self.usual

    @property
    def left(self) -> frozenset[str]:
        """Controls that serve it in most profiles, and here not."""
        return self.usual - self.controls


def find_moves(titles: Titles) -> Iterator[Move]:
    """Profiles that have a group on other controls than most of the device's profiles.

    Of the sets of controls a group sits on, the one that most profiles have is the usual one, of
    equally many the first. A set that contains the usual one, or is contained in it, has not
    moved.
    """
    for (device, group), many in _placed(titles).items():
        if len({controls for _, controls in many}) > 1:
            yield from _compare(device, group, many)


def _placed(titles: Titles) -> dict[tuple[str, str], list[tuple[str, frozenset[str]]]]:
    """Controls by (device, group), a profile each."""
    found: dict[tuple[str, str], list[tuple[str, frozenset[str]]]] = {}
    for profile, bound in titles:
        here: dict[tuple[str, str], set[str]] = {}
        for one in bound:
            group = one.action.group
            if group is not None:
                here.setdefault((one.acting.device, group), set()).add(one.acting.control)
        for key, controls in here.items():
            found.setdefault(key, []).append((profile, frozenset(controls)))
    return found


def _compare(device: str, group: str, many: Sequence[tuple[str, frozenset[str]]]) -> Iterator[Move]:
    counts: dict[frozenset[str], int] = {}
    for _, controls in many:
        counts[controls] = counts.get(controls, 0) + 1
    usual = max(counts, key=lambda controls: counts[controls])
    home = next(profile for profile, controls in many if controls == usual)
    for profile, controls in many:
        if not (controls <= usual or usual <= controls):
            yield Move(device, group, profile, home, controls, usual)
