"""Both scanning cores report exactly what the model says.

Ten thousand random press sequences over four boxes go through the C++ core (compiled for
this machine) and through the Python core: bounce, ghosts of matrices without diodes or with
some, encoder noise, toggles and selectors that report edges.
"""

import random
import shutil
from collections.abc import Callable
from pathlib import Path

import pytest

from profiles.firmware import draw_blueprint, interpreter_files, sketch_files
from profiles.model import Device
from tests.firmware.boxes import make_bare_box, make_chain_box, make_diode_box, make_mixed_box
from tests.firmware.presses import Sequence, Wires, check_reports
from tests.firmware.simulation import InterpreterCore, SketchCore

BOXES = {
    "bare": make_bare_box,
    "diodes": make_diode_box,
    "mixed": make_mixed_box,
    "chain": make_chain_box,
}
SEQUENCES = 2500
"""For each box, so ten thousand in all."""

needs_compiler = pytest.mark.skipif(shutil.which("g++") is None, reason="no C++ compiler")


def build_sketch_core(device: Device, folder: Path) -> SketchCore:
    return SketchCore(sketch_files(device), draw_blueprint(device), folder)


@needs_compiler
@pytest.mark.parametrize("make", BOXES.values(), ids=BOXES)
def test_ten_thousand_press_sequences_report_what_the_model_says(
    make: Callable[[], Device], tmp_path: Path
) -> None:
    """Both cores against the model; the reasoning is in `presses`, apart from the cores."""
    device = make()
    wires = Wires(device, draw_blueprint(device))
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
    blueprint = draw_blueprint(device)
    wires = Wires(device, blueprint)
    sketch = build_sketch_core(device, tmp_path)
    interpreter = InterpreterCore(interpreter_files(device))
    rng = random.Random(device.id)
    for _ in range(100):
        density = rng.random()
        rows = [bytes(blueprint.points)]
        for _ in range(60):
            flips = bytes(rng.random() < density * 0.2 for _ in range(blueprint.points))
            rows.append(bytes(a ^ b for a, b in zip(rows[-1], flips, strict=True)))
        elapsed = [rng.choice((1, 1, 1, 2, 3, 9)) for _ in rows]

        assert sketch.run(rows, elapsed, wires.diodes) == interpreter.run(
            rows, elapsed, wires.diodes
        )
        assert sketch.lost == interpreter.lost
