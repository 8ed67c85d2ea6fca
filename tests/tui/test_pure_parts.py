"""The screen's parts that know nothing of the toolkit."""

import ast
import json
import os
import subprocess
import sys
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from profiles.checks.registry import run_checks
from profiles.files.library import load_library
from profiles.model import Finding, Library, Spot
from profiles.tui.bindings import link_of
from profiles.tui.canvas import cut_to, draw_canvas, draw_dots, plate_drawing, width_of, wrap
from profiles.tui.copying import candidates
from profiles.tui.desk import Desk
from profiles.tui.facts import control_facts, narrowed, unbound_actions
from profiles.tui.filters import Filter, narrow
from profiles.tui.lookup import rank, score
from profiles.tui.recovery import PREFIX, Keeper, discard, find_leftovers
from profiles.tui.remedies import find_remedy
from profiles.tui.themes import LOOKS, next_look
from profiles.tui.viewport import Viewport
from profiles.tui.watch import Watch
from tests.hostile import hostile_texts
from tests.tui.desks import EXAMPLES, write_desk

PURE = (
    *("desk", "recovery", "lookup", "bindings", "controls", "facts", "remedies", "session"),
    *("viewport", "canvas", "judge", "panel", "filters", "copying", "jumps", "watch", "wires"),
    "printing",
)


@pytest.fixture
def library(tmp_path: Path) -> Library:
    return load_library(write_desk(tmp_path / "library")).library


@pytest.mark.parametrize("name", PURE)
def test_parts_without_the_toolkit_do_not_import_it(name: str) -> None:
    """Neither at the top nor inside a function."""
    source = Path(__file__).resolve().parents[2] / "profiles" / "tui" / f"{name}.py"
    imported = [
        (node.module or "") if isinstance(node, ast.ImportFrom) else node.names[0].name
        for node in ast.walk(ast.parse(source.read_text("utf-8")))
        if isinstance(node, ast.Import | ast.ImportFrom)
    ]
    assert not [one for one in imported if one.split(".")[0] in ("textual", "rich")]


def test_letters_find_names_in_the_order_people_mean() -> None:
    names = ["Sound the horn", "Deck light", "Ring the bell", "Reel in hawser"]
    assert rank("ring", [(one, (one,)) for one in names])[0] == "Ring the bell"
    assert rank("dl", [(one, (one,)) for one in names]) == ["Deck light"]
    assert rank("", [(one, (one,)) for one in names]) == names
    assert rank("xyz", [(one, (one,)) for one in names]) == []


@given(st.text(max_size=30), st.integers(0, 29), st.integers(1, 8))
def test_any_part_of_a_name_finds_it(name: str, start: int, length: int) -> None:
    part = name.casefold()[start : start + length]
    assert score(part, name.casefold()) is not None


