"""Both scanning cores report exactly what the model says.

Ten thousand random press sequences over six boxes go through the C++ core (compiled for
this machine) and through the Python core: bounce, ghosts of matrices without diodes or with
some, encoder noise, toggles and selectors that report edges.
"""

import random
import shutil
from collections.abc import Callable
from pathlib import Path

import pytest

from profiles.facts.box_model import QUEUE
from profiles.firmware import interpreter_files, plan_firmware, sketch_files
from profiles.model import Contact, Device
from tests.firmware.boxes import (
    make_banks_box,
    make_bare_box,
    make_chain_box,
    make_chains_box,
    make_diode_box,
    make_kinds_box,
    make_mixed_box,
)
from tests.firmware.presses import Sequence, Wires, check_reports, list_buttons
from tests.firmware.simulation import InterpreterCore, SketchCore
from tests.needs import skip_unless

BOXES = {
    "bare": make_bare_box,
    "diodes": make_diode_box,
    "mixed": make_mixed_box,
    "chain": make_chain_box,
    "chains": make_chains_box,
    "banks": make_banks_box,
    "kinds": make_kinds_box,
}
SEQUENCES = 1430
"""For each box, so ten thousand in all."""

needs_compiler = skip_unless(shutil.which("g++"), "no C++ compiler")


def build_sketch_core(device: Device, folder: Path) -> SketchCore:
    return SketchCore(sketch_files(device), plan_firmware(device), folder)


@needs_compiler
@pytest.mark.parametrize("make", BOXES.values(), ids=BOXES)
def test_ten_thousand_press_sequences_report_what_the_model_says(
    make: Callable[[], Device], tmp_path: Path
) -> None:
    """Both cores against the model; the reasoning is in `presses`, apart from the cores."""
    device = make()
    wires = Wires(device, plan_firmware(device))
    sketch = build_sketch_core(device, tmp_path)
    interpreter = InterpreterCore(interpreter_files(device))
    problems: list[str] = []
    for seed in range(SEQUENCES):
        sequence = Sequence(wires, random.Random(f"{device.id} {seed}"), steps=4)
        elapsed = [1] * len(sequence.rows)
        for core in (sketch, interpreter):
            changes = core.run(sequence.rows, elapsed, wires.diodes)
            problems += [f"{seed} {line}" for line in check_reports(changes, sequence)]
            assert core.lost == 0

    assert problems[:3] == []


@needs_compiler
@pytest.mark.parametrize("make", BOXES.values(), ids=BOXES)
def test_cores_agree_on_any_noise_at_any_pace(make: Callable[[], Device], tmp_path: Path) -> None:
    """Contacts at random each tick, ticks of uneven length: row by row the same reports."""
    device = make()
    plan = plan_firmware(device)
    wires = Wires(device, plan)
    sketch = build_sketch_core(device, tmp_path)
    interpreter = InterpreterCore(interpreter_files(device))
    rng = random.Random(device.id)
    for _ in range(100):
        density = rng.random()
        rows = [bytes(plan.points)]
        for _ in range(60):
            flips = bytes(rng.random() < density * 0.2 for _ in range(plan.points))
            rows.append(bytes(a ^ b for a, b in zip(rows[-1], flips, strict=True)))
        elapsed = [rng.choice((1, 1, 1, 2, 3, 9)) for _ in rows]

        assert sketch.run(rows, elapsed, wires.diodes) == interpreter.run(
            rows, elapsed, wires.diodes
        )
        assert sketch.lost == interpreter.lost


@pytest.fixture(scope="module")
def diode_cores(tmp_path_factory: pytest.TempPathFactory) -> list[SketchCore | InterpreterCore]:
    device = make_diode_box()
    cores: list[SketchCore | InterpreterCore] = [InterpreterCore(interpreter_files(device))]
    if shutil.which("g++") is not None:
        cores.append(build_sketch_core(device, tmp_path_factory.mktemp("cores")))
    return cores


