"""The screen's parts that know nothing of the toolkit."""

import ast
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from profiles.facts.profile import control_facts, unbound_actions
from profiles.files.library import load_library
from profiles.model import Finding, Library, Spot
from profiles.text.cells import cut_to, width_of
from profiles.tui.canvas import draw_canvas, draw_dots, plate_drawing
from profiles.tui.filters import Filter, filter_findings
from profiles.tui.help import name_key
from profiles.tui.themes import LOOKS, next_look
from profiles.tui.viewport import Viewport
from profiles.work.edits import link_of
from tests.hostile import hostile_texts
from tests.tui.desks import write_desk

PURE = (
    "session",
    "naming",
    "viewport",
    "canvas",
    "plate_words",
    "panel",
    "filters",
    "wires",
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


def test_filters_let_through_what_they_say() -> None:
    findings = [
        Finding("a", "note", "one", "", Spot("x")),
        Finding("b", "error", "two", "", Spot("y")),
        Finding("c", "warning", "three", "", Spot("x")),
    ]
    assert [one.code for one in filter_findings(findings, Filter(), findings[1:])] == [
        "b",
        "c",
        "a",
    ]
    assert [one.code for one in filter_findings(findings, Filter("error"))] == ["b"]
    assert [
        one.code for one in filter_findings(findings, Filter(only_mine=True), findings[::2])
    ] == [
        "c",
        "a",
    ]
    assert [one.code for one in filter_findings(findings, Filter(words="THR"))] == ["c"]
    assert str(Filter("warning", True, "horn")) == (
        'errors and warnings, this profile and device, with "horn"'
    )


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


@pytest.mark.parametrize(
    ("key", "name"),
    [
        ("ctrl+s", "Ctrl+S"),
        ("f5", "F5"),
        ("enter", "Enter"),
        ("shift+left", "Shift+Left"),
        ("s", "s"),
        ("S", "S"),
        ("plus", "+"),
        ("asterisk", "*"),
        ("right_square_bracket", "]"),
    ],
)
def test_keys_are_named_as_notes_and_keyboards_have_them(key: str, name: str) -> None:
    assert name_key(key) == name
