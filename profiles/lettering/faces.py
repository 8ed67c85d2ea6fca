"""The faces sheets are lettered in: how wide a text is and which letters are missing.

Widths are sums of advance widths. No kerning and no shaping is applied, here or in any writer, so
what is measured is what is drawn. Scripts that need shaping or run right to left (Arabic, Hebrew,
Devanagari and others) are not in these faces and count as missing, letter by letter.

Text is composed first (Unicode NFC), so `e` with a combining acute is one letter. A combining mark
with no composed form counts as missing, because only a shaper could put it in its place.
"""

from importlib import import_module
from typing import NamedTuple

from profiles.lettering.tables import Metrics, load_metrics

REPLACEMENT = "\N{REPLACEMENT CHARACTER}"
"""Stands visibly for every letter a face lacks; both faces have it."""


class Face(NamedTuple):
    """One cut of the type family; figures are fractions of the em."""

    name: str
    family: str
    bold: bool
    stem: str
    """Names the metrics file."""
    source: str
    """Module of the font package that holds the font itself."""

    @property
    def cap_height(self) -> float:
        """Height of a flat capital such as H."""
        return self._metrics.cap_height / self._metrics.units_per_em

    @property
    def x_height(self) -> float:
        """Height of a flat small letter such as x."""
        return self._metrics.x_height / self._metrics.units_per_em

    @property
    def ascent(self) -> float:
        """Room the face wants above the baseline, accents included."""
        return self._metrics.ascent / self._metrics.units_per_em

    @property
    def descent(self) -> float:
        """Room the face wants below the baseline, as a positive figure."""
        return -self._metrics.descent / self._metrics.units_per_em

    def width(self, text: str) -> float:
        """Return the width of `text` as drawn: missing letters count as the replacement."""
        metrics = self._metrics
        advance = metrics.advances.__getitem__
        try:
            total = sum(map(advance, text))
        except KeyError:
            total = sum(map(advance, self.shown(text)))
        return total / metrics.units_per_em

    def ink(self, text: str) -> tuple[float, float]:
        """Return the lowest and the highest ink of `text` as drawn, the baseline at 0.

        Without any ink, such as for spaces alone, both are 0.
        """
        metrics = self._metrics
        inked = [letter for letter in set(self.shown(text)) if metrics.highs[letter]]
        if not inked:
            return 0.0, 0.0
        lowest = min(map(metrics.lows.__getitem__, inked))
        highest = max(map(metrics.highs.__getitem__, inked))
        return lowest / metrics.units_per_em, highest / metrics.units_per_em

    def shown(self, text: str) -> str:
        """Return what is drawn for `text`: composed, missing letters replaced."""
        has = self._metrics.advances
        if all(map(has.__contains__, text)):
            return text
        return "".join(letter if letter in has else REPLACEMENT for letter in _compose(text))

    def missing(self, text: str) -> tuple[str, ...]:
        """Return the letters of `text` the face cannot show, each once, in order of appearance.

        Controls, direction marks, line breaks and uncomposed combining marks are among them.
        """
        has = self._metrics.advances
        if all(map(has.__contains__, text)):
            return ()
        return tuple(dict.fromkeys(letter for letter in _compose(text) if letter not in has))

    @property
    def _metrics(self) -> Metrics:
        return load_metrics(self.stem)


REGULAR = Face(
    name="Noto Sans Regular",
    family="Noto Sans",
    bold=False,
    stem="noto_sans_regular",
    source="pymupdf_fonts.NotoSans_Regular",
)
BOLD = Face(
    name="Noto Sans Bold",
    family="Noto Sans",
    bold=True,
    stem="noto_sans_bold",
    source="pymupdf_fonts.NotoSans_Bold",
)
FACES = (REGULAR, BOLD)


def em_for_cap_height(face: Face, cap_height_mm: float) -> float:
    """Return the type size (the em, in mm) whose capitals are `cap_height_mm` high."""
    return cap_height_mm / face.cap_height


def width_mm(face: Face, text: str, cap_height_mm: float, condense: float = 1.0) -> float:
    """Return the width in mm of `text` with capitals of `cap_height_mm`.

    `condense` is the horizontal scale, 1 for the face as drawn by its designer.
    """
    return face.width(text) * em_for_cap_height(face, cap_height_mm) * condense


def font_bytes(face: Face) -> bytes:
    """Return the TrueType file of a face; opens the font package on first use."""
    font: bytes = import_module(face.source).fontbuffer
    return font


def _compose(text: str) -> str:
    """Return the composed form (Unicode NFC) of a text."""
    from unicodedata import normalize

    return normalize("NFC", text)
