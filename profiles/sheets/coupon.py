"""The hole-fit coupon: a small piece to cut or print before the plate, to try parts in.

For each distinct hole, mounting holes included, a row of holes in small steps, every one with its
size engraved under it; a bar marks the size that the file gives. Trying the fit on a small piece
first is a rule of thumb: printers and cutters leave holes smaller or larger than
drawn. Layers: `outline`, `holes`, `engraving`.
"""

from profiles.drawing import weights
from profiles.drawing.cautions import DRILLING
from profiles.drawing.digits import digit_strokes, digits_width
from profiles.drawing.document import Document
from profiles.drawing.frame import Frame
from profiles.drawing.geometry import Box, Point
from profiles.drawing.layout import bind, lay_out
from profiles.drawing.model3d import FACET, Slab
from profiles.drawing.paths import rectangle
from profiles.drawing.recorder import Drawing, Recorder
from profiles.drawing.style import Lettering
from profiles.drawing.surface import Loss
from profiles.drawing.titleblock import TitleBlock
from profiles.sheets.contours import draw_countersink, draw_hole
from profiles.sheets.coupon_plan import (
    BAR,
    BAR_GAP,
    NUMBER_GAP,
    NUMBER_HEIGHT,
    NUMBER_PITCH,
    CouponPlan,
    Trial,
    grow,
    is_possible,
    plan_coupon,
    steps_between,
)
from profiles.sheets.hole_list import group_by_size, list_holes
from profiles.sheets.hole_words import plain_size, size_words
from profiles.sheets.plate import cones_of, openings_of
from profiles.sheets.requests import CouponRequest
from profiles.sheets.sheet import PrintedSheet, Remark, Subject, remark_losses

CORNER = 2.0
GROOVE = 0.6
"""Depth of the numbers in the 3D model, mm; in a thin plate half of it."""

_WORDS = Lettering(NUMBER_HEIGHT)


def make_sheet(subject: Subject, request: CouponRequest) -> PrintedSheet:
    """Make the coupon of a device."""
    device = subject.device
    thickness = request.thickness or device.plate.thickness
    steps = steps_between(request.below, request.above, request.step)
    groups = group_by_size(list_holes(device))
    plan = plan_coupon(list(groups), steps)
    work = draw_coupon(plan)
    block = TitleBlock(
        f"{device.name}: hole-fit coupon",
        "Try each part; the bar marks the size of the file",
        date=request.date,
        view="from the front",
    )
    document, losses = Document(()), tuple[Loss, ...]()
    if request.needs("pdf"):
        pages = lay_out(
            work,
            Frame(request.sheet_paper, block, (DRILLING,)),
            may_turn=not request.landscape,
            overlap=request.overlap,
        )
        document, cut = bind(pages.sheets, title=block.title, subject=block.subtitle)
        losses = (*pages.losses, *cut)
    return PrintedSheet(
        title=block.title,
        work=work,
        document=document,
        remarks=(
            *(
                Remark("skipped", f"{size_words(size)} {step:+g} mm leaves no hole to cut")
                for size in groups
                for step in steps
                if not is_possible(grow(size, step))
            ),
            *remark_losses(losses),
        ),
        slab=slab_of(plan, thickness),
        paged=(block,),
        facts={
            "size": [round(plan.width, 4), round(plan.height, 4), thickness],
            "facet": FACET,
            "rows": [
                {
                    "hole": plain_size(size),
                    "trials": [
                        plain_size(trial.size) for trial in plan.trials if trial.nominal == size
                    ],
                    "for": [hole.id or hole.number for hole in groups[size]],
                }
                for size in dict.fromkeys(trial.nominal for trial in plan.trials)
            ],
        },
    )


def draw_coupon(plan: CouponPlan) -> Drawing:
    """The coupon, origin at its lower left corner."""
    board = Recorder()
    with board.layer("outline"):
        box = Box(0.0, 0.0, plan.width, plan.height)
        board.rectangle(box, weights.OUTLINE, radius=CORNER)
    with board.layer("holes"):
        for trial in plan.trials:
            draw_hole(board, trial.at, trial.size, 0.0, weights.HOLE)
    for trial in plan.trials:
        draw_countersink(board, trial.at, trial.size, weights.FRONT)
    with board.layer("engraving"):
        for trial in plan.trials:
            for words, (x, y) in _number_places(trial):
                board.text((x, y), words, _WORDS, anchor="middle")
            if trial.is_nominal:
                board.rectangle(_bar(trial), weights.FRONT)
    return board.finish()


def slab_of(plan: CouponPlan, thickness: float) -> Slab:
    """The coupon as a slab with its numbers as grooves."""
    outline = rectangle(Box(0.0, 0.0, plan.width, plan.height), CORNER)
    openings = openings_of((trial.at, trial.size, 0.0) for trial in plan.trials)
    strokes = [_bar(trial) for trial in plan.trials if trial.is_nominal]
    for words, (x, y) in (place for trial in plan.trials for place in _number_places(trial)):
        left = x - digits_width(words, NUMBER_HEIGHT) / 2
        strokes += digit_strokes(words, (left, y), NUMBER_HEIGHT)
    grooves = tuple(rectangle(box) for box in strokes)
    cones = cones_of((trial.at, trial.size) for trial in plan.trials)
    return Slab(outline, thickness, openings, grooves, min(GROOVE, thickness / 2), cones)


def _number_places(trial: Trial) -> list[tuple[str, Point]]:
    """The lines under a hole, each with the middle of its baseline."""
    first = trial.bottom - NUMBER_GAP - NUMBER_HEIGHT
    return [
        (words, (trial.at[0], first - NUMBER_PITCH * line))
        for line, words in enumerate(trial.numbers)
    ]


def _bar(trial: Trial) -> Box:
    words, (x, y) = _number_places(trial)[-1]
    half = digits_width(words, NUMBER_HEIGHT) / 2
    return Box(x - half, y - BAR_GAP - BAR, x + half, y - BAR_GAP)
