"""What `platebook wiring show` tells of a device, as text and as plain types."""

from collections.abc import Iterable, Mapping, Sequence
from typing import Any, NamedTuple

from profiles.model import Application, Board, Contact, Device
from profiles.model.device import Report as HostReport
from profiles.sheets.text_table import render_table
from profiles.text.inert import escape_controls
from profiles.text.prose import count, join_words
from profiles.wiring.circuit import BoardPin, list_pins, numbering_of, pin_uses
from profiles.wiring.diodes import DiodePlan
from profiles.wiring.electrical import Verdict, describe_hazard
from profiles.wiring.leds import LedPlan, Loads, loads_of
from profiles.wiring.matrix import Crossing
from profiles.wiring.needs import Failures
from profiles.wiring.pace import FrameFit, Pace, meet_frames, pace_of, rotary_paces
from profiles.wiring.pins import best_split, fewest_lines, spare_crossings

MOST_HAZARDS = 10
"""Failing sets listed of each profile in the text; JSON has them all."""


class Report(NamedTuple):
    """Everything known of a device's wiring; `numbers` are its inputs by `control.contact`."""

    device: Device
    board: Board | None
    numbers: Mapping[str, int]
    verdict: Verdict
    loads: Loads
    pace: Pace
    frames: tuple[tuple[Application, tuple[FrameFit, ...]], ...]
    series: str


def make_report(
    device: Device,
    board: Board | None,
    verdict: Verdict,
    applications: Iterable[Application],
    series: str,
) -> Report:
    """Gather what the wiring room says of a device."""
    frames = tuple((one, meet_frames(device, one)) for one in applications)
    numbers = {str(who): number for who, number in numbering_of(device).numbers.items()}
    return Report(
        device,
        board,
        numbers,
        verdict,
        loads_of(device, board, series),
        pace_of(device),
        frames,
        series,
    )


def render_report(report: Report) -> str:
    """The report as sections of plain text."""
    device = report.device
    sections = [
        ("Matrix", _matrix_text(report)),
        ("Pins", _pins_text(report)),
        ("Shift-register chain", _chain_text(report)),
        ("Closed together", _electrical_text(report.verdict)),
        ("Power", _power_text(report.loads, report.series)),
        ("Timing", _timing_text(report)),
    ]
    parts = [f"{escape_controls(device.name)} ({device.id})"]
    parts += [f"{title}\n\n{text}" for title, text in sections if text]
    return "\n\n".join(parts)


def _matrix_text(report: Report) -> str:
    circuit, wiring = report.verdict.circuit, report.device.wiring
    if not wiring.rows or not wiring.columns:
        return "No matrix: every contact has a pin or bit of its own."
    headings = ["", *(f"column {n} ({pin})" for n, pin in enumerate(circuit.column_pins, 1))]
    rows = [
        [f"row {n} ({pin})", *(_cell(report, (n, c)) for c in range(1, len(wiring.columns) + 1))]
        for n, pin in enumerate(circuit.row_pins, 1)
    ]
    lines = [render_table(headings, rows), "", "A number is the input, a * a diode."]
    lines.append(_split_words(report.verdict))
    ring = f"The ring of a diode (cathode) faces the {wiring.driven}, which are driven low."
    outside = [
        f"Outside the matrix: {terminal} at row {row}, column {column}."
        for terminal, (row, column) in circuit.outside
    ]
    return "\n".join([*lines, ring, *outside])


def _cell(report: Report, place: Crossing) -> str:
    circuit, numbers = report.verdict.circuit, report.numbers
    words = [
        f"{name} {numbers[name]}" if name in numbers else name
        for name in map(str, circuit.terminals_at(place))
    ]
    star = " *" if place in circuit.matrix.diodes else ""
    return (" and ".join(words) or "-") + star


def _split_words(verdict: Verdict) -> str:
    matrix = verdict.circuit.matrix
    spare, contacts = spare_crossings(matrix), len(matrix.crossings)
    best = best_split(matrix.rows + matrix.columns, contacts)
    least = fewest_lines(contacts)
    words = f"{count(contacts, 'contact')}, {count(spare, 'spare crossing')}."
    if (matrix.rows * matrix.columns) < best.rows * best.columns:
        words += (
            f" {best.lines} pins split {best.rows} by {best.columns} "
            f"would serve {best.rows * best.columns} crossings."
        )
    if least < matrix.rows + matrix.columns:
        words += f" {least} pins would do for these contacts."
    return words


def _pins_text(report: Report) -> str:
    if report.board is None:
        rows = [(use.pin, _use_words(report, use.what)) for use in pin_uses(report.device)]
        text = render_table(("pin", "used for"), rows) if rows else "No pin is used."
        return f"{text}\n\nThe file names no known board, so its free pins are not known."
    pins = list_pins(report.device, report.board)
    used = [(pin.pin, pin.port, _uses_words(report, pin)) for pin in pins if pin.uses]
    free = [_with_note(pin.pin, pin) for pin in pins if not pin.uses]
    table = render_table(("pin", "chip", "used for"), used) if used else "No pin is used."
    free_words = f"Free: {', '.join(free) or 'none'}."
    return f"{_board_words(report.board)}\n\n{table}\n\n{free_words}"


