"""Whose each line of a label is, however the layout breaks its rows."""

import shutil
from pathlib import Path

from hypothesis import given
from hypothesis import strategies as st

from profiles import api
from profiles.facts.legend_labels import NOTHING, Label, Row
from profiles.facts.legend_layout import lay_out_legend
from profiles.lettering import BOLD
from profiles.plate.fit import measure
from profiles.text.finding import Spot
from tests.conftest import EXAMPLES

WORDS = st.text("AB CD-é", min_size=1, max_size=12).filter(lambda text: text.strip(" -") != "")


@given(st.lists(WORDS, min_size=1, max_size=3))
def test_every_line_belongs_to_the_row_it_was_broken_from(texts: list[str]) -> None:
    """Law: the lines of one style, put together, are that row's words."""
    rows = tuple(Row(number, text) for number, text in enumerate(texts))
    for one in measure("\n".join(texts), BOLD).breaks:
        joined = dict.fromkeys(range(len(rows)), "")
        for line, style in zip(one.lines, one.parts, strict=True):
            joined[style] += "".join(line.split())
        assert list(joined.values()) == [text.replace(" ", "") for text in texts]


def test_a_title_that_leaves_a_contact_alone_keeps_its_row() -> None:
    label = Label("horn", "press", (Row(0, "ONE"), Row(2, "THREE")), Spot("play", ()))
    assert [row.text for row in label.shown_rows()] == ["ONE", NOTHING, "THREE"]


def test_rows_after_the_last_title_are_not_kept() -> None:
    label = Label("horn", "press", (Row(0, "ONE"),), Spot("play", ()))
    assert [row.text for row in label.shown_rows()] == ["ONE"]


def test_without_chords_only_what_acts_alone_is_left() -> None:
    rows = (Row(0, "ONE"), Row(0, "SHIFT + TWO", is_chord=True))
    label = Label("horn", "press", rows, Spot("play", ()))
    assert [row.text for row in label.chords] == ["SHIFT + TWO"]
    assert label.without_chords().rows == rows[:1]


def test_a_legend_with_a_break_of_its_own_is_of_one_row(tmp_path: Path) -> None:
    """Both its lines are the words of the one application."""
    shutil.copytree(EXAMPLES / "harbour", tmp_path / "boxes")
    path = tmp_path / "boxes" / "profiles" / "brackwater-bridge.toml"
    text = path.read_text("utf-8")
    key = 'horn = "sound-horn"'
    assert key in text
    path.write_text(
        text.replace(key, r'horn = { action = "sound-horn", legend = "FOG\nHORN" }'), "utf-8"
    )
    library = api.load(tmp_path / "boxes").library
    device = library.devices["helm-desk"]
    link = library.links_by_id["brackwater-bridge"]
    layout = lay_out_legend(device, [link])
    (horn,) = [one for one in layout.list_shown() if one.control == "horn"]

    assert horn.lines == ("FOG", "HORN")
    assert horn.styles == (0, 0)
