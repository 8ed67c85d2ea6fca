"""The matrix as a table of words, what goes wrong in it, and the harness seen from behind."""

from collections.abc import Collection
from typing import NamedTuple

from profiles.drawing import weights
from profiles.drawing.geometry import mirrored
from profiles.drawing.recorder import Drawing, Recorder
from profiles.drawing.style import Lettering
from profiles.model import Device, Link
from profiles.sheets.plate_art import draw_fronts, draw_outline
from profiles.text.prose import count
from profiles.wiring.box import Harness
from profiles.wiring.circuit import Circuit
from profiles.wiring.electrical import describe_hazard, judge_device
from profiles.wiring.hazards import hazards_in
from profiles.wiring.matrix import Crossing


def lay_grid(circuit: Circuit, held: Collection[Crossing]) -> list[list[str]]:
    """The matrix as rows of words, its columns' names first, and each row's name in front.

    `[ ]` marks a contact that is held, `!` one that appears pressed then (ghosting), `?` one whose
    release is masked, `>` a diode.
    """
    signs = {
        one.victim: "!" if one.effect == "false" else "?"
        for one in hazards_in(circuit.matrix, held)
    }
    names = {place: str(who).removesuffix(".press") for who, place in circuit.places.items()}

    def describe(place: Crossing) -> str:
        if place not in names:
            return "·"
        words = f"[{names[place]}]" if place in held else names[place]
        return f"{signs.get(place, '')}{words}{'>' if place in circuit.matrix.diodes else ''}"

    columns = range(1, len(circuit.column_pins) + 1)
    heads = [f"column {n}, pin {pin}" for n, pin in enumerate(circuit.column_pins, 1)]
    return [["", *heads]] + [
        [f"row {row}, pin {pin}", *(describe((row, column)) for column in columns)]
        for row, pin in enumerate(circuit.row_pins, 1)
    ]


def describe_held(circuit: Circuit, held: Collection[Crossing]) -> list[str]:
    """What appears pressed or is masked while these are held, and by which way."""
    if not held:
        return ["Space holds a contact; hold some and see", "which others appear pressed."]
    lines = [f"Held: {' + '.join(circuit.name(place) for place in sorted(held))}"]
    for one in hazards_in(circuit.matrix, held):
        if one.effect == "masked":
            lines.append(f"? {circuit.name(one.victim)}: its release is masked")
        else:
            lines.append(f"! {describe_hazard(circuit, one)}")
    return lines if len(lines) > 1 else [*lines, "No ghosting or masking."]


class Judged(NamedTuple):
    """What the matrix bears, in words, and every failing set of the profiles with its sentence."""

    lines: list[str]
    failing: list[tuple[frozenset[Crossing], str]]


def judge(device: Device, links: Collection[Link]) -> Judged:
    """The verdict on a device's matrix for the profiles that bind it."""
    verdict = judge_device(device, links)
    held = f"any {verdict.safe_any} may be held safely"
    lines = [f"{count(verdict.of, 'contact')} at crossings; {held}."]
    hazards = [*verdict.states.hazards]
    for one in verdict.profiles:
        lines.append(f"{one.profile}: {count(len(one.failures.hazards), 'set')} fail")
        hazards += one.failures.hazards
    failing = {(frozenset(one.path), describe_hazard(verdict.circuit, one)): 0 for one in hazards}
    last = "n goes to the next failing set." if failing else "No needed set fails."
    return Judged([*lines, last], list(failing))


def draw_harness(device: Device, harness: Harness, line: int) -> Drawing:
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
            words = "board" if number == 0 else f"{number} {stop.control or stop.name}"
            board.text(stop.at, words, Lettering(3.0), anchor="middle", rest="middle")
    return board.finish().transformed(mirrored(device.plate.width / 2)).readable()


def describe_run(harness: Harness, line: int) -> list[str]:
    """The pieces of one line: what to cut, from where to where."""
    if not harness.runs:
        return ["No wire."]
    run = harness.runs[line]
    pieces = [one for one in harness.pieces if one.line == run.line.name]
    lines = [f"{run.line.name}, {run.line.colour}, {run.length:.0f} mm as the crow flies"]
    return lines + [f"  {one.cut} mm  {one.start.name} to {one.end.name}" for one in pieces]