def _uses_words(report: Report, pin: BoardPin) -> str:
    return _with_note(", ".join(_use_words(report, use) for use in pin.uses), pin)


def _use_words(report: Report, use: str) -> str:
    """What a pin is used for; of a contact the input too."""
    return f"{use}, input {report.numbers[use]}" if use in report.numbers else use


def _with_note(words: str, pin: BoardPin) -> str:
    return f"{words} ({escape_controls(pin.note)})" if pin.note else words


def _chain_text(report: Report) -> str:
    chain = report.device.wiring.chain
    if chain is None:
        return ""
    on_bits: dict[int, list[str]] = {}
    for bit, name in _contacts_on_bits(report.device):
        on_bits.setdefault(bit, []).append(_use_words(report, name))
    rows = [(str(bit), " and ".join(on_bits[bit])) for bit in sorted(on_bits)]
    spare = sum(bit not in on_bits for bit in range(1, chain.length + 1))
    table = render_table(("bit", "contact"), rows) if rows else "No bit is used."
    return f"{table}\n\n{count(chain.length, 'bit')}, {spare} of them spare."


def _contacts_on_bits(device: Device) -> list[tuple[int, str]]:
    return [
        (bit, str(Contact(control_id, contact)))
        for control_id, control in device.controls.items()
        for contact, bit in control.bit_by_contact.items()
    ]


def _board_words(board: Board) -> str:
    """The board's name, what its pins bear, and its pull-ups."""
    pulls = "no pull-ups known"
    least, most = board.board.pull_up_least, board.board.pull_up_most
    if least is not None:
        pulls = f"pull-ups of {least:g}" + (f" to {most:g} kohm" if most else " kohm or more")
    return (
        f"{escape_controls(board.name)}: {board.limits.pin:g} mA a pin, "
        f"{board.limits.board:g} mA in all, "
        f"{pulls} ({escape_controls(board.limits.source)})."
    )


def _electrical_text(verdict: Verdict) -> str:
    if not verdict.of:
        return ""
    if verdict.safe_any == verdict.of:
        lines = [f"All {verdict.of} contacts may be held at once; none reads false."]
    else:
        lines = [
            f"Any {count(verdict.safe_any, 'contact')} may be held, whichever they are; "
            "beyond that some sets read false."
        ]
    who = "toggles, selectors and rotaries as they may stand, with single presses"
    lines += _failure_lines(verdict, who, verdict.states)
    for one in verdict.profiles:
        lines += _failure_lines(verdict, f"profile {one.profile}", one.failures)
    return "\n".join([*lines, _plan_words(verdict)])


def _failure_lines(verdict: Verdict, who: str, failures: Failures) -> list[str]:
    found = failures.hazards
    if not found:
        end = "" if failures.complete else " found before the search was cut short"
        return [f"{who}: no needed set fails{end}."]
    lines = [f"{who}: {count(len(found), 'needed set')} fail:"]
    lines += [f"  {describe_hazard(verdict.circuit, one)}" for one in found[:MOST_HAZARDS]]
    if len(found) > MOST_HAZARDS:
        lines.append(f"  and {len(found) - MOST_HAZARDS} more; --json lists all")
    return lines


def _plan_words(verdict: Verdict) -> str:
    plan = verdict.plan
    if not plan.diodes:
        return "No diode need be added."
    names = join_words([verdict.circuit.name(place) for place in sorted(plan.diodes)])
    bound = "" if plan.exact else f" ({plan.at_least} at least are needed)"
    return f"{count(len(plan.diodes), 'diode')} added would cure all{bound}: {names}."


def _power_text(loads: Loads, series: str) -> str:
    parts = []
    if loads.leds:
        rows = [_led_row(plan) for plan in loads.leds]
        headings = ("led", "pin", "supply", "computed", series, "current", *_LED_LOSSES)
        parts.append(render_table(headings, rows))
    load_rows = [
        (one.name, f"{one.current:.1f} mA", f"{one.limit:g} mA", one.state, one.source)
        for one in loads.loads
    ]
    parts.append(render_table(("load", "current", "limit", "state", "source of limit"), load_rows))
    return "\n\n".join(parts)


_LED_LOSSES = ("in the resistor", "lost in wire")


def _led_row(plan: LedPlan) -> tuple[str, ...]:
    fed = (plan.control, plan.pin or "supply", f"{plan.supply:g} V")
    if plan.resistor is None:
        return (*fed, escape_controls(plan.problem or ""), "", "", "", "")
    one = plan.resistor
    return (
        *fed,
        f"{one.exact:.1f} ohm",
        f"{one.value:g} ohm",
        f"{one.current:.2f} mA",
        f"{one.power:.1f} mW",
        f"{plan.drop * 1000:.1f} mV",
    )


