"""Label strips for rows of controls: cells at the controls' true pitch, and the words set in them.

Lengths in millimetres; x along the row as on the plate seen from the front.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from profiles.facts.legend_labels import Label
from profiles.lettering import REGULAR
from profiles.model.device import Device
from profiles.plate.fit import LINE_PITCH, MARK_ROOM, Fit, Misfit, fit, measure, set_text
from profiles.plate.labels import heights
from profiles.plate.outlines import centres_of, outlines_of
from profiles.plate.rows import Cell, cells, find_rows
from profiles.sheets.tapes import PAPER, TAPES, Tape

WIDEST = 60.0
"""Widest cell, so that a strip can be cut between any two cells and each part fits on A5."""
LONE = 40.0
"""Cell of a control alone in its row."""

_HAIR = 1e-6
_SIDE = 1.0
"""Clear space at the ends of a part."""
_ORDER = {"anticlockwise": 0, "press": 1, "clockwise": 2, "off": 0, "on": 1}
"""Ends of a control from the left, as on the plate: right switches on (see `plate.labels`)."""


@dataclass(frozen=True, slots=True)
class Part:
    """Words in a cell: where they are, and how they are set or what room they lack."""

    label: Label
    left: float
    right: float
    setting: Fit | Misfit

    @property
    def room(self) -> tuple[float, float]:
        """Its ends."""
        return self.left, self.right

    @property
    def extra(self) -> float:
        """Room for the arrow, in capital heights."""
        return MARK_ROOM if self.turn else 0.0

    @property
    def turn(self) -> str:
        """`clockwise` or `anticlockwise` where an arrow is beside the words."""
        return self.label.contact if self.label.contact in ("clockwise", "anticlockwise") else ""


@dataclass(frozen=True, slots=True)
class StripCell:
    """The part of a strip that belongs to one control."""

    place: Cell
    parts: tuple[Part, ...]


@dataclass(frozen=True, slots=True)
class Strip:
    """One row's strip for one application, or a part of it between two cells."""

    row: int
    """Counted from the top of the plate, from 1."""
    application: str
    """Its name, or what the plate's own words are called."""
    tape: Tape
    cells: tuple[StripCell, ...]
    part: str = ""
    """Such as `part 1 of 2`; empty for a whole strip."""

    @property
    def start(self) -> float:
        """Left end, x on the plate."""
        return self.cells[0].place.start

    @property
    def width(self) -> float:
        """Length of the strip."""
        return self.cells[-1].place.end - self.start


def choose_tape(name: str, device: Device) -> Tape:
    """The tape of this name; plain paper is as high as two lines of legends need."""
    if name in TAPES:
        return TAPES[name]
    wanted = heights(device.plate)[0]
    printable = round(wanted * (1 + LINE_PITCH + 0.6), 1)
    return Tape(PAPER, printable + 3.0, printable)


def plan_strips(
    device: Device, labels: Mapping[str, Sequence[Label]], tape: Tape
) -> tuple[Strip, ...]:
    """Strips row by row from the top, in each row application by application.

    Rows without words have none. No cell reaches beyond the plate. All letters have one height and
    one width, the greatest at which all words that fit still do.
    """
    strips = []
    by_control: dict[str, dict[str, list[Label]]] = {}
    for name, wanted in labels.items():
        of_name = by_control.setdefault(name, {})
        for label in wanted:
            of_name.setdefault(label.control, []).append(label)
    for number, row in enumerate(find_rows(centres_of(device)), 1):
        centres = [(key, device.controls[key].position[0]) for key in row.members]
        places = [
            place._replace(start=max(place.start, 0.0), end=min(place.end, device.plate.width))
            for place in cells(centres, WIDEST, LONE)
        ]
        for name in labels:
            found = []
            for place in places:
                here = by_control[name].get(place.id, [])
                here.sort(key=lambda label: _ORDER.get(label.contact, 0))
                found.append(StripCell(place, tuple(_set_parts(device, place, here, tape))))
            if any(cell.parts for cell in found):
                strips.append(Strip(number, name, tape, tuple(found)))
    parts = [part for strip in strips for cell in strip.cells for part in cell.parts]
    fits = [part.setting for part in parts if isinstance(part.setting, Fit)]
    height = min((one.height for one in fits), default=0.0)
    alike = [_set_part(device, part.label, part.room, tape.printable, height) for part in parts]
    widths = [one.setting.condense for one in alike if isinstance(one.setting, Fit)]
    condense = min(widths, default=1.0)
    return tuple(
        replace(
            strip,
            cells=tuple(
                replace(
                    cell,
                    parts=tuple(_set_alike(part, height, condense, tape) for part in cell.parts),
                )
                for cell in strip.cells
            ),
        )
        for strip in strips
    )