def run_diode_box(
    core: SketchCore | InterpreterCore, moments: list[tuple[int, set[str]]], elapsed: int = 1
) -> list[tuple[int, list[int]]]:
    """Changes as (row, buttons down); each moment is so many rows with these contacts closed."""
    device = make_diode_box()
    wires = Wires(device, plan_firmware(device))
    rows = []
    for count, names in moments:
        closed = frozenset(Contact(*name.split(".")) for name in names)
        rows += [wires.row(closed)] * count
    changes = core.run(rows, [elapsed] * len(rows), wires.diodes)
    return [(row, list_buttons(report)) for row, report in changes]


def test_a_press_is_reported_after_the_debounce_time(
    diode_cores: list[SketchCore | InterpreterCore],
) -> None:
    """Debounce is 3 ms, from the first reading that differs: rows 5 and 14. `tap` reports its
    `off`, input 19."""
    for core in diode_cores:
        assert run_diode_box(core, [(5, set()), (9, {"key-11.press"}), (9, set())]) == [
            (0, [19]),
            (8, [1, 19]),
            (17, [19]),
        ]


def test_one_reading_alone_changes_nothing_however_long_a_scan_takes(
    diode_cores: list[SketchCore | InterpreterCore],
) -> None:
    """Scans 20 ms apart, debounce 3 ms: the second reading decides."""
    for core in diode_cores:
        moments = [(2, set()), (1, {"key-11.press"}), (2, set()), (2, {"key-11.press"})]
        assert run_diode_box(core, moments, elapsed=20) == [(0, [19]), (6, [1, 19])]


def test_a_pulse_is_over_by_the_clock_however_long_a_scan_takes(
    diode_cores: list[SketchCore | InterpreterCore],
) -> None:
    """Scans 200 ms apart: `gear` on is input 13, its pulse 2 ms long: over at the next scan."""
    for core in diode_cores:
        changes = run_diode_box(core, [(2, {"gear.off"}), (5, {"gear.on"})], elapsed=200)
        assert [row for row, _ in changes] == [0, 3, 4]


def test_a_glitch_shorter_than_the_debounce_time_is_not_reported(
    diode_cores: list[SketchCore | InterpreterCore],
) -> None:
    for core in diode_cores:
        assert run_diode_box(core, [(5, set()), (2, {"key-11.press"}), (9, set())]) == [(0, [19])]


def test_what_is_on_at_power_up_is_on_and_pulses_nothing(
    diode_cores: list[SketchCore | InterpreterCore],
) -> None:
    """Toggle `gear` and selector `mode` report edges, `lever` (input 15) and `tap` states."""
    held = {"gear.on", "mode.position-2", "lever.on", "tap.on"}
    for core in diode_cores:
        assert run_diode_box(core, [(30, held)]) == [(0, [15, 17])]


def test_pulses_play_one_after_the_other(
    diode_cores: list[SketchCore | InterpreterCore],
) -> None:
    """Two detents clockwise at full speed: pulse 2 ms, gap 3 ms. `knob` clockwise is input 7."""
    a, b = "knob.clockwise", "knob.anticlockwise"
    detent: list[tuple[int, set[str]]] = [(1, {a}), (1, {a, b}), (1, {b}), (1, set())]
    for core in diode_cores:
        assert run_diode_box(core, [(5, set()), *detent, *detent, (9, set())]) == [
            (0, [19]),
            (8, [7, 19]),
            (10, [19]),
            (13, [7, 19]),
            (15, [19]),
        ]


def test_pulses_keep_their_order_when_the_knob_turns_back(
    diode_cores: list[SketchCore | InterpreterCore],
) -> None:
    """Three detents one way and two back, faster than they play. Inputs 7 and 8."""
    a, b = "knob.clockwise", "knob.anticlockwise"
    there: list[tuple[int, set[str]]] = [(1, {a}), (1, {a, b}), (1, {b}), (1, set())]
    back: list[tuple[int, set[str]]] = [(1, {b}), (1, {a, b}), (1, {a}), (1, set())]
    for core in diode_cores:
        changes = run_diode_box(core, [(5, set()), *there * 3, *back * 2, (60, set())])

        assert [down[0] for _, down in changes if down != [19]] == [7, 7, 7, 8, 8]


