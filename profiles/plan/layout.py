"""Where controls go on a new plate: rows of parts, spaced by rule or by a pitch.

`lay_out` gives every control its place and the plate its size and screws. Without a pitch controls
stand as far apart, edge to edge, as the tables of `plate.spacing` advise for their kinds. Rows are
centred; lengths are mm, the origin is the plate's lower left corner.
"""

import re
from collections.abc import Mapping, Sequence
from itertools import pairwise
from math import ceil
from pathlib import Path
from typing import Any, NamedTuple

from profiles.model.hole import Hole
from profiles.plate.spacing import recommended

Size = tuple[float, float]

MARGIN = 16.0
"""From the outermost fronts to the edge, mm: room for screws, and for labels above. Rule of
thumb."""

SCREW_AT = 7.0
SCREW = {"hole": 3.4, "head": 6.5}
"""Centre of a screw from both edges, its hole with clearance for M3, and its head, mm. Rule of
thumb."""

MOST = 512
"""Controls of one layout."""

ENTRY = re.compile(r"(?:(\d{1,3})\s*[xX×*]\s*)?([A-Za-z0-9][A-Za-z0-9_-]*)")


class LayoutError(ValueError):
    """A layout that cannot be made; `remedy` is a sentence."""

    def __init__(self, message: str, remedy: str) -> None:
        super().__init__(message)
        self.remedy = remedy


class Laid(NamedTuple):
    """Places of the controls in the order of reading, and the plate for them, mm."""

    places: tuple[tuple[float, float], ...]
    width: float
    height: float
    screws: tuple[tuple[float, float], ...]


def stock_parts() -> dict[str, dict[str, Any]]:
    """Return the parts that come with Platebook, by id, as a device file would give them."""
    import tomllib

    return tomllib.loads(Path(__file__).with_name("stock.toml").read_text(encoding="utf-8"))


def read_grid(text: str) -> tuple[int, int]:
    """Return columns and rows of a grid such as `5x4`.

    Raises:
        LayoutError: where it is none.
    """
    match = re.fullmatch(r"\s*(\d{1,3})\s*(?:[xX×*]|by)\s*(\d{1,3})\s*", text)
    if match is None or not 0 < int(match[1]) * int(match[2]) <= MOST:
        raise LayoutError(
            f"`{text}` is no grid of 1 to {MOST} controls",
            "Write controls in a row, then rows, such as 5x4.",
        )
    return int(match[1]), int(match[2])


def read_pitch(text: str) -> Size:
    """Return the pitch across and down, mm, of `35` or `35x30`.

    Raises:
        LayoutError: where it is none.
    """
    number, typed = r"\s*([\d.]{1,8})\s*(?:mm)?\s*", text.replace(",", ".")
    match = re.fullmatch(f"{number}(?:[xX×*]{number})?", typed)
    try:
        sides = [float(one) for one in match.groups() if one] if match else []
    except ValueError:
        sides = []
    if not sides or not all(0 < side <= 1000 for side in sides):
        raise LayoutError(f"`{text}` is no pitch in mm", "Write it such as 35, or 35x30.")
    return sides[0], sides[-1]


def read_row(text: str) -> list[str]:
    """Return the parts of a row such as `3xpush-16, rotary-7`.

    Raises:
        LayoutError: where it is none.
    """
    found: list[str] = []
    for entry in text.split(","):
        match = ENTRY.fullmatch(entry.strip())
        if match is None:
            raise LayoutError(
                f"`{entry.strip()}` is no part of a row",
                "Write parts with commas between, such as 3xpush-16,rotary-7.",
            )
        found += [match[2]] * int(match[1] or 1)
    if not 0 < len(found) <= MOST:
        raise LayoutError(f"a row of {len(found)} controls", f"Write 1 to {MOST} of them.")
    return found


def lay_out(
    rows: Sequence[Sequence[str]],
    parts: Mapping[str, Mapping[str, Any]],
    pitch: Size | None = None,
) -> Laid:
    """Return places for rows of parts, the top row first.

    Raises:
        LayoutError: where fronts would overlap at this pitch.
    """
    lines, heights = [], []
    for row in rows:
        xs = [0.0]
        for left, right in pairwise(row):
            xs.append(xs[-1] + step_between(parts[left], parts[right], 0, pitch))
        lines.append(xs)
    for upper, lower in pairwise(rows):
        heights.append(
            max(step_between(parts[a], parts[b], 1, pitch) for a in upper for b in lower)
        )
    reach = max(
        max(front_of(parts[row[0]])[0], front_of(parts[row[-1]])[0]) + xs[-1]
        for row, xs in zip(rows, lines, strict=True)
    )
    width = float(ceil(reach + 2 * MARGIN))
    top = max(front_of(parts[one])[1] for one in rows[0]) / 2
    bottom = max(front_of(parts[one])[1] for one in rows[-1]) / 2
    height = float(ceil(top + sum(heights) + bottom + 2 * MARGIN))
    y, places = height - MARGIN - top, []
    for number, xs in enumerate(lines):
        shift = (width - xs[-1]) / 2
        places += [(round(shift + x, 2), round(y, 2)) for x in xs]
        y -= heights[number] if number < len(heights) else 0.0
    near = SCREW_AT
    corners = ((near, near), (width - near, near), (near, height - near))
    return Laid(tuple(places), width, height, (*corners, (width - near, height - near)))


def front_of(part: Mapping[str, Any]) -> Size:
    """Return width and height of what is seen of a part, mm."""
    size = part.get("front") or part["hole"]
    if isinstance(size, dict):  # a hole of a shape of its own
        size = Hole.model_validate(size).extent
    return (float(size), float(size)) if isinstance(size, int | float) else (size[0], size[1])


def step_between(
    one: Mapping[str, Any], other: Mapping[str, Any], axis: int, pitch: Size | None
) -> float:
    """Return how far apart two neighbours stand, centre to centre, mm."""
    fronts = (front_of(one)[axis] + front_of(other)[axis]) / 2
    if pitch is None:
        return ceil(2 * (fronts + _advised(one["kind"], other["kind"]))) / 2
    if pitch[axis] < fronts:
        raise LayoutError(
            f"at a pitch of {pitch[axis]:g} mm fronts overlap by {fronts - pitch[axis]:g} mm",
            f"Choose {ceil(fronts + _advised(one['kind'], other['kind']))} mm or more.",
        )
    return pitch[axis]


def _advised(kind: str, other: str) -> float:
    """Return the separation advised for two kinds, mm; that of push-buttons where none is known."""
    try:
        return recommended(kind, other).distance
    except KeyError:
        return recommended("momentary", "momentary").distance
