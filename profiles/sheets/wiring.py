"""The wiring sheet: the solder side, what to cut, in which order to solder, and how to test it.

Everything is seen from behind, because that is where one solders. The pictures on paper are
reduced to fit, one group of lines a page; SVG shows them all, one under the other, true to scale.
"""

from collections.abc import Iterable, Iterator
from dataclasses import replace

from profiles.drawing.cautions import POWER, SOLDERING, draw_cautions
from profiles.drawing.frame import Frame
from profiles.drawing.geometry import moved
from profiles.drawing.layout import Sheet, bind
from profiles.drawing.recorder import Drawing, Recorder
from profiles.drawing.titleblock import TitleBlock
from profiles.model.device import Device
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
    pictures, hidden = [], dict[str, None]()
    for number, group in enumerate(groups):
        sheet, short = _lay_out(
            device, harness, group, frame if number == 0 else replace(frame, cautions=())
        )
        pictures.append(sheet)
        hidden.update(dict.fromkeys(short))
    facts = Facts({"board_at": list(harness.board_at)})
    report = Report(block.title, (facts, *list_blocks(device, circuit, harness, board)))
    lists = lay_out(report, replace(frame, block=replace(block, view=""), cautions=()))
    document, cut = bind((*pictures, *lists.sheets), title=block.title, subject=block.subtitle)
    work, low = Recorder(), 0.0
    width = max(device.plate.width, 120.0)
    draw_cautions(work, (0.0, device.plate.height + _HEADING + _GAP), width, _CAUTIONS)
    for group in groups:
        work.place(_picture(device, harness, group, 1.0, width)[0], moved(0.0, low))
        low -= device.plate.height + key_height(group, width) + _HEADING + 4 * _GAP
    return PrintedSheet(
        title=block.title,
        work=work.finish(),
        document=document,
        remarks=(
            *_find_remarks(device, harness, hidden),
            *remark_losses((*lists.losses, *cut)),
        ),
        facts=plain_report(report),
        table=tuple(csv_rows(device, circuit, harness, board)),
    )


def _lay_out(
    device: Device, harness: Harness, group: Group, frame: Frame
) -> tuple[Sheet, tuple[str, ...]]:
    """One picture with its heading and key, on the paper turned as shows the plate larger; and
    the controls whose id is not shown in full."""

    def shown(frame: Frame, spare: float) -> float:
        room = frame.room()
        return min(room.width / device.plate.width, (room.height - spare) / device.plate.height)

    frames = (frame, replace(frame, paper=frame.paper.turned))
    chosen = max(frames, key=lambda frame: round(shown(frame, 40.0), 6))
    room = chosen.room()
    factor = min(shown(chosen, _HEADING + key_height(group, room.width) + 2 * _GAP), LARGEST)
    picture, short = _picture(device, harness, group, max(factor, 0.05), room.width)
    bounds = picture.bounds()
    placed = picture.transformed(moved(room.left, room.top - (bounds.top if bounds else 0.0)))
    return Sheet(chosen, placed, group.title), short


def _picture(
    device: Device, harness: Harness, group: Group, factor: float, width: float
) -> tuple[Drawing, tuple[str, ...]]:
    """Heading, plate in the middle of `width`, key, the plate's lower edge at height 0; and the
    controls whose id is not shown in full."""
    inner, board = Recorder(), Recorder()
    short = draw_group(inner, device, group, harness.board_at, factor)
    draw_heading(board, group, (0.0, device.plate.height * factor + _HEADING), width)
    board.place(inner.finish(), moved((width - device.plate.width * factor) / 2, 0.0))
    draw_key(board, group, (0.0, -_GAP), width)
    return board.finish(), short


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
