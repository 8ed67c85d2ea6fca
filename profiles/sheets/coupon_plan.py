"""What stands where on a hole-fit coupon: a row of holes in small steps for each size.

Pure layout, lengths mm, origin at the coupon's lower left corner. A row that would be wider than
`WIDEST` goes on in the next.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from profiles.drawing.digits import digits_width
from profiles.drawing.geometry import Point
from profiles.drawing.surface import decimal
from profiles.model.hole import Hole, as_hole
from profiles.plate.holes import Size, hole_shape
from profiles.plate.shapes import Rectangle

MARGIN, WEB = 5.0, 4.0
"""Material left around the coupon and between holes, mm."""
WIDEST = 200.0
"""Width of the coupon at most, where one hole alone does not need more."""
NUMBER_HEIGHT, NUMBER_GAP, NUMBER_PITCH = 3.5, 1.8, 5.2
"""Height of numbers, space between hole and number, and from line to line of numbers."""
BAR_GAP, BAR = 1.2, 0.8
"""Space between the number and the bar under the size of the file, and the bar's height."""


@dataclass(frozen=True, slots=True)
class Trial:
    """One hole of the coupon: its size, where it is, and whether it is the size of the file."""

    nominal: Size
    size: Size
    step: float
    at: Point

    @property
    def numbers(self) -> tuple[str, ...]:
        """The numbers engraved under it, line by line."""
        return numbers_of(self.size)

    @property
    def is_nominal(self) -> bool:
        """Whether it has the size that the file gives."""
        return self.size == self.nominal

    @property
    def bottom(self) -> float:
        """The lower edge of the hole."""
        return self.at[1] + _box(self.size).bottom


@dataclass(frozen=True, slots=True)
class CouponPlan:
    """The coupon's width and height, and its holes row by row."""

    width: float
    height: float
    trials: tuple[Trial, ...]


def steps_between(below: float, above: float, step: float) -> tuple[float, ...]:
    """Offsets from `below` under to `above` over the size, in steps, 0 always among them."""
    first, last = int(below / step + 1e-6), int(above / step + 1e-6)
    return tuple(round(number * step, 6) for number in range(-first, last + 1))


def grow(size: Size, by: float) -> Size:
    """A size with this much added across; width, height and rounding grow alike."""
    if isinstance(size, Hole):
        return size.model_copy(update=dict(_grown(size, by)))
    if isinstance(size, tuple):
        return round(size[0] + by, 6), round(size[1] + by, 6)
    return round(size + by, 6)


def _grown(hole: Hole, by: float) -> Iterable[tuple[str, object]]:
    for key in ("diameter", "width", "height", "length", "across_flats"):
        if (value := getattr(hole, key)) is not None:
            yield key, round(value + by, 6)
    if hole.corner_radius:
        yield "corner_radius", max(0.0, round(hole.corner_radius + by / 2, 6))
    if hole.keyway is not None:
        yield "keyway", (round(hole.keyway[0] + by, 6), hole.keyway[1])
    if hole.countersink is not None:
        wider = round(hole.countersink.diameter + by, 6)
        yield "countersink", hole.countersink.model_copy(update={"diameter": wider})


def is_possible(size: Size) -> bool:
    """Whether anything is left to cut."""
    if isinstance(size, Hole):
        across: list[float] = [*size.sides, *(size.keyway or ())[:1]]
        across += [] if size.across_flats is None else [size.across_flats]
        return min(across) > 0
    return min(size) > 0 if isinstance(size, tuple) else size > 0


def plan_coupon(sizes: Sequence[Size], steps: Iterable[float]) -> CouponPlan:
    """Lay out the coupon; steps that leave nothing to cut are passed over.

    Rows are placed from the top; the lower edges of a row's holes are on one line.
    """
    offsets = tuple(steps)
    rows: list[list[tuple[Size, float]]] = []
    for size in sizes:
        rows.append([])
        for step in (step for step in offsets if is_possible(grow(size, step))):
            if rows[-1] and _row_width([*rows[-1], (size, step)]) > WIDEST:
                rows.append([])
            rows[-1].append((size, step))
    rows = [row for row in rows if row]
    width = max((_row_width(row) for row in rows), default=2 * MARGIN)
    height = 2 * MARGIN + sum(map(_row_height, rows)) + WEB * max(0, len(rows) - 1)
    trials = []
    top = height - MARGIN
    for row in rows:
        floor = top - max(_box(grow(*hole)).height for hole in row)
        left = MARGIN
        for nominal, step in row:
            size = grow(nominal, step)
            cell = _cell_width(size)
            box = _box(size)
            at = left + cell / 2 - box.centre[0], floor - box.bottom
            trials.append(Trial(nominal, size, step, at))
            left += cell + WEB
        top -= _row_height(row) + WEB
    return CouponPlan(width, height, tuple(trials))


def numbers_of(size: Size) -> tuple[str, ...]:
    """A size as engraved: the diameter, or width over height; a flat under its diameter."""
    hole = as_hole(size)
    sides = [hole.sides[0]] if hole.shape == "round" else [*hole.sides]
    sides += [] if hole.across_flats is None else [hole.across_flats]
    words = [decimal(side, 3) for side in sides]
    return tuple(word if "." in word else f"{word}.0" for word in words)


def _row_width(row: Sequence[tuple[Size, float]]) -> float:
    return 2 * MARGIN + sum(_cell_width(grow(*hole)) for hole in row) + WEB * (len(row) - 1)


def _cell_width(size: Size) -> float:
    number = max(digits_width(words, NUMBER_HEIGHT) for words in numbers_of(size))
    return max(_box(size).width, number)


def _row_height(row: Sequence[tuple[Size, float]]) -> float:
    words = NUMBER_GAP + NUMBER_HEIGHT + BAR_GAP + BAR
    sizes = [grow(*hole) for hole in row]
    lines = [NUMBER_PITCH * (len(numbers_of(size)) - 1) for size in sizes]
    return words + max(_box(size).height + line for size, line in zip(sizes, lines, strict=True))


def _box(size: Size) -> Rectangle:
    """The box around a hole, from its centre."""
    return hole_shape((0.0, 0.0), size).bounds
