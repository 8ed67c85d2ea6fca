"""PNG writer: a page through the PDF writer and PDFium, for pictures in manuals and on screens.

PDFium comes with the `pictures` extra; without it `write_png` raises `PicturesMissingError`.
The file states its resolution (PNG, 11.3.5.3 `pHYs`), so it has a size in mm too.
"""

import struct
import zlib
from typing import Any

from profiles.drawing.document import Document, Page
from profiles.drawing.paper import MM_PER_INCH
from profiles.drawing.pdf import write_pdf
from profiles.drawing.surface import ExtraMissingError, Written

CANNOT = ("text becomes dots and cannot be searched", "sizes are rounded to whole dots")


class PicturesMissingError(ExtraMissingError):
    """The optional library that draws pictures is not installed."""

    def __init__(self) -> None:
        super().__init__('pictures need an extra: pip install "platebook[pictures]"')


def write_png(page: Page, *, dots_per_inch: float = 150.0) -> Written:
    """Return a page as a PNG picture.

    Raises PicturesMissingError where PDFium is not installed.
    """
    written = write_pdf(Document((page,)))
    width, height, rows = _rasterise(written.data, dots_per_inch / 72)
    return Written(_encode(width, height, rows, dots_per_inch), written.losses)


def _rasterise(pdf: bytes, scale: float) -> tuple[int, int, list[bytes]]:
    """Return width, height and rows of red, green, blue bytes of the first page."""
    document = _load_pdfium().PdfDocument(pdf)
    bitmap = document[0].render(scale=scale, rev_byteorder=True)
    size = (bitmap.width, bitmap.height)
    raw, stride, step = bytes(bitmap.buffer), bitmap.stride, bitmap.n_channels
    rows = [raw[y * stride : y * stride + size[0] * step] for y in range(size[1])]
    bitmap.close()
    document.close()
    return (*size, [_drop_alpha(row, step) for row in rows])


def _load_pdfium() -> Any:
    try:
        import pypdfium2
    except ImportError:
        raise PicturesMissingError from None
    return pypdfium2


def _drop_alpha(row: bytes, step: int) -> bytes:
    if step == 3:
        return row
    kept = bytearray(len(row) // step * 3)
    for channel in range(3):
        kept[channel::3] = row[channel::step]
    return bytes(kept)


def _encode(width: int, height: int, rows: list[bytes], dots_per_inch: float) -> bytes:
    """Return a PNG file of eight-bit colours, rows unfiltered."""
    header = struct.pack(">IIBBBBB", width, height, 8, 2, 0, 0, 0)
    dots_per_metre = round(dots_per_inch * 1000 / MM_PER_INCH)
    chunks = (
        (b"IHDR", header),
        (b"pHYs", struct.pack(">IIB", dots_per_metre, dots_per_metre, 1)),
        (b"IDAT", zlib.compress(b"".join(b"\0" + row for row in rows), 9)),
        (b"IEND", b""),
    )
    return b"\x89PNG\r\n\x1a\n" + b"".join(_chunk(kind, body) for kind, body in chunks)


def _chunk(kind: bytes, body: bytes) -> bytes:
    return struct.pack(">I", len(body)) + kind + body + struct.pack(">I", zlib.crc32(kind + body))
