"""The words of every control in cells: where they go, whole, or a number that the key explains.

Each word goes to the side of its control that the print prefers for it. Where there is no room for
that, all words of a control are one block; where there is none for this either, a number is beside
the badge. No word is ever cut.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from functools import lru_cache
from itertools import count, pairwise
from typing import TYPE_CHECKING, Literal, NamedTuple

from profiles.plate.labels import Legend, request_labels
from profiles.text.cells import width_of
from profiles.text.inert import escape_controls

if TYPE_CHECKING:
    from profiles.model import Device

Spot = tuple[int, int]
"""Column and row of a cell."""

Side = Literal["above", "left", "right", "below"]
Words = tuple[tuple[Side, str], ...]
"""The words of a control by their sides, in reading order."""

READING: tuple[Side, ...] = ("above", "left", "right", "below")
JOINT = "\u00a0/ "
"""Between the words of a block; no line begins with it."""

SPACE, BETWEEN = re.compile(" "), re.compile("(?<=\u00a0/) ")
"""Where a block may be broken: anywhere between words, or only behind a joint."""

SIGN = re.compile(r" ([+-])(?= |$)")
"""A sign by itself, which stays with the word before it."""

WIDEST = 26
"""Cells that a line of words takes at most."""

MOST_LINES = 6
"""Lines of one block of words at most."""


def find_words(device: Device, parts: Mapping[str, Sequence[tuple[str, str]]]) -> dict[str, Words]:
    """The words of each control by side; `parts` has its contacts (or "") with their words."""
    legends = [
        Legend(control, contact, text)
        for control, found in parts.items()
        for contact, text in found
        if text
    ]
    sides: dict[str, list[tuple[Side, float, str]]] = {key: [] for key in parts}
    for legend, request in zip(legends, request_labels(device, legends), strict=True):
        turn = (request.angle + 180.0) % 360.0 - 180.0
        side: Side = "above"
        if request.places[0] == "around":
            side = "above" if abs(turn) <= 45 else "below" if abs(turn) >= 135 else "right"
            side = "left" if side == "right" and turn < 0 else side
            turn = -turn if side in ("left", "below") else turn
        else:
            place = request.places[0].rpartition("-")[2]
            side = next((one for one in READING if one == place), "above")
        text = SIGN.sub("\u00a0\\1", escape_controls(legend.text))
        sides[legend.control].append((side, turn, text))
    return {
        key: tuple(
            (side, text)
            for side, _, text in sorted(found, key=lambda one: (READING.index(one[0]), one[1]))
        )
        for key, found in sides.items()
    }


@lru_cache(4096)
def wrap(text: str, room: int, at: re.Pattern[str] = SPACE) -> tuple[str, ...]:
    """A text in the lines of so many cells that it takes, broken `at` some of its spaces; one part
    may take more than a line."""
    lines: list[str] = []
    for word in at.split(text):
        if lines and width_of(f"{lines[-1]} {word}") <= room:
            lines[-1] = f"{lines[-1]} {word}"
        else:
            lines.append(word)
    return tuple(lines)


@lru_cache(4096)
def shapes_of(text: str, room: int, most: int) -> tuple[tuple[str, ...], ...]:
    """The blocks that a text makes in at most so many cells and lines, fewest lines first; before
    all others those in which what belongs together is on one line."""
    shapes: dict[tuple[str, ...], None] = {}
    for at in (BETWEEN, SPACE) if JOINT in text else (SPACE,):
        found: dict[int, tuple[str, ...]] = {}
        for width in range(min(room, width_of(text)), 0, -1):
            lines = wrap(text, width, at)
            if max(map(width_of, lines)) > room or len(lines) > most:
                break
            found[len(lines)] = lines
        shapes |= dict.fromkeys(found[number] for number in sorted(found))
    return tuple(shapes)


class Front(NamedTuple):
    """A control in cells: its badge's place, and how far its outline reaches, 0 for none drawn."""

    spot: Spot
    across: int = 0
    up: int = 0

    def cells(self) -> Iterator[Spot]:
        """Every cell of the badge, or of the outline around it."""
        (column, row), across = self.spot, self.across or 1
        for step in range(-self.up, self.up + 1):
            yield from ((column + aside, row + step) for aside in range(-across, across + 1))


class Written(NamedTuple):
    """One line of words and where it begins."""

    spot: Spot
    text: str

    def cells(self) -> Iterator[Spot]:
        """Every cell that its letters take."""
        column, row = self.spot
        yield from ((column + step, row) for step in range(width_of(self.text)))


