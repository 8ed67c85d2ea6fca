"""Cautions for work that can hurt, boxed on the sheets that lead to it.

The words are our own and general; they defer to local rules and to qualified help.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from profiles.drawing import weights
from profiles.drawing.fitting import wrap_lines
from profiles.drawing.geometry import Box, Point
from profiles.drawing.recorder import Recorder
from profiles.drawing.style import Lettering
from profiles.lettering import BOLD


@dataclass(frozen=True, slots=True)
class Caution:
    """A heading and the sentences under it."""

    heading: str
    words: str


DRILLING = Caution(
    "Drilling and cutting",
    "Wear eye protection. Clamp the work, never hold it by hand. Measure the ruler on the print "
    "first, then punch, drill a pilot hole and open it in steps. Break sharp edges. Do not breathe "
    "the dust.",
)
SOLDERING = Caution(
    "Soldering",
    "Unplug the box first. Wear eye protection: solder spits and wire ends fly. The iron burns; "
    "keep it in its stand. Draw fumes away from your face and air the room. Wash your hands "
    "afterwards.",
)
POWER = Caution(
    "USB and LEDs",
    "Unplug the USB cable before you touch the wiring. Test for a short between supply and ground "
    "before you plug in. Stay below the current limits of the board and give each LED its "
    "resistor.",
)
CLOSING = "Local codes and the makers' instructions come first; ask qualified help when unsure."

_PAD = 2.5
_LINE = 3.9
_HEADING = Lettering(2.0, BOLD)
_BODY = Lettering(2.0)
_SIGN = 9.0
_TEXT_LEFT = 2 * _PAD + _SIGN


def cautions_height(width: float, cautions: Sequence[Caution]) -> float:
    """Return the height in mm that `draw_cautions` takes at a width."""
    lines = sum(len(lines) for _, lines in _paragraphs(width, cautions))
    return 2 * _PAD + max((lines - 1) * _LINE + _BODY.cap_height, _SIGN)


def draw_cautions(board: Recorder, corner: Point, width: float, cautions: Sequence[Caution]) -> Box:
    """Draw boxed cautions with the lower left at `corner`, on layer `cautions`; return the box.

    The sign is the general warning sign: a triangle with an exclamation mark (ISO 7010, W001).
    """
    left, bottom = corner
    box = Box(left, bottom, left + width, bottom + cautions_height(width, cautions))
    with board.layer("cautions"):
        board.rectangle(box, weights.HOLE)
        x, low, half = left + _PAD + _SIGN / 2, box.centre[1] - _SIGN * 0.43, _SIGN / 2
        triangle = ((x - half, low), (x + half, low), (x, low + _SIGN * 0.866))
        board.polyline(triangle, weights.OUTLINE, closed=True)
        foot = low + 1.4
        stem = ((x - 0.28, foot + 1.3), (x + 0.28, foot + 1.3), (x + 0.48, foot + 4.0))
        board.polyline((*stem, (x - 0.48, foot + 4.0)), weights.fill(), closed=True)
        board.circle((x, foot + 0.3), 0.9, weights.fill())
        x, y = left + _TEXT_LEFT, box.top - _PAD - _BODY.cap_height
        for heading, lines in _paragraphs(width, cautions):
            board.text((x, y), heading, _HEADING)
            start = _HEADING.width(heading)
            for line in lines:
                board.text((x + start, y), line, _BODY)
                start, y = 0.0, y - _LINE
    return box


def _paragraphs(width: float, cautions: Sequence[Caution]) -> list[tuple[str, list[str]]]:
    """Return headings and wrapped lines; the first line of each leaves room for its heading."""
    room = width - _TEXT_LEFT - _PAD
    paragraphs = [(f"{item.heading}.  ", " ".join(item.words.split())) for item in cautions]
    found = []
    for heading, words in [*paragraphs, ("", CLOSING)]:
        first = wrap_lines(words, room - _HEADING.width(heading), _BODY)[0]
        found.append((heading, [first, *wrap_lines(words[len(first) :], room, _BODY)]))
    return found