def test_a_detent_begun_and_taken_back_is_no_detent(
    diode_cores: list[SketchCore | InterpreterCore],
) -> None:
    a, b = "knob.clockwise", "knob.anticlockwise"
    half: list[tuple[int, set[str]]] = [(1, {a}), (1, {a, b}), (1, {a}), (1, set())]
    for core in diode_cores:
        assert run_diode_box(core, [(5, set()), *half, (20, set())]) == [(0, [19])]


def test_one_lost_step_is_forgiven(diode_cores: list[SketchCore | InterpreterCore]) -> None:
    """The jump from both open to both closed says no direction; the rest of the detent does."""
    a, b = "knob.clockwise", "knob.anticlockwise"
    quick: list[tuple[int, set[str]]] = [(1, {a, b}), (1, {b}), (1, set())]
    for core in diode_cores:
        changes = run_diode_box(core, [(5, set()), *quick, (20, set())])

        assert [down for _, down in changes] == [[19], [7, 19], [19]]


def test_a_full_queue_loses_pulses_and_counts_them(
    diode_cores: list[SketchCore | InterpreterCore],
) -> None:
    """Where no time passes, one pulse plays for ever and as many wait as the queue holds."""
    a, b = "knob.clockwise", "knob.anticlockwise"
    detent: list[tuple[int, set[str]]] = [(1, {a}), (1, {a, b}), (1, {b}), (1, set())]
    for core in diode_cores:
        changes = run_diode_box(core, [(2, set()), *detent * 40, (400, set())], elapsed=0)

        assert changes == [(0, [19]), (5, [7, 19])]
        assert core.lost == 40 - 1 - QUEUE


def test_a_detent_back_cancels_one_that_waits() -> None:
    """Three detents of two steps there and one back: of two that wait, one is left. Input 19."""
    device = make_kinds_box()
    wires = Wires(device, plan_firmware(device))
    a, b = Contact("tune", "clockwise"), Contact("tune", "anticlockwise")
    cycle = [frozenset[Contact](), frozenset({a}), frozenset({a, b}), frozenset({b})]
    places = [0, 0, 1, 2, 3, 4, 5, 6, 5, 4, *[4] * 60]
    rows = [wires.row(cycle[place % 4]) for place in places]
    core = InterpreterCore(interpreter_files(device))
    changes = core.run(rows, [1] * len(rows), wires.diodes)
    rest = set(list_buttons(changes[0][1]))

    heard = [set(list_buttons(report)) - rest for _, report in changes]

    assert [down for down in heard if down] == [{19}, {19}]


@needs_compiler
@pytest.mark.parametrize("gap", [40, 49])
def test_a_position_made_by_the_board_is_not_told_while_a_hand_passes_a_gap(
    gap: int, tmp_path: Path
) -> None:
    """A toggle put from one end to the other, one that pulses, and a key that goes on from RUN."""
    device = make_kinds_box()
    wiring = device.wiring.model_copy(update={"hold": 50.0, "pulse": 5.0, "gap": 5.0})
    device = device.model_copy(update={"wiring": wiring})
    wires = Wires(device, plan_firmware(device))
    ends = ("flaps.up", "fuel.up", "ignition.position-2")
    others = ("flaps.down", "fuel.down", "ignition.position-3")
    first, last = (frozenset(Contact(*one.split(".")) for one in names) for names in (ends, others))
    through = [first] * 20 + [frozenset()] * gap + [last] * 100
    stays = [first] * 20 + [frozenset()] * 120

    for core in (build_sketch_core(device, tmp_path), InterpreterCore(interpreter_files(device))):
        seen = [
            {
                number
                for _, report in core.run(
                    [wires.row(one) for one in rows], [1] * len(rows), wires.diodes
                )
                for number in list_buttons(report)
            }
            & {1, 2, 3, 9, 10, 11, 13, 14, 15}
            for rows in (through, stays)
        ]
        assert seen == [{1, 3, 11, 14, 15}, {1, 2, 10, 13, 14}]
