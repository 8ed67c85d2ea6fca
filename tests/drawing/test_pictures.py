"""The looks of what stands on every sheet, as kept pictures; each docstring says what to see."""

from pathlib import Path

from profiles.drawing import marks, weights
from profiles.drawing.cautions import DRILLING, POWER, SOLDERING
from profiles.drawing.frame import Frame
from profiles.drawing.geometry import Box
from profiles.drawing.layout import bind, lay_out
from profiles.drawing.paper import A4, A5
from profiles.drawing.recorder import Recorder
from profiles.drawing.style import Lettering
from profiles.drawing.titleblock import TitleBlock
from tests.drawing.pictures import compare_with_kept

KEPT = Path(__file__).parent / "kept"
BLOCK = TitleBlock("Helm desk: drill template", "Harbour Pilot", "2026-11-25", "from the front")
LINES = {
    "outline": weights.OUTLINE,
    "hole": weights.HOLE,
    "body": weights.FRONT,
    "hidden": weights.HIDDEN,
    "centre": weights.CENTRE,
    "neighbour": weights.NEIGHBOUR,
    "dimension": weights.DIMENSION,
    "guide": weights.GUIDE,
    "grid": weights.GRID,
}


def draw_samples(board: Recorder, left: float, top: float) -> None:
    signs = (marks.ring_sign, marks.filled_sign, marks.double_arrow_sign, marks.steps_sign)
    for number, sign in enumerate(signs):
        sign(board, (left + 12 * number, top), 6)
    board.circle((left + 60, top), 16, weights.HOLE)
    marks.centre_mark(board, (left + 60, top), 16)
    marks.registration_mark(board, (left + 80, top))
    marks.turn_arrow(board, (left + 90, top), 5, clockwise=True)
    marks.turn_arrow(board, (left + 103, top), 5, clockwise=False)
    marks.dimension(board, (left, top - 20), (left + 40, top - 20), "40")
    marks.dimension(board, (left + 50, top - 20), (left + 55, top - 20), "5")
    marks.dimension(board, (left + 75, top - 30), (left + 75, top - 14), "16")
    for number, (name, style) in enumerate(LINES.items()):
        y = top - 38 - 4 * number
        board.line((left, y), (left + 60, y), style)
        board.text((left + 64, y), name, Lettering(2.0), rest="middle")


def test_a_sheet_with_every_mark_line_and_caution() -> None:
    """A5: border; signs, a drilled hole, cross, two turning arrows; three dimensions (the short
    one with heads from outside, the upright one read from the right); nine kinds of line; the
    caution box with its triangle; a ruler; a title block whose title is condensed, not cut."""
    frame = Frame(A5, BLOCK, (DRILLING, SOLDERING, POWER))
    board = Recorder()
    draw_samples(board, frame.room().left + 4, frame.room().top - 12)
    layout = lay_out(board.finish(), frame)
    document, _ = bind(layout.sheets)
    compare_with_kept(document.pages[0], KEPT / "sheet.png")


def test_a_joining_map_and_one_of_its_parts() -> None:
    """Map: three sentences, a pale plate under twelve named parts, the two inner ones crossed out
    with `empty, not printed`. Part C1: lower left corner of the plate with a hole, thin cut lines
    at top and right through two crosses each, `joins B1` above and `joins C2` at the right."""
    board = Recorder()
    board.rectangle(Box(0, 0, 690, 500), weights.OUTLINE, radius=8)
    board.circle((90, 90), 30, weights.HOLE)
    layout = lay_out(board.finish(), Frame(A4, BLOCK), may_turn=False)
    document, _ = bind(layout.sheets)
    pages = {page.name: page for page in document.pages}
    compare_with_kept(pages["map"], KEPT / "map.png")
    compare_with_kept(pages["C1"], KEPT / "part.png")
