"""Label strips: one under each row of controls, cells at the controls' true pitch.

A strip for each row and application, stacked for cutting; on plain paper or tape. A strip longer
than the paper is cut between two cells, never within one.
"""

from collections.abc import Iterator, Sequence
from dataclasses import replace
from typing import Any

from profiles.drawing import weights
from profiles.drawing.document import Document, Page
from profiles.drawing.fitting import fit_line
from profiles.drawing.frame import Frame
from profiles.drawing.geometry import Box, moved
from profiles.drawing.layout import Layout, Sheet, bind
from profiles.drawing.recorder import Drawing, Recorder
from profiles.drawing.style import GREY, Lettering
from profiles.drawing.surface import Loss
from profiles.drawing.titleblock import TitleBlock
from profiles.facts.legend_labels import Label, application_labels, fixed_labels
from profiles.facts.legend_layout import OWN_WORDS
from profiles.model.device import Device
from profiles.plate.fit import MARK_ROOM, Fit, Misfit
from profiles.plate.labels import heights
from profiles.plate.outlines import centres_of
from profiles.plate.rows import find_rows
from profiles.sheets.label_art import draw_turn
from profiles.sheets.requests import StripRequest
from profiles.sheets.setting import find_setting_remarks
from profiles.sheets.sheet import PrintedSheet, Remark, Subject, remark_losses
from profiles.sheets.strip_plan import (
    Fronts,
    Part,
    Strip,
    choose_tape,
    plan_strips,
    split_strip,
)
from profiles.sheets.tapes import PAPER, Tape
from profiles.text.sign_words import say_signs, spell_signs

WORD_COLUMNS = ("row", "application", "label", "words", "from", "to")
"""Columns of the word list; places are mm along the row, from the plate's left edge."""
_STEP = 14.0
"""Height of a strip's caption, its cut marks and the space to the next, mm."""
_CAPTION = Lettering(1.8, ink=GREY)
_CUT_GAP, _CUT = 1.0, 3.0
"""Cut marks: distance from the strip's corner, and length, mm."""
_SIZES = ("height", "slack", "condense")
"""What is reported of how words are set."""


def make_sheet(subject: Subject, request: StripRequest) -> PrintedSheet:
    """Make the label strips of a device for up to three profiles."""
    applications, fronts = name_labels(subject, request.labels), Fronts(subject.device)
    tape = choose_tape(request.tape, subject.device)
    strips = plan_strips(subject.device, applications, tape)
    title, words = f"{subject.device.name}: label strips", ", ".join(applications)
    block = TitleBlock(title, words, request.date, "from the front")
    document, cut = Document(()), tuple[Loss, ...]()
    if request.pages == "tape":
        pages = tuple(make_tape_page(strip) for strip in strips)
        document = Document(pages, block.title, block.subtitle)
    elif request.needs("pdf"):
        frame = Frame(request.sheet_paper, block)
        layout = lay_out_strips(strips, frame, may_turn=not request.landscape)
        document, cut = bind(layout.sheets, title=block.title, subject=block.subtitle)
    return PrintedSheet(
        title=block.title,
        work=stack_strips([(strip, strip.start) for strip in strips]),
        document=document,
        remarks=(*find_remarks(subject.device, applications, strips, fronts), *remark_losses(cut)),
        head=make_head_page(strips, tape) if request.pages == "tape" and strips else None,
        table=(WORD_COLUMNS, *list_words(strips)),
        facts={
            "tape": {"name": tape.name, "width": tape.width, "printable": tape.printable},
            "strips": [describe_strip(fronts, strip) for strip in strips],
        },
        paged=(block, strips),
    )


def list_words(strips: Sequence[Strip]) -> Iterator[tuple[str, ...]]:
    """Every strip's words as a table for a label printer's own program."""
    for strip in strips:
        for part in (part for cell in strip.cells for part in cell.parts):
            setting = part.setting
            lines = setting.lines if isinstance(setting, Fit) else (part.label.words().text,)
            place = (f"{part.left:.1f}", f"{part.right:.1f}")
            words = say_signs(" / ".join(lines))
            yield (str(strip.row), strip.application, part.label.id, words, *place)


def make_tape_page(strip: Strip) -> Page:
    """A strip's words on a page as large as its tape."""
    words = draw_strip(strip).on_layers(["legends"])
    return Page(strip.width, strip.tape.width, words, f"row {strip.row}")


