"""The matrix as a table of words, what goes wrong in it, and the harness seen from behind."""

from collections.abc import Collection
from textwrap import wrap
from typing import NamedTuple

from profiles.drawing import weights
from profiles.drawing.geometry import mirrored
from profiles.drawing.recorder import Drawing, Recorder
from profiles.drawing.style import Lettering
from profiles.facts.device import DeviceFacts
from profiles.firmware.plan import CannotBuildError, estimate_memory, plan_firmware
from profiles.firmware.steps import next_steps
from profiles.model import Device, Library, Link
from profiles.sheets.host_report import report_host
from profiles.sheets.plate_art import draw_fronts, draw_outline
from profiles.sheets.wiring_report import report_wiring
from profiles.text.prose import count
from profiles.tui.naming import Names, name_words
from profiles.tui.reports import write_report
from profiles.tui.ways import say_here
from profiles.wiring.boards import board_of, firmware_of
from profiles.wiring.box import Harness
from profiles.wiring.circuit import Circuit
from profiles.wiring.electrical import describe_hazard, judge_device
from profiles.wiring.hazards import hazards_in
from profiles.wiring.matrix import Crossing


def lay_grid(
    circuit: Circuit, held: Collection[Crossing], names: Names
) -> tuple[list[str], list[list[str]]]:
    """The matrix in words: the heads of its columns, and its rows, each with its name in front.

    `[ ]` marks a contact that is held, `!` one that appears pressed then (ghosting), `?` one whose
    release is masked, `>` a diode.
    """
    signs = {
        hazard.victim: "!" if hazard.effect == "false" else "?"
        for hazard in hazards_in(circuit.matrix, held)
    }
    known = {place: names.contact(who) for who, place in circuit.places.items()}

    def describe(place: Crossing) -> str:
        if place not in known:
            return "·"
        words = f"[{known[place]}]" if place in held else known[place]
        return f"{signs.get(place, '')}{words}{'>' if place in circuit.matrix.diodes else ''}"

    columns = range(1, len(circuit.column_pins) + 1)
    heads = [f"column {n}, pin {pin}" for n, pin in enumerate(circuit.column_pins, 1)]
    rows = [
        [f"row {row}, pin {pin}", *(describe((row, column)) for column in columns)]
        for row, pin in enumerate(circuit.row_pins, 1)
    ]
    return ["", *heads], rows


def describe_held(circuit: Circuit, held: Collection[Crossing], names: Names) -> list[str]:
    """What appears pressed or is masked while these are held, and by which way."""
    if not held:
        return ["Space holds a contact; hold some and see which others appear pressed."]
    lines = [f"Held: {' + '.join(circuit.name(place) for place in sorted(held))}"]
    for hazard in hazards_in(circuit.matrix, held):
        if hazard.effect == "masked":
            lines.append(f"? {circuit.name(hazard.victim)}: its release is masked")
        else:
            lines.append(f"! {describe_hazard(circuit, hazard)}")
    lines += [] if len(lines) > 1 else ["No ghosting or masking."]
    return [name_words(line, names) for line in lines]


class Judged(NamedTuple):
    """What the matrix can take, in words; every failing set of the profiles, with its sentence."""

    lines: list[str]
    failing: list[tuple[frozenset[Crossing], str]]


def judge(device: Device, links: Collection[Link], names: Names) -> Judged:
    """The verdict on a device's matrix for the profiles that bind it."""
    verdict = judge_device(device, links)
    is_safe = verdict.safe_any == verdict.of
    held = "all may be held at once" if is_safe else f"any {verdict.safe_any} may be held at once"
    lines = [f"{count(verdict.of, 'contact')} at crossings; {held}."]
    hazards = [*verdict.states.hazards]
    profiles = {link.profile.id: link.profile.name for link in links}
    for judgement in verdict.profiles:
        many = count(len(judgement.failures.hazards), "failing set")
        lines.append(f"{profiles[judgement.profile]}: {many}")
        hazards += judgement.failures.hazards
    failing = dict.fromkeys(
        (frozenset(hazard.path), name_words(describe_hazard(verdict.circuit, hazard), names))
        for hazard in hazards
    )
    none = "No set of contacts that the profiles need fails."
    lines.append("n goes to the next failing set." if failing else none)
    return Judged(lines, list(failing))


def draw_harness(device: Device, harness: Harness, line: int, names: Names) -> Drawing:
    """The plate from behind with one line of the harness, its stops numbered from the board on."""
    board = Recorder()
    draw_outline(board, device.plate)
    draw_fronts(board, device)
    stops = harness.runs[line].order if harness.runs else ()
    if stops:
        with board.layer("wire"):
            board.polyline([stop.at for stop in stops], weights.HOLE)
    with board.layer("legend"):
        for number, stop in enumerate(stops):
            words = (
                f"{number} {name_words(stop.control or stop.name, names)}" if number else "board"
            )
            board.text(stop.at, words, Lettering(3.0), anchor="middle", rest="middle")
    return board.finish().transformed(mirrored(device.plate.width / 2)).readable()


WIDEST = 78
"""Cells of a sentence's line, which a small window has too."""

TABLES = {
    "known": "All that is known of the wiring",
    "host": "What computers and applications call each input",
    "firmware": "What the firmware of the board does",
}
"""The tables of the view, in the order in which a key shows them."""


def write_table(
    library: Library, device: Device, link: Link | None, table: str, names: Names
) -> list[str]:
    """One of `TABLES` as lines."""
    if table == "known":
        return write_report(report_wiring(library, device), names)
    board = board_of(library, device)
    if table == "host":
        applications = [link.application] if link and link.application else []
        return write_report(report_host(DeviceFacts(device, board), applications), names)
    try:
        plan = plan_firmware(device, board)
    except CannotBuildError as error:
        return [
            "No firmware can be written:",
            *(f"  {name_words(problem, names)}" for problem in error.problems),
        ]
    runs = firmware_of(board)
    lines = [
        f"Board: {board.name if board else 'not known'}",
        f"Reads: {count(plan.points, 'point')}, {count(len(plan.pins), 'pin')} of the board",
        f"Debounce: {plan.debounce} ms; settling of a line: {plan.settle} µs",
        f"Report: {count(plan.report_bytes, 'byte')}; "
        f"memory: about {count(estimate_memory(plan), 'byte')}",
        *(f"Note: {name_words(caution, names)}" for caution in plan.cautions),
        "",
        "Firmware under Find (:) writes its files. Then:",
    ]
    for step in next_steps(device, runs or "avr"):
        lines += wrap(say_here(step), WIDEST, initial_indent="  ", subsequent_indent="    ")
    return lines


def describe_run(harness: Harness, line: int, names: Names) -> list[str]:
    """The pieces of one line: what to cut, from where to where."""
    if not harness.runs:
        return ["No wire."]
    run = harness.runs[line]
    name = name_words(run.line.name, names)
    return [
        f"{name[0].upper()}{name[1:]}, {run.line.colour}, {run.length:.0f} mm in straight lines:",
        *(
            f"  {piece.cut} mm  {name_words(f'{piece.start.name} to {piece.end.name}', names)}"
            for piece in harness.pieces
            if piece.line == run.line.name
        ),
    ]
