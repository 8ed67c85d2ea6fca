"""Reports on paper: nothing beyond the border, nothing lost in silence, headings on every lane."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from profiles.drawing.cautions import POWER
from profiles.drawing.frame import Frame
from profiles.drawing.layout import Layout, Sheet
from profiles.drawing.paper import A4, A5, Paper
from profiles.drawing.recorder import Recorder
from profiles.drawing.shapes import Text
from profiles.drawing.titleblock import TitleBlock
from profiles.report.document import (
    Block,
    Cautions,
    Cell,
    Column,
    Facts,
    Figure,
    Heading,
    Paragraph,
    Report,
    Table,
    Value,
)
from profiles.report.paper import TO_FIT, column_widths, lay_out
from tests.hostile import hostile_texts

FRAME = Frame(A5, TitleBlock("Lists", scale="none"), has_ruler=False)
TWO_LANES = Frame(A5.landscape, TitleBlock("List"), has_ruler=False)
WORDS = st.text(st.characters(codec="latin-1", categories=["L", "N"]), max_size=40)
COLUMNS = (Column("First", wraps=True), Column("Second", wraps=True))
CAPTIONS = {"Table", "Table (continued)", "First", "Second"}


def flow(*blocks: Block, frame: Frame = FRAME) -> Layout:
    return lay_out(Report("Lists", blocks), frame)


def as_list(*blocks: Block, frame: Frame = TWO_LANES) -> Layout:
    return lay_out(Report("List", blocks), frame, lanes=0, to_fit=TO_FIT)


def table(*rows: tuple[Value, ...]) -> Table:
    return Table(COLUMNS, rows, "Table")


def rows(count: int) -> Table:
    return table(*((f"control-{n}", f"does-{n}") for n in range(count)))


def texts(layout: Layout) -> list[Text]:
    return [text for sheet in layout.sheets for text in sheet.drawing.texts()]


def words_of(sheet: Sheet) -> list[str]:
    return [text.words for text in sheet.drawing.texts()]


def test_a_table_that_goes_on_repeats_its_heading() -> None:
    many = tuple((str(number), f"row {number}") for number in range(80))
    sheets = flow(Table((Column("no."), Column("what")), many, "Rows")).sheets

    assert len(sheets) > 1
    assert words_of(sheets[0])[:3] == ["Rows", "no.", "what"]
    assert words_of(sheets[1])[:3] == ["Rows (continued)", "no.", "what"]
    shown = [words for sheet in sheets for words in words_of(sheet) if words.startswith("row ")]
    assert shown == [row[1] for row in many]


def test_a_heading_does_not_stand_alone_at_the_foot() -> None:
    for count in range(26, 40):
        filler = Table((Column("a"),), tuple((str(n),) for n in range(count)), "First")
        second = Table((Column("b"),), (("last",),), "Second")
        sheets = flow(filler, Heading("Part"), second).sheets
        page = next(words for words in map(words_of, sheets) if "Part" in words)
        assert page[page.index("Part") :] == ["Part", "Second", "b", "last"]


@settings(max_examples=60)
@given(
    st.lists(st.tuples(WORDS, WORDS, WORDS), max_size=40), st.sampled_from([A4, A5]), st.booleans()
)
def test_words_stay_within_the_border(
    some: list[tuple[str, str, str]], paper: Paper, wraps: bool
) -> None:
    frame = Frame(paper, TitleBlock("Lists"), has_ruler=False)
    two, three = Column("two", align="right"), Column("three", align="middle")
    columns = (Column("one", wraps=wraps), two, three)
    layout = flow(Table(columns, tuple(some), "Table"), Paragraph("The end."), frame=frame)

    room = frame.room().grown(0.5)
    for text in texts(layout):
        xs, ys = zip(*text.cap_corners(), strict=True)
        assert room.left <= min(xs)
        assert max(xs) <= room.right
        assert room.bottom <= min(ys)
        assert max(ys) <= room.top


@given(st.lists(st.tuples(WORDS, WORDS), min_size=1, max_size=20), st.floats(60, 250))
def test_columns_never_take_more_than_the_room(some: list[tuple[str, str]], room: float) -> None:
    columns = (Column("a", wraps=True), Column("b"))
    assert sum(column_widths(Table(columns, tuple(some)), room)) + 4.0 <= room + 1e-6


def test_what_is_cut_is_told() -> None:
    wide = "x" * 300
    losses = flow(Table((Column("a"),), ((wide,),))).losses

    assert [loss.kind for loss in losses] == ["text"]
    assert losses[0].message.startswith('a table shows "xxx')
    assert losses[0].message.endswith(f'…" for "{wide}"')


def test_a_long_word_is_broken_after_a_joint() -> None:
    word = "channel.anticlockwise-again-and-again-" * 3
    layout = flow(table((word, "x" * 60)))
    printed = [text.words for text in texts(layout) if text.words not in CAPTIONS]
    assert "".join(printed).replace("x", "") == word
    assert all(part.endswith((".", "-")) for part in printed if "x" not in part)


def test_a_narrow_table_wraps_its_headings() -> None:
    columns = tuple(Column("several words of heading") for _ in range(6))
    layout = flow(Table(columns, (("1",) * 6,)))

    assert layout.losses == ()
    assert words_of(layout.sheets[0]).count("several") == 6


def test_a_table_too_wide_goes_on_below_with_its_first_column() -> None:
    columns = (Column("no."), *(Column(f"column {n}", least=40.0) for n in range(5)))
    (sheet,) = flow(Table(columns, (("1", *"abcde"),), "Wide")).sheets
    words = words_of(sheet)
    assert [one for one in words if one.startswith("Wide")] == [
        "Wide (1 to 2 of 5)",
        "Wide (3 to 4 of 5)",
        "Wide (5 of 5)",
    ]
    assert words.count("no.") == words.count("1") == 3
    assert [one for one in words if one in set("abcde")] == list("abcde")


def test_a_paragraph_is_wrapped_under_its_title() -> None:
    words = words_of(flow(Paragraph("word " * 60, title="Note")).sheets[0])
    assert words[0] == "Note"
    assert " ".join(words[1:]).split() == ["word"] * 60


CELLS = st.builds(Cell, hostile_texts(), hostile_texts(), st.booleans())


@given(st.lists(st.tuples(CELLS, CELLS), max_size=12))
def test_every_word_of_columns_that_wrap_is_printed_within_the_frame(
    some: list[tuple[Cell, Cell]],
) -> None:
    """Law: the letters of all cells are on the sheets, and none beyond the room."""
    layout = as_list(table(*some))
    room = TWO_LANES.room().grown(0.01)
    printed = texts(layout)
    for text in printed:
        assert room.left <= text.at[0]
        assert text.at[0] + text.width <= room.right + text.lettering.cap_height
        assert room.bottom <= text.at[1] <= room.top
    wanted = "".join(cell.words + cell.note for row in some for cell in row)
    assert sorted("".join(wanted.split())) == sorted(
        "".join("".join(text.words for text in printed if text.words not in CAPTIONS).split())
    )


@pytest.mark.parametrize("count", [1, 30, 300])
def test_rows_keep_their_order_and_no_two_stand_on_one_line(count: int) -> None:
    layout = as_list(rows(count))
    printed = [text.words for text in texts(layout) if "control-" in text.words]
    assert printed == [f"control-{n}" for n in range(count)]
    places = [
        (number, text.at)
        for number, sheet in enumerate(layout.sheets)
        for text in sheet.drawing.texts()
    ]
    assert len(set(places)) == len(places)


def test_headings_stand_on_every_lane() -> None:
    layout = as_list(rows(300))
    assert len(layout.sheets) > 1
    titles = []
    for sheet in layout.sheets:
        words = words_of(sheet)
        lanes = {text.at[0] for text in sheet.drawing.texts() if text.words.startswith("c")}
        titles += [word for word in words if word.startswith("Table")]
        assert words.count("First") == len(lanes)
    assert titles[0] == "Table"
    assert set(titles[1:]) == {"Table (continued)"}


def test_a_band_stands_above_its_rows_where_it_changes() -> None:
    columns = (Column("Group", is_band=True), *COLUMNS)
    some = tuple((f"GROUP {n // 2}", f"row-{n}", "") for n in range(120))
    layout = as_list(Table(columns, some, "Table"))
    where = {
        text.words: (page, text.at[0])
        for page, sheet in enumerate(layout.sheets)
        for text in sheet.drawing.texts()
    }
    printed = [text.words for text in texts(layout)]
    for number in range(60):
        assert where[f"GROUP {number}"] == where[f"row-{2 * number}"]
        assert printed.count(f"GROUP {number}") == 1
    assert "Group" not in where


def test_a_note_stands_behind_the_words_of_the_column_before() -> None:
    columns = (Column("Does", wraps=True), Column("Where", behind=1))
    page = as_list(Table(columns, (("Ring", "sailing"), ("Stop", None))), frame=FRAME)
    words = [text.words for text in texts(page)]
    assert words == ["Does", "Ring", "sailing", "Stop"]
    _, ring, note, _ = texts(page)
    assert (note.at[1], note.at[0] > ring.at[0] + ring.width) == (ring.at[1], True)


def test_letters_shrink_to_keep_one_sheet_and_no_further() -> None:
    def size(count: int) -> float:
        layout = as_list(rows(count), frame=Frame(A4, TitleBlock("List"), has_ruler=False))
        return next(one.lettering.cap_height for one in texts(layout) if one.words == "does-0")

    assert size(10) == TO_FIT[0].size
    assert size(140) == TO_FIT[-1].size
    assert size(1000) == TO_FIT[0].size


def test_a_row_higher_than_the_page_goes_on_in_the_next_lane() -> None:
    layout = as_list(table(("word " * 300, "")))
    words = [text.words for text in texts(layout)]
    assert " ".join(word for word in words if word not in CAPTIONS).split() == ["word"] * 300


def test_a_figure_is_drawn_true_to_scale_or_as_wide_as_the_lane() -> None:
    for wide, drawn in ((50.0, 50.0), (400.0, FRAME.room().width)):
        board = Recorder()
        board.line((-10.0, 5.0), (wide - 10.0, 5.0))
        (sheet,) = flow(Figure(board.finish(), "a line"), Facts({"a": 1})).sheets
        bounds = sheet.drawing.bounds()
        assert bounds is not None
        assert bounds.width == pytest.approx(drawn, abs=0.3)
        assert words_of(sheet) == ["a line"]
        assert bounds.top <= FRAME.room().top


def test_cautions_stand_at_the_foot_of_every_sheet() -> None:
    sheets = flow(rows(100), Cautions((POWER,))).sheets
    assert len(sheets) > 1
    assert {sheet.frame.cautions for sheet in sheets} == {(POWER,)}
