"""What a profile makes of its devices: what is pressed, what each control does, and what is found.

- `ProfileFacts`: one linked profile, its bindings by what is pressed
- `control_facts`: each control of a device in the profile, for any view to show
- `controls_of`: the controls that a finding is about
- `unbound_actions`: what the profile leaves to bind

A control's state is one word of `STATES`. It is shown by a letter and a word, never by colour
alone: `!` in conflict, `#` bound, `+` bound in part, `.` unbound. A contact that is only held for
others is in use as well as one that acts.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from functools import cached_property
from typing import TYPE_CHECKING, Literal, NamedTuple, TypeAlias

from profiles.facts.legends import join_legends
from profiles.text.finding import Finding
from profiles.text.inert import escape_controls
from profiles.text.sign_words import speak

if TYPE_CHECKING:
    from profiles.facts.device import DeviceFacts
    from profiles.model import Action, ControlValue, Device, DeviceContact, Link, ResolvedBinding

Slot: TypeAlias = "tuple[tuple[DeviceContact, ...], DeviceContact]"
"""What is pressed: contacts held meanwhile, sorted, and the one that acts."""

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
    "hat": ("^", "v"),
    "axis": ("|", "|"),
}
"""Each kind's shape: round springs back, square stays, pointed turns, curly has positions, arrows
tilt, bars slide."""


class ProfileFacts:
    """One linked profile, and its bindings by what is pressed."""

    def __init__(self, link: Link, devices: Mapping[str, DeviceFacts]) -> None:
        self.link = link
        self.id = link.profile.id
        self.application = link.application
        self.bound = link.bound
        self.used = link.used
        self.devices = [devices[device.id] for device in link.devices]
        self._by_id = devices

    @cached_property
    def slots(self) -> dict[Slot, list[ResolvedBinding]]:
        """Bindings by what is pressed, in the order of the file."""
        found: dict[Slot, list[ResolvedBinding]] = {}
        for binding in self.bound:
            held = tuple(sorted(binding.held)) if binding.held else ()
            found.setdefault((held, binding.acting), []).append(binding)
        return found

    def control(self, contact: DeviceContact) -> ControlValue:
        """The control a contact belongs to."""
        return self._by_id[contact.device].controls[contact.control]

    def device(self, contact: DeviceContact) -> DeviceFacts:
        """The device a contact belongs to."""
        return self._by_id[contact.device]

    def name(self, contact: DeviceContact) -> str:
        """The contact as a key of this profile would name it, in backticks."""
        return f"`{write_name(self.link, contact)}`"

    def name_slot(self, slot: Slot) -> str:
        """What is pressed as a key of this profile would name it, in backticks."""
        held, acting = slot
        return f"`{' + '.join(write_name(self.link, one) for one in (*held, acting))}`"


def write_name(link: Link, contact: DeviceContact) -> str:
    """A contact as a key of a profile names it, with the device in front where it has several."""
    from profiles.facts.device import name_contact

    device = next(one for one in link.devices if one.id == contact.device)
    name = name_contact(device.controls[contact.control], contact.control, contact.contact)
    return name if len(link.devices) == 1 else f"{contact.device}/{name}"


class ContactFacts(NamedTuple):
    """One contact in a profile: its input number where it has one, what it does, chords included,
    and the chords for which it is held."""

    contact: DeviceContact
    number: int | None
    bound: tuple[ResolvedBinding, ...]
    held_for: tuple[ResolvedBinding, ...] = ()

    @property
    def is_used(self) -> bool:
        """Whether it acts or is held."""
        return bool(self.bound or self.held_for)


class ControlFacts(NamedTuple):
    """One control in a profile."""

    id: str
    label: str
    kind: str
    state: State
    contacts: tuple[ContactFacts, ...]
    findings: tuple[Finding, ...]

    @property
    def parts(self) -> tuple[tuple[str, str], ...]:
        """The words of each bound contact, those of chords with a plus; for none the label."""
        found = [
            (contact.contact.contact, join_legends(map(write_legend, contact.bound)))
            for contact in self.contacts
            if contact.bound
        ]
        return tuple(found) or (("", self.label),)

    @property
    def legend(self) -> str:
        """All words of the control in one line."""
        return " / ".join(escape_controls(words) for _, words in self.parts)

    @property
    def badge(self) -> str:
        """Three letters: the kind's brackets around the state's letter."""
        left, right = BRACKETS[self.kind]
        return f"{left}{STATES[self.state][0]}{right}"


def control_facts(
    device: Device, link: Link | None, findings: Iterable[Finding]
) -> dict[str, ControlFacts]:
    """Every control of a device in a profile, by id, in the order of the file.

    Of the findings those count that are about the device or this profile.
    """
    from profiles.facts.device import DeviceFacts
    from profiles.model import DeviceContact  # late: see `tui.plain_look`

    inputs = DeviceFacts(device).reported
    bound: dict[DeviceContact, list[ResolvedBinding]] = {}
    held: dict[DeviceContact, list[ResolvedBinding]] = {}
    for one in link.bound if link else ():
        bound.setdefault(one.acting, []).append(one)
        for contact in one.held:
            held.setdefault(contact, []).append(one)
    told: dict[str, list[Finding]] = {}
    for finding in findings:
        for key in controls_of(device, link, finding):
            told.setdefault(key, []).append(finding)
    numbers = {DeviceContact(device.id, *contact): number for contact, number in inputs.items()}
    found = {}
    for key, control in device.controls.items():
        contacts = tuple(
            ContactFacts(one, numbers.get(one), tuple(bound.get(one, ())), tuple(held.get(one, ())))
            for one in (DeviceContact(device.id, key, name) for name in control.contacts)
            if one in numbers or one in bound or one in held
        )
        own = tuple(told.get(key, ()))
        state = find_state(contacts, own)
        found[key] = ControlFacts(key, control.spoken_label, control.kind, state, contacts, own)
    return found


def find_state(contacts: Sequence[ContactFacts], findings: Iterable[Finding] = ()) -> State:
    """The state of a control by its contacts and what is found of it."""
    if any(one.severity in ("error", "warning") for one in findings):
        return "conflict"
    used = sum(one.is_used for one in contacts)
    if not used:
        return "unbound"
    return "bound" if used == len(contacts) else "part"


def write_legend(bound: ResolvedBinding) -> str:
    """The words of a binding, signs in plain words, with a plus where others are held meanwhile."""
    words = speak(bound.legend)
    return f"+{words}" if bound.held else words


def controls_of(device: Device, link: Link | None, finding: Finding) -> list[str]:
    """The controls of a device that a finding is about, its related spots included.

    A finding of another document, such as another profile, is about none of them.
    """
    own = {device.id, link.profile.id} if link else {device.id}
    if finding.spot.document not in own:
        return []
    names: dict[str, None] = {}
    for spot in (finding.spot, *(relation.spot for relation in finding.related)):
        match spot.document, spot.path:
            case device.id, ("controls", str(control), *_) if control in device.controls:
                names[control] = None
            case document, ("bindings", str(key), *_) if link and document == link.profile.id:
                pressed = {
                    c for one in link.bound if one.key == key for c in (*one.held, one.acting)
                }
                names |= dict.fromkeys(sorted(c.control for c in pressed if c.device == device.id))
    return list(names)


def unbound_actions(link: Link) -> dict[str, Action]:
    """Actions that the profile leaves unbound, `must` first, then `want`, then `may`."""
    if link.application is None:
        return {}
    written = {use.action for _, _, uses in link.profile.entries for use in uses}
    order = ("must", "want", "may")
    open_ones = [(key, one) for key, one in link.application.actions.items() if key not in written]
    return dict(sorted(open_ones, key=lambda pair: order.index(pair[1].need)))