@dataclass
class Lettered:
    """The lines of each control, and the numbers of those that the key explains."""

    lines: dict[str, tuple[Written, ...]] = field(default_factory=dict)
    numbers: dict[str, int] = field(default_factory=dict)
    nameless: list[str] = field(default_factory=list)
    """Controls for whose number there is no room either."""


class Rim(NamedTuple):
    """The columns and rows of the plate's edge, on which no words are."""

    left: int
    top: int
    right: int
    bottom: int

    def mask(self, row: int, columns: int) -> int:
        """Its cells in a row of so many columns, one bit each."""
        if row in (self.top, self.bottom):
            return (1 << columns) - 1
        return sum(1 << one for one in (self.left, self.right) if 0 <= one < columns)


NO_RIM = Rim(-1, -1, -1, -1)


def letter_plate(
    fronts: Mapping[str, Front],
    words: Mapping[str, Words],
    size: tuple[int, int],
    rim: Rim = NO_RIM,
) -> Lettered:
    """Place the words of all controls in a window of so many columns and rows.

    First with words at their sides, then with all words of a control as one block; whichever needs
    the fewest numbers. Controls outside the window keep their words to themselves.
    """
    best: Lettered | None = None
    for is_spread in (True, False):
        found = _Letterer(fronts, size, rim).letter(words, is_spread=is_spread)
        if best is None or _lack(found) < _lack(best):
            best = found
        if not _lack(best):
            break
    return best or Lettered()


def find_joins(found: Lettered) -> Iterator[Spot]:
    """The only cell between words of two controls on one row, which would read as one phrase."""
    rows: dict[int, list[tuple[int, int, str]]] = {}
    for key, lines in found.lines.items():
        for (column, row), text in lines:
            rows.setdefault(row, []).append((column, column + width_of(text), key))
    for row, known in rows.items():
        for (_, end, mine), (start, _, theirs) in pairwise(sorted(known)):
            if mine != theirs and start == end + 1:
                yield end, row


def _lack(found: Lettered) -> int:
    return len(found.numbers) + 4 * len(found.nameless)


