"""A small sheet of the labels that came out other than before, to cut and lay over the old ones.

Each row's cells that differ are pieces of its strip, at the true pitch; neighbours stay together.
"""

from collections.abc import Iterable, Iterator

from profiles.drawing.frame import Frame
from profiles.drawing.layout import bind
from profiles.drawing.titleblock import TitleBlock
from profiles.plate.fit import Fit
from profiles.sheets.requests import StripRequest
from profiles.sheets.sheet import PrintedSheet, Subject, remark_losses
from profiles.sheets.strip import (
    describe_strip,
    find_remarks,
    lay_out_strips,
    name_labels,
    stack_strips,
)
from profiles.sheets.strip_plan import Fronts, Strip, StripCell, choose_tape, plan_strips


def make_changed_labels(
    before: Subject | None, after: Subject, request: StripRequest
) -> PrintedSheet | None:
    """Make the sheet of one device; None where every label is as it was.

    Without a state before, every label is new.
    """
    known = set() if before is None else set(_list_cells(_plan(before, request)))
    strips = tuple(piece for strip in _plan(after, request) for piece in _cut_out(strip, known))
    if not strips:
        return None
    applications = name_labels(after, request.labels)
    title, words = f"{after.device.name}: labels that changed", ", ".join(applications)
    block = TitleBlock(title, words, request.date, "from the front")
    layout = lay_out_strips(
        strips, Frame(request.sheet_paper, block), may_turn=not request.landscape
    )
    document, cut = bind(layout.sheets, title=title, subject=words)
    fronts = Fronts(after.device)
    # Rows without a piece are as they were, which is no remark here.
    remarks = [
        remark
        for remark in find_remarks(after.device, applications, strips, fronts)
        if remark.kind != "note"
    ]
    return PrintedSheet(
        title=title,
        work=stack_strips([(strip, 0.0) for strip in strips]),
        document=document,
        name=f"{after.device.id}-changed-labels",
        remarks=(*remarks, *remark_losses(cut)),
        facts={"strips": [describe_strip(fronts, strip) for strip in strips]},
    )


def _plan(subject: Subject, request: StripRequest) -> tuple[Strip, ...]:
    tape = choose_tape(request.tape, subject.device)
    return plan_strips(subject.device, name_labels(subject, request.labels), tape)


def _list_cells(strips: Iterable[Strip]) -> Iterator[object]:
    for strip in strips:
        for cell in strip.cells:
            yield _look(strip, cell)


def _look(strip: Strip, cell: StripCell) -> object:
    """All that is seen of a cell, and whose it is; its place along the row does not count."""
    place = cell.place
    parts = tuple(
        (
            part.turn,
            round(part.left - place.start, 6),
            round(part.right - place.start, 6),
            part.setting if isinstance(part.setting, Fit) else part.label.words().text,
        )
        for part in cell.parts
    )
    middle = round(place.centre - place.start, 6)
    return strip.application, strip.tape, place.id, round(place.width, 6), middle, parts


def _cut_out(strip: Strip, known: set[object]) -> Iterator[Strip]:
    """The pieces of a strip whose cells are not known; cells without words are none."""
    run: list[StripCell] = []
    for cell in (*strip.cells, None):
        if cell is not None and cell.parts and _look(strip, cell) not in known:
            run.append(cell)
        elif run:
            yield Strip(strip.row, strip.application, strip.tape, tuple(run))
            run = []
