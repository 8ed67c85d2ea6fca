"""Propose controls for actions that a profile leaves unbound.

What other profiles bind to the same action of the same application comes first: there a person has
chosen. Then come the words: an action goes to a free contact that fits and shares words with it,
those of its group counted where its own say nothing, and then to where other applications have what
is called the same. The rest is weighed by whether the contact suits the action's behaviour, whether
the same group of functions already lives on or near that control, in this application or in others,
and the order in which a person reads the plate. All proposals of one step are chosen together;
`must` actions are placed before `want` actions where places run out.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from math import hypot, inf
from typing import Literal, get_args

from profiles.facts.device import name_contact
from profiles.facts.profile import ProfileFacts
from profiles.facts.survey import Survey, survey_of
from profiles.model import Action, DeviceContact, Library
from profiles.model.application import Need
from profiles.plan.assignment import assign
from profiles.plan.carry import carry, list_contacts
from profiles.plan.slots import SUITS, Slot, find_slots
from profiles.plan.words import LEAST_SHORT, likeness, words_of

SUIT_WEIGHT = 10.0
"""One step of suitability outweighs all of group and place together."""

WORDS_WEIGHT = 60.0
"""Words that are the same outweigh every other reason among the contacts that share some."""

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


Reason = Literal["chosen", "words", "group words", "elsewhere", "place"]
"""What places an action, in the order in which it is asked."""

REASONS: tuple[Reason, ...] = get_args(Reason)


class _Plans(dict[tuple[str, tuple[Need, ...]], Plan]):
    """What was proposed for a library, by profile and needs."""


def suggest(library: Library, profile_id: str, needs: Sequence[Need] = ("must", "want")) -> Plan:
    """Propose controls for the unbound actions of these needs, worked out once for a library.

    Raises:
        KeyError: where the library has no such profile.
    """
    plans = library.kept.setdefault(_Plans, _Plans())
    assert isinstance(plans, _Plans)
    asked = profile_id, tuple(needs)
    if asked not in plans:
        plans[asked] = _plan(library, *asked)
    return plans[asked]


def _plan(library: Library, profile_id: str, needs: Sequence[Need]) -> Plan:
    survey = survey_of(library)
    link = next((one for one in survey.links if one.id == profile_id), None)
    if link is None:
        raise KeyError(profile_id)
    if link.application is None:
        return Plan((), ())
    actions = link.application.actions
    plans = [_Planner(survey, link).plan([tuple(needs)])]
    if any(actions[one].need == "must" for one in plans[0].homeless):
        plans.append(_Planner(survey, link).plan([(need,) for need in needs]))
    return min(plans, key=lambda plan: sum(actions[one].need == "must" for one in plan.homeless))


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
        self.chosen: dict[tuple[DeviceContact, str], str] = {}
        self.called: dict[tuple[DeviceContact, str], str] = {}
        for other in survey.links:
            if other.id != link.id and other.application is not None:
                self._learn(other)
        self.words = {
            slot.contacts: words_of(
                slot.contact.control,
                slot.control.label,
                *(slot.control.labels.get(who.contact, "") for who in slot.contacts),
            )
            for slot in (*self.singles, *self.pairs)
        }

    def _learn(self, other: ProfileFacts) -> None:
        """Remember where another profile's bindings would go on this one's devices."""
        assert self.link.application is not None
        assert other.application is not None
        is_same = other.application.id == self.link.application.id
        found = self.chosen if is_same else self.called
        for device in self.link.devices:
            carried = carry(other.link, device.device, self.link.application)
            keys = {
                name_contact(
                    device.controls[contact.control], contact.control, contact.contact
                ): contact
                for contact in list_contacts(device.device)
            }
            for key, uses in carried.bindings.items():
                if key in keys:
                    who = DeviceContact(device.id, *keys[key])
                    found.update({(who, use["action"]): other.id for use in uses})

    def plan(self, rounds: Sequence[Sequence[Need]]) -> Plan:
        """Place the actions of each round; those that nothing suits are named in the end."""
        proposals: list[Proposal] = []
        homeless: list[str] = []
        for needs in rounds:
            couples, loners = [], []
            for need in needs:
                pairs, singles = self._jobs(need)
                couples += pairs
                loners += singles
            for reason in REASONS[:-1]:
                placed, couples = self._place(couples, self.pairs, reason)
                proposals += placed
                alone = [
                    _Job((one,), job.action, job.need) for job in couples for one in job.actions
                ]
                if reason == "chosen":  # steps that a person has put on two buttons
                    placed, alone = self._place(alone, self.singles, reason)
                    proposals += placed
                    done = {action for one in placed for action in one.actions}
                    loners += [job for job in alone if self._partner_of(job) in done]
                    couples = [job for job in couples if not done.intersection(job.actions)]
                placed, loners = self._place(loners, self.singles, reason)
                proposals += placed
            for need in needs:
                placed, left = self._place(
                    [couple for couple in couples if couple.need == need], self.pairs
                )
                proposals += placed
                alone = [_Job((one,), job.action, need) for job in left for one in job.actions]
                mine = [loner for loner in loners if loner.need == need]
                placed, left = self._place([*mine, *alone], self.singles)
                proposals += placed
                homeless += [action for job in left for action in job.actions]
        return Plan(tuple(proposals), tuple(homeless))

    def _partner_of(self, job: _Job) -> str | None:
        assert self.link.application is not None
        return self.link.application.actions[job.actions[0]].partner

    def _jobs(self, need: Need) -> tuple[list[_Job], list[_Job]]:
        """Unbound actions of a need: pairs of steps, and single ones."""
        assert self.link.application is not None
        actions = self.link.application.actions
        bound = {binding.action_id for binding in self.link.bound}
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

    def _place(
        self, jobs: list[_Job], slots: list[Slot], reason: Reason = "place"
    ) -> tuple[list[Proposal], list[_Job]]:
        """Place jobs on slots for a reason, as many as can be at the least cost.

        Slots that are taken leave the list.
        """
        if not jobs:
            return [], []
        if not slots:
            return [], jobs
        chosen = assign(self._price(jobs, slots, reason))
        placed = [
            self._propose(job, slots[place], reason)
            for job, place in zip(jobs, chosen, strict=True)
            if place is not None
        ]
        left = [job for job, place in zip(jobs, chosen, strict=True) if place is None]
        gone = {place for place in chosen if place is not None}
        slots[:] = [slot for at, slot in enumerate(slots) if at not in gone]
        return placed, left

    def _price(self, jobs: list[_Job], slots: list[Slot], reason: Reason) -> list[list[float]]:
        """Return the cost of each slot for each job; only slots that the reason may speak for are
        looked at."""
        likely: dict[str, list[int]] = {}
        if reason in ("chosen", "elsewhere"):
            at_of = {slot.contact: at for at, slot in enumerate(slots)}
            for contact, action in self.chosen if reason == "chosen" else self.called:
                if contact in at_of:
                    likely.setdefault(action, []).append(at_of[contact])
        elif reason != "place":
            for at, slot in enumerate(slots):
                for start in {word[:LEAST_SHORT] for word in self.words[slot.contacts]}:
                    likely.setdefault(start, []).append(at)
        found = []
        for job in jobs:
            row = [inf] * len(slots)
            for at in self._list_likely(job, slots, reason, likely):
                row[at] = self._cost(job, slots[at], at, reason)
            found.append(row)
        return found

    def _list_likely(
        self, job: _Job, slots: list[Slot], reason: Reason, likely: Mapping[str, list[int]]
    ) -> Iterable[int]:
        """Places of the slots that a reason may speak for."""
        if reason == "place":
            return range(len(slots))
        if reason in ("chosen", "elsewhere"):
            return likely.get(job.actions[0], ())
        words = frozenset[str]().union(*self._words_of_job(job, reason))
        return {at for word in words for at in likely.get(word[:LEAST_SHORT], ())}

    def _words_of_job(self, job: _Job, reason: Reason) -> list[frozenset[str]]:
        """The words that stand for each of its actions, or for their group."""
        assert self.link.application is not None
        actions = self.link.application.actions
        return [
            words_of(key, actions[key].name, actions[key].legend or "")
            if reason == "words"
            else words_of(actions[key].group or "")
            for key in job.actions
        ]

    def _cost(self, job: _Job, slot: Slot, order: int, reason: Reason) -> float:
        suits = SUITS[job.action.behaviour].get(slot.nature)
        if suits is None:
            return inf
        weight = self._weigh(job, slot, reason)
        if not weight:
            return inf
        bonus = ELSEWHERE_BONUS if self._is_elsewhere(job, slot) else 0.0
        bonus += WORDS_WEIGHT * weight if reason != "place" else 0.0
        bonus += SUIT_WEIGHT if job.need == "must" and reason != "place" else 0.0
        return suits * SUIT_WEIGHT + order * 1e-3 - bonus + NEAR_WEIGHT * self._farness(job, slot)

    def _weigh(self, job: _Job, slot: Slot, reason: Reason) -> float:
        """Return how much a reason speaks for a slot, 0 to 1; 0 for not at all."""
        if reason in ("chosen", "elsewhere"):
            found = self.chosen if reason == "chosen" else self.called
            pairs = zip(slot.contacts, job.actions, strict=True)
            return float(all(pair in found for pair in pairs))
        if reason == "place":
            return 1.0
        mine = self.words[slot.contacts]
        return max(likeness(mine, theirs) for theirs in self._words_of_job(job, reason))

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

    def _propose(self, job: _Job, slot: Slot, reason: Reason) -> Proposal:
        fits = "suits" if SUITS[job.action.behaviour][slot.nature] <= 1 else "will do for"
        reasons = [f"a {NATURES[slot.nature]} {fits} what {BEHAVIOURS[job.action.behaviour]}"]
        if reason in ("chosen", "elsewhere"):
            found = self.chosen if reason == "chosen" else self.called
            what = "it" if reason == "chosen" else "its like"
            reasons.append(f"profile `{found[slot.contact, job.actions[0]]}` has {what} here")
        elif reason == "words":
            reasons.append(f"`{slot.control.label}` shares words with it")
        elif reason == "group words":
            reasons.append(f"`{slot.control.label}` shares words with its group")
        elif self._is_elsewhere(job, slot):
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
