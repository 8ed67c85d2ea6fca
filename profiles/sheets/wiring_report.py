"""What is known of a device's wiring, as one report: matrix, pins, ghosting, power and timing."""

from collections.abc import Iterable, Iterator, Sequence
from typing import Any, Literal

from profiles.facts.device import DeviceFacts
from profiles.facts.lights import ALWAYS
from profiles.facts.pace import meet_frames, pace_of
from profiles.model import Application, Board, Contact, Device, Library
from profiles.report.document import Block, Cell, Column, Facts, Heading, Paragraph, Report, Table
from profiles.sheets.bank_lists import bank_blocks
from profiles.sheets.waits import list_waits, turning_blocks
from profiles.text.prose import count, join_words
from profiles.wiring.banks import bank_place
from profiles.wiring.boards import board_of, firmware_of
from profiles.wiring.circuit import Circuit, list_pins, pin_uses, profiles_changed
from profiles.wiring.diodes import DiodePlan
from profiles.wiring.electrical import Verdict, describe_hazard, judge_device
from profiles.wiring.leds import Loads, loads_of
from profiles.wiring.needs import Failures
from profiles.wiring.pins import best_split, fewest_lines, spare_crossings
from profiles.wiring.power import EDITOR_ASKS, asked_current
from profiles.wiring.renumber import Renumbering

MOST_HAZARDS = 10
"""Combinations listed of each profile for people; JSON has them all."""


def report_wiring(library: Library, device: Device, series: str = "E24") -> Report:
    """Report everything known of a device's wiring; resistors are of an IEC 60063 series."""
    links = library.profiles_of(device.id)
    verdict, board = judge_device(device, links), board_of(library, device)
    applications = {link.application.id: link.application for link in links if link.application}
    numbers = {str(who): number for who, number in DeviceFacts(device).inputs.items()}
    return Report(
        f"{device.name} ({device.id})",
        (
            Facts({"device": device.id}),
            Heading("Matrix"),
            *_matrix_blocks(device, verdict.circuit, numbers),
            Heading("Pins"),
            *_pin_blocks(device, board, numbers),
            *_chain_blocks(device, numbers),
            *bank_blocks(device, numbers),
            *_electrical_blocks(verdict),
            Heading("Power"),
            *power_tables(loads_of(device, board, series), series),
            *_request_blocks(device, board),
            Heading("Timing"),
            *_timing_blocks(DeviceFacts(device, board), applications.values()),
        ),
    )


def _matrix_blocks(device: Device, circuit: Circuit, numbers: dict[str, int]) -> Iterator[Block]:
    matrix, wiring = circuit.matrix, device.wiring
    contacts, spare = len(matrix.crossings), spare_crossings(matrix)
    least = fewest_lines(contacts)
    crossings = [
        {
            "contact": str(who),
            "row": row,
            "column": column,
            "input": numbers.get(str(who)),
            "diode": (row, column) in matrix.diodes,
        }
        for who, (row, column) in circuit.places.items()
    ]
    yield Facts(
        {
            "driven": matrix.driven,
            "crossings": crossings,
            "spare_crossings": spare,
            "fewest_pins": least,
        }
    )
    if not wiring.rows or not wiring.columns:
        yield Paragraph("No matrix: every contact has a pin or bit of its own.")
        return
    cells: dict[tuple[int, int], list[str]] = {}
    for name, place in circuit.places.items():
        number = numbers.get(str(name))
        cells.setdefault(place, []).append(f"{name} {number}" if number else str(name))
    heads = [f"column {n} ({pin})" for n, pin in enumerate(circuit.column_pins, 1)]
    rows = []
    for row, pin in enumerate(circuit.row_pins, 1):
        line = [f"row {row} ({pin})"]
        for column in range(1, len(heads) + 1):
            star = "*" if (row, column) in matrix.diodes else ""
            line.append((" and ".join(cells.get((row, column), [])) or "-") + star)
        rows.append(tuple(line))
    yield Table((Column(""), *(Column(head, wraps=True, least=24) for head in heads)), tuple(rows))

    words = f"{count(contacts, 'contact')}, {count(spare, 'spare crossing')}."
    best = best_split(matrix.rows + matrix.columns, contacts)
    if matrix.rows * matrix.columns < best.rows * best.columns:
        words += (
            f" {best.lines} pins split {best.rows} by {best.columns} "
            f"would serve {best.rows * best.columns} crossings."
        )
    if least < matrix.rows + matrix.columns:
        words += f" {least} pins would do for these contacts."
    lines = ["A number is the input, a * a diode.", words]
    if matrix.diodes:
        lines.append(
            f"The band (cathode) of each diode faces the {wiring.driven}, which are driven low."
        )
    lines += [
        f"Outside the matrix: {name} at row {row}, column {column}."
        for name, (row, column) in circuit.outside
    ]
    yield Paragraph("\n".join(lines))


