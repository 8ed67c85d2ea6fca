"""Board files: ours against the data sheets, users' own, and files that cannot be used."""

from pathlib import Path

import pytest

from profiles.wiring.boards import Board, BoardFileError, find_board, load_board, own_boards

SMALL = """
format = 1
[board]
id = "small"
name = "Small board"
supply = 5.0
[limits]
pin = 20.0
board = 100.0
source = "its sheet"
[groups]
left = { limit = 60.0, pins = ["1"] }
[pins]
1 = "P1"
2 = "P2"
"""


def test_the_avr_board_has_the_limits_of_its_data_sheet() -> None:
    """ATmega16U4/32U4 data sheet 7766F, p. 379: 100 mA a group, 40 mA a pin, 200 mA in all."""
    board = own_boards()["atmega32u4"]
    assert (board.pin_limit, board.pin_absolute, board.board_limit) == (20.0, 40.0, 200.0)
    assert {group.limit for group in board.groups} == {100.0}
    assert (board.pull_up_least, board.pull_up_most) == (20.0, 50.0)
    assert board.has_pull_ups


def test_the_avr_boards_groups_are_those_of_its_ports() -> None:
    """Same page: {C4-7}, {C0-3, D0-7}, {B0-7, E0-7} and {F0-7} of the ports that the chip has."""
    board = own_boards()["atmega32u4"]
    letters = {group.name: {board.ports[pin][:2] for pin in group.pins} for group in board.groups}
    assert letters == {
        "port-c": {"PC"},
        "port-d": {"PD"},
        "ports-b-e": {"PB", "PE"},
        "port-f": {"PF"},
    }
    grouped = sorted(pin for group in board.groups for pin in group.pins)
    assert grouped == sorted(board.pins)
    assert len(set(board.ports.values())) == len(board.pins) == 23


def test_the_interpreter_board_has_the_limits_of_its_data_sheet() -> None:
    """RP2040 data sheet, digital IO: 12 mA drive, 50 mA in all, pull-ups 50 to 80 kilohm."""
    board = own_boards()["rp2040"]
    assert (board.pin_limit, board.board_limit) == (12.0, 50.0)
    assert (board.pull_up_least, board.pull_up_most) == (50.0, 80.0)
    assert len(board.pins) == 26


@pytest.fixture
def small(tmp_path: Path) -> Board:
    path = tmp_path / "small.toml"
    path.write_text(SMALL)
    return load_board(path)


def test_a_users_board_is_found_beside_ours(small: Board) -> None:
    users = {"small": small}
    assert find_board("small", users) == small
    assert (small.name, small.pins, small.groups[0].pins) == ("Small board", ("1", "2"), ("1",))
    assert not small.has_pull_ups
    assert find_board("rp2040", users) == own_boards()["rp2040"]
    assert find_board("nowhere", users) is None
    assert find_board("small") is None
    assert find_board(None, users) is None


def test_a_pin_may_have_a_note(tmp_path: Path) -> None:
    path = tmp_path / "small.toml"
    path.write_text(SMALL + '[notes]\n2 = "a light"\n')
    assert load_board(path).notes == {"2": "a light"}
    assert list(own_boards()["atmega32u4"].notes) == ["13"]


def test_a_users_board_takes_the_place_of_ours(small: Board) -> None:
    assert find_board("rp2040", {"rp2040": small}) == small


def test_an_id_never_leads_out_of_the_folder() -> None:
    assert find_board("../boards/rp2040") is None


@pytest.mark.parametrize(
    ("old", "new", "problems"),
    [
        ("format = 1", "format = 2", ["`format` must be 1"]),
        ("supply = 5.0\n", "", ["`board.supply` is missing"]),
        ("supply = 5.0", 'supply = "5"', ["`board.supply` must be a number above zero"]),
        ("pin = 20.0", "pin = -1", ["`limits.pin` must be a number above zero"]),
        ("pin = 20.0", "pin = true", ["`limits.pin` must be a number above zero"]),
        ('name = "Small board"', 'name = " "', ["`board.name` must be words"]),
        (
            "supply",
            "suply",
            ["`board.suply` is no key of a board file", "`board.supply` is missing"],
        ),
        ("[groups]", "[group]", ["`group` is no key of a board file"]),
        ('pins = ["1"]', 'pins = ["7"]', ["`groups.left` names a pin that `pins` lacks: 7"]),
        (
            "limit = 60.0, ",
            "",
            ["`groups.left` needs a `limit` in mA and a list of `pins`"],
        ),
        ("[pins]", '[notes]\n7 = "light"\n[pins]', ["`notes` names a pin that `pins` lacks: 7"]),
        ("[pins]", "[notes]\n1 = 7\n[pins]", ["`notes.1` must be words"]),
        ('name = "Small board"', 'name = "\\u001b[31m"', ["`board.name` must be words"]),
        ('1 = "P1"', '1 = "\\u202e"', ["`pins.1` must be words, such as the chip's port bit"]),
        ('1 = "P1"', "1 = 1", ["`pins.1` must be words, such as the chip's port bit"]),
        (
            SMALL[SMALL.index("[groups]") :],
            "pins = 3\n",
            ["`limits.pins` is no key of a board file", "`pins` must name at least one pin"],
        ),
    ],
)
def test_what_a_board_file_lacks_is_told(
    tmp_path: Path, old: str, new: str, problems: list[str]
) -> None:
    path = tmp_path / "board.toml"
    path.write_text(SMALL.replace(old, new, 1))
    with pytest.raises(BoardFileError) as caught:
        load_board(path)
    assert list(caught.value.problems) == problems
    assert str(caught.value) == "board.toml: " + "; ".join(problems)


def test_a_file_that_is_no_toml_is_told(tmp_path: Path) -> None:
    path = tmp_path / "board.toml"
    path.write_text("[board")
    with pytest.raises(BoardFileError, match=r"board\.toml: cannot be read: "):
        load_board(path)


def test_a_table_that_is_none_is_told(tmp_path: Path) -> None:
    path = tmp_path / "board.toml"
    path.write_text('format = 1\nboard = 3\npins = "all"\n')
    with pytest.raises(BoardFileError) as caught:
        load_board(path)
    assert caught.value.problems[:2] == ("`board` must be a table", "`board.id` is missing")
    assert "`pins` must be a table" in caught.value.problems


def test_our_files_are_named_by_their_ids() -> None:
    """`find_board` opens a file of ours by the id alone."""
    for board_id, board in own_boards().items():
        assert find_board(board_id) == board
