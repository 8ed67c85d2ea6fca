"""What the firmware of a box needs to know, in no particular language.

`plan_firmware` takes the points and rules of the box model (`profiles.facts.box_model`), and looks
for what prevents them. All that cannot be built goes into one `CannotBuildError`; what
can be built but may surprise is kept as cautions, which the firmware carries in its header.
"""

from dataclasses import dataclass
from functools import cached_property
from itertools import accumulate
from math import ceil

from profiles.facts.box_model import QUEUE, BoxModel, Condition, Rules
from profiles.facts.device import DeviceFacts
from profiles.facts.lights import Light, find_lights
from profiles.facts.signals import LAST_BUTTON, find_sources
from profiles.host.axes import split_hat_input
from profiles.host.descriptor import (
    LARGEST_PACKET,
    ReportShape,
    count_bytes,
    lay_out_report,
    shape_report,
    write_descriptor,
)
from profiles.host.identity import fit_string
from profiles.model import (
    Axis,
    Board,
    Contact,
    Device,
    Expander,
    Firmware,
    Hat,
    Ladder,
    Multiplexer,
    Rotary,
)
from profiles.model.control_value import TURNS
from profiles.text.inert import escape_controls
from profiles.text.prose import count, join_words
from profiles.wiring.banks import (
    PORTS,
    Bank,
    axes_on_banks,
    bank_place,
    banks_of,
    contacts_on_banks,
    size_of,
)
from profiles.wiring.boards import firmware_of
from profiles.wiring.circuit import pin_uses, pins_not_on_board, pins_unable, pins_used_twice
from profiles.wiring.ladder import find_margin, find_thresholds, find_windows

REPORT_ID = 1
"""The AVR board core's HID part puts a report id before every report."""

LONGEST_SETTLING = 1.0
"""Settling time of all lines, ms, beyond which a scan no longer fits into a tick."""

NOISE = 96
"""By how much, of 65535, a reading may differ from the last one and still count as it: a step and a
half of a 10-bit converter. Rule of thumb."""

BUS_CAUTION = (
    "each wire of the two-wire bus of {} wants a resistor of 2.2 kohm to the supply of the board's "
    "pins, never to a higher one"
)
"""2.2 kohm charge 160 pF within the 300 ns of fast mode (UM10204)."""

GROUNDS = frozenset({"GND", "Gnd", "gnd", "0V"})


class CannotBuildError(ValueError):
    """A device for which no firmware can be written; `problems` says why, all at once."""

    def __init__(self, problems: tuple[str, ...]) -> None:
        super().__init__("; ".join(problems))
        self.problems = problems


@dataclass(frozen=True, slots=True)
class Measured:
    """An axis: its pin, the first of its two bytes in the report, and readings, of 65535, at its
    low end, at both ends of its rest and at its high end."""

    name: str
    pin: str
    place: int
    readings: tuple[int, int, int, int]
    reversed: bool


