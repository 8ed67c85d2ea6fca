"""The wiring sheet: the solder side, what to cut, in which order to solder, and how to test it.

Everything is seen from behind, because that is where one solders. The pictures on paper are
reduced to fit, one group of lines a page; SVG shows them all, one under the other, true to scale.
"""

from collections.abc import Iterable, Sequence
from dataclasses import replace
from typing import Any

from profiles.drawing.cautions import POWER, SOLDERING, draw_cautions
from profiles.drawing.frame import Frame
from profiles.drawing.geometry import moved
from profiles.drawing.layout import Sheet, bind
from profiles.drawing.recorder import Drawing, Recorder
from profiles.drawing.titleblock import TitleBlock
from profiles.model.device import Device
from profiles.model.finding import Spot
from profiles.report.data import plain_report
from profiles.report.document import Facts, Report
from profiles.report.paper import lay_out
from profiles.sheets.requests import WiringRequest
from profiles.sheets.sheet import PrintedSheet, Remark, Subject, remark_losses
from profiles.sheets.wiring_art import (
    Group,
    draw_group,
    draw_heading,
    draw_key,
    group_runs,
    key_height,
)
from profiles.sheets.wiring_lists import csv_rows, list_blocks
from profiles.wiring.box import Harness, harness_of
from profiles.wiring.circuit import circuit_of

LARGEST = 1.6
"""A small plate is drawn at most this many times its size."""
_HEADING, _GAP = 8.0, 5.0
_CAUTIONS = (SOLDERING, POWER)


def make_sheet(subject: Subject, request: WiringRequest) -> PrintedSheet:
    """Make the wiring sheet of a device."""
    device = subject.device
    harness, circuit = harness_of(device), circuit_of(device)
    board = subject.board
    groups = group_runs(harness.runs)
    block = TitleBlock(
        f"{device.name}: wiring",
        "Solder side, cut list, soldering order, tests",
        date=request.date,
        view="from behind",
        scale="none",
    )
    frame = Frame(request.sheet_paper, block, _CAUTIONS, has_ruler=False)
    hidden: dict[str, None] = {}
    pictures = [
        _lay_out(
            device, harness, group, _frame_for(device, replace(frame, cautions=cautions)), hidden
        )
        for group, cautions in zip(groups, _cautions_by_page(groups, frame), strict=True)
    ]
    listed = replace(frame, block=replace(block, view=""))
    facts = Facts({"board_at": list(harness.board_at)})
    report = Report(block.title, (facts, *list_blocks(device, circuit, harness, board)))
    lists = lay_out(report, listed)
    document, short = bind((*pictures, *lists.sheets), title=block.title, subject=block.subtitle)
    return PrintedSheet(
        title=block.title,
        work=_stack(device, harness, groups),
        document=document,
        remarks=(
            *_remarks(device, harness),
            *_hidden(device, hidden),
            *remark_losses((*lists.losses, *short)),
        ),
        facts=plain_report(report),
        table=tuple(csv_rows(device, circuit, harness, board)),
    )


def _cautions_by_page(groups: Sequence[Group], frame: Frame) -> list[tuple[Any, ...]]:
    """The cautions stand on the first picture and on every page of the lists."""
    return [frame.cautions if number == 0 else () for number in range(len(groups))]


def _frame_for(device: Device, frame: Frame) -> Frame:
    """The frame with its paper the way round that shows the plate larger."""
    turned = replace(frame, paper=frame.paper.turned)
    return max((frame, turned), key=lambda one: round(_room_factor(device, one), 6))


def _room_factor(device: Device, frame: Frame) -> float:
    room = frame.room()
    return min(room.width / device.plate.width, (room.height - 40.0) / device.plate.height)


def _lay_out(
    device: Device, harness: Harness, group: Group, frame: Frame, hidden: dict[str, None]
) -> Sheet:
    """One picture with its heading and key on a page; controls not fully named go to `hidden`."""
    room = frame.room()
    key = key_height(group, room.width)
    free = room.height - _HEADING - key - 2 * _GAP
    factor = min(room.width / device.plate.width, free / device.plate.height, LARGEST)
    picture, short = _picture(device, harness, group, max(factor, 0.05), room.width)
    hidden.update(dict.fromkeys(short))
    bounds = picture.bounds()
    top = bounds.top if bounds else 0.0
    placed = picture.transformed(moved(room.left, room.top - top))
    return Sheet(frame, placed, group.title)


def _picture(
    device: Device, harness: Harness, group: Group, factor: float, width: float
) -> tuple[Drawing, tuple[str, ...]]:
    """Heading, plate in the middle of `width`, key, the plate's lower edge at height 0; and the
    controls whose id is not shown in full."""
    inner, board = Recorder(), Recorder()
    short = draw_group(inner, device, group, harness.board_at, factor)
    height = device.plate.height * factor
    draw_heading(board, group, (0.0, height + _HEADING), width)
    board.place(inner.finish(), moved((width - device.plate.width * factor) / 2, 0.0))
    draw_key(board, group, (0.0, -_GAP), width)
    return board.finish(), short


def _stack(device: Device, harness: Harness, groups: Sequence[Group]) -> Drawing:
    """Cautions, then all pictures true to scale, the first plate's corner at the origin."""
    board, low = Recorder(), 0.0
    width = max(device.plate.width, 120.0)
    draw_cautions(board, (0.0, device.plate.height + _HEADING + _GAP), width, _CAUTIONS)
    for group in groups:
        picture, _ = _picture(device, harness, group, 1.0, width)
        board.place(picture, moved(0.0, low))
        low -= device.plate.height + key_height(group, width) + _HEADING + 4 * _GAP
    return board.finish()


def _hidden(device: Device, controls: Iterable[str]) -> list[Remark]:
    return [
        Remark(
            "left-out",
            f"there is no room for the whole id `{key}` in the picture of the solder side",
            Spot(device.id, ("controls", key)),
        )
        for key in controls
    ]


def _remarks(device: Device, harness: Harness) -> list[Remark]:
    spot = Spot(device.id, ("wiring",))
    remarks = []
    if harness.board_assumed:
        words = "`board_at` is not given: the wires start at the plate's centre"
        remarks.append(Remark("note", words, spot))
    for wire in harness.unrouted:
        words = f"{wire}: not drawn or cut, the file does not place its other end"
        remarks.append(Remark("left-out", words, spot))
    return remarks
