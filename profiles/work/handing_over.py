"""What is handed over with a box: a page to touch, and a booklet to print.

The booklet binds the sheets that the box has anyway: the plate and a card for each application,
then wiring and parts, then the last press test where there is a recording of it.
"""

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

from profiles.drawing.document import Document
from profiles.drawing.frame import Frame
from profiles.drawing.geometry import Box, moved, scaled
from profiles.drawing.layout import Sheet, bind, renumber
from profiles.drawing.pdf import write_pdf
from profiles.drawing.surface import TooLargeError, judge_pages
from profiles.drawing.titleblock import TitleBlock
from profiles.live.outcome import sum_up
from profiles.live.report import print_outcome
from profiles.model import Device, Library, Link
from profiles.sheets.handover import write_handover
from profiles.sheets.requests import SheetRequest, make_sheet
from profiles.sheets.sheet import PrintedSheet, Remark, Subject, remark_losses
from profiles.work.names import find_named, find_only
from profiles.work.press import replay_test
from profiles.work.printing import make_request

AFTER = ("wiring", "parts")
"""Sheets of the box itself, behind those of its applications."""


def choose_box(
    library: Library, device: str | None, profiles: Sequence[str] = ()
) -> tuple[Device, tuple[Link, ...]]:
    """Return a device and the profiles to hand over: those named, otherwise all of the device.

    Raises:
        RequestError: where a name leads nowhere, or the device must be chosen.
    """
    if device is None:
        found = find_only("device", library.devices)
    else:
        found = find_named("device", device, library.devices)
    links = library.profiles_of(found.id)
    known = {link.profile.id: link for link in links}
    if profiles:
        links = tuple(find_named("profile", id_, known) for id_ in profiles)
    return found, links


def make_page(device: Device, links: Sequence[Link], date: str = "") -> bytes:
    """Return the page to touch, as UTF-8."""
    return write_handover(device, links, date)


def make_booklet(
    library: Library,
    device: Device,
    links: Sequence[Link],
    *,
    date: str = "",
    paper: str = "a4",
    recording: Path | None = None,
) -> tuple[bytes, tuple[Remark, ...]]:
    """Return the booklet as PDF, and what its sheets do not show as meant.

    Raises:
        RequestError: where there is no such paper.
        TooLargeError: where it is beyond what a PDF file may have.
        LiveError: where the recording cannot be read.
    """
    sheets, left_out = list[PrintedSheet](), list[Remark]()
    wanted: list[tuple[str, tuple[Link, ...]]] = [("legend", ())]
    if links:
        wanted = [(name, (link,)) for link in links for name in ("legend", "card")]
    judge_pages(len(wanted), 0)  # each takes one page at least
    for name, chosen in (*wanted, *((name, ()) for name in AFTER)):
        request = replace(
            make_request(name, device=device.id, date=date, paper=paper),
            forms=("svg",) if name == "legend" else ("pdf",),
        )
        subject = Subject(library=library, device=device, links=chosen, devices=(device,))
        try:
            sheet = make_sheet(subject, request)
        except TooLargeError as error:
            left_out.append(Remark("skipped", f"the {name} sheet is skipped: {error}"))
            continue
        sheets.append(sheet if name != "legend" else _reduce(sheet, request, subject))
    if recording is not None:
        sheets.append(print_outcome(sum_up([replay_test(device, recording).session]), date=date))
    pages = renumber([page for sheet in sheets for page in sheet.document.pages])
    title = f"{device.name}: booklet"
    written = write_pdf(Document(pages, title, "What it does and how it is made", date))
    remarks = [*left_out, *(remark for sheet in sheets for remark in sheet.remarks)]
    return written.data, tuple(dict.fromkeys((*remarks, *remark_losses(written.losses))))


def _reduce(sheet: PrintedSheet, request: SheetRequest, subject: Subject) -> PrintedSheet:
    """A sheet's drawing on one page as large as it fits, at most true to scale."""
    wide, high = subject.device.plate.width, subject.device.plate.height
    paper = request.sheet_paper if high > wide else request.sheet_paper.landscape
    names = ", ".join(link.application.name for link in subject.links if link.application)
    bounds = sheet.work.ink_bounds() or Box(0.0, 0.0, wide, high)
    block = TitleBlock(f"{subject.device.name}: faceplate legend", names, request.date, scale="")
    frame = Frame(paper, block, has_ruler=False)
    room = frame.room()
    factor = min(room.width / bounds.width, room.height / bounds.height, 1.0)
    frame = replace(frame, block=replace(block, scale="1:1" if factor == 1 else "reduced"))
    (left, low), (x, y) = (room.left, room.top), (bounds.left, bounds.top)
    placed = sheet.work.transformed(moved(-x, -y).then(scaled(factor)).then(moved(left, low)))
    document, _ = bind([Sheet(frame, placed)], title=block.title)
    return replace(sheet, document=document)
