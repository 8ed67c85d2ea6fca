"""Bindings for a new profile: carried over from another one, and what the words themselves say.

A contact is found on another device by its control's id, its label, its part, and its place on the
plate; an action in another application by its id, its name or legend, and by its group. Nothing is
guessed among several: what finds no single counterpart is left out, and named. Ids are only names:
a stranger's device or application may have an id of one's own and be another all the same.
"""

from collections import Counter
from collections.abc import Callable, Iterable
from math import hypot
from typing import NamedTuple, TypeVar

from profiles.facts.device import DeviceFacts, name_contact
from profiles.model import Action, Application, Contact, ControlValue, Device, Link, ResolvedBinding

T = TypeVar("T")
Uses = dict[str, list[dict[str, str]]]
"""What each key does, as a file would give it in the long form."""

NEAR = 0.12
"""How far a control may have moved to be the one in its place, as a share of the plate's sides."""

BY_PLACE = "same place"
"""Why a control is taken for another one that nothing but its place points to."""


class Counterpart(NamedTuple):
    """A binding of the other profile, and what it becomes here: empty where there is nothing.

    `why` says by what the contact and the action were found, or which of them was not.
    """

    bound: ResolvedBinding
    key: str
    action: str
    why: str


class Carried(NamedTuple):
    """Bindings by key, and each binding of the other profile with its counterpart."""

    bindings: Uses
    rows: tuple[Counterpart, ...]

    @property
    def lost(self) -> tuple[ResolvedBinding, ...]:
        """Those of the other profile that found no counterpart."""
        return tuple(row.bound for row in self.rows if not (row.key and row.action))


def list_contacts(device: Device) -> dict[Contact, int | None]:
    """Return every contact that can be bound, with its input number, in the order of the file.

    They are those with a number; of a device without any, all.
    """
    inputs = DeviceFacts(device).inputs
    if inputs:
        return dict(inputs)
    return {
        Contact(key, name): None
        for key, control in device.controls.items()
        for name in control.contacts
    }


def bind_equal_words(device: Device, application: Application) -> Uses:
    """Return the actions whose name or legend is the label of a single control."""
    found: Uses = {}
    contacts = list_contacts(device)
    for key, control in device.controls.items():
        main = control.main_contact
        alike = [one for one in device.controls.values() if _same(one.label, control.label)]
        action = _only(
            name
            for name, one in application.actions.items()
            if _same(one.name, control.label) or _same(one.words, control.label)
        )
        if main and action and len(alike) == 1 and Contact(key, main) in contacts:
            found[name_contact(control, key, main)] = [{"action": action}]
    return found


def carry(other: Link, device: Device, application: Application) -> Carried:
    """Return another profile's bindings, for this device and this application."""
    found: Uses = {}
    rows = []
    taken: set[str] = set()
    is_same_application = other.application == application
    contacts = list_contacts(device)
    matches = _match_controls(other, device)
    for bound in other.bound:
        names: list[str] = []
        reasons: list[str] = []
        for who in (*bound.held, bound.acting):
            control, reason = matches[who.device, who.control]
            if control is None or Contact(control, who.contact) not in contacts:
                names.clear()
                reasons = ["no such contact"]
                break
            names.append(name_contact(device.controls[control], control, who.contact))
            reasons.append(reason)
        key = " + ".join(names)
        action, reason = bound.action_id, "same id"
        if not is_same_application:
            action, reason = _find_action(bound, application, taken)
        if action not in application.actions:
            action, reason = "", "no such action"
        found_by = f"contact: {', '.join(dict.fromkeys(reasons))}; action: {reason}"
        rows.append(Counterpart(bound, key, action, found_by))
        if key and action:
            taken.add(action)
            words = {name: getattr(bound.use, name) for name in ("legend", "short", "note")}
            kept = {name: one for name, one in words.items() if one and is_same_application}
            use = {"action": action, **kept}
            uses = found.setdefault(key, [])
            if use not in uses:
                uses.append(use)
    return Carried(found, tuple(rows))


def _match_controls(other: Link, device: Device) -> dict[tuple[str, str], tuple[str | None, str]]:
    """Return for each control that a profile binds the one of a device that is this one.

    A control found by its place alone is none where another of the profile's is found there, too.
    """
    sources = {one.id: one for one in other.devices}
    used = {
        (who.device, who.control): None for one in other.bound for who in (*one.held, one.acting)
    }
    found = {(id_, key): _find_control(sources[id_], key, device) for id_, key in used}
    takers = Counter(control for control, _ in found.values())
    return {
        who: (None if reason == BY_PLACE and takers[control] > 1 else control, reason)
        for who, (control, reason) in found.items()
    }


def _find_control(source: Device, key: str, device: Device) -> tuple[str | None, str]:
    """Return the control of a device that is this one of another, and by what: its id, label, the
    only one of its part, or its place."""
    control = source.controls[key]
    if key in device.controls:
        return key, "same id"
    by_label = [one for one, value in device.controls.items() if _same(value.label, control.label)]
    if by_label:
        return _only(by_label), "same label"
    if control.part is not None:
        mine = [one for one, value in device.controls.items() if value.part == control.part]
        theirs = [one for one in source.controls.values() if one.part == control.part]
        if len(mine) == len(theirs) == 1:
            return mine[0], "same part"
    near = {
        one: _farness(source, control, device, value)
        for one, value in device.controls.items()
        if value.kind == control.kind and one not in source.controls
    }
    nearest = min(near, key=lambda one: near[one], default=None)
    return (nearest if nearest is not None and near[nearest] <= NEAR else None), BY_PLACE


def _farness(source: Device, control: ControlValue, device: Device, other: ControlValue) -> float:
    """Return how far apart two controls are, each as shares of the sides of its plate."""
    mine, theirs = source.plate, device.plate
    return hypot(
        control.position[0] / mine.width - other.position[0] / theirs.width,
        control.position[1] / mine.height - other.position[1] / theirs.height,
    )


def _find_action(
    bound: ResolvedBinding, application: Application, taken: set[str]
) -> tuple[str, str]:
    """Return the action of another application that means the same, and by what; empty for none."""
    mine = bound.action
    if bound.action_id in application.actions:
        name = application.actions[bound.action_id].name
        return bound.action_id, "same id" if _same(name, mine.name) else "same id, other name"

    def find(is_alike: Callable[[Action], bool]) -> str:
        free = [key for key, one in application.actions.items() if is_alike(one)]
        return _only(key for key in free if key not in taken) or ""

    group = (mine.group, mine.behaviour, mine.direction)
    found = {
        "same name": find(lambda one: _same(one.name, mine.name)),
        "same legend": find(lambda one: _same(one.words, mine.words)),
        "same group": find(
            lambda one: (
                mine.group is not None and (one.group, one.behaviour, one.direction) == group
            )
        ),
    }
    return next(((action, why) for why, action in found.items() if action), ("", ""))


def _same(one: str, other: str) -> bool:
    """Whether two texts are the same words, letter case and spaces aside."""
    return one.casefold().split() == other.casefold().split()


def _only(found: Iterable[T]) -> T | None:
    """Return the only one, or None where there is none or several."""
    many = list(found)
    return many[0] if len(many) == 1 else None
