"""What many checks ask of one device, worked out once: its inputs, wiring, and plate."""

from bisect import bisect
from collections.abc import Callable, Iterable
from functools import cached_property
from math import dist
from typing import TYPE_CHECKING

from profiles.facts.signals import Nature, Signal, find_signals, nature_of
from profiles.model import (
    Board,
    Contact,
    ControlValue,
    Device,
    DeviceContact,
    Finding,
    Firmware,
    Rotary,
    Spot,
)

if TYPE_CHECKING:
    from profiles.facts.box_model import BoxModel
    from profiles.plate.moves import Moves
    from profiles.plate.spacing import Close, ControlOutline
    from profiles.wiring.circuit import Circuit
    from profiles.wiring.hazards import Hazard
    from profiles.wiring.needs import Needs
    from profiles.wiring.numbering import Numbering

_CAPITAL = 0.7
"""A little less than the height of a capital in our faces, em."""

_FARTHEST = 40.0
"""How far from a front what is in the way of its words is looked for, mm."""

SAME_PLACE = 1.0
"""Centres closer than this, in mm, are one place: no two controls can be mounted there."""


class DeviceFacts:
    """One device; `board` is the controller board it names, where that is known."""

    def __init__(self, device: Device, board: Board | None = None) -> None:
        self.device = device
        self.board = board
        self.id = device.id
        self.controls = device.controls
        self.mounted = device.mounted
        self._dropped: dict[str, dict[int, str]] = {}
        self.chord_hazards: dict[frozenset[tuple[str, str]], tuple[Needs, list[Hazard]]] = {}
        self.found: dict[Callable[..., object], tuple[Finding, ...]] = {}

    @property
    def firmware(self) -> Firmware | None:
        """Which firmware its board runs, where that is known."""
        from profiles.wiring.boards import firmware_of

        return firmware_of(self.board)

    @cached_property
    def inputs(self) -> dict[Contact, int]:
        """Input number by contact, in the order of the file: as the wiring numbers it, where it
        does, else as declared."""
        if self.device.wiring.numbering is None:
            given = {Contact(*one): n for one, n in self.device.declared_inputs.items()}
        else:
            given = dict(self.numbering.numbers)
        return {contact: given[contact] for contact in self.natures if contact in given}

    @cached_property
    def reported(self) -> dict[Contact, int]:
        """What the host meets each contact as, in the order of the file: its input number, or the
        number beyond those of buttons for a way of a hat or an axis (`host.axes`)."""
        from profiles.host.device_view import number_fields

        fields = number_fields(self.device)
        if not fields:
            return self.inputs
        found = {**self.inputs, **fields}
        return {contact: found[contact] for contact in self.natures if contact in found}

    @cached_property
    def signals(self) -> dict[Contact, Signal]:
        """What the box sends, by contact; a contact that is never sent has none."""
        return find_signals(self.device, self.reported)

    @cached_property
    def model(self) -> "BoxModel":
        """The box lowered to points and rules."""
        from profiles.facts.box_model import draw_model

        return draw_model(self.device, self.signals)

    @cached_property
    def numbering(self) -> "Numbering":
        """Input numbers as the wiring gives them, and what disagrees."""
        from profiles.wiring.circuit import numbering_of

        return numbering_of(self.device)

    @cached_property
    def circuit(self) -> "Circuit":
        """The switch matrix, and what does not fit into it."""
        from profiles.wiring.circuit import circuit_of

        return circuit_of(self.device)

    @cached_property
    def is_wired(self) -> bool:
        """Whether the file says anything of how contacts reach the board."""
        wiring = self.device.wiring
        return bool(
            wiring.rows or wiring.columns or wiring.all_chains or wiring.diodes != "none"
        ) or any(
            value.crossing_by_contact or value.pin_by_contact or value.bit_by_contact
            for value in self.controls.values()
        )

    @cached_property
    def contacts(self) -> dict[str, list[str]]:
        """Contacts that the host meets, by control, in their natural order."""
        found: dict[str, list[str]] = {}
        for control, contact in self.reported:
            found.setdefault(control, []).append(contact)
        return found

    @cached_property
    def live(self) -> frozenset[DeviceContact]:
        """Every contact that the host meets."""
        return frozenset(DeviceContact(self.id, *place) for place in self.reported)

    @cached_property
    def natures(self) -> dict[Contact, Nature]:
        """How the input of each contact behaves, wired or not, in the order of the file."""
        return {
            Contact(control, contact): nature_of(value, contact)
            for control, value in self.controls.items()
            for contact in value.contacts
        }

    @cached_property
    def rest(self) -> frozenset[Contact]:
        """Contacts closed at rest: latching controls off or at their centre, selectors at the
        first position that stays."""
        return frozenset(
            Contact(control, value.rest_contact)
            for control, value in self.controls.items()
            if value.rest_contact is not None
        )

    @cached_property
    def staying(self) -> tuple[str, ...]:
        """Controls with an input that stays down while they are left alone."""
        return tuple(
            control
            for control, contacts in self.contacts.items()
            if {self.natures[Contact(control, contact)] for contact in contacts}
            & {"state", "position"}
        )

    def by_control(self, contacts: Iterable[DeviceContact]) -> dict[str, list[DeviceContact]]:
        """Contacts of this device by control, both in the order of the file."""
        chosen = set(contacts)
        found: dict[str, list[DeviceContact]] = {}
        for control, contact in self.reported:
            one = DeviceContact(self.id, control, contact)
            if one in chosen:
                found.setdefault(control, []).append(one)
        return found

    @cached_property
    def fittings(self) -> "tuple[ControlOutline, ...]":
        """The controls and fixtures as the plate sees them."""
        from profiles.plate.outlines import outlines_of

        return outlines_of(self.device)

    @cached_property
    def doubles(self) -> dict[str, str]:
        """What is centred where something else is, with that one; in order of position."""
        order = self._order
        found: dict[str, str] = {}
        near: list[str] = []
        for control in sorted(order, key=lambda one: (self.mounted[one].position, order[one])):
            here = self.mounted[control].position
            near = [one for one in near if here[0] - self.mounted[one].position[0] < SAME_PLACE]
            twin = next(
                (o for o in near if dist(here, self.mounted[o].position) < SAME_PLACE), None
            )
            if twin is None:
                near.append(control)
            else:
                found[control] = twin
        return found

    @cached_property
    def moves(self) -> "Moves":
        """Where what stands on the plate may stand instead."""
        from profiles.plate.moves import Moves

        return Moves(self.device, self.fittings)

    @cached_property
    def standing(self) -> "tuple[ControlOutline, ...]":
        """Controls and fixtures as the plate sees them, of those in one place only one."""
        return tuple(fitting for fitting in self.fittings if fitting.id not in self.doubles)

    @cached_property
    def overlaps(self) -> "dict[str, list[Close]]":
        """Pairs of fronts that overlap, by the later control of each pair."""
        from profiles.plate.spacing import find_overlaps

        return self.group_pairs(find_overlaps(self.standing))

    def group_pairs(self, pairs: "Iterable[Close]") -> "dict[str, list[Close]]":
        """Pairs of controls or fixtures by the one that stands later in the file."""
        found: dict[str, list[Close]] = {}
        for pair in pairs:
            found.setdefault(self.in_order(pair.first, pair.second)[1], []).append(pair)
        return found

    def in_order(self, one: str, other: str) -> tuple[str, str]:
        """Two controls or fixtures in the order of the file, controls first."""
        if self._order[one] < self._order[other]:
            return one, other
        return other, one

    @cached_property
    def _order(self) -> dict[str, int]:
        return {mounted: place for place, mounted in enumerate(self.mounted)}

    @cached_property
    def label_rooms(self) -> dict[str, float]:
        """The width in em that one line of words surely finds above each control.

        Words that stay nearer to their front than half way to the nearest other thing meet no
        others. They are as small and as narrow as may be, and no letter rises by half a capital
        height above the capitals or drops by half of one below. Of words that are put somewhere by
        hand nothing is sure.
        """
        from profiles.plate.fit import NARROWEST
        from profiles.plate.legibility import readable_height
        from profiles.plate.outlines import outline_of, screws_of
        from profiles.plate.shapes import Rectangle, gap, inset, overlap

        plate, rooms = self.device.plate, dict[str, float]()
        outline, height = outline_of(plate), readable_height(plate.viewing_distance)
        things = [(fitting.front.bounds, fitting.front) for fitting in self.fittings]
        things += [(screw.head.bounds, screw.head) for screw in screws_of(plate)]
        for words in plate.engravings:
            reach = 1.4 * words.height * max(2, len(words.text)) / 2
            box = Rectangle(*words.position, *words.position).grown(reach)
            things.append((box, box))
        things.sort(key=lambda thing: thing[0].left)
        lefts = [bounds.left for bounds, _ in things]
        widest = max((bounds.width for bounds, _ in things), default=0.0)
        rooms |= dict.fromkeys(self.device.concentric, 0.0)
        for fitting in self.fittings:
            if fitting.id not in self.controls:
                continue
            near = fitting.front.bounds.grown(_FARTHEST)
            apart = min(_FARTHEST, 2 * (inset(fitting.front, outline) - plate.edge))
            first, end = bisect(lefts, near.left - widest), bisect(lefts, near.right)
            for bounds, other in things[first:end]:
                if other is not fitting.front and overlap(bounds, near):
                    apart = min(apart, gap(fitting.front, other))
            own = fitting.front.bounds
            small = min(own.width, own.height) / 2
            top = own.height / 2 + 1.5 + 2 * height
            half = max(0.0, (small + (apart - height) / 2) ** 2 - top**2) ** 0.5
            control = self.controls[fitting.id]
            by_hand = control.label_at is not None or control.label_place is not None
            rooms[fitting.id] = 0.0 if by_hand else 2 * half * _CAPITAL / (NARROWEST * height)
        return rooms

    @cached_property
    def highest_input(self) -> int:
        """The highest input number; 0 where there is none."""
        return max(self.inputs.values(), default=0)

    def dropped(self, interface: str) -> dict[int, str]:
        """Inputs that a host interface does not carry, and why; none where it is not known."""
        if interface not in self._dropped:
            from profiles.host.interfaces import INTERFACES, number_inputs

            found = self._dropped[interface] = {}
            if interface in [one.id for one in INTERFACES]:
                report = self.device.device.report
                declared = range(1, max(report.buttons or 0, self.highest_input) + 1)
                inputs = self.inputs.values()
                if len(self.reported) > len(self.inputs):
                    found |= self._drop_fields(interface)
                for number, index in number_inputs(
                    inputs, interface, report.collection, declared
                ).items():
                    if index.number is None:
                        drops = "" if index.reason.startswith("carries") else "drops it: "
                        found[number] = f"`{interface}` {drops}{index.reason}"
        return self._dropped[interface]

    def _drop_fields(self, interface: str) -> dict[int, str]:
        from profiles.host.axes import name_input, view_fields
        from profiles.host.descriptor import shape_report

        shape = shape_report(self.device.device.report, self.reported.values())
        reasons = {
            view.name: view.indices[interface].reason
            for view in view_fields(shape.hats, shape.axes)
            if view.indices[interface].number is None
        }
        return {
            number: f"`{interface}` drops it: it {reason}"
            for number in self.reported.values()
            for name, reason in reasons.items()
            if f"{name_input(number)} ".startswith(f"{name} ")
        }

    @cached_property
    def pulses(self) -> dict[str, float]:
        """Pulse length in ms of every control that sends pulses: rotaries, and edge reporters."""
        usual = self.device.wiring.pulse
        found: dict[str, float] = {}
        for control, value in self.controls.items():
            if isinstance(value, Rotary):
                if not value.axis:
                    found[control] = value.pulse or usual
            elif value.is_pulsing:
                found[control] = usual
        return found

    def spot(self, *path: str | int) -> Spot:
        """A spot in the device's document."""
        return Spot(self.id, path)

    def mounted_spot(self, key: str, *path: str) -> Spot:
        """Where a control or fixture, or a key of it, stands."""
        return self.spot("controls" if key in self.controls else "fixtures", key, *path)

    def spot_of(self, control: str, key: str, contact: str) -> Spot:
        """Where one value of a contact stands: `controls.horn.input`, or `.inputs.press`."""
        value = self.controls[control]
        if getattr(value, key) is not None and contact == value.main_contact:
            return Spot(self.id, ("controls", control, key))
        return Spot(self.id, ("controls", control, many_of(key), contact))

    def input_spot(self, control: str, contact: str) -> Spot:
        """Where a contact's input number comes from: its own, else its place in the wiring."""
        if (control, contact) in self.device.declared_inputs:
            return self.spot_of(control, "input", contact)
        return self.place_spot(control, contact)

    def place_spot(self, control: str, contact: str) -> Spot:
        """Where the file says how a contact is wired; the control where it does not."""
        for key in ("crossing", "pin", "bit"):
            if contact in getattr(self.controls[control], f"{key}_by_contact"):
                return self.spot_of(control, key, contact)
        return self.spot("controls", control)

    def name(self, control: str, contact: str) -> str:
        """`horn` for the main contact, `trim.clockwise` for any other, in backticks."""
        return f"`{name_contact(self.controls[control], control, contact)}`"


def many_of(key: str) -> str:
    """The key that holds one value a contact: `crossings` for `crossing`."""
    return "crossings" if key == "crossing" else f"{key}s"


def name_contact(value: ControlValue, control: str, contact: str) -> str:
    """`horn` for the main contact of a control, `trim.clockwise` for any other."""
    return control if contact == value.main_contact else f"{control}.{contact}"