def _timing_text(report: Report) -> str:
    pace, wiring = report.pace, report.device.wiring
    bounce = "outlasts" if pace.covers_bounce else "is shorter than"
    lines = [
        f"A scan takes {pace.period:.3f} ms, and one starts every {pace.interval:.3g} ms.",
        f"{pace.scans} alike in a row make {wiring.debounce:g} ms of debounce, which {bounce} the "
        "longest published bounce of 6.2 ms (J. Ganssle, A Guide to Debouncing).",
        f"A press is reported after {pace.slowest_press:.1f} ms at the latest.",
    ]
    for one in rotary_paces(report.device):
        turn = one.safe
        lines.append(
            f"{one.control}: turn at most {turn.detents_per_second:.1f} detents a second "
            f"({turn.rpm:.0f} turns a minute)."
        )
    for application, fits in report.frames:
        lines += [_frame_words(application, fit) for fit in fits]
    return "\n".join([*lines, *_analogue_words(report.device.device.report)])


def _analogue_words(report: HostReport) -> list[str]:
    """A reminder where the report has what the file cannot wire."""
    parts = [(report.axes, "axis", "axes"), (report.hats, "hat", "hats")]
    words = [f"{many} {one if many == 1 else more}" for many, one, more in parts if many]
    if not words:
        return []
    return [
        f"The report has {join_words(words)}, whose wires a device's file does not hold: "
        "a board program from here leaves them at rest."
    ]


def _frame_words(application: Application, fit: FrameFit) -> str:
    who = f"pulses of {fit.control}" if fit.control else "pulses"
    pulse = fit.pulse
    if pulse.seen and pulse.rest_seen:
        verdict = "none is missed"
    else:
        lacks = [w for w, ok in (("pulse", pulse.seen), ("rest", pulse.rest_seen)) if not ok]
        verdict = f"a {join_words(lacks)} can be missed; make it {pulse.least:.1f} ms or more"
    return (
        f"{escape_controls(application.name)}: a frame is {pulse.frame:.1f} ms; {who}: {verdict}."
    )


def describe_report(report: Report) -> dict[str, Any]:
    """The report as plain types."""
    return {
        "format": 1,
        "device": report.device.id,
        **_plain_matrix(report),
        "board": report.board.id if report.board else None,
        "pins": [
            {"pin": use.pin, "use": use.what, "input": report.numbers.get(use.what)}
            for use in pin_uses(report.device)
        ],
        "free_pins": _free_pins(report),
        "bits": [
            {"bit": bit, "contact": name, "input": report.numbers.get(name)}
            for bit, name in _contacts_on_bits(report.device)
        ],
        **_plain_verdict(report.verdict),
        "leds": [_plain_led(plan) for plan in report.loads.leds],
        "loads": [{**one._asdict(), "state": one.state} for one in report.loads.loads],
        "timing": report.pace._asdict(),
        "rotaries": [
            {"control": one.control, **one.safe._asdict()} for one in rotary_paces(report.device)
        ],
        "frames": [
            {"application": application.id, "control": fit.control, **fit.pulse._asdict()}
            for application, fits in report.frames
            for fit in fits
        ],
    }


def _free_pins(report: Report) -> list[str] | None:
    """Pins of the board that nothing uses; None where the board is not known."""
    if report.board is None:
        return None
    return [pin.pin for pin in list_pins(report.device, report.board) if not pin.uses]


def _plain_matrix(report: Report) -> dict[str, Any]:
    circuit, numbers = report.verdict.circuit, report.numbers
    crossings = [
        {
            "contact": str(terminal),
            "row": place[0],
            "column": place[1],
            "input": numbers.get(str(terminal)),
            "diode": place in circuit.matrix.diodes,
        }
        for terminal, place in circuit.places.items()
    ]
    return {
        "driven": circuit.matrix.driven,
        "crossings": crossings,
        "spare_crossings": spare_crossings(circuit.matrix),
        "fewest_pins": fewest_lines(len(circuit.matrix.crossings)),
    }


def _plain_verdict(verdict: Verdict) -> dict[str, Any]:
    profiles = [
        {
            "profile": one.profile,
            **_plain_failures(verdict, one.failures),
            "diodes": _plain_plan(verdict, one.plan),
        }
        for one in verdict.profiles
    ]
    return {
        "safe_any": verdict.safe_any,
        "contacts": verdict.of,
        "states": _plain_failures(verdict, verdict.states),
        "profiles": profiles,
        "diodes": _plain_plan(verdict, verdict.plan),
    }


def _plain_failures(verdict: Verdict, failures: Failures) -> dict[str, Any]:
    return {
        "complete": failures.complete,
        "fails": [describe_hazard(verdict.circuit, one) for one in failures.hazards],
    }


def _plain_plan(verdict: Verdict, plan: DiodePlan) -> dict[str, Any]:
    names: Sequence[str] = [verdict.circuit.name(place) for place in sorted(plan.diodes)]
    return {"add": list(names), "at_least": plan.at_least}


def _plain_led(plan: LedPlan) -> dict[str, Any]:
    resistor = plan.resistor._asdict() if plan.resistor else None
    return {
        "control": plan.control,
        "pin": plan.pin,
        "supply": plan.supply,
        "resistor": resistor,
        "drop": plan.drop,
        "problem": plan.problem,
    }
