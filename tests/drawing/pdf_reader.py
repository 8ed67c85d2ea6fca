"""Reads a PDF page with PDFium, independently of the writer: paths, texts and sizes in mm."""

import ctypes
from collections.abc import Iterator
from dataclasses import dataclass
from importlib import import_module
from typing import Any

pypdfium2: Any = import_module("pypdfium2")
pdfium: Any = import_module("pypdfium2.raw")

MM = 25.4 / 72
"""A PDF unit in mm (ISO 32000-1, 8.3.2.3)."""

Corner = tuple[float, float]


@dataclass(frozen=True)
class ReadPath:
    """Points of one path object: ends of lines and curves, and control points."""

    ends: tuple[Corner, ...]
    controls: tuple[Corner, ...]

    @property
    def width(self) -> float:
        xs = [x for x, _ in self.ends]
        return max(xs) - min(xs)

    @property
    def height(self) -> float:
        ys = [y for _, y in self.ends]
        return max(ys) - min(ys)

    @property
    def centre(self) -> Corner:
        xs, ys = [x for x, _ in self.ends], [y for _, y in self.ends]
        return ((max(xs) + min(xs)) / 2, (max(ys) + min(ys)) / 2)


class PdfReader:
    """One PDF file as PDFium sees it."""

    def __init__(self, data: bytes) -> None:
        self._document = pypdfium2.PdfDocument(data)

    def __len__(self) -> int:
        return len(self._document)

    def size(self, page: int = 0) -> Corner:
        width, height = self._document[page].get_size()
        return (width * MM, height * MM)

    def boxes(self, page: int = 0) -> dict[str, tuple[float, ...]]:
        """Media, trim and bleed box of a page: left, bottom, right, top."""
        one = self._document[page]
        found = {
            "media": one.get_mediabox(),
            "trim": one.get_trimbox(),
            "bleed": one.get_bleedbox(),
        }
        return {name: tuple(edge * MM for edge in box) for name, box in found.items()}

    def text(self, page: int = 0) -> str:
        words: str = self._document[page].get_textpage().get_text_bounded()
        return words

    def text_boxes(self, page: int = 0) -> list[tuple[str, float, float, float, float]]:
        """Each text run with left, bottom, right and top."""
        text_page = self._document[page].get_textpage()
        found = []
        for number in range(text_page.count_rects()):
            box = text_page.get_rect(number)
            found.append((text_page.get_text_bounded(*box), *[side * MM for side in box]))
        return found

    def letters(self, page: int = 0) -> list[tuple[str, float, float, float, float]]:
        """Each letter with left, bottom, right and top of its ink; spaces have none."""
        text_page = self._document[page].get_textpage()
        found = []
        for number in range(text_page.count_chars()):
            letter = text_page.get_text_range(number, 1)
            if letter.strip():
                box = [side * MM for side in text_page.get_charbox(number)]
                found.append((letter, *box))
        return found

    def paths(self, page: int = 0) -> list[ReadPath]:
        """The path objects of a page, their matrices applied."""
        objects = self._document[page].get_objects(filter=[pdfium.FPDF_PAGEOBJ_PATH], max_depth=5)
        return [self._read(item) for item in objects]

    def embedded_fonts(self, page: int = 0) -> set[bool]:
        """Whether the fonts of the page's texts are embedded."""
        objects = self._document[page].get_objects(filter=[pdfium.FPDF_PAGEOBJ_TEXT])
        fonts = [pdfium.FPDFTextObj_GetFont(item.raw) for item in objects]
        return {bool(pdfium.FPDFFont_GetIsEmbedded(font)) for font in fonts}

    def title(self) -> str:
        """The title that viewers show for the file."""
        return str(self._document.get_metadata_value("Title"))

    def actions(self) -> int:
        """How many scripts, attachments, annotations and links the file holds."""
        raw = self._document.raw
        count = pdfium.FPDFDoc_GetJavaScriptActionCount(raw)
        count += pdfium.FPDFDoc_GetAttachmentCount(raw)
        pages = [self._document[number] for number in range(len(self))]
        return int(count + sum(pdfium.FPDFPage_GetAnnotCount(page.raw) for page in pages))

    def pixels(self, page: int = 0, dots_per_mm: float = 4.0) -> Any:
        """The page as an image (Pillow)."""
        return self._document[page].render(scale=dots_per_mm * MM).to_pil()

    def _read(self, item: Any) -> ReadPath:
        a, b, c, d, e, f = item.get_matrix().get()
        ends: list[Corner] = []
        controls: list[Corner] = []
        beziers = 0
        for x, y, kind in _segments(item.raw):
            place = ((a * x + c * y + e) * MM, (b * x + d * y + f) * MM)
            beziers = (beziers + 1) % 3 if kind == pdfium.FPDF_SEGMENT_BEZIERTO else 0
            (controls if beziers else ends).append(place)
        return ReadPath(tuple(ends), tuple(controls))


def _segments(raw: Any) -> Iterator[tuple[float, float, int]]:
    for number in range(pdfium.FPDFPath_CountSegments(raw)):
        segment = pdfium.FPDFPath_GetPathSegment(raw, number)
        x, y = ctypes.c_float(), ctypes.c_float()
        pdfium.FPDFPathSegment_GetPoint(segment, x, y)
        yield x.value, y.value, pdfium.FPDFPathSegment_GetType(segment)
