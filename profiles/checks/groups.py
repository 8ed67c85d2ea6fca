"""Function groups that sit elsewhere in one profile than in most profiles, over all devices.

The one rule of what counts as moved; the check reports it and the comparison marks it.
"""

from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from typing import NamedTuple

from profiles.checks.base import report
from profiles.facts.survey import Survey
from profiles.model import Finding, Related, ResolvedBinding, Spot
from profiles.text.prose import list_some


class Move(NamedTuple):
    """A group that one profile has elsewhere than most.

    `home` is the first profile that has it in the usual place; `controls` are where `profile` has
    it on `device`, `usual` where most have it: on `usual_device`, if that is another one.
    """

    device: str
    group: str
    profile: str
    home: str
    controls: frozenset[str]
    usual: frozenset[str]
    usual_device: str = ""

    @property
    def new(self) -> frozenset[str]:
        """Controls that serve the group only in the profile that moved it."""
        return self.controls if self.usual_device else self.controls - self.usual

    @property
    def left(self) -> frozenset[str]:
        """Controls that serve it in most profiles, and here not."""
        return self.usual if self.usual_device else self.usual - self.controls


def find_moves(profiles: Iterable[tuple[str, Sequence[ResolvedBinding]]]) -> Iterator[Move]:
    """Profiles, given by id with what they bind, that have a group on other controls than most.

    Of the sets of controls a group sits on, the one that most profiles have is the usual one, of
    equally many the first. A set that contains the usual one, or is contained in it, has not
    moved. Nor has one on another device, unless its profile binds the usual device as well.
    """
    profiles = list(profiles)
    yield from _find_moves_between(profiles)
    placed: dict[tuple[str, str], dict[str, set[str]]] = {}
    for profile, bound in profiles:
        for binding in bound:
            acting, group = binding.acting, binding.action.group
            if group is not None:
                homes = placed.setdefault((acting.device, group), {})
                homes.setdefault(profile, set()).add(acting.control)
    for (device, group), homes in placed.items():
        sets = {profile: frozenset(controls) for profile, controls in homes.items()}
        usual = Counter(sets.values()).most_common(1)[0][0]
        home = next(profile for profile, controls in sets.items() if controls == usual)
        for profile, controls in sets.items():
            if not (controls <= usual or usual <= controls):
                yield Move(device, group, profile, home, controls, usual)


def _find_moves_between(
    profiles: Sequence[tuple[str, Sequence[ResolvedBinding]]],
) -> Iterator[Move]:
    """Profiles that have a group on none of the devices where most have it, but bind those too."""
    bound_by = {
        profile: frozenset(binding.acting.device for binding in bound)
        for profile, bound in profiles
    }
    if len(frozenset().union(*bound_by.values())) < 2:
        return
    placed: dict[str, dict[str, set[tuple[str, str]]]] = {}
    for profile, bound in profiles:
        for binding in bound:
            if binding.action.group is not None:
                homes = placed.setdefault(binding.action.group, {})
                acting = binding.acting
                homes.setdefault(profile, set()).add((acting.device, acting.control))
    for group, homes in placed.items():
        sets = {profile: frozenset(places) for profile, places in homes.items()}
        on = {profile: {device for device, _ in places} for profile, places in sets.items()}
        usual_of: dict[frozenset[str], frozenset[tuple[str, str]]] = {}
        for profile, places in sets.items():
            own = bound_by[profile]
            if own not in usual_of:
                within = (sets[other] for other, devices in on.items() if devices <= own)
                usual_of[own] = Counter(within).most_common(1)[0][0]
            usual = usual_of[own]
            devices = {device for device, _ in usual}
            if devices.isdisjoint(device for device, _ in places):
                home = next(one for one, where in sets.items() if where == usual)
                for device in sorted({device for device, _ in places}):
                    there = min(devices)
                    yield Move(
                        *(device, group, profile, home),
                        frozenset(control for one, control in places if one == device),
                        frozenset(control for one, control in usual if one == there),
                        there,
                    )


def check_groups(survey: Survey) -> Iterator[Finding]:
    """Report profiles that have a group elsewhere than most profiles of the device."""

    def name(controls: frozenset[str], device: str = "") -> str:
        words = list_some([f"`{control}`" for control in sorted(controls)])
        return f"{words} of `{device}`" if device else words

    for move in find_moves((link.id, link.bound) for link in survey.links):
        yield report(
            "group-moved",
            f"`{move.group}` sits on {name(move.new, move.usual_device and move.device)}, "
            f"in `{move.home}` on {name(move.left, move.usual_device)}",
            "Bind the group to the same controls, or accept the move",
            Spot(move.profile, ("bindings",)),
            [Related("has it there", Spot(move.home, ("bindings",)))],
            about=f"{move.device} {move.group}",
        )


CHECKS = (check_groups,)
