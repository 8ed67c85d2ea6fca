"""A report as one HTML page: readable by a second reader, loading nothing, inert."""

from importlib import import_module
from pathlib import Path
from typing import Any

from hypothesis import given

from profiles.drawing.cautions import POWER
from profiles.drawing.recorder import Recorder
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
    Span,
    Table,
)
from profiles.report.page import render_page
from tests.hostile import hostile_texts
from tests.needs import need_program
from tests.sheets.browser import DESKTOP, PHONE, show_page

html: Any = import_module("lxml.html")

LOADS = Table(
    (
        Column("Group", is_band=True),
        Column("load"),
        Column("current", unit="mA", digits=1, align="right"),
        Column("where", behind=2),
        Column("id", readers="machines"),
    ),
    (
        ("PINS", "pin A4", 7.44, "port F", "a4"),
        ("PINS", Cell("pin A5", strong=True), 7.95, None, "a5"),
        ("BOX", "box", 45.0, None, "box"),
    ),
    title="Loads",
    foot=(None, "sum", 60.4, None, None),
)


def tree_of(*blocks: Block, title: str = "Desk") -> Any:
    return html.fromstring(render_page(Report(title, blocks)))


def rows_of(tree: Any) -> list[list[str]]:
    return [[cell.text_content() for cell in row] for row in tree.xpath("//tbody/tr")]


def test_a_table_has_headings_bands_notes_and_a_foot() -> None:
    tree = tree_of(LOADS)
    assert tree.xpath("//thead//th[@scope='col']/text()") == ["load", "current"]
    assert rows_of(tree) == [
        ["PINS"],
        ["pin A4port F", "7.4 mA"],
        ["pin A5", "8.0 mA"],
        ["BOX"],
        ["box", "45.0 mA"],
        ["sum", "60.4 mA"],
    ]
    assert tree.xpath("//th[@scope='rowgroup']/@colspan") == ["2", "2"]
    assert tree.xpath("//small/text()") == ["port F"]
    strong = tree.xpath("//tbody//*[contains(@class, 'strong')]")
    assert [one.text_content() for one in strong] == ["pin A5", "sum", "60.4 mA"]


def test_a_lone_table_is_labelled_by_its_title_and_others_stand_under_theirs() -> None:
    alone, both = tree_of(LOADS), tree_of(LOADS, LOADS)
    assert alone.xpath("//h2") == []
    assert alone.xpath("//table/@aria-label") == ["Loads"]
    assert both.xpath("//h2/text()") == ["Loads", "Loads"]
    assert both.xpath("//h2/@id") == both.xpath("//table/@aria-labelledby")
    assert len(both.xpath("//div[@class='pair']/section")) == 2


def test_people_see_neither_facts_nor_columns_for_machines_nor_empty_tables() -> None:
    tree = tree_of(Facts({"secret": 1}), Table((Column("none"),), (), "Empty"), LOADS)
    words = tree.text_content()
    for hidden in ("secret", "a4", "none", "Empty"):
        assert hidden not in words.partition("Desk")[2].rpartition("}")[2]


def test_words_keep_their_lines_and_tones() -> None:
    tree = tree_of(
        Heading("Part"),
        Paragraph("One.\nTwo."),
        Paragraph((Span("error", "error"), Span(": wrong")), "Title"),
        Paragraph("x = 1\n  y", verbatim=True),
        Cautions((POWER,)),
    )
    assert tree.xpath("//h2/text()") == ["Part", "Title"]
    assert [one.text_content() for one in tree.xpath("//p")][:3] == ["One.", "Two.", "error: wrong"]
    assert tree.xpath("//span[@class='error']/text()") == ["error"]
    assert tree.xpath("//pre/text()") == ["x = 1\n  y"]
    assert "Unplug the USB cable" in tree.xpath("//section[@class='cautions']")[0].text_content()


@given(hostile_texts(), hostile_texts())
def test_hostile_words_stay_words(words: str, more: str) -> None:
    board = Recorder()
    board.text((0.0, 0.0), words or "x")
    tree = tree_of(
        Heading(words),
        Paragraph(more, words),
        Paragraph((Span(words, "note"), Span(more))),
        Table((Column(words), Column("b", is_band=True)), ((Cell(more, words), more),), words),
        Figure(board.finish(), more),
        title=words,
    )
    assert not tree.xpath("//script | //link | //img | //iframe | //object | //@href | //@src")
    assert not [name for name in tree.xpath("//@*") if getattr(name, "attrname", "")[:2] == "on"]


def test_a_figure_is_drawn_in_the_page_with_its_words(tmp_path: Path) -> None:
    board = Recorder()
    board.line((0.0, 0.0), (400.0, 0.0))
    page = render_page(Report("Desk", (Figure(board.finish(), "a long line"), LOADS)))
    tree = html.fromstring(page)
    assert tree.xpath("//figcaption/text()") == ["a long line"]
    assert len(tree.xpath("//figure/*[local-name()='svg']")) == 1
    found = show_page(need_program("chromium"), tmp_path, page)
    for width in (PHONE, DESKTOP):
        assert (found[width]["scroll"], found[width]["wide"]) == (width, [])
