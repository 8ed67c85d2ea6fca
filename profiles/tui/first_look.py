"""The plate as the screen first shows it, kept for the next start on the very same files.

Reading a library and laying its words out takes longer than starting the toolkit, so what that
comes to is kept as `files.kept` keeps checks: for these very files, this program, this size of
the screen and this profile, anything else being a miss (`plain_look`). It is text and nothing can
be done with it; the view of the plate takes its place as soon as the library is read.
"""

import json
import os
from pathlib import Path
from typing import TYPE_CHECKING, Any, NamedTuple

from profiles.files.kept import find_store, keep, make_key, read_kept
from profiles.files.walk import find_files
from profiles.text.inert import escape_controls
from profiles.tui.viewport import Cell, Drawn

if TYPE_CHECKING:
    from profiles.tui.plain_look import PlainLook

KIND = "plate"
"""What is kept, for the name of its entry."""


class FirstLook(NamedTuple):
    """What is shown: heading, the library's count in words and letters, runs of cells of one look
    by row, the words beside the plate, the key of its numbers."""

    heading: str
    library: tuple[str, str]
    rows: tuple[tuple[Cell, ...], ...]
    panel: str
    key: tuple[str, ...]

    def draw(self, _columns: int, _rows: int) -> Drawn:
        """The plate, in the one size in which it was kept."""
        return self.rows, self.key


class Aim(NamedTuple):
    """What is to be shown: profile and device last looked at, columns and rows of the screen."""

    profile: str
    device: str
    columns: int
    rows: int


def recall_look(folder: Path, aim: Aim) -> FirstLook | None:
    """What was kept of a library's files as they are now, or None."""
    store = find_store(os.environ)
    data = read_kept(folder, store, KIND)
    if data is None:
        return None
    try:
        match json.loads(data):
            case {"key": str(key), "aim": list(kept_for), "look": list(look)} if kept_for == list(
                aim
            ) and key == make_key(folder, find_files(folder)):
                return _read_look(*look)
    except (ValueError, TypeError, RecursionError):
        pass
    return None


def find_look(folder: Path, aim: Aim) -> "FirstLook | PlainLook | None":
    """What was kept, otherwise what the files plainly have; None where that takes the model."""
    kept = recall_look(folder, aim)
    if kept is not None:
        return kept
    from profiles.tui.plain_look import look_plainly

    return look_plainly(folder, aim.profile, aim.device)


def keep_look(folder: Path, aim: Aim, plate: tuple[int, int]) -> None:
    """Work out what the next start shows first, and keep it; `plate` is its columns and rows.

    Nothing is kept of a library that has problems in its files or no device: no plate is shown.
    """
    key = make_key(folder, find_files(folder))
    store = find_store(os.environ)
    if key is None or store is None or recall_look(folder, aim) is not None:
        return
    from profiles.files.library import load_library
    from profiles.tui.canvas import draw_whole
    from profiles.tui.panel import panel_lines
    from profiles.tui.session import Session

    session = Session(load_library(folder))
    session.return_to(aim.profile, aim.device)
    device = session.view.device
    if device is None or session.problems or make_key(folder, find_files(folder)) != key:
        return
    canvas = draw_whole(device, session.view.facts, plate)
    rows = (canvas.marked_row(y, session.control) for y in range(len(canvas.rows)))
    look = FirstLook(
        session.heading,
        session.library_count,
        tuple(_join(row) for row in rows),
        "\n".join(panel_lines(session)),
        tuple(canvas.key_lines()),
    )
    keep(folder, store, json.dumps({"key": key, "aim": aim, "look": look}).encode("ascii"), KIND)


def _join(row: list[Cell]) -> tuple[Cell, ...]:
    """A row as runs of one look."""
    runs: list[Cell] = []
    for letters, look in row:
        if runs and runs[-1][1] == look:
            runs[-1] = runs[-1][0] + letters, look
        else:
            runs.append((letters, look))
    return tuple(runs)


def _read_look(heading: Any, library: Any, rows: Any, panel: Any, key: Any) -> FirstLook:
    """What an entry holds, once each word of it was looked at."""
    long, brief = library
    runs = tuple(tuple((letters, look) for letters, look in row) for row in rows)
    texts = [heading, long, brief, panel, *key]
    texts += [one for row in runs for run in row for one in run]
    for text in texts:
        if not isinstance(text, str) or any(
            escape_controls(one) != one for one in text.split("\n")
        ):
            raise ValueError(text)
    return FirstLook(heading, (long, brief), runs, panel, tuple(key))