def _set_alike(part: Part, height: float, condense: float, tape: Tape) -> Part:
    """A part in letters of this height and width, in as few lines as there is room for."""
    if isinstance(part.setting, Misfit):
        return part
    text = measure(part.label.words().text, REGULAR, extra=part.extra)
    wide = part.right - part.left - 2 * _SIDE
    for lines in text.breaks:
        setting = set_text(text, lines, height, condense, part.setting.needed)
        if setting.width <= wide + _HAIR and setting.depth <= tape.printable + _HAIR:
            return replace(part, setting=setting)
    raise AssertionError("words that fit still do in smaller and narrower letters")


def _set_parts(device: Device, place: Cell, labels: Sequence[Label], tape: Tape) -> Iterator[Part]:
    """The words of a cell side by side; words alone go under the control where they can."""
    if len(labels) == 1:
        half = min(place.centre - place.start, place.end - place.centre)
        room = (place.centre - half, place.centre + half)
        middle = _set_part(device, labels[0], room, tape.printable)
        if isinstance(middle.setting, Fit) and middle.setting.condense == 1:
            yield middle
            return
    step = place.width / max(1, len(labels))
    for number, label in enumerate(labels):
        left = place.start + number * step
        yield _set_part(device, label, (left, left + step), tape.printable)


def _set_part(
    device: Device,
    label: Label,
    room: tuple[float, float],
    height: float,
    wanted: float | None = None,
) -> Part:
    """Words, shorter ones, or those without chords: the first that have room at `wanted` mm."""
    preferred, least = heights(device.plate)
    for shown in dict.fromkeys((label, label.shorter(), label.without_chords())):
        part = Part(shown, *room, Misfit("", least, 0.0, 0.0))
        measured = measure(shown.words().text, REGULAR, extra=part.extra)
        wide = room[1] - room[0] - 2 * _SIDE
        setting = fit(measured, wide, height, wanted or preferred, least)
        part = replace(part, setting=setting)
        if isinstance(setting, Fit):
            break
    return part


def split_strip(strip: Strip, room: float) -> tuple[Strip, ...]:
    """Parts of a strip no longer than `room`, cut between cells."""
    groups: list[list[StripCell]] = [[]]
    for cell in strip.cells:
        if groups[-1] and cell.place.end - groups[-1][0].place.start > room:
            groups.append([])
        groups[-1].append(cell)
    if len(groups) == 1:
        return (strip,)
    return tuple(
        replace(strip, cells=tuple(group), part=f"part {number} of {len(groups)}")
        for number, group in enumerate(groups, 1)
    )


class Fronts:
    """The fronts of a device as strips meet them, found once for all rows."""

    def __init__(self, device: Device) -> None:
        self._boxes = {one.id: one.front.bounds for one in outlines_of(device)}
        self._concentric = device.concentric

    def room_below(self, strip: Strip) -> float:
        """Free height of the plate under a strip's row, over the strip's length."""
        row = {cell.place.id for cell in strip.cells}
        low = min(self._boxes[self._concentric.get(key, key)].bottom for key in row)
        end = strip.start + strip.width
        below = [
            box.top
            for key, box in self._boxes.items()
            if key not in row and box.top <= low and box.right > strip.start and box.left < end
        ]
        return low - max(below, default=0.0)
