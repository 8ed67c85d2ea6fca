"""PDF writer, on reportlab: true scale, text as text, subset fonts embedded.

Coordinates are written in points of the page itself, so any reader can measure them; only a page
for a printer that errs has a scale, the inverse of the error. The same document gives the same
bytes: the file carries no clock time and no random id; its date is the printed one, and it is
tagged (`pdf_tags`). Viewers are asked to print without scaling (ISO 32000-1, 12.2, `PrintScaling`).
"""

import io
import os
from collections.abc import Sequence
from importlib import import_module
from math import cos, radians, sin
from typing import Any

from profiles.drawing.document import Document
from profiles.drawing.geometry import Box, Point
from profiles.drawing.paper import POINTS_PER_MM, points
from profiles.drawing.paths import ArcTo, LineTo, Path, arc, curves_of_arc
from profiles.drawing.pdf_tags import PageTags, date_file, tag_file
from profiles.drawing.recorder import replay
from profiles.drawing.shapes import Text
from profiles.drawing.style import Lettering, Style
from profiles.drawing.surface import Loss, Written, gather, judge_pages, missing_letters
from profiles.lettering import REGULAR, Face, font_bytes

CANNOT = (
    "layers keep their order but cannot be switched on and off",
    "letters the faces lack are shown as a replacement mark",
)


def write_pdf(document: Document) -> Written:
    """Return a document of at least one page as a PDF file.

    Raises:
        TooLargeError: for more pages or shapes than a document may have.
    """
    judge_pages(len(document.pages), sum(len(page.drawing.entries) for page in document.pages))
    buffer = io.BytesIO()
    # Streams as bytes, not as letters, which take a quarter more room and most of the time.
    _reportlab("rl_config").useA85 = 0
    make_canvas = _reportlab("pdfgen.canvas").Canvas
    epoch = os.environ.pop("SOURCE_DATE_EPOCH", None)  # read by the library, whose date is not ours
    try:
        # Without a font of ours to begin with it would name Helvetica, which is not embedded.
        canvas = make_canvas(
            buffer, invariant=1, pageCompression=1, initialFontName=font_name(REGULAR)
        )
    finally:
        if epoch is not None:
            os.environ["SOURCE_DATE_EPOCH"] = epoch
    date_file(canvas, document.date)
    canvas.setTitle(_metadata(document.title))
    canvas.setSubject(_metadata(document.subject))
    canvas.setCreator("Platebook")
    canvas.setAuthor("")
    canvas.setViewerPreference("PrintScaling", "None")
    canvas.setViewerPreference("DisplayDocTitle", "true")
    tags: list[PageTags] = []
    losses: list[Loss] = []
    for page in document.pages:
        canvas.setPageSize((points(page.width), points(page.height)))
        if page.stretch != (1.0, 1.0):
            across, up = page.stretch
            middle = points(page.width) / 2, points(page.height) / 2
            canvas.transform(across, 0, 0, up, middle[0] * (1 - across), middle[1] * (1 - up))
        if page.trim is not None:
            canvas.setTrimBox(_corners(page.trim))
            canvas.setBleedBox(_corners(page.trim.grown(page.bleed)))
        surface = PdfSurface(canvas)
        replay(page.drawing, surface)
        surface.tags.close()
        tags.append(surface.tags)
        canvas.showPage()
        losses += surface.losses
    names = (f"{document.title} {page.name}".strip() for page in document.pages)
    tag_file(canvas, tags, [f"Drawing: {REGULAR.shown(name)}" for name in names])
    canvas.save()
    return Written(buffer.getvalue(), gather(losses))


def _metadata(words: str) -> Any:
    """Return words as a text string: one that begins like another encoding must be UTF-16.

    ISO 32000-1, 7.9.2.2; some viewers also take the marks of UTF-16LE and UTF-8 for what they are.
    """
    shown = REGULAR.shown(words)
    if shown.startswith(("þÿ", "ÿþ", "ï»¿")):
        return _reportlab("pdfbase.pdfdoc").PDFString(shown, enc="utf_16_be")
    return shown


