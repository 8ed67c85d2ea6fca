"""Controls shown large in a terminal: what was pressed and what it does in the application.

- `open_boards`: a reader of the boxes of a profile
- `run_board`: the loop of `press show`
- `show_words`: what stands on the screen
"""

from collections.abc import Sequence

from profiles.cli.exits import Unusable
from profiles.cli.output import note
from profiles.cli.press_boxes import choose_box, open_reader, unusable
from profiles.cli.press_keys import Keys, open_keys
from profiles.cli.press_sitting import ANSWERS, PAUSE
from profiles.cli.press_status import StatusLine
from profiles.drawing.poster import render_poster
from profiles.live.boxes import Chosen
from profiles.live.events import LiveError, match_boxes
from profiles.live.show import Board
from profiles.live.showing import attach, describe_application, describe_touched
from profiles.model import Link
from profiles.text.inert import escape_controls

FOOT = 6
"""Lines of a terminal kept for what stands under the large words."""
WIDEST = 120
"""Columns that the large words take at most."""


def open_boards(link: Link, which: int | None) -> Chosen:
    """A reader of the boxes of a profile, without their twins; absent ones may come later.

    Raises:
        Unusable: where none of them is plugged in, or several may be one and none is chosen.
    """
    if not link.devices:
        raise Unusable(
            f"profile `{escape_controls(link.profile.id)}` names no device of the library",
            "Put the device's file into the library.",
        )
    reader = open_reader()
    boxes = reader.devices()
    try:
        absent = [one for one in link.devices if not match_boxes(boxes, one.device.usb)]
        if len(absent) == len(link.devices):
            choose_box(boxes, absent[0], which)
        here = [one for one in link.devices if one not in absent]
        chosen = {choose_box(boxes, device, which) for device in here}
    except Unusable:
        reader.close()
        raise
    for device in absent:
        note(f"note: `{escape_controls(device.id)}` is not plugged in; it counts as soon as it is")
    return Chosen(reader, (box for box in boxes if box not in chosen))


def run_board(link: Link, which: int | None, *, lines: bool) -> None:
    """Show what is pressed until the person stops.

    Raises:
        Unusable: where no box of the profile is plugged in, or it cannot be read.
    """
    reader = open_boards(link, which)
    keys = open_keys(lines=lines)
    try:
        _show_all(reader, Board(link), keys, StatusLine(by_line=keys.by_line))
    except LiveError as error:
        raise unusable(error) from None
    finally:
        keys.close()
        reader.close()


def _show_all(reader: Chosen, board: Board, keys: Keys, status: StatusLine) -> None:
    title = describe_application(board.link)
    show_words(status, title, ["Press a control to see what it does.", _describe_stop(keys)])
    while True:
        for event in reader.poll():
            attach(board, board.link, event)
            for one in board.take(event):
                words, lines = describe_touched(board.link, one)
                show_words(status, words, [*lines, _describe_stop(keys)])
            if event.kind == "removed":
                status.show("A box is unplugged; plug it in again to continue.")
        word = keys.next(PAUSE)
        if word is not None and ANSWERS.get(word) == "stop":
            status.end()
            return


def _describe_stop(keys: Keys) -> str:
    return "" if keys.by_line else "x: stop"


def show_words(status: StatusLine, words: str, lines: Sequence[str]) -> None:
    """Words large with lines under them; where there is no screen, all on one line."""
    kept = [line for line in lines if line]
    if not status.over:
        status.say(". ".join([words, *kept]))
        return
    rows = status.height - FOOT
    poster = render_poster(words, min(status.width, WIDEST) - 1, rows)
    status.show_picture([*poster, *([""] if poster else [words]), *kept])
