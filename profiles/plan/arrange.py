"""Controls that are on a plate already, put in order: on a grid, in line, evenly, mirrored.

`choose_controls` finds what is meant; `arrange` gives each its new place, with the keys of its file
that change. Lengths are mm, the origin is the plate's lower left corner, y up.
"""

from collections.abc import Mapping, Sequence
from fnmatch import fnmatchcase
from itertools import pairwise
from math import ceil
from typing import Any, Literal, NamedTuple, get_args

from profiles.model import ControlValue, Device, as_hole
from profiles.plan.layout import LayoutError, Size, step_between
from profiles.plate.order import reading_order
from profiles.plate.outlines import control_outline
from profiles.plate.rows import TOLERANCE, find_columns, find_rows
from profiles.plate.shapes import Rectangle
from profiles.text.prose import join_words, list_some
from profiles.text.suggest import closest

Alignment = Literal["rows", "columns", "left", "right", "top", "bottom"]
Lines = Literal["rows", "columns"]
Mirroring = Literal["left-right", "top-bottom"]
ALIGNMENTS: tuple[Alignment, ...] = get_args(Alignment)
LINES: tuple[Lines, ...] = get_args(Lines)
MIRRORINGS: tuple[Mirroring, ...] = get_args(Mirroring)

OPPOSITE = {"left": "right", "right": "left", "above": "below", "below": "above"}
"""Sides of a label that change when a plate is mirrored."""

Points = dict[str, tuple[float, float]]


class Steps(NamedTuple):
    """What is done with the controls, in this order; None or empty for what is not.

    `grid` are columns and rows, `pitch` the distance across and down from centre to centre, which
    goes with `grid` and `spread`; `shift` is to the right and up. `tolerance` tells how far a
    centre may lie from the middle of its row or column.
    """

    grid: tuple[int, int] | None = None
    align: tuple[Alignment, ...] = ()
    spread: tuple[Lines, ...] = ()
    mirror: tuple[Mirroring, ...] = ()
    shift: Size | None = None
    pitch: Size | None = None
    tolerance: float = TOLERANCE


class Move(NamedTuple):
    """A control's place before and after."""

    control: str
    before: tuple[float, float]
    after: tuple[float, float]


class Arranged(NamedTuple):
    """The controls that move, and the values to write into the device's file, by key path."""

    moves: tuple[Move, ...]
    edits: tuple[tuple[tuple[str, ...], Any], ...]


def choose_controls(
    device: Device, words: Sequence[str] = (), kinds: Sequence[str] = ()
) -> tuple[str, ...]:
    """Return the controls of these ids or patterns (`push-*`) and kinds; all without any.

    Raises:
        LayoutError: where a word or a kind finds none.
    """
    have = sorted({control.kind for control in device.controls.values()})
    for kind in kinds:
        if kind not in have:
            raise LayoutError(
                f"`{device.id}` has no control of kind `{kind}`", f"It has {join_words(have)}."
            )
    found = {
        word: [key for key in device.controls if fnmatchcase(key, word.strip())] for word in words
    }
    for word, keys in found.items():
        if not keys:
            near = closest(word, device.controls)
            ids = list_some([f"`{key}`" for key in device.controls])
            hint = f"Did you mean `{near}`?" if near else f"It has {ids}."
            raise LayoutError(f"`{device.id}` has no control `{word}`", hint)
    chosen = tuple(
        key
        for key, one in device.controls.items()
        if (not words or any(key in keys for keys in found.values()))
        and (not kinds or one.kind in kinds)
    )
    if not chosen:
        raise LayoutError(
            "no control is of these ids and these kinds", "Drop the ids or the kinds."
        )
    return chosen


