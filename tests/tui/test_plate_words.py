"""The plate names every control: whole words at their sides, or a number that the key explains."""

import random
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from profiles.facts.profile import control_facts
from profiles.files.library import load_library
from profiles.model import Device
from profiles.text.cells import width_of
from profiles.tui.canvas import Canvas, draw_canvas, draw_dots, draw_whole, plate_drawing
from profiles.tui.plate_canvas import PlateCanvas
from profiles.tui.plate_words import Front, Words, letter_plate, shapes_of
from profiles.tui.viewport import STRETCH, Viewport
from profiles.work.edits import link_of
from tests.tui.desks import EXAMPLES, SMALL, copy_example, flat, opened, press, seen

PLATES = [
    ("harbour", "helm-desk", "brackwater-bridge"),
    ("harbour", "helm-desk", "cobblegate-on-helm-desk"),
    ("harbour", "helm-desk", "ninefold-on-helm-desk"),
    ("boatyard", "chart-table", "sandbank-on-chart-table"),
    ("boatyard", "winch-house", "saltmarsh-on-winch-house"),
]
AT_80, AT_120 = (52, 20), (77, 36)
"""Columns and rows that windows of 80 x 24 and 120 x 40 leave to the plate."""


def canvas_of(plate: tuple[str, str, str], size: tuple[int, int]) -> tuple[Device, Canvas]:
    library = load_library(EXAMPLES / plate[0]).library
    device = library.devices[plate[1]]
    window = Viewport().window(device.plate.width, device.plate.height, *size)
    facts = control_facts(device, link_of(library, plate[2]), ())
    places = {key: control.position for key, control in device.controls.items()}
    return device, draw_canvas(
        draw_dots(plate_drawing(device), window), window, device, facts, places
    )


def written(canvas: Canvas, control: str) -> str:
    """What stands in the cells at a control, its lines as one."""
    lines = []
    for (column, row), text in canvas.lettered.lines[control]:
        cells = canvas.rows[row][column : column + width_of(text)]
        lines.append("".join(letter for letter, _ in cells))
    return " ".join(lines)


@pytest.mark.parametrize("plate", PLATES, ids=lambda plate: plate[2])
@pytest.mark.parametrize("size", [AT_80, AT_120], ids=["80", "120"])
def test_every_control_is_named_in_whole_words(
    plate: tuple[str, str, str], size: tuple[int, int]
) -> None:
    """Beside its badge, or in the key under the number beside it."""
    device, canvas = canvas_of(plate, size)
    key = dict(line.split(" ", 1) for line in canvas.key_lines())
    for control in device.controls:
        words = sorted(
            word for _, text in canvas.words[control] for word in text.replace("\xa0", " ").split()
        )
        shown = written(canvas, control)
        found = key.pop(shown) if control in canvas.lettered.numbers else shown
        assert sorted(word for word in found.replace("\xa0", " ").split() if word != "/") == sorted(
            word for word in words if word != "/"
        )
        assert words, control
    assert key == {}


@pytest.mark.parametrize("plate", PLATES[:3], ids=lambda plate: plate[2])
def test_all_labels_of_24_controls_are_whole_at_120_columns(plate: tuple[str, str, str]) -> None:
    device, canvas = canvas_of(plate, AT_120)
    assert len(device.controls) == 24
    assert canvas.key_lines() == []
    assert all(front.up for front in canvas.fronts.values()), "outlines have room as well"


@pytest.mark.parametrize("plate", PLATES, ids=lambda plate: plate[2])
@pytest.mark.parametrize("size", [AT_80, AT_120], ids=["80", "120"])
def test_no_words_are_on_the_edge_of_the_plate(
    plate: tuple[str, str, str], size: tuple[int, int]
) -> None:
    device, canvas = canvas_of(plate, size)
    window = Viewport().window(device.plate.width, device.plate.height, *size)
    left, bottom = window.cell_of(0.0, 0.0)
    right, top = window.cell_of(device.plate.width, device.plate.height)
    edge = [(column, row) for row in (top, bottom) for column in range(left, right + 1)]
    edge += [(column, row) for column in (left, right) for row in range(top, bottom + 1)]
    assert {canvas.rows[row][column][1] for column, row in edge} == {"outline"}


