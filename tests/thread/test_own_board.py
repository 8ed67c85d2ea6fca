"""All doors say the same of a library with a controller board of its own.

The command line, Python and the screen each check the same folder; what they report must be equal,
finding by finding, with file, line and column.
"""

import json
from collections.abc import Callable
from pathlib import Path

import pytest

from profiles.api import check, load
from profiles.files.documents import BYTE_ORDER_MARK, parse_text
from profiles.model import Finding, Place
from profiles.wiring.boards import PACKAGED
from tests.conftest import Run, edit
from tests.tui.desks import opened, write_desk

Told = tuple[object, ...]
"""Code, severity, message, file, line and column of a finding."""

SMALL = """\
format = 1
[board]
id = "mine"
name = "Mine"
supply = 5.0
[limits]
pin = 20.0
board = 100.0
source = "its sheet"
[pins]
A0 = "PF7"
A1 = "PF6"
2 = "PD1"
3 = "PD0"
5 = "PC6"
6 = "PD7"
7 = "PE6"
"""


def put(name: str, text: str) -> Callable[[Path], object]:
    return lambda folder: (folder / name).write_text(text, encoding="utf-8")


CASES: dict[str, tuple[Callable[[Path], object], set[str], set[str]]] = {
    "a sound board": (put("mine.toml", SMALL), set(), {"board-unknown", "pin-not-on-board"}),
    "as JSON": (
        put("mine.json", json.dumps(parse_text(SMALL, "toml"))),
        set(),
        {"board-unknown", "pin-not-on-board"},
    ),
    "with a byte order mark": (
        put("mine.toml", BYTE_ORDER_MARK.decode() + SMALL),
        set(),
        {"board-unknown", "broken-syntax"},
    ),
    "a board that lacks a pin": (
        put("mine.toml", SMALL.replace('A1 = "PF6"\n', "")),
        {"pin-not-on-board"},
        {"board-unknown"},
    ),
    "a packaged board's id": (
        put("mine.toml", SMALL.replace('"mine"', '"rp2040"').replace("A0 =", "A7 =")),
        {"board-unknown"},
        set(),
    ),
    "no board file": (lambda folder: None, {"board-unknown"}, set()),
    "a board with an unknown key": (
        put("mine.toml", SMALL.replace("supply", "suply")),
        {"unknown-key"},
        set(),
    ),
    "lists where names belong": (
        put("mine.toml", SMALL.replace('"mine"', '["mine"]').replace('"PF7"', "[[1], {}]")),
        {"wrong-value"},
        set(),
    ),
    "a board that is no TOML": (put("mine.toml", SMALL[:-2]), {"broken-syntax"}, set()),
    "a packaged file copied": (
        put(
            "mine.toml",
            (PACKAGED / "atmega32u4.toml").read_text("utf-8").replace('"atmega32u4"', '"mine"'),
        ),
        set(),
        {"board-unknown", "pin-not-on-board"},
    ),
}


def told(one: Finding, place: Place | None) -> Told:
    file, line, column, _ = place or (None, None, None, None)
    return one.code, one.severity, one.message, file, line, column


def said_by_command(platebook: Run, folder: Path) -> list[Told]:
    """What `platebook check --json` reports."""
    found = json.loads(platebook("check", folder, "--json").out)["findings"]
    keys = ("code", "severity", "message", "file", "line", "column")
    return [tuple(one[key] for key in keys) for one in found]


def said_by_python(folder: Path) -> list[Told]:
    """What `profiles.check` reports."""
    return [told(one, one.place) for one in check(load(folder)).findings]


async def said_by_screen(folder: Path) -> list[Told]:
    """What the screen reports once it has checked."""
    async with opened(folder) as (app, _):
        session = app.session
        return [told(one, session.copy.place_of(one)) for one in session.all_findings]


@pytest.mark.parametrize("name", CASES)
async def test_all_doors_check_a_board_alike(name: str, platebook: Run, tmp_path: Path) -> None:
    put_board, there, absent = CASES[name]
    folder = write_desk(tmp_path / "library")
    edit(folder / "desk.toml", "[wiring]\n", '[wiring]\nboard = "mine"\n')
    put_board(folder)

    by_python = said_by_python(folder)

    assert said_by_command(platebook, folder) == by_python
    assert await said_by_screen(folder) == by_python
    codes = {one[0] for one in by_python}
    assert there <= codes
    assert not absent & codes
