"""Arrows and pictograms: their names in words, and shapes that shapely finds sound."""

import re
from importlib import import_module
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from profiles.checks.glossary import read_glossary
from profiles.lettering import BOLD, REGULAR, REPLACEMENT
from profiles.lettering.outlines import outline_words
from profiles.lettering.signs import BOLD_PEN, SIGNS, outline_sign, stroke_sign
from profiles.lettering.strokes import missing_strokes, stroke_words
from profiles.model import Action
from profiles.model.control import Momentary
from profiles.text.sign_words import (
    SIDE,
    SIGN_LETTERS,
    SIGN_WIDTHS,
    find_unknown_sign,
    has_signs,
    say_signs,
    set_signs,
    speak,
    spell_signs,
)

shapely: Any = import_module("shapely")

texts = st.lists(
    st.sampled_from(["{", "}", "{{", "up", "{up}", "{{up}", "{turn-left}", "A", " ", "Ä", "{n}"]),
    max_size=8,
).map("".join)


def test_a_name_in_braces_is_a_sign_and_a_brace_more_is_letters() -> None:
    assert set_signs("{up} RAISE") == f"{SIGN_LETTERS['up']} RAISE"
    assert set_signs("{{up} RAISE") == "{up} RAISE"
    assert speak("{turn-left} TACK") == "turn left TACK"
    assert [set_signs(words) for words in ("{ up }", "{UP}", "{}", "a { b } c")] == [
        *("{ up }", "{UP}", "{}", "a { b } c")
    ]


@given(texts)
def test_words_spelt_again_are_the_same_words(words: str) -> None:
    there = set_signs(words)
    assert set_signs(spell_signs(there)) == there
    assert not has_signs(say_signs(there))


@given(texts)
def test_what_is_known_is_set_and_what_is_not_is_named(words: str) -> None:
    unknown = find_unknown_sign(words)
    assert (unknown == "n") == ("{n}" in re.sub(r"\{\{[a-z]", "", words))
    assert unknown in ("", "n")


def test_the_glossary_names_every_sign() -> None:
    meaning = read_glossary()["sign"].meaning
    named = ", ".join(f"`{{{name}}}`" for name in SIGN_WIDTHS)
    assert meaning.endswith(f"There are: {named}.")
    assert SIGN_WIDTHS.keys() == SIGNS.keys()


def area(letter: str, *, bold: bool = False) -> Any:
    """A sign as shapely has it: contours within others are holes."""
    found = shapely.Polygon()
    for contour in outline_sign(letter, bold=bold):
        ring = shapely.Polygon(contour)
        assert ring.is_valid, f"a contour of {letter!r} crosses itself"
        found = found.symmetric_difference(ring)
    return found


@pytest.mark.parametrize("bold", [False, True])
@pytest.mark.parametrize("name", SIGN_WIDTHS)
def test_contours_of_a_sign_never_cross_and_stay_in_their_room(name: str, bold: bool) -> None:
    letter = SIGN_LETTERS[name]
    edges = [shapely.LinearRing(contour) for contour in outline_sign(letter, bold=bold)]
    assert not [a for n, a in enumerate(edges) for b in edges[:n] if a.crosses(b)]
    left, low, right, high = area(letter, bold=bold).bounds
    assert -0.07 <= low < high <= 1.07
    assert 0.0 <= left < right <= SIGN_WIDTHS[name] + 2 * SIDE
    assert high - low > 0.5


@pytest.mark.parametrize("name", SIGN_WIDTHS)
def test_no_sign_looks_like_another(name: str) -> None:
    own = area(SIGN_LETTERS[name])
    for other, letter in SIGN_LETTERS.items():
        if other != name:
            apart = own.symmetric_difference(area(letter)).area
            assert apart > 0.05, f"{name} and {other} differ by {apart:.3f} square capital heights"


def test_arrows_point_where_their_names_say() -> None:
    """The centre of area lies toward the head."""
    middle = {name: area(SIGN_LETTERS[name]).centroid for name in ("up", "down", "left", "right")}
    centre = 0.5 + SIDE
    assert middle["up"].y > 0.55 > 0.45 > middle["down"].y
    assert middle["right"].x > centre + 0.05 > centre - 0.05 > middle["left"].x
    turned = {name: area(SIGN_LETTERS[name]) for name in ("turn-left", "turn-right")}
    mirrored = shapely.affinity.scale(turned["turn-left"], -1, 1, origin=(centre, 0))
    assert mirrored.symmetric_difference(turned["turn-right"]).area < 0.001


@pytest.mark.parametrize("name", SIGN_WIDTHS)
def test_single_strokes_of_a_sign_lie_within_its_outline(name: str) -> None:
    letter = SIGN_LETTERS[name]
    whole = area(letter, bold=True).buffer(BOLD_PEN / 4)
    lines = stroke_sign(letter)
    assert lines
    assert all(whole.contains(shapely.LineString(line)) for line in lines if len(line) > 1)


@pytest.mark.parametrize("face", [REGULAR, BOLD], ids=lambda face: face.name)
def test_signs_are_letters_of_every_face(face: Any) -> None:
    words = set_signs("A{horn}B")
    assert face.missing(words) == ()
    assert face.shown(words) == words
    assert missing_strokes(words) == ()
    wide = (SIGN_WIDTHS["horn"] + 2 * SIDE) * face.cap_height
    assert face.width(words) == pytest.approx(face.width("AB") + wide, abs=0.001)
    low, high = face.ink(SIGN_LETTERS["horn"])
    assert (low, high) == pytest.approx((0.0, face.cap_height))
    for trace in (outline_words, stroke_words):
        xs = [x for line in trace(face, words) for x, _ in line]
        assert max(xs) < face.width(words)
        start = face.width("A")
        assert [x for x in xs if start + 0.3 * wide < x < start + 0.7 * wide]


def test_a_letter_of_a_file_that_a_sign_has_within_is_no_sign() -> None:
    horn = SIGN_LETTERS["horn"]
    assert set_signs(f"A{horn}") == f"A{REPLACEMENT}"
    action = Action(name=f"A{horn} {{up}}")
    assert set_signs(action.words) == f"A{REPLACEMENT} {{up}}"
    control = Momentary(kind="momentary", label=f"A{horn}", position=(0.0, 0.0), hole=16.0)
    assert control.spoken_label == f"A{REPLACEMENT}"