@dataclass(frozen=True)
class FirmwarePlan:
    """One box for its firmware. Pins by the names in the device's file; times in ms, settling us.

    `held_low` are pins that serve as commons.
    """

    model: BoxModel
    shape: ReportShape
    cautions: tuple[str, ...]

    @property
    def device(self) -> Device:
        """The box as its file gives it."""
        return self.model.device

    @property
    def rules(self) -> Rules:
        """How points become reports."""
        return self.model.read_rules

    @property
    def points(self) -> int:
        """How many points the board reads."""
        return self.model.wired

    @property
    def driven(self) -> tuple[str, ...]:
        """Pins of the lines driven low in turn."""
        return self.device.wiring.driven_pins

    @property
    def sensed(self) -> tuple[str, ...]:
        """Pins of the lines that are read."""
        return self.device.wiring.sensed_pins

    @property
    def own(self) -> tuple[str, ...]:
        """Pins that read one contact each."""
        return self.model.own

    @property
    def held_low(self) -> tuple[str, ...]:
        """Pins held low all the time, since contacts switch to them."""
        commons = (control.common for control in self.device.controls.values())
        return tuple(dict.fromkeys(pin for pin in commons if pin and pin not in GROUNDS))

    @cached_property
    def lights(self) -> tuple[Light, ...]:
        """The LEDs that the board lights: one of each pin, then those of the LED matrix."""
        every = find_lights(self.device)
        on_pins = {light.led.pin: light for light in every if light.led.pin}
        return (*on_pins.values(), *(light for light in every if light.led.crossing))

    @property
    def leds(self) -> tuple[str, ...]:
        """Pins that light an LED each, or switch its driver."""
        return tuple(light.led.pin for light in self.lights if light.led.pin)

    @cached_property
    def banks(self) -> tuple[Bank, ...]:
        """What is read place by place: shift-register chains, expanders and such."""
        return banks_of(self.device)

    @property
    def axes(self) -> tuple[Measured, ...]:
        """The axes that have a pin, in the order of the file."""
        first = lay_out_report(self.shape).axes_at
        found = []
        for name, control in self.device.controls.items():
            if isinstance(control, Axis) and (pin := control.pin_by_contact.get("axis")):
                place = first + 2 * self.shape.axes.index(control.axis)
                readings = convert_range(control)
                found.append(Measured(name, pin, place, readings, control.reversed))
        return tuple(found)

    @property
    def dials(self) -> tuple[tuple[str, int, int], ...]:
        """The rotaries that move an axis: name, first of two bytes in the report, and step."""
        first, axes = lay_out_report(self.shape).axes_at, self.shape.axes
        moving = (turn for turn in self.rules.turns if turn.axis)
        return tuple((turn.name, first + 2 * axes.index(turn.axis), turn.step) for turn in moving)

    def lead_to(self, axis: Measured) -> tuple[str, int | None, int]:
        """The board pin of an axis; and of one behind a multiplexer its bank and place, from 0."""
        found = bank_place(self.device, axis.pin)
        for at, bank in enumerate(self.banks):
            if found and bank.name == found[0] and isinstance(bank.part, Multiplexer):
                return bank.part.pin, at, found[1] - 1
        return axis.pin, None, 0

    @property
    def debounce(self) -> int:
        """Debounce time, ms."""
        return ceil(self.device.wiring.debounce)

    @property
    def hold(self) -> int:
        """How long all contacts of a control are open before that is a position, ms."""
        return ceil(self.device.wiring.hold)

    @property
    def settle(self) -> int:
        """Settling time of a line, microseconds."""
        return ceil(self.device.wiring.settle)

    @property
    def report_bytes(self) -> int:
        """Bytes of a report, without the report id."""
        return lay_out_report(self.shape).size

    @property
    def descriptor(self) -> bytes:
        """The report descriptor, with the report id."""
        return write_descriptor(self.shape, REPORT_ID)

    @property
    def pins(self) -> tuple[str, ...]:
        """Every board pin the firmware touches."""
        uses = dict.fromkeys(use.pin for use in pin_uses(self.device))
        on_board = (pin for pin in uses if not bank_place(self.device, pin))
        return (*on_board, *self.held_low)


def convert_range(control: Axis) -> tuple[int, int, int, int]:
    """Readings, of 65535, at the low end, both ends of the rest, and the high end, in rising order.

    An axis without a centre rests nowhere: the middle of its range has the value 0.
    """
    low, high = (round(655.35 * share) for share in control.range)
    low, high = min(low, 65533), max(high, min(low, 65533) + 2)
    centre = sum(control.range) / 2 if control.centre is None else control.centre
    rest = [round(655.35 * (centre + way * control.dead_band)) for way in (-1, 1)]
    rest_low, rest_high = (min(max(one, low + 1), high - 1) for one in rest)
    return low, rest_low, rest_high, high


def usb_strings(device: Device, most_bytes: int | None = None) -> dict[str, str]:
    """Maker, name and serial number as the host shows them: inert, and cut where USB cannot carry
    the whole; empty where the file gives none. A box has at least the name of its device."""
    return {key: fit_string(word, most_bytes) for key, word in _find_strings(device).items()}


