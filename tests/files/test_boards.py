"""Board files: each mistake has its sentence and its place, in all three formats."""

import json
from pathlib import Path

import pytest
import yaml
from hypothesis import given
from hypothesis import strategies as st

from profiles.files.documents import BYTE_ORDER_MARK, parse_text
from profiles.files.faults import FileFaultError
from profiles.files.library import load_library
from profiles.files.validate import validate_content
from profiles.model import Board
from profiles.text.inert import escape_controls
from tests.files.documents import contents

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


def read(folder: Path, text: str, name: str = "small.toml") -> tuple[list[str], Board | None]:
    """What is wrong with a board file: line, column, message and remedy; and the board, if any."""
    (folder / name).write_text(text, encoding="utf-8")
    loaded = load_library(folder)
    assert loaded.notes == ()
    told = []
    for finding in loaded.problems:
        place = finding.place
        assert place is not None
        assert place.file == (folder / name).as_posix()
        where = f"{place.line}:{place.column} " if place.line else ""
        told.append(f"{where}{finding.message} -> {finding.remedy}")
    return told, loaded.library.boards.get("small")


def test_a_board_file_is_read(tmp_path: Path) -> None:
    told, board = read(tmp_path, SMALL)

    assert told == []
    assert board is not None
    assert (board.id, board.name, board.supply) == ("small", "Small board", 5.0)
    assert dict(board.pins) == {"1": "P1", "2": "P2"}
    assert (board.groups["left"].limit, board.groups["left"].pins) == (60.0, ("1",))
    assert (board.board.own_current, board.board.pull_up_least, dict(board.notes)) == (0, None, {})


def test_all_three_formats_and_a_byte_order_mark_give_the_same_board(tmp_path: Path) -> None:
    content = parse_text(SMALL, "toml")
    texts = {
        "small.toml": BYTE_ORDER_MARK.decode() + SMALL,
        "small.json": json.dumps(content),
        "small.yaml": yaml.safe_dump(content),
    }
    found = []
    for name, text in texts.items():
        folder = tmp_path / name.replace(".", "-")
        folder.mkdir()
        told, board = read(folder, text, name)
        assert told == []
        found.append(board)

    assert found[0] is not None
    assert found[1:] == [found[0], found[0]]


@pytest.mark.parametrize(
    ("old", "new", "told"),
    [
        (
            "format = 1",
            "format = 2",
            ["2:10 format 2 is newer than the 1 read here -> Update Platebook to read this file"],
        ),
        (
            "supply = 5.0\n",
            "",
            ["3:2 `board` has no `supply` -> Add `supply`: Voltage of its pins, V"],
        ),
        (
            "supply = 5.0",
            'supply = "5"',
            ["6:10 `board.supply` is `5`, not a number -> Write `5` without quotes"],
        ),
        (
            "pin = 20.0",
            "pin = -1",
            [
                "8:7 `limits.pin` must be a number above 0 -> "
                "Write a number above 0: Current that one pin may carry, mA"
            ],
        ),
        (
            "pin = 20.0",
            "pin = true",
            [
                "8:7 `limits.pin` is true, not a number -> "
                "Write a number: Current that one pin may carry, mA"
            ],
        ),
        (
            'name = "Small board"',
            'name = " "',
            ["5:8 `board.name` must hold at least one letter -> Change it: The name people use"],
        ),
        (
            "supply",
            "suply",
            [
                "6:1 unknown key `suply` in `board` -> Write `supply`",
            ],
        ),
        ("[groups]", "[group]", ["11:2 unknown key `group` -> Write `groups`"]),
        (
            'pins = ["1"]',
            'pins = ["7", "1", "8"]',
            [
                "12:32 `groups.left.pins` names no pin `7` -> Write `1` or `2`",
                "12:42 `groups.left.pins` names no pin `8` -> Write `1` or `2`",
            ],
        ),
        (
            'pins = ["1"]',
            'pins = ["1", ["2"], 3]',
            [
                '12:37 `groups.left.pins.1` is a list of 1, not text -> Write `"2"`',
                '12:44 `groups.left.pins.2` is 3, not text -> Write `"3"`',
            ],
        ),
        (
            'left = { limit = 60.0, pins = ["1"] }',
            'left = { pins = ["1"] }',
            [
                "12:1 `groups.left` has no `limit` -> "
                "Add `limit`: Current that the pins together may carry, mA"
            ],
        ),
        (
            "[pins]",
            '[can]\nanalog = ["1", "7"]\n[buses.two]\nsda = "every"\nscl = ["8"]\n[pins]',
            [
                "14:16 `can.analog` names no pin `7` -> Write `1` or `2`",
                "17:8 `buses.two.scl` names no pin `8` -> Write `1` or `2`",
            ],
        ),
        (
            "[pins]",
            '[notes]\n7 = "light"\n[pins]',
            ["14:1 `notes` names no pin `7` -> Write `1` or `2`"],
        ),
        (
            "[pins]",
            "[notes]\n1 = 7\n[pins]",
            ['14:5 `notes.1` is 7, not text -> Write `"7"`'],
        ),
        (
            'id = "small"',
            'id = ["small"]',
            [
                '4:6 `board.id` is a list of 1, not text -> Write `"small"`',
            ],
        ),
        (
            "supply = 5.0",
            "supply = 5.0\npull_up_most = 50.0",
            [
                "7:16 `board` has `pull_up_most` but no `pull_up_least` -> "
                "Correct or remove `pull_up_most`"
            ],
        ),
        (
            "supply = 5.0",
            "supply = 5.0\npull_up_most = 50.0\npull_up_least = 80.0",
            [
                "7:16 `board` has a `pull_up_most` below its `pull_up_least` -> "
                "Correct or remove `pull_up_most`"
            ],
        ),
        (
            SMALL[SMALL.index("[pins]") :],
            "[pins]\n",
            [
                "13:2 `pins` has fewer than 1 members -> Change it: The pins: name printed on the "
                "board to the chip's name, such as its port bit"
            ],
        ),
        (
            "[board]",
            "[board",
            [
                "3:6 TOML stops here: a header without its closing bracket -> Write `[board]`",
            ],
        ),
    ],
)
def test_each_mistake_in_a_board_has_its_sentence(
    tmp_path: Path, old: str, new: str, told: list[str]
) -> None:
    assert old in SMALL

    assert read(tmp_path, SMALL.replace(old, new, 1)) == (told, None)


