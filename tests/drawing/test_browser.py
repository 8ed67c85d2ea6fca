"""SVG in a real browser: Chromium shows what PDFium shows of the PDF."""

import io
import subprocess
from pathlib import Path

from PIL import Image, ImageChops, ImageFilter

from profiles.drawing import weights
from profiles.drawing.document import Page
from profiles.drawing.geometry import Box, mirrored
from profiles.drawing.paper import A5
from profiles.drawing.png import write_png
from profiles.drawing.recorder import Recorder
from profiles.drawing.style import Lettering
from profiles.drawing.svg import write_svg
from profiles.lettering import BOLD
from tests.needs import need_program

SCALE = 3
TOLERANCE = 55
"""Grey levels by which a spot of 17 dots may differ. Measured: 35 for antialiasing and the last
fraction of a dot, 61 for words 0.2 mm out of place, 103 for a word that is missing."""


def draw_words(*, has_last: bool = True) -> Page:
    """Words in many places and manners, with a frame and a circle around them."""
    board = Recorder()
    board.rectangle(Box(10, 10, 138, 200), weights.OUTLINE, radius=6)
    board.circle((74, 100), 40, weights.OUTLINE)
    lines = ("Zażółć gęślą jaźń", "Příliš žluťoučký kůň", "Ξεσκεπάζω βδελυγμία", "Съешь ещё булок")
    for number, words in enumerate(lines):
        board.text((20, 180 - 8 * number), words, Lettering(3.0))
        board.text((128, 40 - 8 * number), words, Lettering(2.0, BOLD), anchor="right")
    board.text((74, 140), "Condensed AVAVA", Lettering(5.0, condense=0.8), anchor="middle")
    board.text((30, 90), "Upwards", Lettering(4.0), angle=90)
    mirror = Recorder()
    mirror.text((74, 100), "Mirror", Lettering(4.0), anchor="middle")
    board.place(mirror.finish(), mirrored(74))
    if has_last:
        board.text((74, 60), "fi fl AV", Lettering(2.0), anchor="middle")
    return Page(A5.width, A5.height, board.finish())


def show_in_browser(chromium: str, page: Page, folder: Path) -> Image.Image:
    source, shot = folder / "page.svg", folder / "page.png"
    source.write_bytes(write_svg(page).data)
    command = [chromium, "--headless", "--no-sandbox", "--disable-gpu", "--hide-scrollbars"]
    command += [f"--user-data-dir={folder / 'browser'}", f"--screenshot={shot}"]
    command += [f"--force-device-scale-factor={SCALE}", "--window-size=700,900", source.as_uri()]
    subprocess.run(command, check=True, capture_output=True, timeout=120)
    return Image.open(shot).convert("L")


def show_as_pdf(page: Page) -> Image.Image:
    return Image.open(io.BytesIO(write_png(page, dots_per_inch=96 * SCALE).data)).convert("L")


def largest_difference(one: Image.Image, other: Image.Image) -> int:
    size = (min(one.width, other.width), min(one.height, other.height))
    blurred = [image.crop((0, 0, *size)).filter(ImageFilter.BoxBlur(8)) for image in (one, other)]
    return max(ImageChops.difference(*blurred).tobytes())


def test_a_browser_shows_the_svg_as_the_pdf_prints(tmp_path: Path) -> None:
    """One CSS pixel is 1/96 inch, so both pictures have the same dots; losing one word fails."""
    browser = show_in_browser(need_program("chromium"), draw_words(), tmp_path)
    assert largest_difference(browser, show_as_pdf(draw_words())) <= TOLERANCE
    assert largest_difference(browser, show_as_pdf(draw_words(has_last=False))) > TOLERANCE
