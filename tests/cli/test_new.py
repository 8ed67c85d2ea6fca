"""`platebook new`: a whole box from one line, and an application from a pasted list."""

import json
import tomllib
from pathlib import Path

import pytest

from profiles.plan.layout import front_of, stock_parts
from profiles.plate.spacing import NUREG_0700
from tests.conftest import Run


@pytest.fixture
def empty(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """An empty folder, which is the current one."""
    monkeypatch.chdir(tmp_path)
    return tmp_path


def severities(platebook: Run) -> set[str]:
    return {one["severity"] for one in json.loads(platebook("check", "--json").out)["findings"]}


def test_grid_gives_a_whole_file_in_a_line_a_control(platebook: Run, empty: Path) -> None:
    (empty / "labels.txt").write_text("HORN\nBELL\nFOG SIGNAL\nMARK\n", encoding="utf-8")
    ran = platebook(
        "new", "device", "box", "--grid", "3x2", "--pitch", "35x30", "--labels", "labels.txt"
    )
    assert (ran.code, ran.out, ran.err) == (
        0,
        "box.toml\n",
        "note: 4 labels for 6 controls\nedit it, then run `platebook check`\n",
    )
    text = (empty / "box.toml").read_text("utf-8")
    assert text.endswith(
        """
[plate]
width = 120.0
height = 80.0
corner_radius = 4.0
screws = [
    { position = [7.0, 7.0], hole = 3.4, head = 6.5 },
    { position = [113.0, 7.0], hole = 3.4, head = 6.5 },
    { position = [7.0, 73.0], hole = 3.4, head = 6.5 },
    { position = [113.0, 73.0], hole = 3.4, head = 6.5 },
]

[wiring]
board = "atmega32u4"
rows = ["0", "1"]
columns = ["2", "3", "4"]
diodes = "every"
numbering = "along-rows"

[parts.push-16]
name = "Push-button, 16 mm"
kind = "momentary"
hole = 16.2
front = 18.0

[controls]
horn = { part = "push-16", label = "HORN", position = [25.0, 55.0], crossing = [1, 1] }
bell = { part = "push-16", label = "BELL", position = [60.0, 55.0], crossing = [1, 2] }
fog-signal = { part = "push-16", label = "FOG SIGNAL", position = [95.0, 55.0], crossing = [1, 3] }
mark = { part = "push-16", label = "MARK", position = [25.0, 25.0], crossing = [2, 1] }
c5 = { part = "push-16", label = "5", position = [60.0, 25.0], crossing = [2, 2] }
c6 = { part = "push-16", label = "6", position = [95.0, 25.0], crossing = [2, 3] }
"""
    )
    assert severities(platebook) == {"note"}


@pytest.mark.parametrize(
    "rows",
    [
        ["5xtoggle-12", "4xpush-16,2xrotary-7,selector-10"],
        ["toggle-6", "12xpush-12", "3xrotary-7"],
        ["8xselector-10"],
        ["16xrotary-7", "16xtoggle-6"],
    ],
)
def test_rows_of_different_parts_pass_check(platebook: Run, empty: Path, rows: list[str]) -> None:
    words = [word for row in rows for word in ("--row", row)]
    assert platebook("new", "device", "box", *words, "--board", "rp2040").code == 0

    assert severities(platebook) <= {"note"}
    codes = {one["code"] for one in json.loads(platebook("check", "--json").out)["findings"]}
    assert "controls-close" not in codes


def test_neighbours_stand_as_far_apart_as_the_table_advises(platebook: Run, empty: Path) -> None:
    """NUREG-0700 Rev.3, Table 11.5: a toggle and a push-button 13 mm, two toggles 19 mm."""
    platebook("new", "device", "box", "--row", "2xtoggle-12,push-16")
    controls = tomllib.loads((empty / "box.toml").read_text("utf-8"))["controls"]
    xs = [one["position"][0] for one in controls.values()]
    toggle, button = (front_of(stock_parts()[part])[0] for part in ("toggle-12", "push-16"))

    assert xs[1] - xs[0] - toggle == NUREG_0700[frozenset({"latching"})] == 19
    assert xs[2] - xs[1] - (toggle + button) / 2 == pytest.approx(13, abs=0.5)


def test_parts_of_the_library_are_named_and_not_repeated(platebook: Run, empty: Path) -> None:
    (empty / "knob.toml").write_text(
        'format = 1\n[part]\nid = "knob"\nkind = "rotary"\nhole = 7.0\nfront = 14.0\n'
    )
    assert platebook("new", "device", "box", "--row", "3xknob").code == 0

    content = tomllib.loads((empty / "box.toml").read_text("utf-8"))
    assert "parts" not in content
    assert severities(platebook) <= {"note"}


@pytest.mark.parametrize(
    ("hole", "apart"),
    [("{ diameter = 12.0, across_flats = 11.0 }", 12.0), ("{ length = 30.0, width = 5.0 }", 30.0)],
)
def test_parts_with_holes_of_any_shape_are_laid_out(
    platebook: Run, empty: Path, hole: str, apart: float
) -> None:
    (empty / "key.toml").write_text(
        f'format = 1\n[part]\nid = "key"\nkind = "momentary"\nhole = {hole}\n'
    )
    assert platebook("new", "device", "box", "--row", "3xkey").code == 0

    controls = tomllib.loads((empty / "box.toml").read_text("utf-8"))["controls"]
    xs = [one["position"][0] for one in controls.values()]
    assert xs[1] - xs[0] - apart == NUREG_0700[frozenset({"momentary"})]
    assert severities(platebook) <= {"note"}
    assert platebook("arrange", "box", "--spread", "rows", "--shift", "1,0").code == 0


@pytest.mark.parametrize(
    ("words", "message"),
    [
        (
            ("--grid", "5x0"),
            "`5x0` is no grid of 1 to 512 controls\n"
            "  Write controls in a row, then rows, such as 5x4.",
        ),
        (
            ("--grid", "5x4", "--pitch", "10"),
            "at a pitch of 10 mm fronts overlap by 8 mm\n  Choose 31 mm or more.",
        ),
        (
            ("--grid", "5x4", "--pitch", "wide"),
            "`wide` is no pitch in mm\n  Write it such as 35, or 35x30.",
        ),
        (
            ("--grid", "5x4", "--part", "puhs-16"),
            "no part `puhs-16`\n  Did you mean `push-16`?",
        ),
        (
            ("--row", "3xpush-16,,"),
            "`` is no part of a row\n  Write parts with commas between, such as "
            "3xpush-16,rotary-7.",
        ),
        (
            ("--grid", "2x2", "--board", "attic"),
            "no board `attic`\n  `platebook boards` lists them; describe your own with "
            "`platebook new board attic`.",
        ),
        (("--grid", "2x2", "--board", "rp2400"), "no board `rp2400`\n  Did you mean `rp2040`?"),
        (
            ("--row", "push-16", "--part", "rotary-7"),
            "--part goes with --grid\n  see `platebook new device --help`",
        ),
        (
            ("--board", "rp2040", "--diodes", "fewest"),
            "--board and --diodes go with --grid or --row\n  see `platebook new device --help`",
        ),
        (
            ("--pitch", "30"),
            "--pitch goes with --grid or --row\n  see `platebook new device --help`",
        ),
    ],
)
def test_what_cannot_be_laid_out_is_refused_and_writes_nothing(
    platebook: Run, empty: Path, words: tuple[str, ...], message: str
) -> None:
    ran = platebook("new", "device", "box", *words)

    assert (ran.code, ran.out, ran.err) == (2, "", f"platebook: {message}\n")
    assert list(empty.iterdir()) == []


def test_application_is_made_from_a_pasted_list(platebook: Run, empty: Path) -> None:
    (empty / "list.txt").write_bytes(b"\xef\xbb\xbfDeck:\r\n- Horn\r\n- Bell\r\n")
    assert platebook("new", "application", "ferry", "--actions", "list.txt").code == 0

    content = tomllib.loads((empty / "ferry.toml").read_text("utf-8"))
    assert content["actions"] == {
        "horn": {"name": "Horn", "group": "deck"},
        "bell": {"name": "Bell", "group": "deck"},
    }
    assert severities(platebook) == set()


def test_a_list_without_a_name_makes_no_application(platebook: Run, empty: Path) -> None:
    (empty / "list.txt").write_text("\n# Deck\n")
    ran = platebook("new", "application", "ferry", "--actions", "list.txt")

    assert (ran.code, ran.err) == (
        2,
        "platebook: the list names no action\n  Write one name a line.\n",
    )
    assert not (empty / "ferry.toml").exists()


def test_a_board_whose_file_cannot_be_used_is_not_called_unknown(
    platebook: Run, empty: Path
) -> None:
    (empty / "attic.toml").write_text('format = 1\n[board]\nid = "attic"\n', encoding="utf-8")
    ran = platebook("new", "device", "box", "--grid", "2x2", "--board", "attic")

    assert (ran.code, ran.err) == (
        2,
        "platebook: board `attic` cannot be used\n"
        "  Correct its file first: `platebook check` names what is wrong.\n",
    )


def test_headings_in_labels_and_a_list_without_a_label_are_told(
    platebook: Run, empty: Path
) -> None:
    (empty / "labels.txt").write_text("Deck:\nHORN\n#2 PUMP\n", encoding="utf-8")
    ran = platebook("new", "device", "box", "--grid", "1x1", "--labels", "labels.txt")
    assert (ran.code, ran.err) == (
        0,
        "note: read as headings, which are no labels: `Deck` and `2 PUMP`\n"
        "edit it, then run `platebook check`\n",
    )

    (empty / "none.txt").write_text("\n", encoding="utf-8")
    ran = platebook("new", "device", "desk", "--grid", "1x1", "--labels", "none.txt")
    assert (ran.code, ran.err) == (
        0,
        "note: 0 labels for 1 control\nedit it, then run `platebook check`\n",
    )


def test_what_an_action_list_repeats_or_leaves_empty_is_told(platebook: Run, empty: Path) -> None:
    (empty / "list.txt").write_text("Deck:\nHorn\nBell\tB\nHorn\nViews:\n", encoding="utf-8")
    ran = platebook("new", "application", "ferry", "--actions", "list.txt")

    assert (ran.code, ran.err) == (
        0,
        "note: named more than once, each with an id of its own: `Horn`\n"
        "note: headings without an action: `Views`\n"
        "edit it, then run `platebook check`\n",
    )
    actions = tomllib.loads((empty / "ferry.toml").read_text("utf-8"))["actions"]
    assert list(actions) == ["horn", "bell-b", "horn-2"]
    assert actions["bell-b"]["name"] == "Bell B"


def test_a_word_that_is_no_id_is_refused_in_the_same_words_however_a_file_is_made(
    platebook: Run, empty: Path
) -> None:
    (empty / "list.txt").write_text("Horn\n", encoding="utf-8")
    for words in (
        ("device", "My Box"),
        ("device", "My Box", "--grid", "2x1"),
        ("application", "My Box", "--actions", "list.txt"),
    ):
        ran = platebook("new", *words)
        assert (ran.code, ran.out, ran.err) == (
            2,
            "",
            "platebook: id `My Box` is no id: write letters, digits, `-` and `_`, at most 64\n",
        )
