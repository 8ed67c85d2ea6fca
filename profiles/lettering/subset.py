"""A web font of only the letters a text needs, to embed in SVG and HTML.

fontTools cuts it from the whole font and is loaded on first use. Kerning and ligatures are left
out, so a line is as wide as it was measured. The same letters give the same bytes at any time:
the font keeps the date it was made at.
"""

import io
from functools import lru_cache
from importlib import import_module
from typing import Any

from profiles.lettering.faces import Face, font_bytes

DROPPED_TABLES = ("GDEF", "GPOS", "GSUB", "TTFA")
"""Kerning, ligatures, and the notes of a hinting program."""
KEPT_NAMES = (1, 2, 13)
"""Family, style and licence (OpenType `name` table)."""


@lru_cache(maxsize=32)
def web_font(face: Face, letters: frozenset[str]) -> bytes:
    """Return a WOFF font of `face` with the given letters (those of `Face.shown` texts).

    Raises ImportError where fontTools is not installed.
    """
    subset: Any = import_module("fontTools.subset")
    font: Any = import_module("fontTools.ttLib").TTFont(
        io.BytesIO(font_bytes(face)), lazy=True, recalcTimestamp=False
    )
    options = subset.Options(layout_features=[], hinting=False, name_IDs=list(KEPT_NAMES))
    options.drop_tables += DROPPED_TABLES
    subsetter = subset.Subsetter(options)
    subsetter.populate(unicodes=sorted(map(ord, letters)))
    subsetter.subset(font)
    font.flavor = "woff"
    buffer = io.BytesIO()
    font.save(buffer)
    return buffer.getvalue()
