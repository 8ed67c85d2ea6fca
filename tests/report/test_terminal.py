"""A report on a terminal: aligned, wrapped where there is a width, harmless whatever it holds."""

from hypothesis import given
from hypothesis import strategies as st

from profiles.report.document import Cell, Column, Facts, Heading, Paragraph, Report, Span, Table
from profiles.report.terminal import render_table, render_text
from profiles.text.cells import width_of
from tests.hostile import hostile_texts

LOADS = Table(
    (
        Column("load", wraps=True),
        Column("current", unit="mA", digits=1, align="right"),
        Column("id", readers="machines"),
        Column("limit", unit="mA"),
    ),
    (("pin A4", 7.44, "a4", 20.0), ("the whole box", 115.4, "box", None)),
    title="Loads",
)


def test_a_report_reads_from_its_title_down() -> None:
    report = Report(
        "Desk (desk)",
        (Heading("Power"), LOADS, Facts({"hidden": 1}), Paragraph("Nothing else.\nReally.")),
        subtitle="from 1 file",
    )
    assert render_text(report) == (
        "Desk (desk)\n"
        "from 1 file\n"
        "\n"
        "Power\n"
        "\n"
        "load            current  limit\n"
        "-------------  --------  -----\n"
        "pin A4           7.4 mA  20 mA\n"
        "the whole box  115.4 mA\n"
        "\n"
        "Nothing else.\n"
        "Really.\n"
    )


def test_each_of_several_tables_has_its_title() -> None:
    text = render_text(Report("", (LOADS, LOADS)))
    assert text.startswith("LOADS\nload ")
    assert text.count("\n\nLOADS\n") == 1


def test_a_titled_paragraph_is_indented_and_wrapped() -> None:
    """88 letters a line at most, whatever the width; a verbatim one keeps its lines."""
    words = "word " * 40
    text = render_text(Report("", (Paragraph(words.strip(), title="What"),)), width=200)
    head, *lines = text.splitlines()
    assert head == "What"
    assert [line[:2] for line in lines] == ["  "] * len(lines)
    assert max(map(len, lines)) <= 88
    assert " ".join(lines).split() == ["word"] * 40
    code = Paragraph("x = 1" + " " * 90 + "# here\n\ny = 2", title="Example", verbatim=True)
    assert render_text(Report("", (code,)), width=40) == (
        "Example\n  x = 1" + " " * 90 + "# here\n\n  y = 2\n"
    )


def test_a_narrow_terminal_wraps_cells_that_may_and_only_those() -> None:
    table = Table(
        (Column("pin"), Column("used for", wraps=True)),
        (("A0", "the clockwise contact of the trim wheel"), ("A1", "-")),
    )
    assert render_table(table, width=30) == (
        "pin  used for\n"
        "---  -------------------------\n"
        "A0   the clockwise contact of\n"
        "     the trim wheel\n"
        "A1   -"
    )


def test_a_table_too_wide_for_the_terminal_goes_on_below_with_its_first_columns() -> None:
    heads = [f"heading-{n}" for n in range(6)]
    table = Table(tuple(map(Column, ["no.", *heads])), (("1", *"abcdef"),))
    first, second = render_table(table, width=40).split("\n\n")
    assert first.splitlines()[0].split() == ["no.", *heads[:3]]
    assert second.splitlines()[0].split() == ["no.", *heads[3:]]
    assert first.splitlines()[2].split() == ["1", "a", "b", "c"]
    assert second.splitlines()[2].split() == ["1", "d", "e", "f"]


def test_colour_adds_only_colour() -> None:
    report = Report(
        "Title",
        (
            Heading("Part"),
            Paragraph((Span("9:1 "), Span("error", "error"), Span(": wrong"))),
            Table((Column("a"),), (("x",), ("y",)), strong=frozenset({1})),
        ),
    )
    plain, coloured = render_text(report), render_text(report, colour=True)
    assert "\x1b[1;31merror\x1b[0m: wrong" in coloured
    for code in ("\x1b[1;31m", "\x1b[1m", "\x1b[0m"):
        coloured = coloured.replace(code, "")
    assert coloured == plain


def test_a_note_stands_in_brackets_behind_its_cell() -> None:
    table = Table((Column("does"),), ((Cell("Gong", "usually HORN"),),))
    assert render_table(table).splitlines()[-1] == "Gong (usually HORN)"


def test_columns_without_headings_have_no_rule() -> None:
    table = Table((Column(""), Column("")), (("board-unknown", "error"), ("x", "note")))
    assert render_table(table) == "board-unknown  error\nx              note"


def test_wide_letters_take_two_columns_and_marks_none() -> None:
    """Unicode Standard Annex 11: W and F are wide; combining marks sit on their letter."""
    assert width_of("田中") == 4
    assert width_of("ｑ") == 2
    assert width_of("e\u0301") == 1
    assert width_of("żółć") == 4
    assert width_of("👩\u200d👩\ufe0f") == 4


ROWS = st.lists(st.tuples(hostile_texts(), hostile_texts()), max_size=6)


@given(ROWS)
def test_without_a_width_every_row_is_one_line(rows: list[tuple[str, str]]) -> None:
    lines = render_table(Table((Column("First"), Column("Second")), tuple(rows))).split("\n")
    assert len(lines) == len(rows) + 2
    assert all(letter >= " " and letter != "\x7f" for line in lines for letter in line)


@given(ROWS, st.integers(24, 80))
def test_wrapped_cells_keep_every_letter_within_the_width(
    rows: list[tuple[str, str]], width: int
) -> None:
    columns = (Column("First", wraps=True), Column("Second", wraps=True))
    whole = render_table(Table(columns, tuple(rows)))
    wrapped = render_table(Table(columns, tuple(rows)), width=width)
    assert all(width_of(line) <= width for line in wrapped.split("\n"))

    def letters(text: str) -> list[str]:
        return sorted("".join(text.replace("-", "").split()))

    assert letters(wrapped) == letters(whole)


@given(hostile_texts(), hostile_texts(), st.one_of(st.none(), st.integers(20, 90)))
def test_hostile_words_are_inert_everywhere(words: str, more: str, width: int | None) -> None:
    report = Report(
        words,
        (
            Heading(words),
            Paragraph(more, title=words),
            Paragraph((Span(words, "error"), Span(more))),
            Paragraph(words, verbatim=True),
            Table((Column(words, wraps=True),), ((Cell(words, more),), (more,)), title=words),
            Table((Column("x"),), ()),
        ),
        subtitle=more,
    )
    text = render_text(report, width=width)
    assert all(letter >= " " and letter != "\x7f" for letter in text.replace("\n", ""))
    for letter in "\u202e\u2066\u200b\u2028":
        assert letter not in text
