"""The solder side drawn: plate, controls and board from behind, with the wires of one group.

Lines are told apart by their width and tone, half of them by one dash, by their names at both ends
and on the way, and by the number of each stop along the chain, never by colour alone.
Words are never mirrored. Places are not those of the plate but of the drawing: the plate's lower
right corner (seen from the front) is at the origin.
"""

from bisect import bisect_left
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from itertools import pairwise
from math import dist, hypot, inf

from profiles.drawing import weights
from profiles.drawing.fitting import NARROWEST, Fitted, fit_line, wrap_lines
from profiles.drawing.geometry import Box, Point, mirrored, scaled
from profiles.drawing.paths import Path
from profiles.drawing.recorder import Recorder
from profiles.drawing.style import BLACK, GREY, PALE, WHITE, Lettering, Style
from profiles.drawing.taken import TakenBoxes
from profiles.lettering import BOLD
from profiles.model.device import Device
from profiles.sheets.contours import contour_of
from profiles.sheets.plate_art import front_size
from profiles.wiring.harness import Run, from_behind

_THIN, _BROAD, _TONE = 0.3, 1.0, "#8c8c8c"
"""Widths of lines, mm, and the tone of those that are not black: 3.4 to 1 on white, where WCAG 2.2
asks 3 of lines that carry meaning."""
_DASH = (5.0, 1.8)
LINES = tuple(
    Style(width, ink, dash)
    for dash in ((), _DASH)
    for width, ink in ((_THIN, BLACK), (_BROAD, BLACK), (_BROAD, _TONE))
)
"""How the lines of one page are drawn, in turn."""

SHAPES_OF_CONTROL = 3
"""Its front, its name, and the ground of that, on each page."""

LANE = 2.0
"""How far the stops of two lines of one page stand apart at a control at most, mm each way."""
_PITCH = 4.2
"""From line to line at the board, mm."""
NEAR = 12
"""How far around its place the board is moved in steps of 1 mm before larger steps are tried."""
HEADING = Lettering(2.5, BOLD)
_NAME, _STOP, _TAG = Lettering(2.0, BOLD), Lettering(1.8), Lettering(1.8, BOLD)
_KEY, _KEY_LINE, _KEY_WORDS = Lettering(2.0), 3.7, 52.0
_DOT = 1.3
_LEAST_FRONT = 5.0


@dataclass(frozen=True, slots=True)
class Group:
    """The lines drawn on one page."""

    title: str
    runs: tuple[Run, ...]


