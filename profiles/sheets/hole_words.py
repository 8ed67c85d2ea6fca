"""What a hole is called on a sheet, and the tools that make it. Which tools: rule of thumb."""

from typing import NamedTuple

from profiles.drawing.surface import decimal
from profiles.model.hole import Hole, as_hole
from profiles.plate.holes import Size

LARGEST_DRILL = 13.0
"""Largest twist drill of a usual chuck, mm. Rule of thumb."""


def size_words(size: Size) -> str:
    """A size as drawings give it: a diameter, or width by height, mm."""
    hole = as_hole(size)
    width, height = (decimal(side, 2) for side in hole.sides)
    if hole.shape != "round":
        words = f"{width} × {height}"
        if hole.length is not None:
            words += " slot"
        elif hole.corner_radius:
            words += f" R{decimal(hole.corner_radius, 2)}"
    else:
        words = f"Ø{width}"
        if hole.across_flats is not None:
            flats = "flats" if hole.flats == 2 else "flat"
            words += f", {flats} {decimal(hole.across_flats, 2)}"
        elif hole.keyway is not None:
            words += f", key {' × '.join(decimal(side, 2) for side in hole.keyway)}"
        elif hole.countersink is not None:
            sink = hole.countersink
            words += f", sink Ø{decimal(sink.diameter, 2)} × {decimal(sink.angle, 1)}°"
    return words + (f" at {decimal(hole.angle, 1)}°" if hole.angle else "")


def brief_words(size: Size) -> str:
    """The same where there is little room: what is cut besides is named, and its size is not."""
    hole = as_hole(size)
    extras = {"across_flats": "flat", "keyway": "key", "countersink": "sink"}
    also = [word for key, word in extras.items() if getattr(hole, key) is not None]
    return f"{size_words(hole.sides[0])} {also[0]}" if also else size_words(size)


class Step(NamedTuple):
    """One thing to do at a hole: the words, and what puts steps in their order."""

    words: str
    order: int
    """Drills first, then mills and saws, then what is done to a hole that is there."""
    size: float = 0.0


def tool_steps(size: Size) -> tuple[Step, ...]:
    """What to make a hole with, one after the other, sizes in mm."""
    hole = as_hole(size)
    if hole.length is not None:
        width = decimal(hole.sides[1], 2)
        words = f"end mill {width}; or drill {width} at both ends, saw, file"
        return (Step(words, 1, hole.sides[1]),)
    if hole.shape == "rectangle":
        if hole.corner_radius:
            drill = decimal(2 * hole.corner_radius, 2)
            words = f"end mill up to {drill}; or drill {drill} in the corners, saw"
            return (Step(words, 1, 2 * hole.corner_radius),)
        return (Step("drill within the corners, saw, file", 1),)
    if hole.across_flats is not None:
        return (_drill(hole.across_flats), Step("file the round sides", 2, hole.sides[0]))
    first = _drill(hole.sides[0])
    if hole.keyway is not None:
        return (first, Step("file the keyway", 2))
    if hole.countersink is not None:
        sink = hole.countersink
        words = f"countersink {decimal(sink.angle, 1)}° to Ø{decimal(sink.diameter, 2)}"
        return (first, Step(words, 2, sink.diameter))
    return (first,)


def tool_words(size: Size) -> str:
    """What to make a hole with, in words."""
    return ", then ".join(step.words for step in tool_steps(size))


def _drill(diameter: float) -> Step:
    """Drills end where chucks do; a step drill or hole saw goes on."""
    tool = "drill" if diameter <= LARGEST_DRILL else "step drill or hole saw"
    return Step(f"{tool} {decimal(diameter, 2)}", 0, diameter)


def plain_size(size: Size) -> object:
    """A size as a file would give it."""
    return size.plain() if isinstance(size, Hole) else size