def test_pull_ups_may_have_one_value(tmp_path: Path) -> None:
    ups = "supply = 5.0\npull_up_least = 50.0\npull_up_most = 50.0"
    told, board = read(tmp_path, SMALL.replace("supply = 5.0", ups))

    assert told == []
    assert board is not None


def test_tables_that_are_none_are_told(tmp_path: Path) -> None:
    told, board = read(tmp_path, 'format = 1\nboard = 3\npins = "all"\nlimits = []\n')

    assert board is None
    assert [one.partition(" -> ")[0] for one in told] == [
        "2:9 `board` is 3, not a table",
        "3:8 `pins` is `all`, not a table",
        "4:10 `limits` is an empty list, not a table",
    ]


def test_a_board_and_a_device_in_one_file_are_told(tmp_path: Path) -> None:
    told, board = read(tmp_path, SMALL + '[device]\nid = "desk"\n')

    assert board is None
    assert told == ["3:2 one file holds `device` and `board` -> Give each a file of its own"]


def test_a_board_with_the_id_of_another_document_is_told(tmp_path: Path) -> None:
    (tmp_path / "other.toml").write_text(SMALL)
    (tmp_path / "small.toml").write_text(SMALL)
    loaded = load_library(tmp_path)

    assert [(one.code, one.message) for one in loaded.problems] == [
        ("repeated-id", "id `small` is given twice in the library")
    ]
    assert loaded.sources["small"].kind == "board"


TABLES = ["board", "limits", "groups", "pins", "notes", "left", "1", "2"]
KEYS = [*TABLES, "format", "id", "name", "supply", "pin", "source", "limit", "pull_up_most"]
VALUES = st.recursive(
    st.one_of(
        st.sampled_from([1, 5.0, -1, 0, "small", "1", "P1", True, 2**63 - 1]),
        contents().map(lambda content: next(iter(content.values()), "x")),
    ),
    lambda inner: st.one_of(
        st.lists(inner, max_size=3), st.dictionaries(st.sampled_from(KEYS), inner, max_size=4)
    ),
    max_leaves=12,
)


@given(st.dictionaries(st.sampled_from(TABLES), VALUES))
def test_any_content_becomes_a_board_or_faults_fit_to_print(
    content: dict[str, object],
) -> None:
    """Law: whatever stands under a board's keys, what comes back is a board or harmless faults."""
    sound = {
        "format": 1,
        "board": {"id": "small", "name": "Small", "supply": 5.0},
        "limits": {"pin": 20.0, "board": 100.0, "source": "its sheet"},
        "pins": {"1": "P1", "2": "P2"},
    }
    try:
        value = validate_content({**sound, **content})
    except ExceptionGroup as group:
        for fault in group.exceptions:
            assert isinstance(fault, FileFaultError)
            told = fault.message + fault.remedy
            assert told == escape_controls(told)
    else:
        assert isinstance(value, Board)
        assert all(pin in value.pins for group in value.groups.values() for pin in group.pins)


@pytest.mark.parametrize(
    "pins", ['pins = { 1 = "P1", 2 = "P2" }', '[board.pins]\n1 = "P1"\n2 = "P2"']
)
def test_pins_inside_the_board_are_told_once_to_move(tmp_path: Path, pins: str) -> None:
    text = SMALL.replace('[pins]\n1 = "P1"\n2 = "P2"\n', "").replace(
        "supply = 5.0\n", f"supply = 5.0\n{pins}\n"
    )
    at = "7:1" if pins.startswith("pins") else "7:8"

    told, board = read(tmp_path, text)

    assert board is None
    assert told == [
        f"{at} unknown key `pins` in `board` -> Make it a table of its own, under `[pins]`"
    ]
