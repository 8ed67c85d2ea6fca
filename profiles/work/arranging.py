"""Controls put in order as an edit of their device's file; what was typed for it, read."""

import re
from collections.abc import Sequence

from profiles.model import Device
from profiles.plan.arrange import (
    Alignment,
    Lines,
    Mirroring,
    Move,
    Steps,
    arrange,
    choose_controls,
)
from profiles.plan.layout import LayoutError, Size, read_grid, read_pitch
from profiles.plate.rows import TOLERANCE
from profiles.text.inert import escape_controls
from profiles.text.prose import count
from profiles.work.controls import put
from profiles.work.edits import Edit


def read_steps(
    grid: str | None = None,
    align: Sequence[Alignment] = (),
    spread: Sequence[Lines] = (),
    pitch: str | None = None,
    mirror: Sequence[Mirroring] = (),
    shift: str | None = None,
    tolerance: float = TOLERANCE,
) -> Steps:
    """Return steps from what was typed: `5x4`, `35` or `35x30`, `5,-2.5`.

    Raises:
        LayoutError: where it is none of these, or nothing is to be done.
    """
    if not (grid or align or spread or mirror or shift):
        raise LayoutError(
            "nothing is to be done", "Give --grid, --align, --spread, --mirror or --shift."
        )
    if pitch and not (grid or spread):
        raise LayoutError("a pitch alone moves nothing", "Give --grid or --spread too.")
    return Steps(
        None if grid is None else read_grid(grid),
        tuple(dict.fromkeys(align)),
        tuple(dict.fromkeys(spread)),
        tuple(dict.fromkeys(mirror)),
        None if shift is None else read_shift(shift),
        None if pitch is None else read_pitch(pitch),
        tolerance,
    )


def read_shift(text: str) -> Size:
    """Return how far to the right and up, mm, of `5,-2.5`.

    Raises:
        LayoutError: where it is none.
    """
    number = r"\s*([+-]?\d{1,5}(?:\.\d{1,4})?)\s*(?:mm)?\s*"
    match = re.fullmatch(f"{number},{number}", text)
    if match is None:
        raise LayoutError(
            f"`{text}` is no shift in mm", "Write how far to the right and up, such as 5,-2.5."
        )
    return float(match[1]), float(match[2])


def arrange_controls(
    device: Device, words: Sequence[str], kinds: Sequence[str], steps: Steps
) -> tuple[Edit, tuple[Move, ...]]:
    """Return the edit that puts these controls in order, and where each goes.

    Raises:
        LayoutError: where a word or kind finds none, or they have no room.
    """
    chosen = choose_controls(device, words, kinds)
    arranged = arrange(device, chosen, steps)
    words_of_it = f"Arrange {count(len(chosen), 'control')} of {escape_controls(device.name)}"
    return put(device.id, words_of_it, arranged.edits), arranged.moves
