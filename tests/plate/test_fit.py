"""Fitting one text: wrap, then condense, then shrink, never below the readable height."""

import io
from math import hypot
from typing import Any

import pytest
from fontTools.ttLib import TTFont
from hypothesis import given
from hypothesis import strategies as st

from profiles.lettering import BOLD, FACES, REGULAR, Face, font_bytes, width_mm
from profiles.plate.fit import (
    LINE_PITCH,
    NARROWEST,
    SOFT_HYPHEN,
    Fit,
    Misfit,
    divide_words,
    fit,
    fit_disc,
    measure,
)


class Even:
    """A face whose letters and spaces are all as wide as its capitals are high."""

    cap_height = 0.5

    def width(self, text: str) -> float:
        return 0.5 * len(text)

    def ink(self, text: str) -> tuple[float, float]:
        return 0.0, 0.5


EVEN = Even()

words = st.lists(st.text("ABCŻg-", min_size=1, max_size=9), min_size=1, max_size=5).map(" ".join)


def lines_of(text: str, count: int) -> tuple[str, ...]:
    return measure(text, EVEN).breaks[count - 1].lines


def test_lines_are_broken_as_evenly_as_the_words_allow() -> None:
    assert lines_of("ANTI COLLISION LIGHT", 2) == ("ANTI", "COLLISION LIGHT") or lines_of(
        "ANTI COLLISION LIGHT", 2
    ) == ("ANTI COLLISION", "LIGHT")
    assert lines_of("START THE MAIN ENGINE", 2) == ("START THE", "MAIN ENGINE")
    assert lines_of("START THE MAIN ENGINE", 3) == ("START", "THE MAIN", "ENGINE")


def test_words_break_after_hyphens_only_when_spaces_do_not_give_enough_lines() -> None:
    assert lines_of("ANTI-ICE", 2) == ("ANTI-", "ICE")
    assert lines_of("CROSS ANTI-ICE", 2) == ("CROSS", "ANTI-ICE")
    assert lines_of("CROSS ANTI-ICE", 3) == ("CROSS", "ANTI-", "ICE")


@pytest.mark.parametrize("text", ["-", "--", "-10", "A-", "−"])
def test_a_hyphen_without_letters_on_both_sides_breaks_nothing(text: str) -> None:
    (one,) = measure(text, EVEN).breaks
    assert (one.lines, one.widest) == ((text,), len(text))


def test_a_line_feed_always_breaks_and_the_widest_part_may_break_further() -> None:
    found = measure("MAIN PUMP\nON", EVEN).breaks
    assert [(one.lines, one.widest, one.parts) for one in found] == [
        (("MAIN PUMP", "ON"), 9.0, (0, 1)),
        (("MAIN", "PUMP", "ON"), 4.0, (0, 0, 1)),
    ]


@given(words)
def test_breaking_keeps_every_letter(text: str) -> None:
    for one in measure(text, EVEN).breaks:
        assert "".join("".join(one.lines).split()) == text.replace(" ", "")
        assert all(one.lines)


@given(st.lists(st.integers(1, 9), min_size=2, max_size=6), st.integers(2, 3))
def test_no_other_break_at_spaces_has_a_narrower_widest_line(
    lengths: list[int], count: int
) -> None:
    """Oracle: every way to cut the words into so many lines."""
    text = " ".join("A" * length for length in lengths)
    breaks = measure(text, EVEN).breaks
    if count <= len(lengths):
        assert breaks[count - 1].widest == min(map(_widest, _cuts(text.split(" "), count)))


def _cuts(rest: list[str], count: int) -> list[list[str]]:
    if count == 1:
        return [[" ".join(rest)]]
    return [
        [" ".join(rest[:size]), *tail]
        for size in range(1, len(rest) - count + 2)
        for tail in _cuts(rest[size:], count - 1)
    ]


def _widest(lines: list[str]) -> int:
    return max(map(len, lines))


def test_a_text_with_room_is_set_in_one_line_at_the_wanted_height() -> None:
    found = fit(measure("MAIN PUMP", EVEN), 100, 20, wanted=4, least=3)
    assert isinstance(found, Fit)
    assert (found.lines, found.height, found.condense) == (("MAIN PUMP",), 4, 1)
    assert (found.width, found.depth, found.slack) == (36, 4, 1)


def test_a_narrow_place_breaks_the_line_before_it_condenses() -> None:
    found = fit(measure("MAIN PUMP", EVEN), 20, 20, wanted=4, least=3)
    assert isinstance(found, Fit)
    assert (found.lines, found.height, found.condense) == (("MAIN", "PUMP"), 4, 1)
    assert found.depth == 4 * (1 + LINE_PITCH)


def test_a_narrower_place_condenses_before_it_shrinks() -> None:
    found = fit(measure("MAIN PUMP", EVEN), 14, 20, wanted=4, least=3)
    assert isinstance(found, Fit)
    assert found.height == 4
    assert found.condense == pytest.approx(14 / 16)


def test_the_narrowest_place_shrinks_at_the_narrowest_letters() -> None:
    found = fit(measure("MAIN PUMP", EVEN), 11, 20, wanted=4, least=3)
    assert isinstance(found, Fit)
    assert found.height == pytest.approx(3.4)
    assert found.condense == pytest.approx(11 / (4 * 3.4))


def test_what_cannot_be_read_is_said_with_what_is_missing() -> None:
    found = fit(measure("MAIN PUMP", EVEN), 8, 20, wanted=4, least=3)
    assert isinstance(found, Misfit)
    assert (found.text, found.needed, found.missing_height) == ("MAIN PUMP", 3, 0)
    assert found.missing_width == pytest.approx(4 * 3 * 0.8 - 8)


