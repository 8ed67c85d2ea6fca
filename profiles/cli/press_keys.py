"""What the person types while a box is listened to: single keys, or whole lines.

`open_keys` chooses. At a terminal one key is an answer and no Enter is needed. Where the input is
no terminal, or `--lines` is given (screen readers, pipes), an answer is a word on a line of its
own. The end of the input is the answer `END`.
"""

import os
import queue
import select
import sys
import threading
import time
from typing import Any, Protocol, TextIO

from profiles.cli.typed import read_line
from profiles.live.lines import AnswerKind

END = "\x04"
"""Said for the person when the input has ended; no word that is typed, but Ctrl-D as a key."""

ESCAPE_WAIT = 0.02
"""Seconds within which the rest of an arrow key's letters arrives after its escape."""

MOST_WAITING = 100
"""Lines that are read before they are asked for."""

_WORDS: dict[AnswerKind, tuple[str, ...]] = {
    "next": ("enter", "n", "next"),
    "skip": ("s", "skip"),
    "back": ("b", "back", "left"),
    "again": ("a", "again"),
    "stop": ("x", "escape", "stop", "end", END),
}
ANSWERS = {word: kind for kind, words in _WORDS.items() for word in words}
"""What a key or a line answers."""

HELP_KEYS = "Enter: that was all   s: skip   b: back   a: again   x: stop, resume later"
HELP_LINES = "Answers, each on a line: next, skip, back, again, stop (resume later)"

_ARROWS = {"[A": "up", "[B": "down", "[C": "right", "[D": "left"}
_NAMED = {"\r": "enter", "\n": "enter", " ": "space", "\x7f": "backspace", "\x08": "backspace"}


class Keys(Protocol):
    """A source of what the person types."""

    by_line: bool
    """Whether an answer is a line, not a key."""

    def next(self, timeout: float) -> str | None:
        """The next key or line within so many seconds; None where nothing comes."""

    def close(self) -> None:
        """Leave the terminal as it was."""


def open_keys(*, lines: bool = False, stream: TextIO | None = None) -> Keys:
    """Keys of the terminal, or lines of an input that is none.

    Raises nothing: a terminal that cannot be read key by key is read by lines.
    """
    source = sys.stdin if stream is None else stream
    if lines or source is None or not source.isatty():
        return LineKeys(source)
    try:
        return _WindowsKeys() if sys.platform == "win32" else PosixKeys(source.fileno())
    except (ImportError, OSError, ValueError):
        return LineKeys(source)


class LineKeys:
    """Lines of any input, read by a thread of their own so that nothing waits for them.

    `as_typed` keeps capitals, and an empty line empty.
    """

    by_line = True

    def __init__(self, source: TextIO | None, *, as_typed: bool = False) -> None:
        self._as_typed = as_typed
        self._lines: queue.Queue[str] = queue.Queue(MOST_WAITING)
        self._ended = False
        threading.Thread(target=self._read, args=(source,), daemon=True).start()

    def _read(self, source: TextIO | None) -> None:
        try:
            while line := read_line(source):
                word = line.strip()
                self._lines.put(word if self._as_typed else word.lower() or "enter")
        except (OSError, ValueError):
            pass
        self._lines.put(END)

    def next(self, timeout: float) -> str | None:
        """The next line, an empty one as `enter`; `END` again and again once it has ended."""
        if self._ended:
            return END
        try:
            word = self._lines.get(timeout=timeout)
        except queue.Empty:
            return None
        self._ended = word == END
        return word

    def close(self) -> None:
        """Nothing to put right."""


class PosixKeys:
    """Single keys of a terminal on Linux and macOS; Ctrl-C still interrupts."""

    by_line = False

    def __init__(self, descriptor: int) -> None:
        import termios
        import tty

        self._descriptor = descriptor
        self._before: list[Any] = termios.tcgetattr(descriptor)
        tty.setcbreak(descriptor)

    def next(self, timeout: float) -> str | None:
        """The next key; arrows and a few others by name."""
        letter = self._read(timeout)
        if letter == "":
            return END
        if letter == "\x1b":
            return self._read_escape()
        return letter and _NAMED.get(letter, letter.lower())

    def _read(self, timeout: float) -> str | None:
        """One letter, None after the time, nothing at the end of the input."""
        ready, _, _ = select.select([self._descriptor], [], [], timeout)
        if not ready:
            return None
        try:
            return os.read(self._descriptor, 1).decode("utf-8", "replace")
        except OSError:
            return ""

    def _read_escape(self) -> str:
        rest = ""
        while len(rest) < 8 and (letter := self._read(ESCAPE_WAIT)):
            rest += letter
            if letter.isalpha() or letter == "~":
                break
        return _ARROWS.get(rest, "escape")

    def close(self) -> None:
        """Give the terminal back."""
        import termios

        termios.tcsetattr(self._descriptor, termios.TCSADRAIN, self._before)


class _WindowsKeys:
    """Single keys of a console on Windows."""

    by_line = False

    def __init__(self) -> None:
        import msvcrt

        self._console: Any = msvcrt

    def next(self, timeout: float) -> str | None:
        """The next key; arrows and a few others by name."""
        until = time.monotonic() + timeout
        while not self._console.kbhit():
            if time.monotonic() >= until:
                return None
            time.sleep(0.002)
        letter: str = self._console.getwch()
        if letter == "\x03":
            raise KeyboardInterrupt
        if letter in ("\x00", "\xe0"):
            arrows = {"H": "up", "P": "down", "M": "right", "K": "left"}
            return arrows.get(self._console.getwch(), "escape")
        return "escape" if letter == "\x1b" else _NAMED.get(letter, letter.lower())

    def close(self) -> None:
        """Nothing to put right."""