def group_runs(runs: Sequence[Run]) -> tuple[Group, ...]:
    """Lines by kind, at most as many on a page as are told apart, shared out evenly."""
    kinds = {
        "row": "Rows",
        "column": "Columns",
        "pin": "Pins of their own",
        "bit": "Register bits",
        "place": "Places of banks",
    }
    groups: dict[str, list[Run]] = {}
    for run in runs:
        title = kinds.get(run.line.name.partition(" ")[0], "Commons and LEDs")
        groups.setdefault(title, []).append(run)
    found = []
    for title, members in groups.items():
        pages = -(-len(members) // len(LINES))
        ends = [round(number * len(members) / pages) for number in range(pages + 1)]
        found += [Group(title, tuple(members[start:end])) for start, end in pairwise(ends)]
    return tuple(found)


def line_style(number: int) -> Style:
    """How the line of this number on its page is drawn."""
    return LINES[number % len(LINES)]


@dataclass(frozen=True)
class View:
    """The plate from behind at `factor` times its true size, its lower left at the origin."""

    device: Device
    factor: float

    def place(self, at: Point) -> Point:
        """Where a place of the plate is drawn."""
        x, y = from_behind(at, self.device.plate.width)
        return (x * self.factor, y * self.factor)

    @cached_property
    def fronts(self) -> Mapping[str, Box]:
        """The boxes of all fronts, by control."""
        found = {}
        for key, control in self.device.controls.items():
            x, y = self.place(control.position)
            half, rise = (max(side * self.factor, _LEAST_FRONT) / 2 for side in front_size(control))
            found[key] = Box(x - half, y - rise, x + half, y + rise)
        return found

    @cached_property
    def fronts_taken(self) -> TakenBoxes:
        """Where no words may be."""
        return TakenBoxes(self.fronts.values())

    @cached_property
    def board_taken(self) -> tuple[TakenBoxes, TakenBoxes]:
        """Where the board may not be: over a front or its name, or at least over no front."""
        fronts = [front.grown(0.6) for front in self.fronts.values()]
        return TakenBoxes(replace(one, top=one.top + 3.2) for one in fronts), TakenBoxes(fronts)

    @cached_property
    def names(self) -> Mapping[str, "_Name"]:
        """The id of each control above its front, condensed or shrunk to the room between its
        neighbours."""
        places = {key: front.centre for key, front in self.fronts.items()}
        levels: dict[int, list[Point]] = {}
        for x, y in places.values():
            levels.setdefault(int(y // _LEVEL), []).append((x, y))
        for level in levels.values():
            level.sort()
        found = {}
        for key, front in self.fronts.items():
            room = max(_find_gap(levels, places[key]) - 1.0, 6.0)
            found[key] = _Name(
                fit_line(key, room, _NAME), front, (front.centre[0], front.top + 1.2)
            )
        return found


_LEVEL = 8.0
"""How much higher or lower another control may be to stand beside this one, mm."""


def _find_gap(levels: Mapping[int, Sequence[Point]], at: Point) -> float:
    """How far the nearest place beside this one is across; `levels` has all by their height."""
    (x, y), found = at, inf
    for level in (int(y // _LEVEL) + step for step in (-1, 0, 1)):
        places = levels.get(level, ())
        middle = bisect_left(places, at)
        for way in (range(middle, len(places)), range(middle - 1, -1, -1)):
            for ox, oy in (places[number] for number in way):
                gap = abs(ox - x)
                if gap >= found:
                    break
                if gap > 1e-6 and abs(oy - y) < _LEVEL:
                    found = gap
    return found if found < inf else 40.0


@dataclass(frozen=True)
class _Name:
    """The id of a control as it stands above its front, on a white ground over the wires."""

    fitted: Fitted
    front: Box
    at: Point

    @cached_property
    def box(self) -> Box:
        """The white ground."""
        lettering = self.fitted.lettering
        half = lettering.width(self.fitted.words) / 2
        x, y = self.at
        return Box(x - half, y, x + half, y + lettering.cap_height).grown(0.3)

    def beside(self, board: Box) -> "_Name":
        """The name under the front where the board is above it."""
        if not self.box.meets(board):
            return self
        below = self.front.bottom - 1.2 - self.fitted.lettering.cap_height
        return replace(self, at=(self.at[0], below))


def draw_group(board: Recorder, view: View, group: Group, board_at: Point) -> tuple[str, ...]:
    """Draw one page's picture at the scale of a view, its lower left at the origin.

    Return the controls whose id had to be cut, or is hidden by the board.
    """
    device, factor = view.device, view.factor
    with board.layer("outline"):
        box = Box(0.0, 0.0, device.plate.width * factor, device.plate.height * factor)
        board.rectangle(box, weights.OUTLINE, radius=device.plate.corner_radius * factor)
    _draw_fixtures(board, device, factor)
    with board.layer("controls"):
        style = Style(weights.HAIR, fill=PALE)
        for front in view.fronts.values():
            if front.width == front.height:
                board.circle(front.centre, front.width, style)
            else:
                board.rectangle(front, style, radius=min(front.width, front.height) / 2)
    box = _place_board(view, group, board_at)
    # Each line has its own lane over a control; all lanes fit on the smallest front.
    sides = (min(front.width, front.height) for front in view.fronts.values())
    radius = min(sides, default=_LEAST_FRONT) / 2
    middle = (len(group.runs) - 1) / 2
    lane = min(LANE, (radius - 1.0) / 1.42 / max(1.0, middle))
    stops: list[list[Point]] = []
    for number, run in enumerate(group.runs):
        points: dict[Point, None] = {}
        for stop in run.order[1:]:
            x, y = view.place(stop.at)
            point = (x + lane * (number - middle), y - lane * (number - middle))
            while point in points:
                point = (point[0], point[1] - LANE)
            points[point] = None
        stops.append(list(points))
    # Lines leave the board on the edge that faces their first stop, in the order in which the
    # first stops lie, so that few cross.
    firsts = [view.place(run.order[1].at) for run in group.runs]
    order = sorted(range(len(firsts)), key=lambda number: (firsts[number][0], number))
    lefts = [box.left + (order.index(number) + 1) * _PITCH for number in range(len(firsts))]
    with board.layer("wires"):
        for number, line in enumerate(stops):
            edge = box.top if firsts[number][1] >= box.centre[1] else box.bottom
            board.polyline([(lefts[number], edge), *line], line_style(number))
    names = {key: name.beside(box) for key, name in view.names.items()}
    with board.layer("controls"):
        ground = weights.fill(WHITE)
        for name in names.values():
            board.rectangle(name.box, ground)
            board.text(name.at, name.fitted.words, name.fitted.lettering, anchor="middle")
    with board.layer("board"):
        board.rectangle(box, Style(weights.WIDE, fill=WHITE), radius=1.0)
        for run, x in zip(group.runs, lefts, strict=True):
            tag = fit_line(run.line.name, _tag_room(group), _TAG)
            at = (x, box.centre[1])
            board.text(at, tag.words, tag.lettering, anchor="middle", rest="middle", angle=90.0)
    taken = [box, *(name.box for name in names.values())]
    with board.layer("stops"):
        _draw_stops(board, group, stops, taken)
        free = TakenBoxes(taken)
        for run, line in zip(group.runs, stops, strict=True):
            _draw_name(board, run, line, view, free)
    return tuple(key for key, name in names.items() if name.fitted.cut or name.box.meets(box))


def _draw_fixtures(board: Recorder, device: Device, factor: float) -> None:
    """Draw what else sits in the plate, from behind, so that wires can be led past it."""
    place, style = mirrored(device.plate.width / 2).then(scaled(factor)), Style(weights.HAIR, GREY)
    with board.layer("fixtures"):
        for fixture in device.fixtures.values():
            contour = contour_of(fixture.position, fixture.cover or fixture.hole, fixture.rotation)
            if isinstance(contour, Path):
                board.path(contour.transformed(place), style)
            else:
                board.circle(place.apply(fixture.position), contour * factor, style)


def _place_board(view: View, group: Group, board_at: Point) -> Box:
    """The board as drawn: wide enough for its lines, moved as little as can be so that it is on
    the plate and clear of fronts and of their ids; of fronts alone where there is no such place."""
    half = (len(group.runs) + 1) * _PITCH / 2
    rise = _tag_room(group) / 2 + 1.2
    x, y = view.place(board_at)
    plate = view.device.plate
    room = Box(0.0, 0.0, plate.width * view.factor, plate.height * view.factor).grown(-1.0)
    for free in view.board_taken:
        for dx, dy in list_moves(max(room.width, room.height)):
            box = Box(x - half + dx, y - rise + dy, x + half + dx, y + rise + dy)
            if room.holds(box) and free.is_free(box):
                return box
    return Box(x - half, y - rise, x + half, y + rise)


def list_moves(most: float) -> Iterator[Point]:
    """Moves across and up, the shortest first: by 1 mm near the place, by 4 mm as far as `most`.

    They are made ring by ring, since on most plates one of the first will do.
    """
    near = [float(number) for number in range(-NEAR, NEAR + 1)]
    inner, outer = -1.0, 2.0 * NEAR
    while inner < hypot(most, most):
        reach = int(min(most, outer) / 4)
        far = [number * 4.0 for number in range(-reach, reach + 1)]
        moves = {(dx, dy) for steps in (near, far) for dx in steps for dy in steps}
        ring = [move for move in moves if inner < hypot(*move) <= outer]
        yield from sorted(ring, key=lambda move: (hypot(*move), move))
        inner, outer = outer, 2 * outer


def _tag_room(group: Group) -> float:
    """Room for the names at the board: 13 mm, or as much as the longest needs when condensed."""
    longest = max(_TAG.width(run.line.name) for run in group.runs)
    return min(longest, max(13.0, longest * NARROWEST + 0.1))


def _draw_stops(
    board: Recorder, group: Group, stops: Sequence[Sequence[Point]], taken: list[Box]
) -> None:
    """Draw the dots of all lines, then their numbers; the last stop has the line's name too."""
    dots = [Box(x, y, x, y).grown(_DOT / 2) for points in stops for x, y in points]
    for dot in dots:
        board.circle(dot.centre, _DOT, weights.fill())
    free = TakenBoxes([*taken, *dots])
    for run, points in zip(group.runs, stops, strict=True):
        for number, at in enumerate(points, 1):
            last = number == len(points)
            words = f"{number} {run.line.name}" if last else f"{number}"
            lettering = _TAG if last else _STOP
            width = lettering.width(words)
            x, y = at
            # The first place around the stop where the tag meets nothing; else the first of all.
            places = [
                Box(left, y + rise, left + width + 0.4, y + rise + 2.4)
                for rise in (0.2, -2.6, 2.8, -5.2, 5.4, -7.8)
                for left in (x + _DOT / 2 + 0.3, x - _DOT / 2 - 0.7 - width)
            ]
            box = next(filter(free.is_free, places), places[0])
            board.rectangle(box, weights.fill(WHITE))
            board.text((box.left + 0.2, box.bottom + 0.3), words, lettering)
            free.add(box)


def _draw_name(
    board: Recorder, run: Run, points: Sequence[Point], view: View, free: TakenBoxes
) -> None:
    """Write a line's name on it where it goes farthest between two stops, if there is room."""
    if len(points) < 2:
        return
    (ax, ay), (bx, by) = max(pairwise(points), key=lambda ends: dist(*ends))
    half = _TAG.width(run.line.name) / 2 + 0.4
    for share in (0.5, 0.4, 0.6):
        x, y = ax + (bx - ax) * share, ay + (by - ay) * share
        box = Box(x - half, y - 1.3, x + half, y + 1.3)
        if free.is_free(box) and view.fronts_taken.is_free(box):
            board.rectangle(box, weights.fill(WHITE))
            board.text((x, y), run.line.name, _TAG, anchor="middle", rest="middle")
            free.add(box)
            return


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
    board.text(at, group.title, HEADING, rest="top")
    start = HEADING.width(group.title) + 4.0
    fitted = fit_line(words, width - start, Lettering(2.0, ink=GREY))
    board.text((at[0] + start, at[1]), fitted.words, fitted.lettering, rest="top")
