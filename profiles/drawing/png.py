"""PNG writer: a page through the PDF writer and PDFium, for pictures in manuals and on screens.

PDFium comes with the `pictures` extra; without it `write_png` raises an `ExtraMissingError`.
The file states its resolution (PNG, 11.3.5.3 `pHYs`), so it has a size in mm too; another
across than up for a printer that errs.
"""

import io
from dataclasses import replace

from profiles.drawing.document import Document, Page
from profiles.drawing.paper import MM_PER_INCH
from profiles.drawing.pdf import write_pdf
from profiles.drawing.surface import ExtraMissingError, TooLargeError, Written

MOST_DOTS = 40_000_000
"""Dots of one picture: an A0 page has 35 million. Each takes about 9 bytes of memory on the way."""

CANNOT = ("text becomes dots and cannot be searched", "sizes are rounded to whole dots")


def judge_dots(width: float, height: float, dots_per_inch: float = 150.0) -> None:
    """Refuse a picture of so many mm with more dots than it may have, best before it is drawn.

    Raises:
        TooLargeError: with the figure, and the way out.
    """
    dots = (width * dots_per_inch / MM_PER_INCH) * (height * dots_per_inch / MM_PER_INCH)
    if dots > MOST_DOTS:
        raise TooLargeError(
            f"a PNG picture of {width:.0f} x {height:.0f} mm would have "
            f"{dots / 1e6:.0f} million dots, more than {MOST_DOTS / 1e6:.0f} million",
            "Choose PDF or SVG, which have no dots.",
        )


def write_png(page: Page, *, dots_per_inch: float = 150.0, is_two_tone: bool = False) -> Written:
    """Return a page as a PNG picture of eight-bit colours, or of black and white dots alone.

    Colours state in `pHYs` how the page is stretched for a printer that errs. Dots alone are those
    of a head, as many to the inch as it has: what they show is stretched itself.

    Raises:
        ExtraMissingError: where PDFium is not installed.
        TooLargeError: above `MOST_DOTS`.
    """
    judge_dots(page.width, page.height, dots_per_inch)
    try:
        import pypdfium2
    except ImportError:
        raise ExtraMissingError("a PNG picture", "pypdfium2") from None
    from PIL.Image import Dither

    across, up = (1.0, 1.0) if is_two_tone else page.stretch
    drawn = page if is_two_tone else replace(page, stretch=(1.0, 1.0))
    written = write_pdf(Document((drawn,)))
    document = pypdfium2.PdfDocument(written.data)
    bitmap = document[0].render(scale=dots_per_inch / 72, grayscale=is_two_tone)
    picture = bitmap.to_pil()
    if is_two_tone:
        picture = picture.convert("1", dither=Dither.NONE)
    bitmap.close()
    document.close()
    data = io.BytesIO()
    picture.save(data, "png", dpi=(dots_per_inch / across, dots_per_inch / up), compress_level=9)
    return Written(data.getvalue(), written.losses)