@given(
    st.floats(20, 900),
    st.floats(20, 900),
    st.integers(1, 300),
    st.integers(1, 90),
    st.integers(0, 6),
    st.tuples(st.floats(-2000, 2000), st.floats(-2000, 2000)),
)
def test_a_window_keeps_proportions_and_stays_over_the_plate(
    width: float, height: float, columns: int, rows: int, level: int, centre: tuple[float, float]
) -> None:
    """Some of the plate is always seen, and a point's cell leads back to it within one cell."""
    window = Viewport(level, centre).window(width, height, columns, rows)
    assert window.left < width
    assert window.left + window.width > 0
    assert window.top > 0
    assert window.top - window.height < height
    x, y = window.point_of(columns // 2, rows // 2)
    assert window.cell_of(x, y) == (columns // 2, rows // 2)


@given(hostile_texts(), st.integers(2, 30))
def test_a_cut_text_fits_and_tells_that_it_was_cut(text: str, room: int) -> None:
    cut = cut_to(text, room)
    assert width_of(cut) <= room
    assert cut == text or cut.endswith("…")
    assert all(width_of(line) <= room for line in wrap(text, room))


def canvas_of(library: Library, columns: int, rows: int, level: int = 0):  # type: ignore[no-untyped-def]
    device = library.devices["desk"]
    window = Viewport(level).window(device.plate.width, device.plate.height, columns, rows)
    facts = control_facts(device, link_of(library, "harbour-desk"), ())
    positions = {key: one.position for key, one in device.controls.items()}
    dots = draw_dots(plate_drawing(device), window)
    return draw_canvas(dots, window, device, facts, positions)


@pytest.mark.parametrize("size", [(54, 19), (78, 34), (136, 56), (12, 3), (1, 1)])
def test_the_canvas_fills_its_window_exactly(library: Library, size: tuple[int, int]) -> None:
    canvas = canvas_of(library, *size)
    assert len(canvas.rows) == size[1]
    assert {sum(width_of(letter) or 1 for letter, _ in row) for row in canvas.rows} == {size[0]}


def test_kind_stands_in_brackets_and_state_in_a_letter(library: Library) -> None:
    canvas = canvas_of(library, 60, 20)
    shown = {
        key: "".join(canvas.rows[row][column + step][0] for step in (-1, 0, 1))
        for key, (column, row) in canvas.badges.items()
    }
    assert shown == {
        "horn": "(#)",
        "bell": "(#)",
        "spare": "(.)",
        "lamp": "[#]",
        "trim": "<.>",
        "mode": "{.}",
    }


def test_controls_stand_where_their_millimetres_say(library: Library) -> None:
    """Rows and columns of the plate are rows and columns of cells; clicks find their control."""
    canvas = canvas_of(library, 60, 20)
    badges = canvas.badges
    assert badges["horn"][1] == badges["bell"][1] == badges["spare"][1]
    assert badges["horn"][0] == badges["lamp"][0]
    steps = badges["bell"][0] - badges["horn"][0], badges["spare"][0] - badges["bell"][0]
    assert abs(steps[0] - steps[1]) <= 1
    assert canvas.control_at(badges["trim"][0] + 1, badges["trim"][1]) == "trim"
    assert canvas.control_at(0, 0) is None


def test_a_deep_zoom_shows_a_part_and_loses_nothing_else(library: Library) -> None:
    canvas = canvas_of(library, 60, 20, level=6)
    assert len(canvas.rows) == 20
    assert "(#)" in "".join(letter for row in canvas.rows for letter, _ in row) or canvas.badges


def test_a_conflict_shows_as_one(library: Library) -> None:
    device = library.devices["desk"]
    finding = Finding("x", "error", "m", "r", Spot("desk", ("controls", "horn", "input")))
    facts = control_facts(device, link_of(library, "harbour-desk"), (finding,))
    assert facts["horn"].badge == "(!)"
    assert facts["bell"].badge == "(#)"


def test_still_to_bind_lists_must_before_want(library: Library) -> None:
    open_ones = unbound_actions(link_of(library, "harbour-desk"))
    assert list(open_ones) == ["drop-anchor", "take-job"]


def test_narrowing_keeps_the_findings_of_the_profile(library: Library) -> None:
    """What is told first about one profile is what the whole run tells about it."""
    whole = [one for one in run_checks(library).findings if one.code == "must-unbound"]
    part = run_checks(narrowed(library, "harbour-desk")).findings
    assert [one for one in part if one.code == "must-unbound"] == whole


def test_filters_let_through_what_they_say() -> None:
    findings = [
        Finding("a", "note", "one", "", Spot("x")),
        Finding("b", "error", "two", "", Spot("y")),
        Finding("c", "warning", "three", "", Spot("x")),
    ]
    assert [one.code for one in narrow(findings, Filter(), {"x"})] == ["b", "c", "a"]
    assert [one.code for one in narrow(findings, Filter("error"), {"x"})] == ["b"]
    assert [one.code for one in narrow(findings, Filter(only_mine=True), {"x"})] == ["c", "a"]
    assert [one.code for one in narrow(findings, Filter(words="THR"), {"x"})] == ["c"]
    assert str(Filter("warning", True, "horn")) == (
        'errors and warnings, this profile and device, with "horn"'
    )


def test_copying_prefers_the_same_id_then_the_same_group(library: Library) -> None:
    harbour, tramway = link_of(library, "harbour-desk"), link_of(library, "tramway-desk")
    horn, bell, _ = harbour.bound
    assert candidates(bell, tramway)[0] == "ring-bell"
    same, alike = candidates(horn, tramway)
    assert same is None
    assert set(alike) == {"ring-bell", "whistle"}


REMEDIED = {"binding-repeated", "action-bound-often", "contexts-collide", "acceptance-unmatched"}


@pytest.mark.parametrize(
    ("code", "old", "new", "words"),
    [
        ("loose-name", '"sound-horn"', '"sound-hron"', "Write sound-horn for sound-hron"),
        ("loose-name", "horn =", "hron =", "Write horn for hron"),
        ("must-unbound", "", "", "Bind trim.press to drop-anchor"),
    ],
)
def test_a_remedy_says_what_it_does(
    tmp_path: Path, code: str, old: str, new: str, words: str
) -> None:
    folder = write_desk(tmp_path / "library")
    path = folder / "bindings.toml"
    path.write_text(path.read_text("utf-8").replace(old, new, 1), "utf-8")
    loaded = load_library(folder)
    finding = next(one for one in run_checks(loaded.library).findings if one.code == code)

    edit = find_remedy(loaded.library, finding)

    assert edit is not None
    assert edit.words == words
    desk = Desk(loaded)
    edit.apply(desk)
    assert finding not in run_checks(desk.library).findings


def test_a_remedy_makes_its_finding_go(tmp_path: Path) -> None:
    """On the library in which everything is wrong, each remedy that is offered works."""
    import shutil

    shutil.copytree(EXAMPLES / "faulty", tmp_path / "faulty")
    loaded = load_library(tmp_path / "faulty")
    worked = set()
    for finding in run_checks(loaded.library).findings:
        edit = find_remedy(loaded.library, finding)
        if edit is None:
            continue
        desk = Desk(loaded)
        assert edit.apply(desk), finding
        after = run_checks(desk.library).findings
        left = [(one.code, one.subject) for one in after]
        before = [(one.code, one.subject) for one in run_checks(loaded.library).findings]
        key = (finding.code, finding.subject)
        assert left.count(key) < before.count(key), finding
        worked.add(finding.code)
    assert worked >= REMEDIED


def test_work_is_kept_while_unsaved_and_cleared_after(tmp_path: Path) -> None:
    keeper = Keeper(tmp_path)
    assert keeper.keep({"desk": ("text", "ab")})
    assert keeper.path.exists()
    assert find_leftovers(tmp_path) == ()  # this process still runs

    assert keeper.keep({})
    assert not keeper.path.exists()


def test_work_of_a_process_that_has_ended_is_offered(tmp_path: Path) -> None:
    ended = subprocess.run(
        [sys.executable, "-c", "import os; print(os.getpid())"],
        capture_output=True,
        text=True,
        check=True,
    )
    path = tmp_path / f"{PREFIX}{ended.stdout.strip()}.json"
    path.write_text(json.dumps({"format": 1, "work": {"desk": ["text", "ab"]}}), "utf-8")

    (leftover,) = find_leftovers(tmp_path)

    assert leftover.work == {"desk": ("text", "ab")}
    discard(leftover)
    assert find_leftovers(tmp_path) == ()


@pytest.mark.parametrize("text", ["", "{", "[]", '{"format": 1, "work": {"a": 1}}', "null"])
def test_a_torn_recovery_file_is_no_offer(tmp_path: Path, text: str) -> None:
    (tmp_path / f"{PREFIX}x.json").write_text(text, "utf-8")
    assert find_leftovers(tmp_path) == ()


def test_a_folder_that_takes_no_file_is_told(tmp_path: Path) -> None:
    assert not Keeper(tmp_path / "not there").keep({"desk": ("text", "ab")})


def test_the_watch_sees_files_come_change_and_go(tmp_path: Path) -> None:
    path = tmp_path / "desk.toml"
    watch = Watch(tmp_path)
    assert not watch.look()
    path.write_text("format = 1\n", "utf-8")
    assert watch.look()
    os.utime(path, ns=(1, 1))
    assert watch.look()
    path.unlink()
    assert watch.look()
    assert not watch.look()


def luminance(colour: str) -> float:
    """Relative luminance (WCAG 2.2, definition of relative luminance)."""
    parts = [int(colour[at : at + 2], 16) / 255 for at in (1, 3, 5)]
    linear = [p / 12.92 if p <= 0.04045 else ((p + 0.055) / 1.055) ** 2.4 for p in parts]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


@pytest.mark.parametrize("look", LOOKS, ids=lambda look: look.name)
def test_text_in_every_look_contrasts_seven_to_one(look) -> None:  # type: ignore[no-untyped-def]
    """WCAG 2.2, success criterion 1.4.6: 7 to 1 for text."""
    for name in ("foreground", "error", "success", "accent"):
        for ground in ("background", "surface"):
            pair = sorted([luminance(getattr(look, name)), luminance(getattr(look, ground))])
            ratio = (pair[1] + 0.05) / (pair[0] + 0.05)
            assert ratio >= 7, (name, ground, ratio)


def test_the_looks_go_round() -> None:
    name = LOOKS[0].name
    for _ in LOOKS:
        name = next_look(name)
    assert name == LOOKS[0].name
