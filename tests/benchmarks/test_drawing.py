"""What the drawing board costs above the PDF library alone: a ratio taken in one run."""

import io
from collections.abc import Callable
from importlib import import_module
from time import process_time
from typing import Any

from profiles.drawing.document import Document, Page
from profiles.drawing.paper import A4, points
from profiles.drawing.pdf import font_name, write_pdf
from profiles.drawing.recorder import Recorder
from profiles.drawing.style import Lettering
from profiles.lettering import REGULAR, em_for_cap_height

PAGES = 20
ROUNDS = 9
CAP_HEIGHT = 2.5
LABELS = tuple(f"Zawór spalin {number} Ω Ж" for number in range(2000))
"""2,000 labels over 20 pages, with letters that need several subsets of the font."""


def places() -> list[list[tuple[float, float, str]]]:
    """Labels of each page in four columns of 25, in mm."""
    per_page = len(LABELS) // PAGES
    return [
        [
            (15.0 + 48 * (number // 25), 280.0 - 10 * (number % 25), words)
            for number, words in enumerate(LABELS[page * per_page : (page + 1) * per_page])
        ]
        for page in range(PAGES)
    ]


def put_with_library_alone() -> bytes:
    """The same strings at the same places, by the library's own calls."""
    canvas_module: Any = import_module("reportlab.pdfgen.canvas")
    buffer = io.BytesIO()
    canvas = canvas_module.Canvas(
        buffer, pagesize=(points(A4.width), points(A4.height)), invariant=1
    )
    name, size = font_name(REGULAR), points(em_for_cap_height(REGULAR, CAP_HEIGHT))
    for page in places():
        canvas.setFont(name, size)
        for x, y, words in page:
            canvas.drawString(points(x), points(y), words)
        canvas.showPage()
    canvas.save()
    return buffer.getvalue()


def put_with_board() -> bytes:
    """Recorded on boards, then written."""
    lettering = Lettering(CAP_HEIGHT)
    pages = []
    for page in places():
        board = Recorder()
        for x, y, words in page:
            board.text((x, y), words, lettering)
        pages.append(Page(A4.width, A4.height, board.finish()))
    return write_pdf(Document(tuple(pages))).data


def time_once(put: Callable[[], bytes]) -> float:
    start = process_time()
    put()
    return process_time() - start


def test_2000_labels_cost_at_most_1_7_times_the_library_alone() -> None:
    """Least of several rounds, in turn so that both meet the same machine; ours are tagged too."""
    put_with_board(), put_with_library_alone()
    rounds = [(time_once(put_with_board), time_once(put_with_library_alone)) for _ in range(ROUNDS)]
    board, library = (min(times) for times in zip(*rounds, strict=True))
    ratio = board / library
    print(f"board {board * 1e3:.0f} ms, library alone {library * 1e3:.0f} ms, ratio {ratio:.2f}")
    assert ratio <= 1.7