def arrange(device: Device, chosen: Sequence[str], steps: Steps) -> Arranged:
    """Return where these controls go; of knobs on one axis the outer one with the inner one.

    Rows and columns keep their middle; a grid is filled in the order of reading and keeps the
    middle of all; `left` to `bottom` bring fronts to the outermost edge; mirrored is about the
    middle of the plate, labels placed by hand, turned fronts, flats and keyways too. Other controls
    stay.

    Raises:
        LayoutError: where the grid is too small, or fronts would overlap at this pitch.
    """
    keys = dict.fromkeys(device.concentric.get(key, key) for key in chosen)
    points: Points = {key: device.controls[key].position for key in keys}
    boxes = {
        key: control_outline(key, device.controls[key].model_copy(update={"position": (0, 0)}))
        for key in keys
    }
    fronts = {key: one.front.bounds for key, one in boxes.items()}
    if steps.grid is not None:
        points = _put_on_grid(device, points, fronts, steps)
    for alignment in steps.align:
        points = _align(points, fronts, alignment, steps.tolerance)
    for lines in steps.spread:
        points = _spread(points, fronts, lines, steps)
    ends = device.plate.width, device.plate.height
    for mirroring in steps.mirror:
        axis = MIRRORINGS.index(mirroring)
        points = {key: _with(at, axis, ends[axis] - at[axis]) for key, at in points.items()}
    if steps.shift is not None:
        right, up = steps.shift
        points = {key: (x + right, y + up) for key, (x, y) in points.items()}
    return _compare(device, points, steps)


def _compare(device: Device, points: Points, steps: Steps) -> Arranged:
    """Return what differs from the device, labels placed by hand and turned fronts with it."""
    moves, edits = [], list[tuple[tuple[str, ...], Any]]()
    for key, point in points.items():
        control, after = device.controls[key], (round(point[0], 2), round(point[1], 2))
        before = control.position
        if after != before:
            moves.append(Move(key, before, after))
            edits.append((("controls", key, "position"), list(after)))
        if control.label_at is not None:
            at = list(control.label_at)
            for axis in (0, 1):
                off = at[axis] - before[axis]
                turned = -off if MIRRORINGS[axis] in steps.mirror else off
                at[axis] = round(after[axis] + turned, 2)
            if tuple(at) != control.label_at:
                edits.append((("controls", key, "label_at"), at))
        place = control.label_place or ""
        sides = ("left", "right"), ("above", "below")
        if any(
            mirroring in steps.mirror and place in names
            for mirroring, names in zip(MIRRORINGS, sides, strict=True)
        ):
            edits.append((("controls", key, "label_place"), OPPOSITE[place]))
        edits += [(("controls", key, *path), value) for path, value in _turn(control, steps.mirror)]
    return Arranged(tuple(moves), tuple(edits))


def _turn(
    control: ControlValue, mirrored: Sequence[Mirroring]
) -> list[tuple[tuple[str, ...], Any]]:
    """Return what mirroring changes of a control's turn: of its front, and of its hole.

    A flat or a keyway at the top comes to the bottom in a mirror that lies level.
    """
    hole, turn = as_hole(control.hole), control.rotation
    is_odd = hole.keyway is not None or (hole.across_flats is not None and hole.flats == 1)
    has_turn = is_odd or hole.shape != "round" or hole.across_flats is not None
    way = -1 if len(set(mirrored)) == 1 else 1
    wanted = way * (hole.angle + turn) + (180 if is_odd and "top-bottom" in mirrored else 0)
    has_box, changes = isinstance(control.cover, tuple), list[tuple[tuple[str, ...], Any]]()
    if has_box and (way - 1) * turn % 180:
        turn = way * turn
    if has_turn and abs(_within_a_turn(wanted - turn - hole.angle)) % (360 if is_odd else 180):
        if has_box:
            turned = hole.model_copy(update={"angle": _within_a_turn(wanted - turn)})
            changes.append((("hole",), turned.plain()))
        else:
            turn = _within_a_turn(wanted - hole.angle)
    return [*changes, *([(("rotation",), turn)] if turn != control.rotation else [])]


def _within_a_turn(angle: float) -> float:
    """Return the same angle, degrees, more than -180 and at most 180."""
    return 180.0 - (180.0 - angle) % 360.0


def _with(point: tuple[float, float], axis: int, value: float) -> tuple[float, float]:
    return (value, point[1]) if axis == 0 else (point[0], value)


def _step(
    device: Device, fronts: Mapping[str, Rectangle], pair: tuple[str, str], axis: int
) -> float:
    """Return how far apart two controls should stand, centre to centre, mm."""
    parts = [
        {"kind": device.controls[key].kind, "front": (fronts[key].width, fronts[key].height)}
        for key in pair
    ]
    return step_between(parts[0], parts[1], axis, None)