def _pin_blocks(device: Device, board: Board | None, numbers: dict[str, int]) -> Iterator[Block]:
    pins = pin_table(device, board, numbers, free=False)._replace(title="")
    if board is None:
        yield Facts({"board": None, "free_pins": None})
    else:
        pulls, least, most = (
            "no pull-ups known",
            board.board.pull_up_least,
            board.board.pull_up_most,
        )
        if least is not None:
            pulls = f"pull-ups of {least:g}" + (f" to {most:g} kohm" if most else " kohm or more")
        yield Paragraph(
            f"{board.name}: {board.limits.pin:g} mA per pin, {board.limits.board:g} mA in all, "
            f"{pulls} ({board.limits.source})."
        )
    yield pins
    if not pins.rows:
        yield Paragraph("No pin is used.")
    if board is None:
        yield Paragraph("The file names no known board, so its free pins are not known.")
        return
    free = [pin for pin in list_pins(device, board) if not pin.uses]
    yield Facts({"board": board.id, "free_pins": [pin.pin for pin in free]})
    named = ", ".join(f"{pin.pin} ({pin.note})" if pin.note else pin.pin for pin in free)
    yield Paragraph(f"Free: {named or 'none'}.")


def pin_table(
    device: Device, board: Board | None, numbers: dict[str, int], *, free: bool = True
) -> Table:
    """Every pin with its uses, in the board's order; of a contact the input too."""

    def name_uses(uses: Sequence[str], note: str) -> Cell:
        named = [f"{use}, input {numbers[use]}" if use in numbers else use for use in uses]
        words = ", ".join(named) or "free"
        data = [{"use": use, "input": numbers.get(use)} for use in uses]
        return Cell(f"{words} ({note})" if note else words, data=data)

    used_for = Column("used for", "uses", wraps=True)
    if board is not None:
        columns = (Column("pin", "pin"), Column("chip", "chip"), used_for)
        on_board = tuple(
            (pin.pin, pin.port, name_uses(pin.uses, pin.note))
            for pin in list_pins(device, board)
            if free or pin.uses
        )
        return Table(columns, on_board, "Board pins", key="pins")
    by_pin: dict[str, list[str]] = {}
    for use in pin_uses(device):
        if not bank_place(device, use.pin):
            by_pin.setdefault(use.pin, []).append(use.what)
    rows = tuple((pin, name_uses(uses, "")) for pin, uses in by_pin.items())
    return Table((Column("pin", "pin"), used_for), rows, "Board pins", key="pins")


def _chain_blocks(device: Device, numbers: dict[str, int]) -> Iterator[Block]:
    on_bits: dict[int, list[str]] = {}
    for control_id, control in device.controls.items():
        for contact, bit in control.bit_by_contact.items():
            on_bits.setdefault(bit, []).append(str(Contact(control_id, contact)))
    rows = []
    for bit in sorted(on_bits):
        words = [
            f"{name}, input {numbers[name]}" if name in numbers else name for name in on_bits[bit]
        ]
        data = [{"contact": name, "input": numbers.get(name)} for name in on_bits[bit]]
        rows.append((bit, Cell(" and ".join(words), data=data)))
    columns = (Column("bit", "bit"), Column("contact", "contacts", wraps=True))
    chains = device.wiring.all_chains
    if chains:
        yield Heading("Shift-register chain" + ("s" if len(chains) > 1 else ""))
    yield Table(columns, tuple(rows), key="bits")
    first = 1
    for number, chain in enumerate(chains, 1):
        after = first + chain.length
        spare = sum(bit not in on_bits for bit in range(first, after))
        whose = f"Register {number}, bits {first} to {after - 1}: " if len(chains) > 1 else ""
        high = " A closed contact is high: contacts switch to the supply." * (
            chain.active == "high"
        )
        yield Paragraph(f"{whose}{count(chain.length, 'bit')}, {spare} of them spare.{high}")
        first = after


