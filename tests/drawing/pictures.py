"""Pictures kept for comparison, so that a change of looks is seen by a person.

A test draws a page and compares it with the kept one; small differences of antialiasing between
machines pass. After a wanted change run the tests with PLATEBOOK_KEEP_PICTURES=1, look at the new
pictures and commit them.
"""

import io
import os
from pathlib import Path

from PIL import Image, ImageChops, ImageFilter, ImageStat

from profiles.drawing import Page
from profiles.drawing.png import write_png

DOTS_PER_INCH = 75
TOLERANCE = 0.6
"""Mean difference of grey levels (0 to 255) allowed after a slight blur; a missing word of 20
letters on a sheet of A4 gives about 1."""


def compare_with_kept(page: Page, kept: Path) -> None:
    """Fail where a page no longer looks like its kept picture; the new one is put beside it."""
    data = write_png(page, dots_per_inch=DOTS_PER_INCH).data
    if os.environ.get("PLATEBOOK_KEEP_PICTURES"):
        kept.parent.mkdir(exist_ok=True)
        Image.open(io.BytesIO(data)).convert("L").quantize(16).save(kept, optimize=True)
        return
    new, old = Image.open(io.BytesIO(data)).convert("L"), Image.open(kept).convert("L")
    assert new.size == old.size
    difference = ImageChops.difference(_blurred(new), _blurred(old))
    mean = ImageStat.Stat(difference).mean[0]
    assert mean <= TOLERANCE, f"{kept.name} looks different: mean difference {mean:.2f} grey levels"


def _blurred(picture: Image.Image) -> Image.Image:
    return picture.filter(ImageFilter.BoxBlur(1))
