"""A maker's own board file, kept in the library, is used and judged like any other file."""

from pathlib import Path

from profiles.api import check, load
from profiles.wiring.boards import PACKAGED
from tests.conftest import edit

OWN = PACKAGED / "atmega32u4.toml"


def add_board(library: Path, text: str) -> Path:
    path = library / "boards" / "mine.toml"
    path.parent.mkdir()
    path.write_text(text, encoding="utf-8")
    edit(library / "desk.toml", "[controls.horn]", '[wiring]\nboard = "mine"\n\n[controls.horn]')
    return path


def test_a_board_of_the_library_is_known_to_the_checks(library: Path) -> None:
    add_board(library, OWN.read_text(encoding="utf-8").replace('"atmega32u4"', '"mine"', 1))
    loaded = load(library)
    assert (list(loaded.library.boards), loaded.problems, loaded.notes) == (["mine"], (), ())
    assert "board-unknown" not in {one.code for one in check(loaded).findings}


def test_a_board_that_is_not_there_is_a_finding(library: Path) -> None:
    edit(library / "desk.toml", "[controls.horn]", '[wiring]\nboard = "mine"\n\n[controls.horn]')
    assert "board-unknown" in {one.code for one in check(load(library)).findings}


def test_all_that_is_wrong_with_a_board_file_is_told(library: Path) -> None:
    path = add_board(library, 'format = 1\n[board]\nid = "mine"\n')
    checked = check(load(library))
    assert not checked.usable
    told = [one for one in checked.findings if one.place and one.place.file == path.as_posix()]
    assert {one.message for one in told} >= {"`board` has no `name`", "`board` has no `supply`"}
    assert {one.place.line for one in told if one.place} == {None, 2}
