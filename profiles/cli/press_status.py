"""What is shown while a box is listened to: on stderr, since stdout is data.

At a terminal the last line is written over as things change, and posters take the whole screen;
elsewhere every change is a line of its own, so that a log or a screen reader gets each thing once.
"""

import os
import shutil
import sys
from typing import TextIO

from profiles.cli.output import note
from profiles.drawing.poster import render_poster
from profiles.text.inert import escape_controls
from profiles.work.press import UNPLUGGED, Poster, Prompt

CLEAR = "\r\x1b[K"
"""Back to the start of the line, and away with what stands on it."""

ROOM_TO_HEAR = 16
"""Columns kept beside the words of a step for what is heard."""

FOOT = 6
"""Lines of a terminal kept for what stands under large words."""

WIDEST = 120
"""Columns that large words take at most."""


class TerminalStatusLine:
    """Lines that stay, and one line below them that changes.

    `keys` say under a poster what can be typed; not where answers are whole lines.
    """

    def __init__(self, *, by_line: bool, keys: str = "") -> None:
        stream = sys.stderr
        self.over = stream is not None and not by_line and _can_write_over(stream)
        self.keys = "" if by_line else keys
        self._status = ""
        self._asked = ""
        self._last = ""
        self._where: tuple[str, ...] = ()

    def say(self, *lines: str) -> None:
        """Lines that stay."""
        self.end()
        for line in lines:
            self._last = line
            note("\n".join(escape_controls(part) for part in line.split("\n")))

    def show(self, shown: Prompt | Poster) -> None:
        """What is asked now; above it where, once, and words too long for one line; a poster."""
        width = shutil.get_terminal_size().columns
        if isinstance(shown, Poster):
            self._show_large(shown, width)
            return
        if shown.large and self.over:
            told = f"{shown.place} {shown.words}   {shown.heard}"
            if told != self._status:
                last = [self._last] if self._last else []
                self._show_large(Poster(shown.large, (*shown.where, told, *last)), width)
                self._status = told
            return
        if shown.where and not shown.large and shown.where != self._where:
            self.say(*shown.where)
        self._where = shown.where
        words = f"{shown.place} {shown.words}" if shown.words != UNPLUGGED else shown.words
        if self.over and len(words) + ROOM_TO_HEAR > width:
            if self._asked != words:
                self.say(words)
            self._asked, words = words, shown.place
        self.show_line(f"{words}   {shown.heard if self.over else ''}".rstrip())

    def ring(self, times: int) -> None:
        """Sound the terminal's bell, where there is a terminal."""
        if self.over:
            self._put("\a" * times)

    def show_line(self, line: str) -> None:
        """The line that changes; the same again shows nothing."""
        if line == self._status:
            return
        if not self.over:
            self.say(line)
        else:
            width = shutil.get_terminal_size().columns
            self._put(CLEAR + escape_controls(line)[: width - 1])
        self._status = line

    def _show_large(self, poster: Poster, width: int) -> None:
        """A poster on the whole screen; where there is none, all of it on one line."""
        lines = [*poster.lines, *([self.keys] if self.keys else [])]
        if not self.over:
            self.say(". ".join([poster.words, *lines]))
            return
        rows = shutil.get_terminal_size().lines - max(FOOT, len(lines) + 2)
        large = render_poster(poster.words, min(width, WIDEST) - 1, rows) or [poster.words]
        self._put("\x1b[H\x1b[2J")
        note("\n".join(escape_controls(line) for line in (*large, *lines)))
        self._status = ""

    def end(self) -> None:
        """Take the changing line away."""
        if self.over and self._status:
            self._put(CLEAR)
        self._status = ""

    def _put(self, text: str) -> None:
        stream = sys.stderr
        if stream is not None:
            encoding = stream.encoding or "utf-8"
            stream.write(text.encode(encoding, "backslashreplace").decode(encoding))
            stream.flush()


def _can_write_over(stream: TextIO) -> bool:
    """Whether lines can be written over: a terminal that obeys ECMA-48 control sequences."""
    if not stream.isatty() or os.environ.get("TERM") == "dumb":
        return False
    if sys.platform != "win32":
        return True
    # A console on Windows is asked to obey control sequences (SetConsoleMode, 0x0004).
    import ctypes

    kernel = getattr(ctypes, "windll").kernel32  # noqa: B009
    handle, mode = kernel.GetStdHandle(-12), ctypes.c_ulong()
    if not kernel.GetConsoleMode(handle, ctypes.byref(mode)):
        return False
    return bool(kernel.SetConsoleMode(handle, mode.value | 0x0004))