def _find_strings(device: Device) -> dict[str, str]:
    usb = device.device.usb
    given = {
        "maker": usb and usb.maker,
        "name": (usb and usb.name) or device.name,
        "serial": usb and usb.serial,
    }
    return {key: escape_controls(word or "") for key, word in given.items()}


def warn_of_strings(device: Device, most_bytes: int | None = None) -> list[str]:
    """Which of these strings USB cannot carry as a whole."""
    return [
        f"USB cannot carry the whole {NAMED[key]}; the host shows its first {len(cut)} letters."
        for key, cut in usb_strings(device, most_bytes).items()
        if cut != _find_strings(device)[key]
    ]


NAMED = {"maker": "name of the maker", "name": "name", "serial": "serial number"}


def plan_firmware(
    device: Device, board: Board | None = None, target: Firmware | None = None
) -> FirmwarePlan:
    """What the firmware of a device needs to know; `board` is its own, where known.

    A board that runs other firmware than `target` is refused.

    Raises:
        CannotBuildError: where the wiring contradicts itself or nothing can be reported.
    """
    facts = DeviceFacts(device)
    shape = shape_report(device.device.report, facts.reported.values())
    problems = _find_contradictions(facts)
    lacking = pins_not_on_board(device, board) if board else ()
    cautions = [f"pin {use.pin} for {use.what} is not in the board's file" for use in lacking]
    if board is not None:
        runs = firmware_of(board)
        if target and runs and runs != target:
            problems.append(f"{board.name} runs the firmware of --for {runs}, not {target}")
        problems += [
            f"pin {use.pin} for {use.what} has no {ability} on this board"
            for use, ability in pins_unable(device, board)
        ]
    cautions += _name_silent(facts, shape)
    plan = FirmwarePlan(facts.model, shape, ())
    rules = plan.rules
    if not problems and not (rules.follows or rules.edges or rules.turns or plan.axes):
        problems.append("no contact has both a wire and an input number")
    size = plan.report_bytes + 1
    if size > LARGEST_PACKET:
        problems.append(
            f"{count(shape.buttons, 'button')} make a report of {size} bytes;"
            f" one USB packet holds {LARGEST_PACKET}"
        )
    settling = len(plan.driven) * device.wiring.settle / 1000
    if settling > LONGEST_SETTLING:
        cautions.append(
            f"settling alone takes {settling:g} ms a scan: quick turns of a rotary are missed"
        )
    if len(shape.axes) > len(plan.axes) + len(plan.dials):
        cautions.append("axes have no pin in the device's file: they stay centred")
    for bank in plan.banks:
        if isinstance(bank.part, Expander):
            cautions.append(BUS_CAUTION.format(bank.name))
        elif isinstance(bank.part, Ladder) and bank.part.steps:
            part = bank.part
            if find_margin(find_windows(part.pull_up, part.steps, part.tolerance)) <= 0:
                cautions.append(f"contacts of the ladder {bank.name} may be taken for each other")
    if shape.hats > sum(
        isinstance(control, Hat) and bool(control.fields) for control in facts.controls.values()
    ):
        cautions.append("hats have no contacts in the device's file: they stay at rest")
    if problems:
        raise CannotBuildError(tuple(problems))
    return FirmwarePlan(facts.model, shape, tuple(cautions))


