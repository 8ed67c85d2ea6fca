"""Lists on paper: nothing cut off, nothing beyond the frame, headings on every column."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from profiles.drawing.frame import Frame
from profiles.drawing.paper import A4, A5
from profiles.drawing.recorder import Drawing
from profiles.drawing.shapes import Text
from profiles.drawing.titleblock import TitleBlock
from profiles.sheets.paper_list import SETTINGS, Cell, Column, Section, lay_out_list
from tests.hostile import hostile_texts

COLUMNS = (Column("First", 0.4), Column("Second", 0.6))
FRAME = Frame(A5.landscape, TitleBlock("List"), has_ruler=False)


def section(*entries: tuple[Cell, ...], title: str = "Table") -> Section:
    return Section(title, COLUMNS, entries)


def rows(count: int) -> Section:
    return section(*((Cell(f"control-{n}"), Cell(f"does-{n}")) for n in range(count)))


def texts(drawing: Drawing) -> list[Text]:
    return list(drawing.texts())


ENTRIES = st.lists(
    st.one_of(
        st.tuples(st.builds(Cell, hostile_texts())),
        st.tuples(
            st.builds(Cell, hostile_texts(), hostile_texts()), st.builds(Cell, hostile_texts())
        ),
    ),
    max_size=12,
)


@given(ENTRIES)
def test_every_word_is_printed_within_the_frame(entries: list[tuple[Cell, ...]]) -> None:
    """Law: the letters of all cells are on the sheets, and none beyond the room."""
    layout = lay_out_list([section(*entries)], FRAME)
    room = FRAME.room().grown(0.01)
    printed = [text for sheet in layout.sheets for text in texts(sheet.drawing)]
    for text in printed:
        assert room.left <= text.at[0]
        assert text.at[0] + text.width <= room.right + text.lettering.cap_height
        assert room.bottom <= text.at[1] <= room.top
    wanted = "".join(cell.words + cell.note for entry in entries for cell in entry)
    assert sorted("".join(wanted.split())) == sorted(
        "".join("".join(text.words for text in printed if text.words not in CAPTIONS).split())
    )


CAPTIONS = {"Table", "Table (continued)", "First", "Second"}


@pytest.mark.parametrize("count", [1, 30, 300])
def test_rows_keep_their_order_and_no_two_stand_on_one_line(count: int) -> None:
    layout = lay_out_list([rows(count)], FRAME)
    printed = [
        text for sheet in layout.sheets for text in texts(sheet.drawing) if "control-" in text.words
    ]
    assert [text.words for text in printed] == [f"control-{n}" for n in range(count)]
    places = [
        (number, text.at)
        for number, sheet in enumerate(layout.sheets)
        for text in texts(sheet.drawing)
    ]
    assert len(set(places)) == len(places)


def test_headings_stand_on_every_column() -> None:
    layout = lay_out_list([rows(300)], FRAME)
    assert len(layout.sheets) > 1
    titles = []
    for sheet in layout.sheets:
        words = [text.words for text in texts(sheet.drawing)]
        columns = len({text.at[0] for text in texts(sheet.drawing) if text.words.startswith("c")})
        titles += [word for word in words if word.startswith("Table")]
        assert words.count("First") == columns
    assert titles[0] == "Table"
    assert set(titles[1:]) == {"Table (continued)"}


def test_a_heading_stays_with_the_row_after_it() -> None:
    entries: list[tuple[Cell, ...]] = []
    for number in range(60):
        entries += [(Cell(f"HEADING {number}"),), (Cell(f"row-{number}"), Cell(""))]
    layout = lay_out_list([section(*entries)], FRAME)
    printed = [
        (page, text) for page, sheet in enumerate(layout.sheets) for text in texts(sheet.drawing)
    ]
    where = {text.words: (page, text.at[0]) for page, text in printed}
    for number in range(60):
        assert where[f"HEADING {number}"] == where[f"row-{number}"]


def test_letters_shrink_to_keep_one_page_and_no_further() -> None:
    def size(count: int) -> float:
        (sheet, *_) = lay_out_list(
            [rows(count)], Frame(A4, TitleBlock("List"), has_ruler=False)
        ).sheets
        return next(
            text.lettering.cap_height for text in texts(sheet.drawing) if text.words == "does-0"
        )

    assert size(10) == SETTINGS[0][0]
    assert size(140) == SETTINGS[-1][0]
    assert size(1000) == SETTINGS[0][0]


def test_a_row_higher_than_the_page_goes_on_in_the_next_column() -> None:
    layout = lay_out_list([section((Cell("word " * 300), Cell("")))], FRAME)
    words = [text.words for sheet in layout.sheets for text in texts(sheet.drawing)]
    assert " ".join(word for word in words if word not in CAPTIONS).split() == ["word"] * 300
