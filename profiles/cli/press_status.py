"""What is said while a box is listened to: on stderr, since stdout is data.

At a terminal the last line is written over as things change; elsewhere every change is a line of
its own, so that a log or a screen reader gets each thing once.
"""

import os
import shutil
import sys
from collections.abc import Sequence
from typing import TextIO

from profiles.cli.output import note
from profiles.text.inert import escape_controls

CLEAR = "\r\x1b[K"
"""Back to the start of the line, and away with what stands on it."""


class StatusLine:
    """A dialogue: lines that stay, and one line below them that changes."""

    def __init__(self, *, by_line: bool) -> None:
        stream = sys.stderr
        self.over = stream is not None and not by_line and _can_write_over(stream)
        self._status = ""

    @property
    def width(self) -> int:
        """Columns of the terminal."""
        return shutil.get_terminal_size().columns

    @property
    def height(self) -> int:
        """Lines of the terminal."""
        return shutil.get_terminal_size().lines

    def say(self, *lines: str) -> None:
        """Lines that stay."""
        self._wipe()
        for line in lines:
            note("\n".join(escape_controls(part) for part in line.split("\n")))
        self._status = ""

    def show(self, line: str) -> None:
        """The line that changes; the same again says nothing."""
        if line == self._status:
            return
        if not self.over:
            self.say(line)
        else:
            self._put(CLEAR + escape_controls(line)[: self.width - 1])
        self._status = line

    def show_picture(self, lines: Sequence[str]) -> None:
        """A whole screen at a terminal; elsewhere the lines."""
        if self.over:
            self._put("\x1b[H\x1b[2J")
        note("\n".join(escape_controls(line) for line in lines))
        self._status = ""

    def end(self) -> None:
        """Take the changing line away."""
        self._wipe()
        self._status = ""

    def _wipe(self) -> None:
        if self.over and self._status:
            self._put(CLEAR)

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
    return _wake_console() if sys.platform == "win32" else True


def _wake_console() -> bool:
    """Ask a console on Windows to obey control sequences (SetConsoleMode, 0x0004)."""
    import ctypes

    kernel = getattr(ctypes, "windll").kernel32  # noqa: B009
    handle, mode = kernel.GetStdHandle(-12), ctypes.c_ulong()
    if not kernel.GetConsoleMode(handle, ctypes.byref(mode)):
        return False
    return bool(kernel.SetConsoleMode(handle, mode.value | 0x0004))
