"""Tables on paper: nothing beyond the border, nothing lost in silence."""

from hypothesis import given, settings
from hypothesis import strategies as st

from profiles.drawing.frame import Frame
from profiles.drawing.layout import Sheet
from profiles.drawing.paper import A4, A5
from profiles.drawing.style import Lettering
from profiles.drawing.tables import Column, Paragraph, Table, column_widths, flow, wrap_cell
from profiles.drawing.titleblock import TitleBlock

FRAME = Frame(A5, TitleBlock("Lists", scale="none"), has_ruler=False)
WORDS = st.text(st.characters(codec="latin-1", categories=["L", "N"]), max_size=40)


def words_of(sheet: Sheet) -> list[str]:
    return [text.words for text in sheet.drawing.texts()]


def test_a_table_that_goes_on_repeats_its_heading() -> None:
    rows = tuple((str(number), f"row {number}") for number in range(80))
    sheets, losses = flow([Table("Rows", (Column("no."), Column("what")), rows)], FRAME)

    assert losses == ()
    assert len(sheets) > 1
    assert words_of(sheets[0])[:3] == ["Rows", "no.", "what"]
    assert words_of(sheets[1])[:3] == ["Rows (continued)", "no.", "what"]
    shown = [words for sheet in sheets for words in words_of(sheet) if words.startswith("row ")]
    assert shown == [row[1] for row in rows]


def test_a_heading_does_not_stand_alone_at_the_foot() -> None:
    filler = Table("First", (Column("a"),), tuple((str(n),) for n in range(30)))
    sheets, _ = flow([filler, Table("Second", (Column("b"),), (("last",),))], FRAME)

    page = next(words for words in map(words_of, sheets) if "Second" in words)
    assert page[page.index("Second") :] == ["Second", "b", "last"]


@settings(max_examples=60)
@given(
    st.lists(st.tuples(WORDS, WORDS, WORDS), max_size=40), st.sampled_from([A4, A5]), st.booleans()
)
def test_words_stay_within_the_border(
    rows: list[tuple[str, str, str]], paper: object, wraps: bool
) -> None:
    frame = Frame(paper, TitleBlock("Lists"), has_ruler=False)  # type: ignore[arg-type]
    columns = (Column("one", wraps=wraps), Column("two", "right"), Column("three", "middle"))
    sheets, _ = flow([Table("Table", columns, tuple(rows)), Paragraph("The end.")], frame)

    room = frame.room().grown(0.5)
    for sheet in sheets:
        for text in sheet.drawing.texts():
            xs, ys = zip(*text.cap_corners(), strict=True)
            assert room.left <= min(xs)
            assert max(xs) <= room.right
            assert room.bottom <= min(ys)
            assert max(ys) <= room.top


@given(st.lists(st.tuples(WORDS, WORDS), min_size=1, max_size=20), st.floats(60, 250))
def test_columns_never_take_more_than_the_room(rows: list[tuple[str, str]], room: float) -> None:
    table = Table("T", (Column("a", wraps=True), Column("b")), tuple(rows))
    assert sum(column_widths(table, room)) + 4.0 <= room + 1e-6


def test_what_is_cut_is_told() -> None:
    wide = "x" * 300
    _, losses = flow([Table("Wide", (Column("a"),), ((wide,),))], FRAME)

    assert [loss.kind for loss in losses] == ["text"]
    assert losses[0].message.startswith('a table shows "xxx')
    assert losses[0].message.endswith(f'…" for "{wide}"')


@given(WORDS, st.floats(8, 60))
def test_a_wrapped_cell_keeps_every_letter(words: str, room: float) -> None:
    lines = wrap_cell(words, room, Lettering(2.0))
    assert "".join("".join(lines).split()) == "".join(words.split())


def test_a_long_word_is_broken_after_a_joint() -> None:
    lettering = Lettering(2.0)
    room = lettering.width("channel.anti")
    assert wrap_cell("channel.anticlockwise-again", room * 0.7, lettering)[0] == "channel."


def test_a_narrow_table_wraps_its_headings() -> None:
    columns = tuple(Column("several words of heading") for _ in range(6))
    sheets, losses = flow([Table("T", columns, (("1",) * 6,))], FRAME)

    assert losses == ()
    assert words_of(sheets[0]).count("several") == 6


def test_a_paragraph_is_wrapped_under_its_title() -> None:
    sheets, _ = flow([Paragraph("word " * 60, title="Note")], FRAME)

    words = words_of(sheets[0])
    assert words[0] == "Note"
    assert " ".join(words[1:]).split() == ["word"] * 60