def _find_contradictions(facts: DeviceFacts) -> list[str]:
    """Pins with two uses, places that do not exist, rotaries of which one channel has no wire."""
    device, model = facts.device, facts.model
    problems = [
        f"pin {uses[0].pin} serves {join_words([use.what for use in uses])}"
        for uses in pins_used_twice(device)
    ]
    problems += [
        f"{contact} sits at crossing {list(place)}, outside the matrix"
        for contact, place in facts.circuit.outside
    ]
    length = device.wiring.chain_bits
    problems += [
        f"{name}.{contact} is bit {bit} of a chain of {length}"
        for name, control in device.controls.items()
        for contact, bit in control.bit_by_contact.items()
        if bit > length
    ]
    for contact, (name, place) in contacts_on_banks(device).items():
        part = device.wiring.banks[name]
        if isinstance(part, Ladder) and not part.steps:
            problems.append(f"the ladder {name} has no resistors for {contact}")
        elif not 1 <= place <= size_of(part):
            problems.append(f"{contact} is place {place} of {name}, which has {size_of(part)}")
    for contact, (name, place) in axes_on_banks(device).items():
        part = device.wiring.banks[name]
        if not isinstance(part, Multiplexer) or not 1 <= place <= size_of(part):
            problems.append(f"{contact.control} cannot be measured at {name}.{place}")
    matrix = device.wiring.leds
    for light in find_lights(device):
        unread = [one for one in light.closed + light.opened if not model.is_wired(one)]
        if light.problem or unread:
            why = light.problem or f"{join_words([*map(str, unread)])} has no wire"
            problems.append(f"the LED of {light.control} follows {light.led.follows}: {why}")
        size = (len(matrix.rows), len(matrix.columns)) if matrix else (0, 0)
        row, column = light.led.crossing or (0, 0)
        if row > size[0] or column > size[1]:
            problems.append(f"the LED of {light.control} sits outside the LED matrix")
    problems += [
        f"the multiplexer {bank.name} has contacts and axes: its pin can either read or measure"
        for bank in banks_of(device)
        if bank.places and bank.measured
    ]
    for name, control in device.controls.items():
        if isinstance(control, Rotary):
            channels = tuple(Contact(name, way) for way in TURNS)
            lacking = [str(channel) for channel in channels if not model.is_wired(channel)]
            if lacking and any(channel in facts.signals for channel in channels):
                words = f"{join_words(lacking)} {'has' if len(lacking) == 1 else 'have'} no wire"
                problems.append(f"a rotary needs both channels: {words}")
    return problems


def _name_silent(facts: DeviceFacts, shape: ReportShape) -> list[str]:
    """Say which contacts are never sent, and why."""
    found = []
    for contact in (Contact(*place) for place in facts.natures):
        number = facts.reported.get(contact)
        if number is None:
            if facts.model.is_wired(contact):
                found.append(f"{contact} is wired but has no input number")
            continue
        if contact not in facts.signals:
            found.append(
                f"{contact} is input {number}, beyond the {count(shape.buttons, 'button')} "
                "the box declares: never sent"
            )
        closed, opened = find_sources(facts.device, contact)
        if isinstance(facts.controls[contact.control], Axis):
            is_lost = not facts.controls[contact.control].pin_by_contact
        else:
            is_lost = not all(map(facts.model.is_wired, closed + opened))
        if is_lost and number > LAST_BUTTON:
            found.append(f"{contact} has no wire: never sent")
        elif is_lost:
            found.append(f"{contact} has an input number but no wire: never sent")
    return found


