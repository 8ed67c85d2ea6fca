"""Pictures kept for comparison, so that a change of looks is seen by a person.

A test draws a page and compares it with the kept one, spot by spot; small differences of
antialiasing between versions of PDFium pass. After a wanted change run the tests with
PLATEBOOK_KEEP_PICTURES=1, look at the new pictures and commit them.
"""

import io
import os
from pathlib import Path

from PIL import Image, ImageChops, ImageFilter

from profiles.drawing.document import Page
from profiles.drawing.png import write_png

DOTS_PER_INCH = 75
SPOT = 4
"""Half the side, in dots, of the spots over which differences are averaged."""
TOLERANCE = 25
"""Largest difference of a spot in grey levels (0 to 255). Measured: losing a date of ten letters
or a ruler gives 75 and more, a shift of the sheet by 0.3 mm over 100."""


def compare_with_kept(page: Page, kept: Path) -> None:
    """Fail where a page no longer looks like its kept picture."""
    data = write_png(page, dots_per_inch=DOTS_PER_INCH).data
    if os.environ.get("PLATEBOOK_KEEP_PICTURES"):
        kept.parent.mkdir(exist_ok=True)
        Image.open(io.BytesIO(data)).convert("L").save(kept, optimize=True)
        return
    new, old = Image.open(io.BytesIO(data)).convert("L"), Image.open(kept).convert("L")
    assert new.size == old.size
    worst = largest_difference(new, old)
    assert worst <= TOLERANCE, f"{kept.name} looks different: a spot is off by {worst} grey levels"


def largest_difference(one: Image.Image, other: Image.Image) -> int:
    """The mean difference of the spot that differs most, in grey levels."""
    difference = ImageChops.difference(one, other).filter(ImageFilter.BoxBlur(SPOT))
    return max(difference.tobytes())
