"""Numbers instead of words, and the key that explains them."""

import pytest

from profiles.facts.legend_layout import lay_out_legend
from profiles.sheets.legend import make_sheet
from tests.checks.build import device, library, profile
from tests.sheets.titles import HARBOUR, order_of


def test_a_label_without_room_becomes_a_number_that_a_key_explains() -> None:
    """The least height at 600 mm is 2.6 mm: 15 minutes of arc (NUREG-0700 Rev.3, 11.4.1.5-1)."""
    small = device(
        """
        [plate]
        width = 40.0
        height = 30.0
        [controls.horn]
        label = "INCOMPREHENSIBILITIES-WITHOUT-ENDINGS"
        position = [20.0, 15.0]
        front = 18.0
        [[plate.engravings]]
        text = "BOX"
        position = [20.0, 3.0]
        height = 2.0
        """
    )
    sheet = make_sheet(*order_of("legend", library(small), small))

    (moved,) = sheet.remarks
    (label,) = sheet.facts["labels"]
    assert moved.kind == "moved"
    assert str(moved.spot) == "desk:controls.horn.label"
    assert moved.message == (
        "`INCOMPREHENSIBILITIES-WITHOUT-ENDINGS` at `horn`: "
        f"number 1, explained by the key: {label['cause']}"
    )
    assert (label["means"], label["number"], label["lines"]) == ("number", 1, ["1"])
    assert label["needed"] == pytest.approx(2.618, abs=0.001)
    key = [text.words for text in sheet.work.on_layers(["key"]).texts()]
    assert key == ["1", "INCOMPREHENSIBILITIES-WITHOUT-ENDINGS"]


def test_on_a_plate_of_several_applications_the_key_says_whose_words_are_whose() -> None:
    small = device(
        """
        [plate]
        width = 40.0
        height = 30.0
        [controls.horn]
        label = "HORN"
        position = [20.0, 15.0]
        front = 18.0
        """
    )
    first = profile('[bindings]\nhorn = { action = "whistle", legend = "WHISTLE-WITHOUT-AN-END" }')
    second = profile(
        '[profile]\nid = "two"\n[bindings]\nhorn = { action = "fog", legend = "FOG-SIGNAL-ALWAYS" }'
    )
    books = library(small, HARBOUR, first, second)
    layout = lay_out_legend(small, [books.link("play"), books.link("two")])
    (keyed,) = layout.placement.keyed
    assert layout.key_words(keyed) == (
        "Harbour (play): WHISTLE-WITHOUT-AN-END; Harbour (two): FOG-SIGNAL-ALWAYS"
    )


def test_what_is_shown_is_told_for_pictures_that_set_words_themselves() -> None:
    box = device(
        """
        [plate]
        width = 120.0
        height = 60.0
        [controls.horn]
        label = "{horn} HORN"
        position = [30.0, 30.0]
        front = 18.0
        [controls.long]
        label = "XXXXXXXXXXXXXXXXXXXXXXXXXXXXXXXXXXXXXXXXXXXXXXXXXXXXXXXXXXXX"
        position = [104.0, 30.0]
        front = 26.0
        """
    )
    shown = {one.control: one for one in lay_out_legend(box, ()).list_shown()}
    assert (shown["horn"].lines, shown["horn"].number, shown["horn"].key) == (("horn HORN",), 0, "")
    assert shown["long"].lines == ("1",)
    assert shown["long"].number == 1
    assert shown["long"].key == "XXXXXXXXXXXXXXXXXXXXXXXXXXXXXXXXXXXXXXXXXXXXXXXXXXXXXXXXXXXX"
    assert shown["horn"].box.left > 20