def make_head_page(strips: Sequence[Strip], tape: Tape) -> Page:
    """All strips one after the other, as high as the head prints."""
    board, x = Recorder(), 0.0
    for strip in strips:
        page = make_tape_page(strip)
        board.place(page.drawing, moved(x, (tape.printable - tape.width) / 2))
        x += strip.width
    return Page(x, tape.printable, board.finish())


def name_labels(subject: Subject, labels: str | None) -> dict[str, tuple[Label, ...]]:
    """What is to be printed, by the name of the application: the plate's own words first."""
    kind = labels or ("application" if subject.links else "fixed")
    found: dict[str, tuple[Label, ...]] = {}
    if kind != "application":
        found[OWN_WORDS] = tuple(fixed_labels(subject.device))
    if kind != "fixed":
        for link in subject.links:
            name = link.application.name if link.application else link.profile.name
            name = f"{name} ({link.profile.id})" if name in found else name
            found[name] = tuple(application_labels(subject.device, (link,)))
    return found


def lay_out_strips(strips: Sequence[Strip], frame: Frame, *, may_turn: bool) -> Layout:
    """Strips one below the other, on the paper as it is or turned, whichever cuts fewer."""
    choices = []
    for paper in (frame.paper, frame.paper.turned) if may_turn else (frame.paper,):
        turned = replace(frame, paper=paper)
        room = turned.room()
        pieces = [piece for strip in strips for piece in split_strip(strip, room.width - 8.0)]
        pages: list[list[Strip]] = [[]]
        used = 0.0
        for piece in pieces:
            used += piece.tape.width + _STEP
            if used > room.height and pages[-1]:
                pages.append([])
                used = piece.tape.width + _STEP
            pages[-1].append(piece)
        choices.append((len(pieces), len(pages), pages, turned))
    _, _, pages, chosen = min(choices, key=lambda choice: choice[:2])
    room = chosen.room()
    corner = moved(room.left + 4.0, room.top - 6.0)
    stacks = (stack_strips([(strip, 0.0) for strip in page]) for page in pages)
    return Layout(tuple(Sheet(chosen, stack.transformed(corner)) for stack in stacks))


def stack_strips(placed: Sequence[tuple[Strip, float]]) -> Drawing:
    """Strips one below the other, the first caption's top at y 0, each at its own x."""
    board = Recorder()
    y = 0.0
    for strip, x in placed:
        y -= strip.tape.width
        board.place(draw_strip(strip), moved(x, y))
        y -= _STEP
    return board.finish()


def draw_strip(strip: Strip) -> Drawing:
    """One strip, its lower left corner at the origin.

    Marks to cut along are outside its corners; ticks show where cells meet, and at the top the
    middle of each control.
    """
    board = Recorder()
    box = Box(0.0, 0.0, strip.width, strip.tape.width)
    kind = "" if strip.tape.name == PAPER else f"{strip.tape.name} mm tape"
    caption = " · ".join(filter(None, (f"Row {strip.row}", strip.application, kind, strip.part)))
    with board.layer("caption"):
        fitted = fit_line(caption, max(strip.width, 60.0), _CAPTION)
        board.text((0.0, box.top + 4.6), fitted.words, fitted.lettering)
    with board.layer("cut"):
        board.rectangle(box, weights.GUIDE)
        for x, away in ((box.left, -1), (box.right, 1)):
            for y, up in ((box.bottom, -1), (box.top, 1)):
                start, end = x + away * _CUT_GAP, x + away * (_CUT_GAP + _CUT)
                board.line((start, y), (end, y), weights.DIMENSION)
                ends = (x, y + up * _CUT_GAP), (x, y + up * (_CUT_GAP + _CUT))
                board.line(*ends, weights.DIMENSION)
    with board.layer("ticks"):
        places = [cell.place for cell in strip.cells]
        edges = {round(x - strip.start, 6) for cell in places for x in (cell.start, cell.end)}
        for x in sorted(edges - {0.0, round(strip.width, 6)}):
            board.line((x, box.top), (x, box.top - 1.2), weights.DIMENSION)
            board.line((x, box.bottom), (x, box.bottom + 1.2), weights.DIMENSION)
        for part in (part for cell in strip.cells for part in cell.parts[1:]):
            x = part.left - strip.start
            board.line((x, box.bottom), (x, box.bottom + 0.7), weights.GUIDE)
        for cell in places:
            x = cell.centre - strip.start
            board.line((x, box.top), (x, box.top - 0.7), weights.GUIDE)
    with board.layer("legends"):
        for part in (part for cell in strip.cells for part in cell.parts):
            if isinstance(part.setting, Fit):
                _draw_part(board, part, part.setting, strip)
    return board.finish()


