"""Rulers across and up: how true a printer is, and how to tell it to Platebook."""

from profiles.drawing.fitting import wrap_lines
from profiles.drawing.frame import Frame
from profiles.drawing.geometry import Box, moved, turned
from profiles.drawing.layout import Sheet, bind
from profiles.drawing.recorder import Drawing, Recorder
from profiles.drawing.ruler import HEIGHT, LENGTH, WORDS, draw_ruler
from profiles.drawing.shapes import Text
from profiles.drawing.style import Lettering
from profiles.drawing.titleblock import TitleBlock
from profiles.sheets.requests import RulerRequest, find_measured
from profiles.sheets.sheet import PrintedSheet, Subject, remark_losses

ADVICE = (
    "Print this sheet at 100 % on the printer and the paper you use. Measure the ruler below and "
    "the vertical one, from 0 to 100, on the sheet held upright. If one is off by more than "
    "0.2 mm, give both to the next print, for example --measured 99.2x99.5 (across x up), or put "
    "them into platebook.toml for every print:"
)
SETTING = ("[printing]", "measured = [99.2, 99.5]")
CORRECTED = (
    "This print is corrected by what you measured before: the ruler below and the vertical one "
    "must measure 100 mm. If one is off by more than 0.2 mm, print this sheet with "
    "--measured 100x100, which corrects nothing, and measure that."
)
_WORDS = Lettering(2.5)
_LINE = 5.0


def make_sheet(subject: Subject, request: RulerRequest) -> PrintedSheet:
    """Make the sheet of rulers."""
    measured = find_measured(subject, request)
    is_corrected = measured is not None and measured.factors != (1.0, 1.0)
    block = TitleBlock("Rulers", "printer's scale across and up", date=request.date)
    frame = Frame(request.sheet_paper, block)
    work = draw_rulers(frame.room(), is_corrected=is_corrected)
    document, losses = bind([Sheet(frame, work, "")], title=block.title, subject=block.subtitle)
    return PrintedSheet(
        title=block.title,
        work=work,
        document=document,
        remarks=remark_losses(losses),
        facts={"rulers": [LENGTH, LENGTH]},
    )


def draw_rulers(room: Box, *, is_corrected: bool) -> Drawing:
    """A ruler that stands, and what to do with it, in the room that a frame leaves."""
    upright = Recorder()
    draw_ruler(upright, (0.0, 0.0))
    board = Recorder()
    place = turned(90).then(moved(room.left + HEIGHT, room.bottom))
    kept = [
        entry
        for entry in upright.finish().entries
        if not (isinstance(entry.shape, Text) and entry.shape.words == WORDS)
    ]
    board.place(Drawing(tuple(kept)), place)
    left = room.left + 2 * HEIGHT
    advice = wrap_lines(CORRECTED if is_corrected else ADVICE, room.right - left, _WORDS)
    lines = advice if is_corrected else [*advice, "", *SETTING]
    for number, line in enumerate(lines):
        board.text((left, room.bottom + LENGTH - number * _LINE), line, _WORDS, rest="top")
    return board.finish()