def test_a_low_place_misses_height() -> None:
    found = fit(measure("PUMP", EVEN), 100, 2.5, wanted=4, least=3)
    assert found == Misfit("PUMP", 3, 0.0, 0.5)


@given(words, st.floats(1, 80), st.floats(1, 40), st.floats(1, 6), st.floats(0.5, 1))
def test_a_text_never_leaves_its_place_nor_falls_below_the_readable_height(
    text: str, width: float, height: float, wanted: float, share: float
) -> None:
    least = wanted * share
    found = fit(measure(text, EVEN), width, height, wanted, least)
    if isinstance(found, Fit):
        assert found.width <= width + 1e-9
        assert found.depth <= height + 1e-9
        assert least <= found.height <= wanted
        assert NARROWEST - 1e-9 <= found.condense <= 1
    else:
        assert found.missing_width > 0 or found.missing_height > 0


@given(words, st.floats(5, 80), st.floats(5, 40))
def test_more_room_never_makes_letters_smaller(text: str, width: float, height: float) -> None:
    measured = measure(text, EVEN)
    small = fit(measured, width, height, 4, 2)
    large = fit(measured, width * 1.2, height * 1.1, 4, 2)
    if isinstance(small, Fit):
        assert isinstance(large, Fit)
        assert large.height >= small.height


@given(words, st.floats(4, 60))
def test_a_text_on_a_round_cap_has_its_corners_on_the_cap(text: str, diameter: float) -> None:
    found = fit_disc(measure(text, EVEN), diameter, wanted=5, least=2)
    if isinstance(found, Fit):
        assert hypot(found.width, found.depth) <= diameter + 1e-9


@pytest.mark.parametrize("face", FACES)
def test_width_is_that_of_the_face(face: Face) -> None:
    found = fit(measure("BILGE PUMP", face), 100, 20, wanted=3.5, least=3)
    assert isinstance(found, Fit)
    assert found.width == pytest.approx(width_mm(face, "BILGE PUMP", 3.5))


def test_lines_are_half_a_capital_apart_at_least() -> None:
    """NUREG-0700 Rev.3, 11.4.1.5-7; more where marks and tails would touch."""
    assert measure("MAIN PUMP", REGULAR).pitch == 1.5
    tails = measure("Żagiel główny", REGULAR)
    (line, *_) = tails.breaks
    assert tails.pitch >= 1 + line.rise + line.drop > 1.5


@pytest.mark.parametrize("face", FACES)
def test_the_ink_of_every_letter_is_as_high_and_as_deep_as_measured(face: Face) -> None:
    """Oracle: the glyphs' own bounds, read by fontTools; 3 % allowed for round letters."""
    font: Any = TTFont(io.BytesIO(font_bytes(face)))
    glyphs, units, names = font["glyf"], font["head"].unitsPerEm, font.getBestCmap()
    outside = []
    for letter in map(chr, [*range(0x21, 0x250), *range(0x370, 0x530)]):
        glyph = glyphs[names[ord(letter)]] if ord(letter) in names else None
        if glyph is None or face.shown(letter) != letter or not getattr(glyph, "yMax", 0):
            continue
        (line,) = measure(letter, face).breaks
        top, bottom = (value / units / face.cap_height for value in (glyph.yMax, glyph.yMin))
        if abs(top - 1 - line.rise) > 0.03 or abs(-bottom - line.drop) > 0.03:
            outside.append(letter)
    assert outside == []


def test_words_divide_between_syllables_with_a_hyphen() -> None:
    divided = measure("GENERATOR", EVEN, divide=True).breaks
    assert [one.lines for one in divided] == [
        ("GENERATOR",),
        ("GENE-", "RATOR"),
        ("GENE-", "RA-", "TOR"),
    ]


@pytest.mark.parametrize(
    ("text", "parts"),
    [
        ("Hauptschalter", "Haupt|schal|ter"),
        ("ANTI-ICE ON", "ANTI-ICE ON"),
        ("ΗΛΕΚΤΡΟΓΕΝΝΗΤΡΙΑ", "ΗΛΕΚΤ|ΡΟ|ΓΕΝ|ΝΗΤ|ΡΙΑ"),
        ("ВЫКЛЮЧАТЕЛЬ", "ВЫК|ЛЮ|ЧА|ТЕЛЬ"),
        ("Löschmittel", "Lösch|mit|tel"),
    ],
)
def test_syllables_begin_with_a_consonant_and_no_end_is_short(text: str, parts: str) -> None:
    assert divide_words(text).replace(SOFT_HYPHEN, "|") == parts


@given(st.text(max_size=30))
def test_dividing_only_adds_soft_hyphens(text: str) -> None:
    assert divide_words(text).replace(SOFT_HYPHEN, "") == text.replace(SOFT_HYPHEN, "")


def test_condensed_letters_keep_the_least_proportion() -> None:
    """NUREG-0700 Rev.2, 11.3.1.5-4: letters are at least 3:5 wide to high."""
    font: Any = TTFont(io.BytesIO(font_bytes(REGULAR)))
    flat = font["glyf"][font.getBestCmap()[ord("H")]]
    assert NARROWEST * (flat.xMax - flat.xMin) / flat.yMax >= 3 / 5


def test_bold_is_wider_than_regular() -> None:
    assert measure("PUMP", BOLD).breaks[0].widest > measure("PUMP", REGULAR).breaks[0].widest
