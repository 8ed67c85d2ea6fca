"""Large drawings over several sheets: nothing lost, crosses meet, empty parts are said."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from profiles.drawing import weights
from profiles.drawing.cautions import DRILLING
from profiles.drawing.frame import Frame
from profiles.drawing.geometry import Box, moved
from profiles.drawing.layout import bind, lay_out, renumber
from profiles.drawing.paper import A4, A5, LETTER, Paper
from profiles.drawing.pdf import write_pdf
from profiles.drawing.recorder import Drawing, Recorder
from profiles.drawing.shapes import Circle, Text
from profiles.drawing.style import Lettering
from profiles.drawing.surface import Loss
from profiles.drawing.tiling import Tile, draw_tile, split
from profiles.drawing.titleblock import TitleBlock
from tests.drawing.pdf_reader import PdfReader


def panel(width: float, height: float) -> Drawing:
    board = Recorder()
    board.rectangle(Box(0, 0, width, height), weights.OUTLINE)
    board.circle((60, 60), 30, weights.HOLE)
    return board.finish()


sizes = st.tuples(st.floats(61, 1500), st.floats(61, 1500))


@given(sizes, st.sampled_from([6.0, 12.0, 20.0]))
def test_tiles_cover_the_drawing_and_neighbours_share_the_overlap_or_more(
    size: tuple[float, float], overlap: float
) -> None:
    drawing = panel(*size)
    tiling = split(drawing, 180, 240, overlap)
    ink = drawing.ink_bounds()
    assert ink is not None
    assert tiling.view.holds(ink, slack=1e-6)
    for tile in tiling.tiles:
        assert tile.view.width <= 180 + 1e-6
        assert tile.view.height <= 240 + 1e-6
        right = tiling.at(tile.row, tile.column + 1)
        below = tiling.at(tile.row + 1, tile.column)
        if right:
            assert tile.view.right - right.view.left >= overlap - 1e-6
        if below:
            assert below.view.top - tile.view.bottom >= overlap - 1e-6


@given(sizes)
def test_no_more_tiles_than_the_length_asks_for(size: tuple[float, float]) -> None:
    tiling = split(panel(*size), 180, 240, 12)
    columns = max(tile.column for tile in tiling.tiles) + 1
    covered_by_fewer = 180 * (columns - 1) - 12 * (columns - 2) if columns > 1 else 0
    assert covered_by_fewer < size[0] + 0.5 + 1e-6


@given(sizes)
def test_a_tile_holds_what_reaches_into_it_and_nothing_else(size: tuple[float, float]) -> None:
    drawing = panel(*size)
    for tile in split(drawing, 180, 240).tiles:
        reaches = [entry.shape.ink_bounds().meets(tile.view) for entry in drawing.entries]
        assert [entry in tile.entries for entry in drawing.entries] == reaches


@given(sizes)
def test_every_cross_stands_on_two_or_four_sheets_whole(size: tuple[float, float]) -> None:
    tiling = split(panel(*size), 180, 240)
    for x, y in tiling.crosses:
        whole = Box(x - 3, y - 3, x + 3, y + 3)
        sharing = [tile for tile in tiling.tiles if tile.view.holds(whole)]
        assert len(sharing) == 2


@settings(max_examples=25)
@given(sizes)
def test_crosses_are_drawn_at_the_same_place_of_the_drawing_on_both_sheets(
    size: tuple[float, float],
) -> None:
    tiling = split(panel(*size), 180, 240)
    seen: dict[tuple[float, float], int] = {}
    for tile in tiling.tiles:
        board = Recorder()
        draw_tile(board, tiling, tile, (14, 40))
        back = board.finish().on_layers(["registration"])
        back = back.transformed(moved(tile.view.left - 14, tile.view.bottom - 40))
        for entry in back.entries:
            if isinstance(entry.shape, Circle):
                place = (round(entry.shape.centre[0], 6), round(entry.shape.centre[1], 6))
                seen[place] = seen.get(place, 0) + 1
    assert set(seen.values()) <= {2}
    assert sorted(seen) == [pytest.approx(at, abs=1e-5) for at in tiling.crosses]


def test_tiles_are_named_by_row_letter_and_column_number() -> None:
    view = Box(0, 0, 1, 1)
    names = [Tile(row, 0, view).name for row in (0, 1, 7, 8, 13, 14, 23, 24, 25)]
    assert names == ["A1", "B1", "H1", "J1", "P1", "Q1", "Z1", "AA1", "AB1"]
    assert Tile(1, 11, view).name == "B12"


@pytest.mark.parametrize("overlap", [0.0, 5.9, 90.0])
def test_an_overlap_without_room_for_a_cross_or_for_news_is_refused(overlap: float) -> None:
    with pytest.raises(ValueError, match="overlap must be 6 mm or more and less than half a tile"):
        split(panel(500, 500), 180, 240, overlap)


def test_a_drawing_that_fits_is_one_sheet_at_true_scale() -> None:
    layout = lay_out(panel(150, 120), Frame(A4, TitleBlock("Helm desk")))
    (sheet,) = layout.sheets
    assert layout.losses == ()
    bounds = sheet.drawing.bounds()
    assert bounds is not None
    assert (bounds.width, bounds.height) == pytest.approx((150, 120))
    assert sheet.frame.room().holds(bounds)


def test_paper_is_turned_where_that_makes_a_drawing_fit() -> None:
    frame = Frame(A4, TitleBlock("Helm desk"))
    (turned,) = lay_out(panel(240, 120), frame).sheets
    assert (turned.frame.paper.width, turned.frame.paper.height) == (297.0, 210.0)
    assert len(lay_out(panel(240, 120), frame, may_turn=False).sheets) > 1


def test_empty_parts_are_not_printed_but_said_and_on_the_map() -> None:
    layout = lay_out(panel(700, 500), Frame(LETTER, TitleBlock("Wide panel")))
    messages = ["part B2 is empty and not printed", "part B3 is empty and not printed"]
    assert layout.losses == tuple(Loss("sheet", message) for message in messages)
    names = [sheet.name for sheet in layout.sheets]
    assert names == ["map", "A1", "A2", "A3", "A4", "B1", "B4", "C1", "C2", "C3", "C4"]
    on_map = [text.words for text in layout.sheets[0].drawing.texts()]
    assert {"A1", "B2", "B3", "C4"} <= set(on_map)
    assert on_map.count("empty, not printed") == 2
    assert "700 mm" in " ".join(on_map)


def test_lines_that_belong_to_words_are_on_the_parts_and_not_on_the_map() -> None:
    board = Recorder()
    board.rectangle(Box(0, 0, 300, 200), weights.OUTLINE)
    with board.layer("legends"):
        board.text((40, 50), "HORN")
        board.line((40, 49), (52, 49), weights.GUIDE)
    with board.layer("holes"):
        board.circle((40, 30), 16, weights.HOLE)
    joining, *parts = lay_out(board.finish(), Frame(A4, TitleBlock("Helm desk"))).sheets

    assert joining.drawing.on_layers(["holes"]).entries
    assert not joining.drawing.on_layers(["legends"]).entries
    assert any(len(part.drawing.on_layers(["legends"]).entries) == 2 for part in parts)


def test_sheets_are_numbered_across_layouts() -> None:
    frame = Frame(A4, TitleBlock("Helm desk"))
    sheets = [*lay_out(panel(100, 100), frame).sheets, *lay_out(panel(80, 80), frame).sheets]
    document, losses = bind(sheets, title="Helm desk")
    numbers = [[text.words for text in page.drawing.texts()] for page in document.pages]
    assert losses == ()
    assert ["1 of 2" in words for words in numbers] == [True, False]
    assert ["2 of 2" in words for words in numbers] == [False, True]


def test_pages_of_several_documents_are_numbered_through_and_no_other_words_change() -> None:
    block = TitleBlock("1 of 2", "2 of 2", "1 of 1", details=(("Revision", "1 of 3"),))
    documents = [bind(lay_out(panel(80, 80), Frame(A4, block)).sheets)[0] for _ in range(2)]
    pages = renumber([page for document in documents for page in document.pages])
    words = [[one.words for one in page.drawing.texts() if " of " in one.words] for page in pages]
    others = ["1 of 1", "1 of 2", "1 of 3", "2 of 2"]
    assert [sorted(one) for one in words] == [sorted([f"{n} of 2", *others]) for n in (1, 2)]


@pytest.mark.parametrize("paper", [A4, A5, LETTER], ids=lambda paper: paper.name)
def test_a_plate_over_several_sheets_measures_true_on_the_joined_paper(paper: Paper) -> None:
    """Each hole is found by PDFium on a sheet, carried back by the tile's place, and compared."""
    board = Recorder()
    holes = [(20.0 + 37 * column, 25.0 + 50 * row) for column in range(11) for row in range(6)]
    for at in holes:
        board.circle(at, 16.2, weights.HOLE)
    drawing = board.finish()
    layout = lay_out(drawing, Frame(paper, TitleBlock("Panel"), (DRILLING,)), may_turn=False)
    document, _ = bind(layout.sheets)
    reader = PdfReader(write_pdf(document).data)
    room = layout.sheets[1].frame.room()
    tiling = split(drawing, room.width, room.height)
    printed = [tile for tile in tiling.tiles if not tile.empty]
    found = set()
    for page, tile in enumerate(printed, 1):
        for path in reader.paths(page):
            if path.width == pytest.approx(16.2, abs=0.05) and len(path.ends) > 6:
                x = path.centre[0] - room.left + tile.view.left
                y = path.centre[1] - room.bottom + tile.view.bottom
                found.add((round(x, 1), round(y, 1)))
    assert found == {(round(x, 1), round(y, 1)) for x, y in holes}