class _Letterer:
    """Cells that are taken, and by whom: one number a row, one bit a column."""

    def __init__(self, fronts: Mapping[str, Front], size: tuple[int, int], rim: Rim) -> None:
        self.size = size
        self.fronts = {
            key: front
            for key, front in fronts.items()
            if 0 <= front.spot[0] < size[0] and 0 <= front.spot[1] < size[1]
        }
        self.rim = [rim.mask(row, size[0]) for row in range(size[1])]
        self.taken = [0] * size[1]
        self.own: dict[str, dict[int, int]] = {key: {} for key in self.fronts}
        for key, front in self.fronts.items():
            self._take(key, front.cells())

    def letter(self, words: Mapping[str, Words], *, is_spread: bool) -> Lettered:
        found, left = Lettered(), []
        for key in self.fronts:
            lines = self._place(key, words.get(key, ()), self._room(key), is_spread=is_spread)
            if lines is None:
                left.append(key)
            else:
                found.lines[key] = lines
        numbers = count(1)
        for key in left:
            lines = self._place(key, words[key], WIDEST, is_spread=False, is_loose=True)
            if lines is None:
                number = next(numbers)
                lines = self._place_number(key, str(number))
                found.numbers[key] = number
            if not lines:
                found.nameless.append(key)
            found.lines[key] = lines
        return found

    def _room(self, key: str) -> int:
        """Cells between the nearest controls beside it whose words may be beside its own."""
        column, row = self.fronts[key].spot
        gaps = [
            abs(front.spot[0] - column)
            for front in self.fronts.values()
            if abs(front.spot[1] - row) <= 1 and front.spot[0] != column
        ]
        return max(1, min([WIDEST, *(gap - 1 for gap in gaps)]))

    def _place(
        self, key: str, words: Words, room: int, *, is_spread: bool, is_loose: bool = False
    ) -> tuple[Written, ...] | None:
        """Place the words of a control, whole; None where they have no room."""
        for blocks in _arrangements(words, is_spread=is_spread):
            lines: list[Written] = []
            for side, text in blocks:
                block = self._find(key, side, text, room, lines, is_loose)
                if block is None:
                    break
                lines += block
            else:
                self._take(key, (cell for line in lines for cell in line.cells()))
                return tuple(lines)
        return None

    def _take(self, key: str, cells: Iterable[Spot]) -> None:
        own = self.own[key]
        for column, row in cells:
            if 0 <= column < self.size[0] and 0 <= row < self.size[1]:
                self.taken[row] |= 1 << column
                own[row] = own.get(row, 0) | 1 << column

    def _find(
        self, key: str, side: Side, text: str, room: int, own: Sequence[Written], is_loose: bool
    ) -> tuple[Written, ...] | None:
        """Lines for a block at a side of its control, the fewest for which there is room.

        In the middle above or below it; where that is taken and it `is_loose`, somewhat aside.
        """
        (column, row), across, up = self.fronts[key]
        across, gap = (across, 0) if across else (1, 1)
        used: dict[int, int] = {}
        for (start, row_), words in own:
            used[row_] = used.get(row_, 0) | ((1 << width_of(words)) - 1) << start
        most = MOST_LINES if side in ("above", "below") else 2
        for lines in shapes_of(text, room if most > 2 else WIDEST, most):
            first = {"above": row - up - len(lines), "below": row + up + 1}.get(
                side, row - (len(lines) - 1) // 2
            )
            if first < 1 or first + len(lines) >= self.size[1]:
                continue
            walls = [self._walls(key, first + at, used) for at in range(len(lines))]
            widths = [width_of(line) for line in lines]
            for aside in _shifts(max(widths) if is_loose and most > 2 else 0):
                starts = [
                    column - across - gap - width
                    if side == "left"
                    else column + across + gap + 1
                    if side == "right"  # over the edge of the plate words move inwards
                    else min(max(column - width // 2 + aside, 2), self.size[0] - 2 - width)
                    for width in widths
                ]
                if all(map(self._is_free, starts, widths, walls)):
                    spots = zip(starts, range(first, first + len(lines)), strict=True)
                    return tuple(map(Written, spots, lines))
        return None

    def _walls(self, key: str, row: int, used: Mapping[int, int]) -> tuple[int, int]:
        """The cells of a row on which no letter of a control may be, and those which it may not
        touch: what others have there, above and below."""
        own, touched = self.own[key], used.get(row, 0) | self.rim[row]
        for near in (row - 1, row, row + 1):
            touched |= self.taken[near] & ~own.get(near, 0)
        return self.taken[row], touched

    def _is_free(self, start: int, width: int, walls: tuple[int, int]) -> bool:
        """Whether a line is inside the window, clear of all others, and touches nobody else's."""
        if start < 1 or start + width >= self.size[0]:
            return False
        cells = ((1 << width) - 1) << start
        return not (cells & walls[0] or (cells << 1 | cells | cells >> 1) & walls[1])

    def _place_number(self, key: str, number: str) -> tuple[Written, ...]:
        """A number beside, below or above the badge, wherever it meets no letters."""
        (column, row), across, up = self.fronts[key]
        across, half = max(across, 1), len(number) // 2
        for spot in (
            (column + across + 1, row),
            (column - half, row + up + 1),
            (column - half, row - up - 1),
            (column - across - len(number), row),
        ):
            line = Written(spot, number)
            inside = all(0 <= c < self.size[0] and 0 <= r < self.size[1] for c, r in line.cells())
            if inside and not any(self.taken[r] >> c & 1 for c, r in line.cells()):
                self._take(key, line.cells())
                return (line,)
        return ()


def _shifts(width: int) -> Iterator[int]:
    """How far a block of this width may be moved aside and still be over its badge."""
    yield 0
    for step in range(1, width // 2 + 1):
        yield from (step, -step)


def _arrangements(words: Words, *, is_spread: bool) -> Iterator[Words]:
    """Ways to set the words of a control, best first."""
    if is_spread and len(words) > 1:
        yield tuple(
            (side, JOINT.join(text for at, text in words if at == side))
            for side in READING
            if any(at == side for at, _ in words)
        )
    beside = tuple(one for one in words if one[0] in ("left", "right"))
    others = JOINT.join(text for side, text in words if side in ("above", "below"))
    sides: tuple[Side, ...] = ("above", "below")
    if words and words[0][0] == "below":
        sides = ("below", "above")
    if len(beside) == 2:
        yield from ((*beside, *([(side, others)] if others else [])) for side in sides)
    joint = JOINT.join(text for _, text in words)
    yield from (((side, joint),) if joint else () for side in sides)
    yield from (((side, joint),) for side in ("right", "left") if joint)
