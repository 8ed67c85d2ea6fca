"""Ruler, title block, cautions, frame and fitted words."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from profiles.drawing import cautions as cautions_room
from profiles.drawing.cautions import CLOSING, DRILLING, POWER, SOLDERING, cautions_height
from profiles.drawing.document import Document, Page
from profiles.drawing.fitting import NARROWEST, SMALLEST, fit_line, wrap_lines
from profiles.drawing.frame import Frame
from profiles.drawing.geometry import Box
from profiles.drawing.paper import A3, A4, A5, LEGAL, LETTER, Paper
from profiles.drawing.recorder import Recorder
from profiles.drawing.ruler import WORDS, draw_ruler
from profiles.drawing.style import Lettering
from profiles.drawing.surface import Loss
from profiles.drawing.titleblock import TitleBlock, draw_title_block
from profiles.drawing.weights import chain, dashed, double_chain
from profiles.lettering import BOLD

PAPERS = [A3, A4, A5, LETTER, LEGAL, A5.landscape, A4.landscape]
ALL_CAUTIONS = (DRILLING, SOLDERING, POWER)


def words_of(board: Recorder) -> list[str]:
    return [text.words for text in board.finish().texts()]


@given(st.text(st.characters(codec="utf-8"), max_size=60), st.floats(5, 120), st.floats(1.8, 8))
def test_a_fitted_line_stays_in_its_room_and_never_below_the_smallest_letters(
    words: str, room: float, height: float
) -> None:
    fitted = fit_line(words, room, Lettering(height))
    assert fitted.lettering.width(fitted.words) <= room + 1e-6
    assert fitted.lettering.cap_height >= min(SMALLEST, height)
    assert NARROWEST <= fitted.lettering.condense <= 1
    assert fitted.cut or fitted.words == words


def test_a_line_is_condensed_before_it_is_shrunk_and_shrunk_before_it_is_cut() -> None:
    lettering = Lettering(4.0)
    natural = lettering.width("Harbour Pilot")
    assert fit_line("Harbour Pilot", natural, lettering).lettering == lettering
    narrow = fit_line("Harbour Pilot", natural * 0.8, lettering)
    assert narrow.lettering.cap_height == 4.0
    assert narrow.lettering.condense == pytest.approx(0.8)
    small = fit_line("Harbour Pilot", natural * 0.6, lettering)
    assert small.lettering.condense == NARROWEST
    assert small.lettering.cap_height == pytest.approx(4.0 * 0.6 / 0.75)
    cut = fit_line("Harbour Pilot", natural * 0.2, lettering)
    assert (cut.cut, cut.words[-1]) == (True, "…")


@given(st.text("ab ", max_size=80), st.floats(5, 60))
def test_wrapping_loses_no_word_and_overruns_only_for_a_single_long_one(
    words: str, room: float
) -> None:
    lettering = Lettering(2.0)
    lines = wrap_lines(words, room, lettering)
    assert " ".join(lines).split() == words.split()
    assert all(lettering.width(line) <= room or " " not in line for line in lines)


def test_the_ruler_has_a_tick_per_mm_numbers_per_centimetre_and_says_how_to_print() -> None:
    board = Recorder()
    draw_ruler(board, (10, 10))
    drawing = board.finish()
    assert drawing.layers() == ("ruler",)
    assert len(drawing.entries) == 1 + 101 + 11 + 1
    expected = [*map(str, range(0, 100, 10)), "100 mm", WORDS]
    assert words_of(board) == expected


def test_a_title_block_shows_its_fields_and_leaves_out_empty_ones() -> None:
    board = Recorder()
    block = TitleBlock("Helm desk", "Harbour Pilot", date="2026-11-25", number=2, count=5)
    assert draw_title_block(board, Box(10, 10, 200, 23), block) == []
    cells = {"Sheet", "2 of 5", "Date", "2026-11-25", "Unit", "mm", "Scale", "1:1"}
    assert set(words_of(board)) == cells | {"Helm desk", "Harbour Pilot"}


def test_a_title_too_long_even_for_small_letters_is_cut_and_named() -> None:
    board = Recorder()
    (loss,) = draw_title_block(board, Box(10, 10, 138, 23), TitleBlock("Helm " * 40))
    assert loss.kind == "text"
    assert loss.message.startswith('title block shows "Helm Helm')
    assert loss.message.endswith('"')


@pytest.mark.parametrize("paper", PAPERS, ids=lambda paper: f"{paper.name}-{paper.width:g}")
def test_everything_on_a_sheet_stays_within_its_border_and_out_of_the_room(paper: Paper) -> None:
    block = TitleBlock("Helm desk: drill template", "Harbour Pilot", "2026-11-25", "from behind")
    frame = Frame(paper, block, ALL_CAUTIONS)
    board = Recorder()
    assert frame.draw(board) == []
    room = frame.room()
    assert room.height > 20
    border = paper.printable.grown(0.26)
    for entry in board.finish().entries:
        box = entry.shape.ink_bounds()
        assert border.holds(box), entry
        if entry.layer != "frame":
            assert not room.meets(box), entry


@pytest.mark.parametrize("width", [110.0, 182.0, 270.0])
def test_cautions_fill_exactly_the_height_that_was_measured(width: float) -> None:
    board = Recorder()
    box = cautions_room.draw_cautions(board, (10, 20), width, ALL_CAUTIONS)
    assert box == Box(10, 20, 10 + width, 20 + cautions_height(width, ALL_CAUTIONS))
    assert board.finish().bounds() == box


@pytest.mark.parametrize("caution", ALL_CAUTIONS, ids=lambda caution: caution.heading)
def test_a_caution_is_printed_whole_and_defers_to_local_codes(
    caution: cautions_room.Caution,
) -> None:
    board = Recorder()
    cautions_room.draw_cautions(board, (10, 20), 120, [caution])
    texts = words_of(board)
    assert " ".join(" ".join(texts).split()) == f"{caution.heading}. {caution.words} {CLOSING}"


def test_the_cautions_name_what_protects() -> None:
    assert "eye protection" in DRILLING.words
    assert "Clamp" in DRILLING.words
    assert "eye protection" in SOLDERING.words
    assert "fumes" in SOLDERING.words
    assert "burns" in SOLDERING.words
    assert "Unplug the USB cable" in POWER.words
    assert "Local codes" in CLOSING
    assert "qualified" in CLOSING


def test_dashes_are_counted_in_line_widths() -> None:
    """ISO 128-2 (unverified): dash 12, long dash 24, gap 3, dot 0.5 line widths."""
    assert dashed(0.25) == (3.0, 0.75)
    assert chain(0.5) == (12.0, 1.5, 0.25, 1.5)
    assert double_chain(0.5) == (12.0, 1.5, 0.25, 1.5, 0.25, 1.5)


def test_a_missing_letter_in_a_title_is_reported_by_the_writer() -> None:
    from profiles.drawing.svg import write_svg

    board = Recorder()
    Frame(A4, TitleBlock("Helm ⚓")).draw(board)
    written = write_svg(Document((Page(210, 297, board.finish()),)).pages[0])
    message = 'no letter U+2693 ANCHOR in Noto Sans Bold; "Helm ⚓" shows a mark in its place'
    assert written.losses == (Loss("letter", message),)
    assert BOLD.missing("⚓") == ("⚓",)
