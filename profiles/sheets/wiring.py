"""The wiring sheet: the solder side, what to cut, in which order to solder, and how to test it.

Everything is seen from behind, because that is where one solders. The pictures on paper are
reduced to fit, one group of lines a page; SVG shows them all, one under the other, true to scale.
"""

from collections.abc import Callable, Iterable, Iterator
from dataclasses import replace
from functools import cache, partial

from profiles.drawing.cautions import POWER, SOLDERING, draw_cautions
from profiles.drawing.document import Document
from profiles.drawing.frame import Frame
from profiles.drawing.geometry import Point, moved
from profiles.drawing.layout import Sheet, bind
from profiles.drawing.png import judge_dots
from profiles.drawing.recorder import Drawing, Recorder
from profiles.drawing.surface import Loss, judge_pages
from profiles.drawing.titleblock import TitleBlock
from profiles.model.device import Device
from profiles.report.data import plain_report
from profiles.report.document import Facts, Report
from profiles.report.paper import lay_out
from profiles.sheets.plate_art import front_size
from profiles.sheets.requests import WiringRequest
from profiles.sheets.sheet import PrintedSheet, Remark, Subject, remark_losses
from profiles.sheets.wiring_art import (
    HEADING,
    SHAPES_OF_CONTROL,
    Group,
    View,
    draw_group,
    draw_heading,
    draw_key,
    group_runs,
    key_height,
)
from profiles.sheets.wiring_lists import csv_rows, list_blocks
from profiles.text.finding import Spot
from profiles.wiring.box import Harness, harness_of
from profiles.wiring.circuit import circuit_of

LARGEST = 1.6
"""A small plate is drawn at most this many times its size."""
_HEADING, _GAP = 8.0, 5.0
_CAUTIONS = (SOLDERING, POWER)


def make_sheet(subject: Subject, request: WiringRequest) -> PrintedSheet:
    """Make the wiring sheet of a device.

    The cautions are on the first picture.
    """
    device, board = subject.device, subject.board
    harness, circuit = harness_of(device), circuit_of(device)
    groups = group_runs(harness.runs)
    block = TitleBlock(
        f"{device.name}: wiring",
        "Solder side, cut list, soldering order, tests",
        date=request.date,
        view="from behind",
        scale="none",
    )
    frame = Frame(request.sheet_paper, block, _CAUTIONS, has_ruler=False)
    facts = Facts({"board_at": list(harness.board_at)})
    report = Report(block.title, (facts, *list_blocks(device, circuit, harness, board)))
    document, work, losses = Document(()), Drawing(), list[Loss]()
    hidden: dict[str, None] = {}
    if request.needs("pdf"):
        lists = lay_out(report, replace(frame, block=replace(block, view=""), cautions=()))
        listed = sum(len(sheet.drawing.entries) for sheet in lists.sheets)
        pictured = len(groups) * len(device.controls) * SHAPES_OF_CONTROL
        judge_pages(len(groups) + len(lists.sheets), listed + pictured)
        view_at, pictures = cache(partial(View, device)), []
        for number, group in enumerate(groups):
            on = frame if number == 0 else replace(frame, cautions=())
            sheet, short = _lay_out(view_at, harness, group, on)
            pictures.append(sheet)
            hidden.update(dict.fromkeys(short))
        document, cut = bind((*pictures, *lists.sheets), title=block.title, subject=block.subtitle)
        losses = [*lists.losses, *cut]
    if "png" in request.forms:
        plate = device.plate
        judge_dots(plate.width, len(groups) * (plate.height + _HEADING + 4 * _GAP))
    if request.needs("svg", "png"):
        work, short = _draw_work(device, harness, groups)
        hidden.update(dict.fromkeys(short))
    return PrintedSheet(
        title=block.title,
        work=work,
        document=document,
        remarks=(*_find_remarks(device, harness, hidden), *remark_losses(tuple(losses))),
        facts=plain_report(report),
        table=tuple(csv_rows(device, circuit, harness, board)),
        paged=(block, report, harness, *_list_drawn(device)),
    )


def _list_drawn(device: Device) -> Iterator[object]:
    """What the pictures show beside the wires."""
    plate = device.plate
    yield plate.width, plate.height, plate.corner_radius
    yield from device.fixtures.items()
    for key, control in device.controls.items():
        yield key, control.position, front_size(control)


def _lay_out(
    view_at: Callable[[float], View], harness: Harness, group: Group, frame: Frame
) -> tuple[Sheet, tuple[str, ...]]:
    """One picture with its heading and key, on the paper turned as shows the plate larger; and
    the controls whose id is not shown in full."""
    plate = view_at(1.0).device.plate

    def shown(frame: Frame, spare: float) -> float:
        room = frame.room()
        return min(room.width / plate.width, (room.height - spare) / plate.height)

    frames = (frame, replace(frame, paper=frame.paper.turned))
    chosen = max(frames, key=lambda frame: round(shown(frame, 40.0), 6))
    room = chosen.room()
    factor = min(shown(chosen, _HEADING + key_height(group, room.width) + 2 * _GAP), LARGEST)
    view, board = view_at(max(factor, 0.05)), Recorder()
    accents = HEADING.em * HEADING.face.ascent - HEADING.cap_height
    foot = room.top - accents - _HEADING - plate.height * view.factor
    short = _draw_picture(board, view, harness, group, (room.left, foot), room.width)
    return Sheet(chosen, board.finish(), group.title), short


def _draw_work(
    device: Device, harness: Harness, groups: Iterable[Group]
) -> tuple[Drawing, tuple[str, ...]]:
    """All pictures true to scale, one under the other, the cautions over them; and the controls
    whose id is not shown in full."""
    view, board, low = View(device, 1.0), Recorder(), 0.0
    width = max(device.plate.width, 120.0)
    draw_cautions(board, (0.0, device.plate.height + _HEADING + _GAP), width, _CAUTIONS)
    hidden: dict[str, None] = {}
    for group in groups:
        hidden |= dict.fromkeys(_draw_picture(board, view, harness, group, (0.0, low), width))
        low -= device.plate.height + key_height(group, width) + _HEADING + 4 * _GAP
    return board.finish(), tuple(hidden)


def _draw_picture(
    board: Recorder, view: View, harness: Harness, group: Group, corner: Point, width: float
) -> tuple[str, ...]:
    """Draw a heading, the plate in the middle of `width`, its lower edge at the height of the
    corner, and the key; return the controls whose id is not shown in full."""
    (x, y), plate = corner, view.device.plate
    draw_heading(board, group, (x, y + plate.height * view.factor + _HEADING), width)
    with board.carried(moved(x + (width - plate.width * view.factor) / 2, y)):
        short = draw_group(board, view, group, harness.board_at)
    draw_key(board, group, (x, y - _GAP), width)
    return short


def _find_remarks(device: Device, harness: Harness, hidden: Iterable[str]) -> Iterator[Remark]:
    spot = Spot(device.id, ("wiring",))
    if harness.board_assumed:
        words = "`board_at` is not given: the wires start at the plate's centre"
        yield Remark("note", words, spot)
    for wire in harness.unrouted:
        words = f"{wire}: not drawn or cut, the file does not place its other end"
        yield Remark("skipped", words, spot)
    for key in hidden:
        words = f"there is no room for the whole id `{key}` in the picture of the solder side"
        yield Remark("skipped", words, Spot(device.id, ("controls", key)))