def list_rules(plan: FirmwarePlan) -> dict[str, list[tuple[str, str]]]:
    """Rows of every table that a core reads, as (Python text, whose they are).

    A way of a hat has a bit of the report of its own while the report is packed.
    """
    rules, hats_at = plan.rules, 8 * lay_out_report(plan.shape).hats_at

    def find_bit(button: int) -> int:
        way = split_hat_input(button + 1)
        return button if way is None else hats_at + 4 * (way[0] - 1) + way[1]

    points, waiting = plan.model.points, plan.model.waiting
    lasts = {when: plan.points + at for at, when in enumerate(waiting)}
    named = [(rule.when, rule.name) for rule in rules.follows]
    named += [(rule.when, rule.name) for rule in rules.edges]
    conditions = [(when, [when] if when.waits else [], name) for when, name in named]
    for light in plan.lights:
        closed, opened = (tuple(points[c] for c in those) for those in (light.closed, light.opened))
        lasting, name = [*plan.model.list_lasting(light)], f"{light.control} {light.led.follows}"
        conditions.append((Condition(closed, opened), lasting, name))
    conditions += [(when, [], "all open") for when in waiting]
    terms = [
        [2 * lasts[one] for one in lasting]
        + [2 * point for point in when.closed]
        + [2 * point + 1 for point in when.opened]
        for when, lasting, _ in conditions
    ]
    begins = accumulate(map(len, terms), initial=0)
    ranges = [f"{begin}, {len(those)}" for begin, those in zip(begins, terms, strict=False)]
    at = len(rules.follows)
    lit = at + len(rules.edges)
    waits = lit + len(plan.lights)
    firsts = accumulate((len(pulser.buttons) for pulser in rules.pulsers), initial=0)
    dials = iter(range(len(rules.pulsers), len(rules.pulsers) + len(plan.dials)))
    return {
        "follows": [
            (f"({find_bit(r.button)}, {where})", r.name)
            for r, where in zip(rules.follows, ranges[:at], strict=True)
        ],
        "edges": [
            (f"({where}, {r.pulser}, {r.slot})", r.name)
            for r, where in zip(rules.edges, ranges[at:lit], strict=True)
        ],
        "lights": [
            (f"({where})", f"{light.control}: {light.led.follows}")
            for light, where in zip(plan.lights, ranges[lit:waits], strict=True)
        ],
        "waiting": [(f"({where})", "") for where in ranges[waits:]],
        "conditions": [
            (str(term), name)
            for (*_, name), those in zip(conditions, terms, strict=True)
            for term in those
        ],
        "rotaries": [
            (f"({r.a}, {r.b}, {r.steps}, {next(dials) if r.axis else r.pulser})", r.name)
            for r in rules.turns
        ],
        "dials": [(f"({place}, {step})", name) for name, place, step in plan.dials],
        "pulsers": [
            (f"({first}, {r.pulse}, {r.gap}, {int(r.cancels)})", r.name)
            for first, r in zip(firsts, rules.pulsers, strict=False)
        ],
        "slots": [(f"0x{button:04X}", r.name) for r in rules.pulsers for button in r.buttons],
        "axes": [
            (f"({', '.join(map(str, (r.place, *r.readings, int(r.reversed))))})", r.name)
            for r in plan.axes
        ],
    }


def list_banks(banks: tuple[Bank, ...]) -> dict[str, list[tuple[str, str]]]:
    """Rows of the tables that tell a core what to read place by place, as in `list_rules`."""
    firsts = accumulate((len(bank.places) for bank in banks), initial=0)
    return {
        "banks": [
            (f"({first}, {len(bank.places)})", bank.name)
            for first, bank in zip(firsts, banks, strict=False)
        ],
        "places": [(str(place), bank.name) for bank in banks for place in bank.places],
    }


def list_levels(ladder: Ladder, most: int) -> tuple[int, ...]:
    """Readings, of 0 to `most`, from which on a ladder reads the next contact, the last none."""
    windows = find_windows(ladder.pull_up, ladder.steps, ladder.tolerance)
    return tuple(ceil(level * most) for level in find_thresholds(windows))


def list_setup(part: Expander) -> tuple[tuple[int, ...], ...]:
    """What is written to a port expander at the start, each a register with its bytes."""
    port = PORTS[part.chip]
    return port.setup + (port.alarm if part.interrupt else ())


def estimate_memory(plan: FirmwarePlan) -> int:
    """Bytes of working memory that `box_core.h` takes for a box on an 8-bit board."""
    points = plan.points + len(plan.model.waiting)
    bits = 3 * count_bytes(points)
    pulsers = len(plan.rules.pulsers) * (QUEUE + 5)
    reports = 2 * plan.report_bytes
    reports += 4 * len(plan.axes) + 2 * len(plan.dials)
    ports = 3 * (len(plan.sensed) + len(plan.own)) + 2 * len(plan.banks)
    bits += 2 * count_bytes(len(plan.lights))
    return bits + 2 * points + pulsers + 3 * len(plan.rules.turns) + reports + ports
