"""The solder side drawn: plate, controls and board from behind, with the wires of one group.

Lines are told apart by their dashes, by their names at both ends and by the number of each stop
along the chain, never by colour alone. Words are never mirrored. Places are not those of the
plate but of the drawing: the plate's lower right corner (seen from the front) is at the origin.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import hypot

from profiles.drawing import weights
from profiles.drawing.fitting import fit_line, wrap_lines
from profiles.drawing.geometry import Box, Point
from profiles.drawing.recorder import Recorder
from profiles.drawing.style import GREY, PALE, WHITE, Lettering, Style
from profiles.lettering import BOLD
from profiles.model.control import ControlValue
from profiles.model.device import Device
from profiles.sheets.plate_art import body_size
from profiles.wiring.harness import Run, from_behind

DASHES: tuple[tuple[float, ...], ...] = (
    (),
    (5.0, 1.5),
    (1.8, 1.1),
    (6.0, 1.2, 0.6, 1.2),
    (0.5, 1.0),
    (9.0, 1.2, 0.6, 1.2, 0.6, 1.2),
)
"""Dashes of the lines of one page, in turn."""

LANE = 2.0
"""How far the stops of two lines of one page stand apart at a control at most, mm each way."""
_PITCH = 4.2
"""From line to line at the board, mm."""
_BOARD_STEP = 4.0
"""Steps in which a clear place for the board is sought, mm."""
_NAME, _STOP, _TAG = Lettering(2.0, BOLD), Lettering(1.8), Lettering(1.8, BOLD)
_KEY, _KEY_LINE, _KEY_WORDS = Lettering(2.0), 3.7, 52.0
_DOT = 1.3
_LEAST_BODY = 5.0


@dataclass(frozen=True, slots=True)
class Group:
    """The lines drawn on one page."""

    title: str
    runs: tuple[Run, ...]


def group_runs(runs: Sequence[Run]) -> tuple[Group, ...]:
    """Lines by kind, at most as many on a page as there are dashes, shared out evenly."""
    kinds = {"row": "Rows", "column": "Columns", "pin": "Pins of their own", "bit": "Register bits"}
    groups: dict[str, list[Run]] = {}
    for run in runs:
        title = kinds.get(run.line.name.partition(" ")[0], "Commons and lamps")
        groups.setdefault(title, []).append(run)
    return tuple(
        Group(title, part) for title, members in groups.items() for part in _share_out(members)
    )


def _share_out(members: Sequence[Run]) -> list[tuple[Run, ...]]:
    pages = -(-len(members) // len(DASHES))
    ends = [round(number * len(members) / pages) for number in range(pages + 1)]
    return [tuple(members[start:end]) for start, end in pairwise(ends)]


def line_style(number: int) -> Style:
    """How the line of this number on its page is drawn."""
    return Style(weights.MIDDLE, dash=DASHES[number % len(DASHES)])


def draw_group(
    board: Recorder, device: Device, group: Group, board_at: Point, factor: float
) -> None:
    """Draw one page's picture, its lower left at the origin, `factor` times its true size."""
    view = _View(device, factor)
    _draw_plate(board, view)
    box = _board_box(view, group, board_at)
    starts = _board_starts(view, group, box)
    lane = _lane(view, len(group.runs))
    stops = [_stop_points(view, run, lane * rank) for run, rank in _ranked(group)]
    with board.layer("wires"):
        for number, points in enumerate(stops):
            board.polyline([starts[number], *points], line_style(number))
    _draw_board(board, group, box, starts)
    names = _draw_names(board, view)
    with board.layer("stops"):
        _draw_stops(board, group, stops, [box, *names])


def _ranked(group: Group) -> list[tuple[Run, float]]:
    """Lines with their place among those of the page, the middle one 0."""
    middle = (len(group.runs) - 1) / 2
    return [(run, number - middle) for number, run in enumerate(group.runs)]


def _lane(view: "_View", count: int) -> float:
    """How far two lanes lie apart each way, so that all fit on the smallest body."""
    sizes = [view.body(control) for control in view.device.controls.values()]
    radius = min((min(size) / 2 for size in sizes), default=_LEAST_BODY / 2)
    return min(LANE, (radius - 1.0) / 1.42 / max(1.0, (count - 1) / 2))


