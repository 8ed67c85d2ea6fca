"""PNG writer: a page through the PDF writer and PDFium, for pictures in manuals and on screens.

PDFium comes with the `pictures` extra; without it `write_png` raises an `ExtraMissingError`.
The file states its resolution (PNG, 11.3.5.3 `pHYs`), so it has a size in mm too; another
across than up for a printer that errs.
"""

import struct
import zlib
from dataclasses import replace

from profiles.drawing.document import Document, Page
from profiles.drawing.paper import MM_PER_INCH
from profiles.drawing.pdf import write_pdf
from profiles.drawing.surface import ExtraMissingError, TooLargeError, Written

MOST_DOTS = 40_000_000
"""Dots of one picture: an A0 page has 35 million. Each takes about 9 bytes of memory on the way."""

CANNOT = ("text becomes dots and cannot be searched", "sizes are rounded to whole dots")


def write_png(page: Page, *, dots_per_inch: float = 150.0, is_two_tone: bool = False) -> Written:
    """Return a page as a PNG picture of eight-bit colours, or of black and white dots alone.

    Raises:
        ExtraMissingError: where PDFium is not installed.
        TooLargeError: above `MOST_DOTS`.
    """
    dots = (page.width * dots_per_inch / MM_PER_INCH) * (page.height * dots_per_inch / MM_PER_INCH)
    if dots > MOST_DOTS:
        raise TooLargeError(
            f"a PNG picture of {page.width:.0f} x {page.height:.0f} mm would have "
            f"{dots / 1e6:.0f} million dots, more than {MOST_DOTS / 1e6:.0f} million",
            "Choose PDF or SVG, which have no dots.",
        )
    try:
        import pypdfium2
    except ImportError:
        raise ExtraMissingError("a PNG picture", "pypdfium2") from None
    written = write_pdf(Document((replace(page, stretch=(1.0, 1.0)),)))
    document = pypdfium2.PdfDocument(written.data)
    bitmap = document[0].render(scale=dots_per_inch / 72, rev_byteorder=True)
    width, height = bitmap.width, bitmap.height
    raw, stride, step = bytes(bitmap.buffer), bitmap.stride, bitmap.n_channels
    bitmap.close()
    document.close()
    lines = bytearray()
    depth = (1, 0) if is_two_tone else (8, 2)  # bits, and grey or colours (PNG, 11.2.2)
    for start in range(0, height * stride, stride):
        if is_two_tone:
            lines += b"\0" + _two_tone(raw[start : start + width * step : step])
            continue
        row = bytearray(width * 3)
        for channel in range(3):
            row[channel::3] = raw[start + channel : start + width * step : step]
        lines += b"\0" + row  # unfiltered
    per_metre = (round(dots_per_inch * 1000 / MM_PER_INCH / more) for more in page.stretch)
    chunks = (
        (b"IHDR", struct.pack(">IIBBBBB", width, height, *depth, 0, 0, 0)),
        (b"pHYs", struct.pack(">IIB", *per_metre, 1)),
        (b"IDAT", zlib.compress(lines, 9)),
        (b"IEND", b""),
    )
    data = b"\x89PNG\r\n\x1a\n"
    for kind, body in chunks:
        checksum = struct.pack(">I", zlib.crc32(kind + body))
        data += struct.pack(">I", len(body)) + kind + body + checksum
    return Written(data, written.losses)


def _two_tone(row: bytes) -> bytes:
    """Return a row of grey levels as bits, 1 for white, the first dot highest (PNG, 7.2)."""
    bits = "".join("1" if level >= 128 else "0" for level in row)
    padded = bits + "0" * (-len(bits) % 8)
    return int(padded, 2).to_bytes(len(padded) // 8, "big")
