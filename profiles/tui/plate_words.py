"""The words of every control in cells: where they go, whole, or a number that the key explains.

Each word goes to the side of its control that the print prefers for it. Where there is no room for
that, all words of a control are one block; where there is none for this either, a number is beside
the badge. No word is ever cut.
"""

import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from functools import lru_cache
from itertools import count
from typing import Literal, NamedTuple

from profiles.model import Device
from profiles.plate.labels import Legend, request_labels
from profiles.text.cells import width_of
from profiles.text.inert import escape_controls

Spot = tuple[int, int]
"""Column and row of a cell."""

Side = Literal["above", "left", "right", "below"]
Words = tuple[tuple[Side, str], ...]
"""The words of a control by their sides, in reading order."""

READING: tuple[Side, ...] = ("above", "left", "right", "below")
JOINT = "\u00a0/ "
"""Between the words of a block; no line begins with it."""

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
def wrap(text: str, room: int) -> tuple[str, ...]:
    """A text in the lines of so many cells that it takes; one word may take more than a line."""
    lines: list[str] = []
    for word in text.split(" "):
        if lines and width_of(f"{lines[-1]} {word}") <= room:
            lines[-1] = f"{lines[-1]} {word}"
        else:
            lines.append(word)
    return tuple(lines)


@lru_cache(4096)
def shapes_of(text: str, room: int, most: int) -> tuple[tuple[str, ...], ...]:
    """The blocks that a text makes in at most so many cells and lines, fewest lines first."""
    found: dict[int, tuple[str, ...]] = {}
    for width in range(min(room, width_of(text)), 0, -1):
        lines = wrap(text, width)
        if max(map(width_of, lines)) > room or len(lines) > most:
            break
        found[len(lines)] = lines
    return tuple(found[number] for number in sorted(found))


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


def letter_plate(
    fronts: Mapping[str, Front], words: Mapping[str, Words], size: tuple[int, int]
) -> Lettered:
    """Place the words of all controls in a window of so many columns and rows.

    First with words at their sides, then with all words of a control as one block; whichever needs
    the fewest numbers. Controls outside the window keep their words to themselves.
    """
    best: Lettered | None = None
    for is_spread in (True, False):
        found = _Letterer(fronts, size).letter(words, is_spread=is_spread)
        if best is None or _lack(found) < _lack(best):
            best = found
        if not _lack(best):
            break
    return best or Lettered()


def _lack(found: Lettered) -> int:
    return len(found.numbers) + 4 * len(found.nameless)


class _Letterer:
    """Cells that are taken, and by whom."""

    def __init__(self, fronts: Mapping[str, Front], size: tuple[int, int]) -> None:
        self.size = size
        self.fronts = {
            key: front
            for key, front in fronts.items()
            if 0 <= front.spot[0] < size[0] and 0 <= front.spot[1] < size[1]
        }
        self.taken = {cell: key for key, front in self.fronts.items() for cell in front.cells()}

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
            lines = self._place(key, words[key], WIDEST, is_spread=False)
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
        self, key: str, words: Words, room: int, *, is_spread: bool
    ) -> tuple[Written, ...] | None:
        """Place the words of a control, whole; None where they have no room."""
        for blocks in _arrangements(words, is_spread=is_spread):
            lines: list[Written] = []
            for side, text in blocks:
                block = self._find(key, side, text, room, lines)
                if block is None:
                    break
                lines += block
            else:
                self._take(key, lines)
                return tuple(lines)
        return None

    def _take(self, key: str, lines: Iterable[Written]) -> None:
        self.taken |= {cell: key for line in lines for cell in line.cells()}

    def _find(
        self, key: str, side: Side, text: str, room: int, own: Sequence[Written]
    ) -> tuple[Written, ...] | None:
        """Lines for a block at a side of its control, the fewest for which there is room."""
        (column, row), across, up = self.fronts[key]
        across, gap = (across, 0) if across else (1, 1)
        used = {cell for line in own for cell in line.cells()}
        most = MOST_LINES if side in ("above", "below") else 2
        for lines in shapes_of(text, room if most > 2 else WIDEST, most):
            first = {"above": row - up - len(lines), "below": row + up + 1}.get(
                side, row - (len(lines) - 1) // 2
            )
            placed = []
            for at, line in enumerate(lines, first):
                width = width_of(line)
                start = {
                    "left": column - across - gap - width,
                    "right": column + across + gap + 1,
                }.get(side, column - width // 2)
                if most > 2:  # over the edge of the plate words move inwards
                    start = min(max(start, 1), self.size[0] - 1 - width)
                placed.append(Written((start, at), line))
            if all(self._is_free(key, one, used) for one in placed):
                return tuple(placed)
        return None

    def _is_free(self, key: str, line: Written, used: Iterable[Spot]) -> bool:
        """Whether a line is inside the window, clear of all others, and touches nobody else's."""
        (column, row), width = line.spot, width_of(line.text)
        if not (0 < row < self.size[1] - 1 and column > 0 and column + width < self.size[0]):
            return False
        for at in range(column - 1, column + width + 1):
            owner = self.taken.get((at, row))
            is_beside = at < column or at == column + width
            if (owner is not None and not (is_beside and owner == key)) or (at, row) in used:
                return False
            if any(self.taken.get((at, row + step), key) != key for step in (-1, 1)):
                return False
        return True

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
            if inside and self.taken.keys().isdisjoint(line.cells()):
                self._take(key, [line])
                return (line,)
        return ()


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