@dataclass(frozen=True, slots=True)
class _View:
    """The plate from behind at a factor."""

    device: Device
    factor: float

    def place(self, at: Point) -> Point:
        x, y = from_behind(at, self.device.plate.width)
        return (x * self.factor, y * self.factor)

    def body(self, control: ControlValue) -> tuple[float, float]:
        width, height = (max(side * self.factor, _LEAST_BODY) for side in body_size(control))
        return (width, height)


def _draw_plate(board: Recorder, view: _View) -> None:
    """Draw the edge and the bodies."""
    plate = view.device.plate
    with board.layer("outline"):
        box = Box(0.0, 0.0, plate.width * view.factor, plate.height * view.factor)
        board.rectangle(box, weights.OUTLINE, radius=plate.corner_radius * view.factor)
    with board.layer("controls"):
        for control in view.device.controls.values():
            width, height = view.body(control)
            x, y = view.place(control.position)
            body = Box(x - width / 2, y - height / 2, x + width / 2, y + height / 2)
            board.rectangle(body, Style(weights.HAIR, fill=PALE), radius=min(width, height) / 2)


def _draw_names(board: Recorder, view: _View) -> list[Box]:
    """Write the id of each control above it, over the wires; return where they stand."""
    places = []
    with board.layer("controls"):
        for key, control in view.device.controls.items():
            x, y = view.place(control.position)
            low = y + view.body(control)[1] / 2 + 1.2
            name = fit_line(key, max(46.0 * view.factor, 12.0), _NAME)
            half = name.lettering.width(name.words) / 2
            box = Box(x - half, low, x + half, low + name.lettering.cap_height).grown(0.3)
            board.rectangle(box, weights.fill(WHITE))
            board.text((x, low), name.words, name.lettering, anchor="middle")
            places.append(box)
    return places


def _stop_points(view: _View, run: Run, lane: float) -> list[Point]:
    """Where the stops of a line are drawn: each line has its own lane over a control."""
    points: list[Point] = []
    for stop in run.order[1:]:
        x, y = view.place(stop.at)
        point = (x + lane, y - lane)
        while point in points:
            point = (point[0], point[1] - LANE)
        points.append(point)
    return points


def _board_box(view: _View, group: Group, board_at: Point) -> Box:
    """The board as drawn: wide enough for its lines, in the nearest place clear of bodies."""
    half = (len(group.runs) + 1) * _PITCH / 2
    rise = max(_TAG.width(run.line.name) for run in group.runs) / 2 + 1.2
    x, y = view.place(board_at)
    bodies = [_body_box(view, control) for control in view.device.controls.values()]
    room = Box(0.0, 0.0, *view.place((0.0, view.device.plate.height))).grown(-1.0)
    for dx, dy in _nearest_moves(max(room.width, room.height)):
        box = Box(x + dx - half, y + dy - rise, x + dx + half, y + dy + rise)
        if room.holds(box) and not any(box.meets(body) for body in bodies):
            return box
    return Box(x - half, y - rise, x + half, y + rise)


def _body_box(view: _View, control: ControlValue) -> Box:
    """A body with its id above it and a little room around."""
    width, height = view.body(control)
    x, y = view.place(control.position)
    return Box(x - width / 2 - 1.0, y - height / 2 - 1.0, x + width / 2 + 1.0, y + height / 2 + 4.0)


def _nearest_moves(reach: float) -> list[Point]:
    """Moves on a square grid, the shortest first."""
    count = int(reach / _BOARD_STEP)
    steps = [number * _BOARD_STEP for number in range(-count, count + 1)]
    return sorted(((dx, dy) for dx in steps for dy in steps), key=lambda move: (hypot(*move), move))


def _board_starts(view: _View, group: Group, box: Box) -> list[Point]:
    """Where each line leaves the board: on the edge that faces its first stop, in the order in
    which the first stops lie, so that few lines cross."""
    firsts = [view.place(run.order[1].at) for run in group.runs]
    order = sorted(range(len(firsts)), key=lambda number: (firsts[number][0], number))
    return [
        (
            box.left + (order.index(number) + 1) * _PITCH,
            box.top if first[1] >= box.centre[1] else box.bottom,
        )
        for number, first in enumerate(firsts)
    ]