def _electrical_blocks(verdict: Verdict) -> Iterator[Block]:
    def list_failures(failures: Failures) -> dict[str, Any]:
        fails = [describe_hazard(verdict.circuit, hazard) for hazard in failures.hazards]
        return {"complete": failures.complete, "fails": fails}

    def list_diodes(plan: DiodePlan) -> dict[str, Any]:
        names = [verdict.circuit.name(place) for place in sorted(plan.diodes)]
        return {"add": names, "at_least": plan.at_least}

    states, diodes = list_failures(verdict.states), list_diodes(verdict.plan)
    profiles = [
        {
            "profile": profile.profile,
            **list_failures(profile.failures),
            "diodes": list_diodes(profile.plan),
        }
        for profile in verdict.profiles
    ]
    yield Facts(
        {
            "safe_any": verdict.safe_any,
            "contacts": verdict.of,
            "states": states,
            "profiles": profiles,
            "diodes": diodes,
        }
    )
    if not verdict.of:
        return
    if verdict.safe_any == verdict.of:
        lines = [
            f"All {verdict.of} contacts may be pressed at the same time: no ghosting, no masking."
        ]
    else:
        lines = [
            f"Any {count(verdict.safe_any, 'contact')} may be pressed at the same time; "
            "beyond that some combinations show ghosting or masking."
        ]
    alone = "Toggles, selectors and rotaries in any position, with single presses"
    for who, found in (
        (alone, states),
        *((f"Profile {profile['profile']}", profile) for profile in profiles),
    ):
        fails = found["fails"]
        if fails:
            lines.append(f"{who}: {count(len(fails), 'combination')} fail:")
            lines += [f"  {words}" for words in fails[:MOST_HAZARDS]]
            if len(fails) > MOST_HAZARDS:
                lines.append(f"  and {len(fails) - MOST_HAZARDS} more; --json lists all")
        else:
            end = "" if found["complete"] else " (the search was cut short)"
            lines.append(f"{who}: no combination fails{end}.")
    if diodes["add"]:
        bound = "" if verdict.plan.exact else f" ({diodes['at_least']} or more are needed)"
        lines.append(
            f"Adding {count(len(diodes['add']), 'diode')} would cure all{bound}: "
            f"{join_words(diodes['add'])}."
        )
    else:
        lines.append("No more diodes are needed.")
    yield Heading("Pressed at the same time")
    yield Paragraph("\n".join(lines))


def power_tables(loads: Loads, series: str = "E24") -> Iterator[Table]:
    """The LEDs with their resistors, where there are any, and every load against its limit."""
    rows = []
    for plan in loads.leds:
        fitted = plan.resistor
        values = (
            (fitted.exact, fitted.value, fitted.current, fitted.power) if fitted else [None] * 4
        )
        lost = plan.drop * 1000 if fitted else None
        pin = plan.pin or Cell(plan.through or "supply", data=None)
        drop = (lost, plan.drop, plan.problem)
        rows.append((plan.control, pin, plan.follows, plan.supply, *values, *drop))
    follows: Literal["all", "machines"] = (
        "all" if any(plan.follows != ALWAYS for plan in loads.leds) else "machines"
    )
    has_problem = any(plan.problem for plan in loads.leds)
    columns = (
        Column("LED", "control"),
        Column("pin", "pin"),
        Column("follows", "follows", wraps=True, readers=follows),
        Column("supply", "supply", unit="V", align="right"),
        Column("computed", "resistor.exact", unit="ohm", digits=1, align="right"),
        Column(series, "resistor.value", unit="ohm", align="right"),
        Column("current", "resistor.current", unit="mA", digits=2, align="right"),
        Column("in the resistor", "resistor.power", unit="mW", digits=1, align="right"),
        Column("lost in wire", unit="mV", digits=1, align="right", readers="people"),
        Column("drop", "drop", readers="machines"),
        Column("problem", "problem", wraps=True, readers="all" if has_problem else "machines"),
    )
    yield Table(columns, tuple(rows), "LEDs: each has a series resistor of its own", key="leds")
    yield Table(
        (
            Column("load", "name", wraps=True),
            Column("current", "current", unit="mA", digits=1, align="right"),
            Column("limit", "limit", unit="mA", align="right"),
            Column("state", "state"),
            Column("source of limit", "source", wraps=True),
        ),
        tuple(
            (load.name, load.current, load.limit, load.state, load.source) for load in loads.loads
        ),
        "Loads",
        key="loads",
    )