def test_texts_of_neighbours_tell_which_sheet_joins() -> None:
    tiling = split(panel(700, 500), 180, 240)
    middle = tiling.at(1, 0)
    assert middle is not None
    board = Recorder()
    draw_tile(board, tiling, middle, (0, 0))
    words = [entry.shape.words for entry in board.finish().entries if isinstance(entry.shape, Text)]
    assert sorted(words) == ["joins A1", "joins B2 (empty)", "joins C1"]


def test_a_line_across_an_otherwise_empty_tile_counts() -> None:
    board = Recorder()
    board.rectangle(Box(0, 0, 500, 500), weights.OUTLINE)
    board.line((0, 0), (500, 500))
    empties = [tile.name for tile in split(board.finish(), 180, 180).tiles if tile.empty]
    assert empties == []


@settings(max_examples=60, deadline=None)
@given(
    st.lists(st.tuples(st.floats(15, 585), st.floats(15, 385), st.floats(5, 30)), max_size=40),
    st.sampled_from([6.0, 12.0]),
)
def test_every_circle_is_whole_on_a_tile(
    circles: list[tuple[float, float, float]], overlap: float
) -> None:
    board = Recorder()
    board.rectangle(Box(0, 0, 600, 400), weights.OUTLINE)
    for x, y, diameter in circles:
        board.circle((x, y), diameter, weights.HOLE)
    tiling = split(board.finish(), 180, 160, overlap)
    for x, y, diameter in circles:
        ink = Box(x, y, x, y).grown(diameter / 2)
        assert any(tile.view.holds(ink, slack=1e-5) for tile in tiling.tiles)


