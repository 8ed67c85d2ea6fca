"""Web fonts cut to the letters of a text, read back with fontTools."""

import io

import pytest
from fontTools.ttLib import TTFont
from fontTools.ttLib.tables import _h_e_a_d as head_table

from profiles.lettering import REGULAR, font_bytes
from profiles.lettering.subset import web_font


def test_a_cut_font_has_the_letters_asked_for_and_their_widths() -> None:
    whole, cut = TTFont(io.BytesIO(font_bytes(REGULAR))), TTFont(io.BytesIO(cut_font("HORN")))
    names, all_names = cut.getBestCmap() or {}, whole.getBestCmap() or {}
    assert sorted(names) == sorted(map(ord, "HORN"))
    for code, name in names.items():
        assert cut["hmtx"][name] == whole["hmtx"][all_names[code]]


def test_the_clock_leaves_no_trace_in_a_cut_font(monkeypatch: pytest.MonkeyPatch) -> None:
    """OpenType `head` has a date of the last change: it stays that of the whole font."""
    first = cut_font("BELL")
    monkeypatch.setattr(head_table, "timestampNow", lambda: 1)
    assert cut_font("BELL") == first
    whole = TTFont(io.BytesIO(font_bytes(REGULAR)))
    assert TTFont(io.BytesIO(first))["head"].modified == whole["head"].modified


def cut_font(words: str) -> bytes:
    """A font cut anew, however often it was asked for."""
    web_font.cache_clear()
    return web_font(REGULAR, frozenset(words))
