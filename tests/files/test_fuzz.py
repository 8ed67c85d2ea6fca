"""Files torn to pieces give findings, never a traceback.

The example files and the packaged boards are changed at random, as bytes and as content, with a
fixed seed: 7,000 cases in all. Each is written into a library and loaded; what comes back is a
value or findings that are fit to print, with places that exist.
"""

from pathlib import Path
from random import Random

import pytest

from profiles.checks.codes import FAMILIES
from profiles.files.documents import FORMATS
from profiles.files.library import load_library
from profiles.model import Board, Device, Library
from profiles.text.inert import escape_controls
from profiles.wiring.boards import PACKAGED
from profiles.wiring.circuit import list_pins
from profiles.wiring.leds import loads_of
from tests.checks.build import device
from tests.fuzz.tear import make_case

EXAMPLES = Path(__file__).parents[2] / "example_profiles"
SEEDS = sorted(
    path
    for path in EXAMPLES.rglob("*.*")
    if path.suffix in FORMATS and path.parts[-2] != "broken" and path.stat().st_size < 40_000
)
BOARDS = sorted(PACKAGED.glob("*.toml"))
BOARD_CASES = 2_000
CODES = set(FAMILIES["files"])
CASES, BATCHES = 5_000, 20


@pytest.mark.parametrize("batch", range(BATCHES))
def test_torn_files_give_findings_and_never_a_traceback(batch: int, tmp_path: Path) -> None:
    random = Random(batch)
    _load_cases([make_case(random, SEEDS) for _ in range(CASES // BATCHES)], tmp_path)


@pytest.mark.parametrize("batch", range(BATCHES))
def test_torn_boards_give_findings_or_boards_fit_for_use(batch: int, tmp_path: Path) -> None:
    random = Random(batch)
    for number in range(BOARD_CASES // BATCHES):
        folder = tmp_path / str(number)
        folder.mkdir()
        for board in _load_cases([make_case(random, BOARDS, "board")], folder).boards.values():
            box = _box_on(board)
            assert {row.pin for row in list_pins(box, board)} == {*board.pins, "A0", "2"}
            assert all(load.limit > 0 for load in loads_of(box, board).loads)


def _box_on(board: Board) -> Device:
    return device(
        f'''
        [wiring]
        board = "{board.id}"
        [controls.horn]
        pin = "A0"
        led = {{ forward_voltage = 2.0, current = 8.0, pin = "2" }}
        '''
    )


def _load_cases(cases: list[tuple[str, bytes]], tmp_path: Path) -> Library:
    """The library of these files, of which each is read, noted or told of."""
    for number, (suffix, data) in enumerate(cases):
        (tmp_path / f"{number:03}{suffix}").write_bytes(data)
    loaded = load_library(tmp_path)
    for finding in loaded.problems:
        assert finding.code in CODES
        assert escape_controls(finding.message + finding.remedy) == finding.message + finding.remedy
        assert finding.place is not None
        excerpt = loaded.excerpt(finding.place)
        if finding.place.line is not None and finding.place.column is not None:
            assert excerpt is not None
            assert 1 <= finding.place.column <= len(excerpt) + 1
    read = {Path(name) for name in loaded.paths}
    assert len(read) == len(cases)
    told = {Path(one.place.file) for one in loaded.problems if one.place}
    noted = {Path(note.partition(": ")[0]) for note in loaded.notes}
    sound = {source.path for source in loaded.sources.values()}
    assert read == told | noted | sound, "each file is read, noted or told of"
    return loaded.library