def _draw_part(board: Recorder, part: Part, setting: Fit, strip: Strip) -> None:
    """Draw words in the middle of their part, a rotary's arrow on the side it turns to.

    Capitals are centred on the strip, so that words in a row are level; marks above or under the
    letters shift them where they would leave what can be printed.
    """
    centre, half = strip.tape.width / 2, strip.tape.printable / 2
    block = setting.height + (len(setting.lines) - 1) * setting.pitch
    under = setting.depth - setting.rise - block
    top = max(min(centre + block / 2, centre + half - setting.rise), centre - half + block + under)
    lettering = Lettering(setting.height, condense=setting.condense)
    mark = MARK_ROOM * setting.height * setting.condense if part.turn else 0.0
    middle = (part.left + part.right) / 2 - strip.start
    shift = {"": 0.0, "clockwise": -mark / 2, "anticlockwise": mark / 2}[part.turn]
    for number, line in enumerate(setting.lines):
        at = (middle + shift, top - setting.height - number * setting.pitch)
        board.text(at, line, lettering, anchor="middle")
    if part.turn:
        side = setting.height * setting.condense
        end = middle + setting.width / 2 - side
        left = end if part.turn == "clockwise" else middle - setting.width / 2
        square = Box(left, centre - side / 2, left + side, centre + side / 2)
        draw_turn(board, square, clockwise=part.turn == "clockwise")


def find_remarks(
    device: Device,
    applications: dict[str, tuple[Label, ...]],
    strips: Sequence[Strip],
    fronts: Fronts,
) -> Iterator[Remark]:
    """What does not fit, what gave way, rows without words, and tape that meets the next row."""
    wanted = heights(device.plate)[0]
    made = {(strip.row, strip.application) for strip in strips}
    for number in range(1, len(find_rows(centres_of(device))) + 1):
        for name in applications:
            if (number, name) not in made:
                yield Remark("note", f"row {number} has no words in {name}: no strip")
    chords = {(name, label.id): label for name, labels in applications.items() for label in labels}
    settings = []
    for strip in strips:
        for part in (part for cell in strip.cells for part in cell.parts):
            whole = chords[strip.application, part.label.id]
            text = spell_signs(part.label.words().text).replace("\n", ", ")
            name, spot = f"`{text}` at `{part.label.id}` in {strip.application}", part.label.spot
            if isinstance(part.setting, Misfit):
                yield Remark("skipped", f"{name}: {_lack(part.setting)}", spot)
                continue
            for row in whole.chords if not part.label.chords else ():
                where = f"`{part.label.id}` in {strip.application}"
                yield Remark("skipped", f"no room for `{spell_signs(row.text)}` at {where}", spot)
            settings.append((name, part.setting, spot))
        free = fronts.room_below(strip)
        if strip.tape.width > free:
            message = (
                f"row {strip.row}: the strip is {strip.tape.width:.1f} mm high, "
                f"{free:.1f} mm are free below the row"
            )
            yield Remark("note", message)
    yield from find_setting_remarks(settings, wanted)


def _lack(setting: Misfit) -> str:
    """What room is missing, in words."""
    at = f"at {setting.needed:.1f} mm capital height"
    if setting.missing_height > 0:
        return f"{setting.missing_height:.1f} mm too high {at}"
    return f"{setting.missing_width:.1f} mm too wide {at}"


def describe_strip(fronts: Fronts, strip: Strip) -> dict[str, Any]:
    """A strip as plain types, lengths in mm, for machines."""
    cells = []
    for cell in strip.cells:
        labels: list[dict[str, Any]] = []
        for part in cell.parts:
            setting = part.setting
            facts = {
                "id": part.label.id,
                "text": spell_signs(part.label.words().text),
                "left": round(part.left, 4),
                "right": round(part.right, 4),
                "needed": round(setting.needed, 4),
            }
            if isinstance(setting, Misfit):
                labels.append(facts | {"height": None, "reason": _lack(setting)})
                continue
            sizes = {name: round(getattr(setting, name), 4) for name in _SIZES}
            labels.append(facts | {"lines": [spell_signs(line) for line in setting.lines], **sizes})
        place = {name: round(getattr(cell.place, name), 4) for name in ("start", "centre", "end")}
        cells.append({"control": cell.place.id, **place, "labels": labels})
    return {
        "row": strip.row,
        "application": strip.application,
        "start": round(strip.start, 4),
        "width": round(strip.width, 4),
        "height": strip.tape.width,
        "free_below": round(fronts.room_below(strip), 4),
        "cells": cells,
    }