def _put_on_grid(
    device: Device, points: Points, fronts: Mapping[str, Rectangle], steps: Steps
) -> Points:
    assert steps.grid is not None
    across, down = steps.grid
    if across * down < len(points):
        raise LayoutError(
            f"a grid of {across}x{down} has {across * down} places for {len(points)} controls",
            f"Choose {across}x{ceil(len(points) / across)}, or name the controls.",
        )
    order = reading_order(points, steps.tolerance)
    cells = {key: (at % across, at // across) for at, key in enumerate(order)}
    by_cell = {cell: key for key, cell in cells.items()}
    pitch = [0.0, 0.0]
    for axis in (0, 1):
        beside = [
            (key, by_cell[next_cell])
            for key, (x, y) in cells.items()
            if (next_cell := ((x + 1, y), (x, y + 1))[axis]) in by_cell
        ]
        if steps.pitch is None:
            wanted = (_step(device, fronts, pair, axis) for pair in beside)
            pitch[axis] = max(wanted, default=0.0)
        else:
            pitch[axis] = steps.pitch[axis]
            for pair in beside:
                _require_room(fronts, pair, axis, pitch[axis])
    xs, ys = zip(*points.values(), strict=True)
    wide, high = min(across, len(order)) - 1, max(y for _, y in cells.values())
    left = (min(xs) + max(xs) - wide * pitch[0]) / 2
    top = (min(ys) + max(ys) + high * pitch[1]) / 2
    return {
        key: (left + cells[key][0] * pitch[0], top - cells[key][1] * pitch[1]) for key in points
    }


def _require_room(
    fronts: Mapping[str, Rectangle], pair: tuple[str, str], axis: int, pitch: float
) -> None:
    one, other = (fronts[key] for key in pair)
    least = (one.width + other.width, one.height + other.height)[axis] / 2
    if pitch < least:
        raise LayoutError(
            f"at a pitch of {pitch:g} mm `{pair[0]}` and `{pair[1]}` overlap by "
            f"{least - pitch:g} mm",
            f"Choose {ceil(least)} mm or more.",
        )


def _align(
    points: Points, fronts: Mapping[str, Rectangle], alignment: Alignment, tolerance: float
) -> Points:
    if alignment in LINES:
        axis, find = (1, find_rows) if alignment == "rows" else (0, find_columns)
        return {
            key: _with(points[key], axis, line.axis)
            for line in find(points, tolerance)
            for key in line.members
        }
    axis = 0 if alignment in ("left", "right") else 1
    offsets = {key: getattr(fronts[key], alignment) for key in points}
    edges = [points[key][axis] + offset for key, offset in offsets.items()]
    edge = min(edges) if alignment in ("left", "bottom") else max(edges)
    return {key: _with(points[key], axis, edge - offset) for key, offset in offsets.items()}


def _spread(points: Points, fronts: Mapping[str, Rectangle], lines: Lines, steps: Steps) -> Points:
    """Return places with equal gaps between fronts in each line, or a pitch; its middle stays."""
    axis, find = (0, find_rows) if lines == "rows" else (1, find_columns)
    spread = dict(points)
    for line in find(points, steps.tolerance):
        keys = line.members if axis == 0 else tuple(reversed(line.members))  # rising along the axis
        places = [points[key][axis] for key in keys]
        ends = [(fronts[key][axis], fronts[key][axis + 2]) for key in keys]
        if steps.pitch is not None:
            for pair in pairwise(keys):
                _require_room(fronts, pair, axis, steps.pitch[axis])
            start = (places[0] + places[-1] - steps.pitch[axis] * (len(keys) - 1)) / 2
            new = [start + at * steps.pitch[axis] for at in range(len(keys))]
        else:
            covered = sum(high - low for low, high in ends)
            reach = places[-1] + ends[-1][1] - places[0] - ends[0][0]
            gap = (reach - covered) / max(1, len(keys) - 1)
            if gap < 0:
                raise LayoutError(
                    f"{join_words([f'`{key}`' for key in keys])} have no room side by side: "
                    f"{covered:g} mm of fronts in {reach:g} mm",
                    "Give a pitch: --pitch MM.",
                )
            new, at = [], places[0] + ends[0][0]
            for low, high in ends:
                new.append(at - low)
                at += high - low + gap
        for key, place in zip(keys, new, strict=True):
            spread[key] = _with(points[key], axis, place)
    return spread