@pytest.mark.parametrize(("width", "height"), [(182.0, 170.0), (269.0, 150.0), (120.0, 130.0)])
def test_seams_pass_between_the_controls_of_a_plate(width: float, height: float) -> None:
    """Holes of 16 mm stand 30 mm apart, words of 20 mm over them."""
    board = Recorder()
    board.rectangle(Box(0, 0, 500, 320), weights.OUTLINE)
    for column in range(15):
        for row in range(9):
            at = (30 + 31.0 * column, 30 + 31.0 * row)
            board.circle(at, 16.0, weights.HOLE)
            board.text((at[0], at[1] + 10.0), "GENERATOR", Lettering(2.6), anchor="middle")
    tiling = split(board.finish(), width, height)
    boxes = [entry.shape.ink_bounds() for entry in tiling.drawing.entries[1:]]
    assert tiling.seams_across
    assert tiling.seams_up
    assert not [box for box in boxes for x in tiling.seams_across if box.left < x < box.right]
    assert not [box for box in boxes for y in tiling.seams_up if box.bottom < y < box.top]


def test_cautions_take_room_on_the_map_alone() -> None:
    layout = lay_out(panel(700, 500), Frame(A4, TitleBlock("Wide panel"), (DRILLING,)))
    assert [bool(sheet.frame.cautions) for sheet in layout.sheets[:3]] == [True, False, False]


def test_lists_stand_under_the_map_where_they_have_room() -> None:
    board = Recorder()
    board.text((14, 0), "LIST", Lettering(2.0))
    frame = Frame(A4, TitleBlock("Wide panel"))
    layout = lay_out(panel(500, 300), frame, foot=board.finish())
    assert layout.has_foot
    words = {text.words: text for text in layout.sheets[0].drawing.texts()}
    low = frame.room().bottom
    assert words["LIST"].ink_bounds().bottom == pytest.approx(low)
    assert all(one.ink_bounds().bottom > low + 8 for key, one in words.items() if key != "LIST")