def _request_blocks(device: Device, board: Board | None) -> Iterator[Block]:
    firmware = firmware_of(board)
    asked = asked_current(device.wiring.usb_current, firmware)
    words = f"The box asks the USB port for {asked} mA"
    if firmware == "python":
        words += ", as the interpreter was built to."
    elif firmware == "avr" and asked != EDITOR_ASKS:
        words += (
            f"; built in the editor of the board's maker, without the setting that `platebook "
            f"firmware` names, it asks for {EDITOR_ASKS} mA."
        )
    else:
        words += "."
    yield Facts({"asked": asked})
    yield Paragraph(words)


def _timing_blocks(facts: DeviceFacts, applications: Iterable[Application]) -> Iterator[Block]:
    pace, wiring, declared = pace_of(facts), facts.device.wiring, facts.device.device.report
    bounce = "is longer than" if pace.covers_bounce else "is shorter than"
    runs = {"avr": "the sketch", "python": "the Python interpreter"}[pace.firmware]
    lines = [
        f"With {runs} a scan takes {pace.period:.2f} ms, and one starts every "
        f"{pace.interval:.3g} ms; while a contact differs it takes {pace.busy:.2f} ms. These times "
        f"were {pace.source}.",
        f"{count(pace.scans, 'identical scan')} in a row make {wiring.debounce:g} ms of debounce, "
        f"which {bounce} the longest published bounce of 6.2 ms "
        "(A Guide to Debouncing).",
        *list_waits(facts),
    ]
    analogue = [
        count(many, noun, plural)
        for many, noun, plural in ((declared.axes, "axis", "axes"), (declared.hats, "hat", "hats"))
        if many
    ]
    if analogue:
        lines.append(
            f"The report has {join_words(analogue)}, whose wires a device's file does not hold: "
            "the firmware leaves them at rest."
        )
    yield Facts({"timing": pace._asdict()})
    yield Paragraph("\n".join(lines))
    yield from turning_blocks(facts)
    frames = []
    for application in applications:
        for control, pulse, _scans in meet_frames(facts, application):
            lacks = [
                words
                for words, is_seen in (("pulse", pulse.seen), ("rest", pulse.rest_seen))
                if not is_seen
            ]
            words = "no pulse is missed"
            if lacks:
                words = f"a {join_words(lacks)} can be missed: make it {pulse.least:.1f} ms or more"
            who = Cell(application.name, data=application.id)
            frames.append((who, Cell(control or "all", data=control), *pulse, words))
    yield Table(
        (
            Column("application", "application", wraps=True),
            Column("pulses of", "control"),
            Column("frame", "frame", unit="ms", digits=1, align="right"),
            Column("seen", "seen", readers="machines"),
            Column("rest_seen", "rest_seen", readers="machines"),
            Column("least", "least", readers="machines"),
            Column("verdict", wraps=True),
        ),
        tuple(frames),
        "Pulses and frames",
        key="frames",
    )


def report_renumbering(library: Library, device: Device, plan: Renumbering) -> Report:
    """Report what numbering a device's matrix another way changes, and where that matters."""
    changes = tuple(
        (str(contact), old or Cell("-", data=None), new or Cell("-", data=None))
        for contact, old, new in plan.changes
    )
    profiles = dict(profiles_changed(library, device, [contact for contact, _, _ in plan.changes]))
    clashes = {number: [str(one) for one in contacts] for number, contacts in plan.clashes}
    lines = [] if changes else ["No input number changes."]
    for profile, keys in profiles.items():
        named = ", ".join(f"`{key}`" for key in keys)
        lines.append(f"profile {profile} changes meaning in its application: {named}")
    for number, names in clashes.items():
        lines.append(f"input {number} would be shared by {' and '.join(names)}")
    shared = [{"input": number, "contacts": names} for number, names in clashes.items()]
    columns = (Column("contact", "contact"), Column("now", "now"), Column("then", "then"))
    return Report(
        "",
        (
            Facts({"device": device.id, "profiles": profiles, "clashes": shared}),
            Table(columns, changes, key="changes"),
            *(Paragraph(line) for line in lines),
        ),
    )