class PdfSurface:
    """One page of a PDF file as a `Surface`."""

    def __init__(self, canvas: Any) -> None:
        self.losses: list[Loss] = []
        self._canvas = canvas
        self._line: tuple[float, str, Sequence[float]] | None = None
        self._fill = ""
        self._condense = 1.0
        self._lettering: Lettering | None = None
        self._outer: list[tuple[Any, str, float]] = []
        self.tags = PageTags(canvas._code)
        self._layer = ""
        canvas.setLineJoin(1)

    def draw_path(self, path: Path, style: Style) -> None:
        """Draw a path; arcs become Bezier curves within 5e-6 of their radius."""
        self.tags.mark(self._layer, is_text=False)
        outline = self._outline(path)
        if style.fill is not None:
            self._set_fill(style.fill)
        line = (style.width or 0.0, style.ink, style.dash)
        if style.width is not None and line != self._line:
            self._line = line
            self._canvas.setLineWidth(points(style.width))
            self._canvas.setStrokeColorRGB(*_shares(style.ink))
            self._canvas.setDash([points(length) for length in style.dash])
        lined, filled = style.width is not None, style.fill is not None
        self._canvas.drawPath(outline, stroke=int(lined), fill=int(filled))

    def draw_circle(self, centre: Point, diameter: float, style: Style) -> None:
        """Draw a full circle as eight Bezier curves."""
        round_path = arc(centre, diameter / 2, 0.0, 360.0)
        self.draw_path(Path(round_path.start, round_path.pieces, closed=True), style)

    def draw_text(self, text: Text) -> None:
        """Draw text as text, its letters found again by search and copying."""
        self.tags.mark(self._layer, is_text=True)
        lettering = text.lettering
        words = lettering.face.shown(text.words)
        if words is not text.words:
            self.losses += missing_letters(lettering.face, text.words)
        self._set_fill(lettering.ink)
        if lettering is not self._lettering:
            self._lettering = lettering
            self._canvas.setFont(font_name(lettering.face), points(lettering.em))
        x, y = map(points, text.start())
        if not text.angle and not text.reversed:
            pen = self._canvas.beginText(x, y)
        else:
            turn, flip = radians(text.angle), -1.0 if text.reversed else 1.0
            pen = self._canvas.beginText()
            pen.setTextTransform(cos(turn), sin(turn), -sin(turn) * flip, cos(turn) * flip, x, y)
        if lettering.condense != self._condense:
            self._condense = lettering.condense
            pen.setHorizScale(100 * lettering.condense)
        pen.textLine(words)
        self._canvas.drawText(pen)

    def open_layer(self, name: str) -> None:
        """Note the layer, which tells what is no more than a border or a mark."""
        self._layer = name

    def close_layer(self) -> None:
        """End the layer opened last."""
        self._layer = ""

    def open_clip(self, path: Path) -> None:
        """Show what follows only within a closed path."""
        self.tags.close()
        self._outer.append((self._line, self._fill, self._condense))
        self._canvas.saveState()
        self._canvas.clipPath(self._outline(path), stroke=0, fill=0)

    def close_clip(self) -> None:
        """End the clip opened last."""
        self.tags.close()
        self._canvas.restoreState()
        self._line, self._fill, self._condense = self._outer.pop()
        self._lettering = None

    def _outline(self, path: Path) -> Any:
        """A path of the library, to which lines and curves go as text: it writes numbers slowly."""
        outline = self._canvas.beginPath()
        outline.moveTo(*map(points, path.start))
        add = outline._code.append
        for here, piece in path.steps():
            if isinstance(piece, LineTo):
                add(f"{_points(piece.end)} l")
                continue
            curves = curves_of_arc(here, piece) if isinstance(piece, ArcTo) else [piece]
            for curve in curves:
                add(f"{_points(curve.first, curve.second, curve.end)} c")
        if path.closed:
            outline.close()
        return outline

    def _set_fill(self, colour: str) -> None:
        if colour != self._fill:
            self._fill = colour
            self._canvas.setFillColorRGB(*_shares(colour))


def font_name(face: Face) -> str:
    """Return the name under which reportlab knows a face; the first call loads the font."""
    metrics = _reportlab("pdfbase.pdfmetrics")
    if face.stem not in metrics.getRegisteredFontNames():
        fonts = _reportlab("pdfbase.ttfonts")
        metrics.registerFont(fonts.TTFont(face.stem, io.BytesIO(font_bytes(face))))
    return face.stem


def _reportlab(module: str) -> Any:
    """Return a module of the PDF library, which carries no types; loaded on first use."""
    return import_module(f"reportlab.{module}")


def _points(*places: Point) -> str:
    """Return coordinates in points, x and y in turn."""
    return " ".join([f"{x * POINTS_PER_MM:.4f} {y * POINTS_PER_MM:.4f}" for x, y in places])


def _corners(box: Box) -> tuple[float, ...]:
    """Return the edges of a box in points."""
    return tuple(map(points, (box.left, box.bottom, box.right, box.top)))


def _shares(colour: str) -> tuple[float, float, float]:
    """Return red, green and blue of `#rrggbb` from 0 to 1."""
    red, green, blue = bytes.fromhex(colour[1:])
    return red / 255, green / 255, blue / 255
