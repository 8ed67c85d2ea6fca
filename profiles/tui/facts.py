"""What a control and its contacts are in the chosen profile, for any view to show.

A control's state is one word of `STATES`. It is told by a letter and a word, never by colour
alone: `!` in conflict, `#` bound, `+` bound in part, `.` unbound.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Literal

from profiles.facts.survey import DeviceFacts
from profiles.model import Action, Device, DeviceContact, Finding, Link, ResolvedBinding
from profiles.text.inert import escape_controls

State = Literal["conflict", "bound", "part", "unbound"]

STATES: Mapping[State, tuple[str, str]] = {
    "conflict": ("!", "in conflict"),
    "bound": ("#", "bound"),
    "part": ("+", "bound in part"),
    "unbound": (".", "unbound"),
}
"""The letter and the words of each state."""

BRACKETS: Mapping[str, tuple[str, str]] = {
    "momentary": ("(", ")"),
    "latching": ("[", "]"),
    "rotary": ("<", ">"),
    "selector": ("{", "}"),
}
"""Each kind's shape: round springs back, square stays, pointed turns, curly has positions."""


@dataclass(frozen=True, slots=True)
class ContactFacts:
    """One contact: its input number where it has one, what it does, and what it is held for."""

    contact: DeviceContact
    number: int | None
    bound: tuple[ResolvedBinding, ...]
    held_for: tuple[ResolvedBinding, ...]


@dataclass(frozen=True, slots=True)
class ControlFacts:
    """One control in a profile."""

    id: str
    label: str
    kind: str
    state: State
    legend: str
    contacts: tuple[ContactFacts, ...]
    findings: tuple[Finding, ...]

    @property
    def badge(self) -> str:
        """Three letters: the kind's brackets around the state's letter."""
        left, right = BRACKETS[self.kind]
        return f"{left}{STATES[self.state][0]}{right}"


def control_facts(
    device: Device, link: Link | None, findings: Iterable[Finding]
) -> dict[str, ControlFacts]:
    """Every control of a device, by id, in the order of the file."""
    inputs = DeviceFacts(device).inputs
    acting, held = _bindings_by_contact(link)
    told = findings_by_control(device, link, findings)
    found = {}
    for key, control in device.controls.items():
        contacts = tuple(
            ContactFacts(
                one,
                inputs.get((key, one.contact)),
                tuple(acting.get(one, ())),
                tuple(held.get(one, ())),
            )
            for one in (DeviceContact(device.id, key, name) for name in control.contacts)
            if (key, one.contact) in inputs or one in acting or one in held
        )
        own = tuple(told.get(key, ()))
        legend = _legend(contacts) or ("" if link else control.label)
        found[key] = ControlFacts(
            key, control.label, control.kind, _state(contacts, own), legend, contacts, own
        )
    return found


def _bindings_by_contact(
    link: Link | None,
) -> tuple[dict[DeviceContact, list[ResolvedBinding]], dict[DeviceContact, list[ResolvedBinding]]]:
    """The bindings of each contact that acts, and of each that a chord holds meanwhile."""
    acting: dict[DeviceContact, list[ResolvedBinding]] = {}
    held: dict[DeviceContact, list[ResolvedBinding]] = {}
    for one in link.bound if link else ():
        acting.setdefault(one.acting, []).append(one)
        for contact in one.held:
            held.setdefault(contact, []).append(one)
    return acting, held


def _legend(contacts: Iterable[ContactFacts]) -> str:
    """All words of a control in reading order, each once; those of chords after a plus."""
    words = [
        f"+{one.legend}" if one.held else one.legend
        for contact in contacts
        for one in contact.bound
    ]
    return " / ".join(dict.fromkeys(escape_controls(word) for word in words))


def _state(contacts: tuple[ContactFacts, ...], findings: tuple[Finding, ...]) -> State:
    if any(one.severity in ("error", "warning") for one in findings):
        return "conflict"
    bound = sum(bool(one.bound or one.held_for) for one in contacts)
    if not bound:
        return "unbound"
    return "bound" if bound == len(contacts) else "part"


def findings_by_control(
    device: Device, link: Link | None, findings: Iterable[Finding]
) -> dict[str, list[Finding]]:
    """Findings by the control they are about: in the device's file, or at a key of the profile."""
    by_key: dict[str, set[str]] = {}
    for one in link.bound if link else ():
        names = {who.control for who in (*one.held, one.acting) if who.device == device.id}
        by_key.setdefault(one.key, set()).update(names)
    profile = link.profile.id if link else None
    found: dict[str, list[Finding]] = {}
    for finding in findings:
        for control in controls_of(device, profile, by_key, finding):
            found.setdefault(control, []).append(finding)
    return found


def controls_of(
    device: Device, profile: str | None, by_key: Mapping[str, set[str]], finding: Finding
) -> list[str]:
    """The controls of a device that a finding is about, its related spots included."""
    names: dict[str, None] = {}
    for spot in (finding.spot, *(one.spot for one in finding.related)):
        match spot.document, spot.path:
            case document, ("controls", str(control), *_) if document == device.id:
                if control in device.controls:
                    names[control] = None
            case document, ("bindings", str(key), *_) if document == profile:
                names.update(dict.fromkeys(sorted(by_key.get(key, ()))))
    return list(names)


def unbound_actions(link: Link) -> dict[str, Action]:
    """Actions that the profile leaves unbound, `must` first, then `want`, then `may`."""
    if link.application is None:
        return {}
    written = {use.action for _, _, uses in link.profile.entries for use in uses}
    order = ("must", "want", "may")
    open_ones = [(key, one) for key, one in link.application.actions.items() if key not in written]
    return dict(sorted(open_ones, key=lambda pair: order.index(pair[1].need)))