def random_plate(seed: int, folder: Path) -> Device:
    """24 controls, roughly in rows, with labels of 3 to 24 letters."""
    chance = random.Random(seed)
    width, height = chance.choice([(220, 140), (300, 150), (240, 200), (180, 120)])
    across, up = chance.choice([(6, 4), (8, 3), (4, 6)])
    lines = [f'format = 1\n[device]\nid = "d"\nname = "D"\n[plate]\n{width = }\n{height = }']
    for at in range(24):
        x = width / across * (at % across + 0.5) + chance.uniform(-3, 3)
        y = height / up * (at // across + 0.5) + chance.uniform(-3, 3)
        words = "".join(chance.choice("ABCDE FGHI KLMNO PRST UVW") for _ in range(24)).split()
        label = " ".join(words)[: chance.randint(3, 24)].strip() or "ABC"
        lines.append(
            f'[controls.c{at}]\nkind = "momentary"\nlabel = "{label}"\nhole = 16.2\nfront = 18\n'
            f"position = [{x:.1f}, {y:.1f}]\ninput = {at + 1}"
        )
    (folder / "d.toml").write_text("\n".join(lines), "utf-8")
    return load_library(folder).library.devices["d"]


@pytest.mark.parametrize("seed", range(10))
def test_every_name_of_a_random_plate_is_whole_or_in_the_key(seed: int, tmp_path: Path) -> None:
    """At 80 columns at least every second beside its control, at 120 all but two."""
    device = random_plate(seed, tmp_path)
    facts = control_facts(device, None, ())
    for size, most in ((AT_80, 12), (AT_120, 2)):
        canvas = draw_whole(device, facts, size)
        key = dict(line.split(" ", 1) for line in canvas.key_lines())
        for control, one in device.controls.items():
            shown = written(canvas, control)
            assert key.get(shown, shown).split() == one.label.split()
        assert len(key) <= most


def test_words_that_belong_together_stay_on_one_line() -> None:
    _, canvas = canvas_of(PLATES[3], AT_120)
    assert [text for _, text in canvas.lettered.lines["menu"]] == [
        "MENU UP\xa0/", "ENTER\xa0/", "MENU LEFT\xa0/", "MENU RIGHT\xa0/", "MENU DOWN",
    ]  # fmt: skip


def test_words_go_aside_where_others_are_in_the_middle() -> None:
    """Still above their own control, and clear of those at its left."""
    fronts = {"horn": Front((10, 2)), "bell": Front((4, 1)), "lamp": Front((4, 3))}
    words: dict[str, Words] = {"horn": (("above", "HEAVE-ANCHOR"),), "bell": (), "lamp": ()}
    (line,) = letter_plate(fronts, words, (22, 9)).lines["horn"]
    assert line == ((7, 1), "HEAVE-ANCHOR")


def test_words_of_two_controls_never_read_as_one_phrase() -> None:
    """A line is in the only cell between them; a screw, which is a plus, is not beside a word."""
    _, canvas = canvas_of(PLATES[0], AT_80)
    text = ["".join(letter for letter, _ in row) for row in canvas.rows]
    assert any("CHART┊ANCHOR UP" in line for line in text)
    for plate in PLATES:
        _, canvas = canvas_of(plate, AT_80)
        owners = {
            cell: key
            for key, lines in canvas.lettered.lines.items()
            if key not in canvas.lettered.numbers
            for line in lines
            for cell in line.cells()
        }
        for (column, row), key in owners.items():
            if owners.get((column + 2, row), key) != key:
                assert canvas.rows[row][column + 1][0] == "┊"
            for beside in (column - 1, column + 1):
                assert (beside, row) in owners or canvas.rows[row][beside][0] != "+"


def test_words_are_at_the_sides_where_the_print_has_them() -> None:
    """The left word is left, the right one right, `off` under `on`."""
    _, canvas = canvas_of(PLATES[0], (160, 50))
    (left, row), _ = canvas.lettered.lines["channel"][0]
    (right, same), _ = canvas.lettered.lines["channel"][1]
    badge = canvas.badges["channel"]
    assert canvas.words["channel"][:2] == (("left", "CH\xa0-"), ("right", "CH\xa0+"))
    assert left < badge[0] < right
    assert row == same == badge[1]
    assert [text for _, text in canvas.lettered.lines["heat"]] == ["HEATER ON", "HEATER OFF"]
    on, off = (spot[1] for spot, _ in canvas.lettered.lines["heat"])
    assert on < canvas.badges["heat"][1] < off


def test_badges_are_in_the_middle_of_their_outlines() -> None:
    _, canvas = canvas_of(PLATES[0], AT_120)
    for (column, row), across, up in canvas.fronts.values():
        edges = [canvas.rows[row][column - across][0], canvas.rows[row][column + across][0]]
        assert edges == ["│", "│"]
        assert canvas.rows[row - up][column][0] == canvas.rows[row + up][column][0] == "─"


async def test_an_unbound_control_shows_its_label(folder: Path) -> None:
    async with opened(folder) as (app, pilot):
        assert "SPARE" in seen(app)
        await press(app, pilot, "x")
        assert "HORN" in "\n".join(line[:50] for line in seen(app).splitlines())


async def test_two_knobs_on_one_axis_have_a_badge_each(tmp_path: Path) -> None:
    async with opened(copy_example("boatyard", tmp_path / "boatyard")) as (app, _):
        app.session.choose_device("chart-table")
        app.show_all()
        badges = app.screen.query_one(PlateCanvas).canvas.badges
        assert len(set(badges.values())) == len(badges) == 24


async def test_a_window_too_small_for_the_plate_says_how_large_it_must_be(folder: Path) -> None:
    async with opened(folder, (40, 12)) as (app, _):
        lines = seen(app).replace("┌", "│").splitlines()  # the panel beside begins there
        text = flat("\n".join(line.partition("│")[0] for line in lines))
        assert "Too small for the plate: 40 x 12 cells, 51 x 13 needed." in text
    async with opened(folder, (51, 13)) as (app, _):
        assert "HORN" in seen(app)


async def test_the_key_is_beside_the_plate_and_away_where_nothing_is_numbered(
    tmp_path: Path,
) -> None:
    folder = copy_example("harbour", tmp_path / "harbour")
    async with opened(folder, SMALL) as (app, _):
        assert "─ Key ─" in seen(app)
        assert "VEER LINE / ANCHOR DOWN" in seen(app)
    async with opened(folder, (120, 40)) as (app, _):
        assert "─ Key ─" not in seen(app)


@given(
    st.lists(
        st.tuples(st.integers(1, 58), st.integers(1, 20), st.text("AB /", min_size=1, max_size=30)),
        max_size=20,
    )
)
def test_no_words_meet_others_and_none_is_cut(found: list[tuple[int, int, str]]) -> None:
    """Each cell belongs to one control, and every control has its words, a number, or is told."""
    fronts: dict[str, Front] = {}
    words: dict[str, Words] = {}
    for column, row, text in found:
        key = f"{column}-{row}"
        front = Front((column, row))
        if any(set(front.cells()) & set(other.cells()) for other in fronts.values()):
            continue
        fronts[key], words[key] = front, (("above", " ".join(text.split()) or "A"),)
    lettered = letter_plate(fronts, words, (60, 22))

    cells = [cell for front in fronts.values() for cell in front.cells()]
    for key in fronts:
        lines = lettered.lines[key]
        cells += [((c + at), r) for (c, r), text in lines for at in range(width_of(text))]
        if key in lettered.nameless:
            assert lines == ()
        elif key in lettered.numbers:
            assert [text for _, text in lines] == [str(lettered.numbers[key])]
        else:
            assert " ".join(text for _, text in lines) == words[key][0][1]
    assert len(cells) == len(set(cells))


def test_wide_letters_of_a_control_keep_off_its_other_words() -> None:
    """Letters of two cells each (Unicode Standard Annex 11: wide) beside others below them."""
    words: Words = (
        ("left", "田中田中田中田中 水水水水水水水水"),
        ("right", "A"),
        ("below", "火火火火"),
    )
    lines = letter_plate({"horn": Front((30, 10))}, {"horn": words}, (60, 22)).lines["horn"]
    assert " ".join(line.text for line in lines) == " ".join(text for _, text in words)
    cells = [(c + at, r) for (c, r), text in lines for at in range(width_of(text))]
    assert len(cells) == len(set(cells))


@given(st.text("AB ", max_size=40), st.integers(1, 30), st.integers(1, 6))
def test_blocks_keep_within_their_room_and_lose_no_word(text: str, room: int, most: int) -> None:
    for lines in shapes_of(text, room, most):
        assert " ".join(lines) == text
        assert len(lines) <= most
        assert all(width_of(line) <= room for line in lines)


@given(st.floats(20, 900), st.floats(20, 900), st.integers(20, 300), st.integers(8, 90))
def test_a_plate_is_stretched_little_and_fills_the_window_one_way(
    width: float, height: float, columns: int, rows: int
) -> None:
    window = Viewport().window(width, height, columns, rows)
    assert window.tall / (2 * window.mm) * (1 + 1e-9) >= 1 / STRETCH
    assert window.tall / (2 * window.mm) <= STRETCH * (1 + 1e-9)
    assert max(width / window.width, height / window.height) > 0.75


@pytest.mark.parametrize("front", [300.0, 5000.0])
def test_a_front_far_larger_than_the_plate_takes_no_words_their_room(front: float) -> None:
    """Nor all memory: its outline is nowhere in the window."""
    horn = {"kind": "momentary", "label": "HORN", "position": [5.0, 5.0], "hole": 1.0}
    device = Device.model_validate(
        {
            "format": 1,
            "device": {"id": "dot", "name": "Dot"},
            "plate": {"width": 10.0, "height": 10.0},
            "controls": {"horn": horn | {"front": front}},
        }
    )
    canvas = draw_whole(device, control_facts(device, None, ()), (76, 30))
    assert "HORN" in "\n".join("".join(letter for letter, _ in row) for row in canvas.rows)