def _draw_board(board: Recorder, group: Group, box: Box, starts: Sequence[Point]) -> None:
    with board.layer("board"):
        board.rectangle(box, Style(weights.WIDE, fill=WHITE), radius=1.0)
        for run, (x, _) in zip(group.runs, starts, strict=True):
            at = (x, box.centre[1])
            board.text(at, run.line.name, _TAG, anchor="middle", rest="middle", angle=90.0)


def _draw_stops(
    board: Recorder, group: Group, stops: Sequence[Sequence[Point]], taken: list[Box]
) -> None:
    """Draw the dots of all lines, then their numbers; the last stop has the line's name too."""
    dots = [Box(x, y, x, y).grown(_DOT / 2) for points in stops for x, y in points]
    for dot in dots:
        board.circle(dot.centre, _DOT, weights.fill())
    taken = [*taken, *dots]
    for run, points in zip(group.runs, stops, strict=True):
        for number, at in enumerate(points, 1):
            last = number == len(points)
            words = f"{number} {run.line.name}" if last else f"{number}"
            lettering = _TAG if last else _STOP
            box = _place_tag(at, lettering.width(words), taken)
            board.rectangle(box, weights.fill(WHITE))
            board.text((box.left + 0.2, box.bottom + 0.3), words, lettering)
            taken.append(box)


def _place_tag(at: Point, width: float, taken: Sequence[Box]) -> Box:
    """The first place around a stop where its tag meets nothing; the first of all if none is."""
    x, y = at
    places = []
    for rise in (0.2, -2.6, 2.8, -5.2, 5.4, -7.8):
        for left in (x + _DOT / 2 + 0.3, x - _DOT / 2 - 0.7 - width):
            places.append(Box(left, y + rise, left + width + 0.4, y + rise + 2.4))
    free = [box for box in places if not any(box.meets(other) for other in taken)]
    return (free or places)[0]


def key_height(group: Group, width: float) -> float:
    """Return the height of the key under a picture, mm."""
    return sum(len(lines) * _KEY_LINE + 1.2 for lines in _key_lines(group, width))


def draw_key(board: Recorder, group: Group, corner: Point, width: float) -> None:
    """Draw under a picture how each line is drawn, its colour, and its stops in order.

    `corner` is the upper left of the key.
    """
    x, y = corner
    with board.layer("key"):
        for number, (run, lines) in enumerate(
            zip(group.runs, _key_lines(group, width), strict=True)
        ):
            board.line((x, y - 1.0), (x + 22.0, y - 1.0), line_style(number))
            name = fit_line(run.line.name, 24.0, _NAME)
            board.text((x + 25.0, y), name.words, name.lettering, rest="top")
            for line in lines:
                fitted = fit_line(line, width - _KEY_WORDS, _KEY)
                board.text((x + _KEY_WORDS, y), fitted.words, fitted.lettering, rest="top")
                y -= _KEY_LINE
            y -= 1.2


def _key_lines(group: Group, width: float) -> list[list[str]]:
    return [wrap_lines(chain_words(run), width - _KEY_WORDS, _KEY) for run in group.runs]


def chain_words(run: Run) -> str:
    """A line's stops in order, numbered, with its start and colour."""
    stops = ", ".join(f"{number} {stop.name}" for number, stop in enumerate(run.order[1:], 1))
    return f"{run.line.colour}, from {run.order[0].name}: {stops}"


def draw_heading(board: Recorder, group: Group, at: Point, width: float) -> None:
    """Write what a page shows, its capitals hanging from `at`."""
    words = "seen from behind, the side one solders; numbers give the order along each line"
    title = Lettering(2.5, BOLD)
    board.text(at, group.title, title, rest="top")
    start = title.width(group.title) + 4.0
    fitted = fit_line(words, width - start, Lettering(2.0, ink=GREY))
    board.text((at[0] + start, at[1]), fitted.words, fitted.lettering, rest="top")
