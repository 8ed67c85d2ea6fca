"""Propose controls for actions that a profile leaves unbound.

Every proposal weighs three things: whether the contact suits the action's behaviour, whether the
same group of functions already lives on or near that control, in this title or in the others, and
the order in which a person reads the plate. All proposals of one run are chosen together, so that
the whole moves least; `must` actions are placed before `want` actions.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from math import hypot, inf

from profiles.facts.profile import ProfileFacts
from profiles.facts.survey import Survey, survey_of
from profiles.model import Action, DeviceContact, Library
from profiles.model.application import Need
from profiles.plan.assignment import assign
from profiles.plan.slots import SUITS, Slot, find_slots

SUIT_WEIGHT = 10.0
"""One step of suitability outweighs all of group and place together."""

ELSEWHERE_BONUS = 6.0
"""For a control that does the same group of functions in another title."""

NEAR_WEIGHT = 3.0
"""For the distance to the nearest control of the group, as a share of the plate's diagonal."""


@dataclass(frozen=True, slots=True)
class Proposal:
    """Actions and the contacts proposed for them, one each."""

    actions: tuple[str, ...]
    contacts: tuple[DeviceContact, ...]
    keys: tuple[str, ...]
    """How the profile would write each contact."""
    need: Need
    reasons: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Plan:
    """What a run proposes, and the actions for which no free contact suits."""

    proposals: tuple[Proposal, ...]
    homeless: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class _Job:
    actions: tuple[str, ...]
    action: Action
    need: Need


def suggest(library: Library, profile_id: str, needs: Sequence[Need] = ("must", "want")) -> Plan:
    """Propose controls for the unbound actions of these needs.

    Raises:
        KeyError: where the library has no such profile.
    """
    survey = survey_of(library)
    link = next((one for one in survey.links if one.id == profile_id), None)
    if link is None:
        raise KeyError(profile_id)
    if link.application is None:
        return Plan((), ())
    return _Planner(survey, link).plan(needs)


class _Planner:
    """One run over one profile."""

    def __init__(self, survey: Survey, link: ProfileFacts) -> None:
        self.link = link
        self.singles, self.pairs = find_slots(link)
        self.homes: dict[tuple[str | None, str], list[tuple[float, float]]] = {}
        for bound in link.bound:
            at = link.control(bound.acting).position
            self.homes.setdefault((bound.action.group, bound.acting.device), []).append(at)
        self.elsewhere: dict[tuple[str, str], set[str | None]] = {}
        for other in survey.links:
            for bound in other.bound if other.id != link.id else ():
                if bound.action.group is not None:
                    place = (bound.acting.device, bound.acting.control)
                    self.elsewhere.setdefault(place, set()).add(bound.action.group)

    def plan(self, needs: Sequence[Need]) -> Plan:
        proposals: list[Proposal] = []
        homeless: list[str] = []
        for need in needs:
            couples, loners = self._jobs(need)
            placed, left = self._place(couples, self.pairs)
            proposals.extend(placed)
            loners.extend(
                _Job((action,), job.action, need) for job in left for action in job.actions
            )
            placed, left = self._place(loners, self.singles)
            proposals.extend(placed)
            homeless.extend(action for job in left for action in job.actions)
        return Plan(tuple(proposals), tuple(homeless))

    def _jobs(self, need: Need) -> tuple[list[_Job], list[_Job]]:
        """Unbound actions of a need: pairs of steps, and single ones."""
        assert self.link.application is not None
        actions = self.link.application.actions
        bound = {one.action_id for one in self.link.bound}
        open_ids = {key for key, action in actions.items() if key not in bound}
        couples: list[_Job] = []
        loners: list[_Job] = []
        taken: set[str] = set()
        for key, action in actions.items():
            if key not in open_ids or key in taken or action.need != need:
                continue
            partner = action.partner
            if action.behaviour == "step" and partner in open_ids and partner != key:
                taken.add(partner)
                falls = action.direction == "decrease"  # clockwise increases
                pair = (partner, key) if falls else (key, partner)
                couples.append(_Job(pair, action, need))
            else:
                loners.append(_Job((key,), action, need))
        return couples, loners

    def _place(self, jobs: list[_Job], slots: list[Slot]) -> tuple[list[Proposal], list[_Job]]:
        """Place jobs on slots at the least cost; slots that are taken leave the list."""
        if not jobs:
            return [], []
        if not slots:
            return [], jobs
        costs = [[self._cost(job, slot, at) for at, slot in enumerate(slots)] for job in jobs]
        chosen = assign(costs)
        placed = [
            self._propose(job, slots[place])
            for job, place in zip(jobs, chosen, strict=True)
            if place is not None
        ]
        left = [job for job, place in zip(jobs, chosen, strict=True) if place is None]
        gone = {place for place in chosen if place is not None}
        slots[:] = [slot for at, slot in enumerate(slots) if at not in gone]
        return placed, left

    def _cost(self, job: _Job, slot: Slot, order: int) -> float:
        suits = SUITS[job.action.behaviour].get(slot.nature)
        if suits is None:
            return inf
        bonus = ELSEWHERE_BONUS if self._is_elsewhere(job, slot) else 0.0
        return suits * SUIT_WEIGHT + order * 1e-3 - bonus + NEAR_WEIGHT * self._farness(job, slot)

    def _is_elsewhere(self, job: _Job, slot: Slot) -> bool:
        place = (slot.contact.device, slot.contact.control)
        return job.action.group in self.elsewhere.get(place, ())

    def _farness(self, job: _Job, slot: Slot) -> float:
        """Distance to the nearest control of the group on the same plate, 0 to 1; 1 for none."""
        device = next(box for box in self.link.devices if box.id == slot.contact.device)
        homes = self.homes.get((job.action.group, device.id), ())
        if not homes or job.action.group is None:
            return 1.0
        plate = device.device.plate
        x, y = slot.control.position
        nearest = min(hypot(x - there[0], y - there[1]) for there in homes)
        return min(1.0, nearest / hypot(plate.width, plate.height))

    def _propose(self, job: _Job, slot: Slot) -> Proposal:
        fits = "suits" if SUITS[job.action.behaviour][slot.nature] <= 1 else "will do for"
        reasons = [f"a {NATURES[slot.nature]} {fits} what {BEHAVIOURS[job.action.behaviour]}"]
        if self._is_elsewhere(job, slot):
            reasons.append(f"another application has `{job.action.group}` on this control")
        elif self._farness(job, slot) < 1 / 3:
            reasons.append(f"near the other controls of `{job.action.group}`")
        keys = tuple(self.link.name(contact).strip("`") for contact in slot.contacts)
        return Proposal(job.actions, slot.contacts, keys, job.need, tuple(reasons))


NATURES = {
    "button": "push-button",
    "state": "control that stays where it is put",
    "edge": "control that reports each change",
    "turn": "rotary",
    "position": "selector position",
    "axis": "axis",
}
"""What the host sees of a contact, in words."""

BEHAVIOURS = {
    "pulse": "acts once per press",
    "held": "acts while pressed",
    "follows": "follows the contact",
    "step": "moves one detent",
    "axis": "follows an axis",
}
"""What an application does with an input, in words."""
