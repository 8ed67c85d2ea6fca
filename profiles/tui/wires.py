"""The matrix as a table of words, what goes wrong in it, and the harness seen from behind."""

from collections.abc import Collection, Mapping
from dataclasses import dataclass

from profiles.drawing import weights
from profiles.drawing.geometry import mirrored
from profiles.drawing.recorder import Drawing, Recorder
from profiles.drawing.style import Lettering
from profiles.model import Contact, Device, Link
from profiles.sheets.plate_art import draw_fronts, draw_outline
from profiles.text.prose import count
from profiles.wiring.box import Harness
from profiles.wiring.circuit import Circuit
from profiles.wiring.electrical import describe_hazard, judge_device
from profiles.wiring.hazards import Hazard, hazards_in
from profiles.wiring.matrix import Crossing


@dataclass(frozen=True, slots=True)
class Grid:
    """The matrix: names of rows and columns with their pins, and a cell for each crossing."""

    rows: tuple[str, ...]
    columns: tuple[str, ...]
    cells: tuple[tuple[str, ...], ...]


def lay_grid(circuit: Circuit, held: Collection[Crossing]) -> Grid:
    """The matrix with the contacts that are held, and those that read false then.

    `held` is told by `[ ]`, a false reading by `!`, a hidden one by `?`, a diode by `>`.
    """
    effects = {one.victim: one.effect for one in hazards_in(circuit.matrix, held)}
    at = {place: terminal for terminal, place in circuit.places.items()}
    cells = tuple(
        tuple(
            _cell(circuit, at.get((r, c)), (r, c), held, effects)
            for c in range(1, len(circuit.column_pins) + 1)
        )
        for r in range(1, len(circuit.row_pins) + 1)
    )
    return Grid(
        tuple(f"row {n}, pin {pin}" for n, pin in enumerate(circuit.row_pins, 1)),
        tuple(f"column {n}, pin {pin}" for n, pin in enumerate(circuit.column_pins, 1)),
        cells,
    )


def _cell(
    circuit: Circuit,
    terminal: Contact | None,
    place: Crossing,
    held: Collection[Crossing],
    effects: Mapping[Crossing, str],
) -> str:
    if terminal is None:
        return "·"
    name = str(terminal).removesuffix(".press")
    words = f"[{name}]" if place in held else name
    sign = {"false": "!", "masked": "?"}.get(effects.get(place, ""), "")
    return f"{sign}{words}{'>' if place in circuit.matrix.diodes else ''}"


def describe_held(circuit: Circuit, held: Collection[Crossing]) -> list[str]:
    """What reads false or is hidden while these are held, and by which way."""
    if not held:
        return ["Space holds a contact; hold some and see", "which others read false."]
    found = hazards_in(circuit.matrix, held)
    names = " + ".join(circuit.name(place) for place in sorted(held))
    if not found:
        return [f"Held: {names}", "All reads true."]
    return [f"Held: {names}", *[_tell(circuit, one) for one in found]]


def _tell(circuit: Circuit, hazard: Hazard) -> str:
    if hazard.effect == "masked":
        return f"? {circuit.name(hazard.victim)}: its release is not seen"
    return f"! {describe_hazard(circuit, hazard)}"


@dataclass(frozen=True, slots=True)
class Failing:
    """A set of contacts that fails, and the sentence that says how."""

    held: frozenset[Crossing]
    sentence: str


@dataclass(frozen=True, slots=True)
class Judged:
    """What the matrix stands, in words, and every failing set of the profiles."""

    lines: tuple[str, ...]
    failing: tuple[Failing, ...]


def judge(device: Device, links: Collection[Link]) -> Judged:
    """The verdict on a device's matrix for the profiles that bind it."""
    verdict = judge_device(device, links)
    circuit = verdict.circuit
    lines = [
        f"{count(verdict.of, 'contact')} at crossings; any {verdict.safe_any} may be held safely.",
    ]
    failing: dict[Failing, None] = {}
    for one in verdict.states.hazards:
        failing[Failing(frozenset(one.path), describe_hazard(circuit, one))] = None
    for judgement in verdict.profiles:
        lines.append(f"{judgement.profile}: {count(len(judgement.failures.hazards), 'set')} fail")
        for one in judgement.failures.hazards:
            failing[Failing(frozenset(one.path), describe_hazard(circuit, one))] = None
    lines.append(
        "n goes to the next failing set." if failing else "Every set that is needed reads true."
    )
    return Judged(tuple(lines), tuple(failing))


def draw_harness(device: Device, harness: Harness, line: int) -> Drawing:
    """The plate from behind with one line of the harness, its stops numbered from the board on."""
    board = Recorder()
    draw_outline(board, device.plate)
    draw_fronts(board, device)
    if not 0 <= line < len(harness.runs):
        return _from_behind(board.finish(), device)
    run = harness.runs[line]
    with board.layer("wire"):
        board.polyline([stop.at for stop in run.order], weights.HOLE)
    with board.layer("legend"):
        for number, stop in enumerate(run.order):
            words = "board" if number == 0 else f"{number} {stop.control or stop.name}"
            board.text(stop.at, words, Lettering(3.0), anchor="middle", rest="middle")
    return _from_behind(board.finish(), device)


def _from_behind(drawing: Drawing, device: Device) -> Drawing:
    return drawing.transformed(mirrored(device.plate.width / 2)).readable()


def describe_run(harness: Harness, line: int) -> list[str]:
    """The pieces of one line: what to cut, from where to where."""
    if not 0 <= line < len(harness.runs):
        return ["No wire."]
    run = harness.runs[line]
    pieces = [one for one in harness.pieces if one.line == run.line.name]
    lines = [f"{run.line.name}, {run.line.colour}, {run.length:.0f} mm as the crow flies"]
    return lines + [f"  {one.cut} mm  {one.start.name} to {one.end.name}" for one in pieces]
