"""What standard input gives: within bounds, whatever feeds it, and nothing where it is closed."""

import sys
from io import TextIOWrapper
from typing import TextIO

from profiles.cli.exits import Unusable
from profiles.files.limits import LARGEST

LONGEST = 4096
"""Letters of one line: a terminal gives no longer ones (termios(3), canonical mode)."""


def is_terminal_typed() -> bool:
    """Whether somebody types at a terminal."""
    return sys.stdin is not None and sys.stdin.isatty()


def read_line(stream: TextIO | None) -> str:
    """Return the next line with its end; nothing at the end of all, or before one that has none.

    Bytes that are no text of the terminal become signs for that.
    """
    if stream is None:
        return ""
    if isinstance(stream, TextIOWrapper) and stream.errors == "strict":
        stream.reconfigure(errors="replace")
    line = stream.readline(LONGEST)
    return line if len(line) < LONGEST else ""


def read_whole() -> bytes:
    """Return all that is fed into standard input.

    Raises:
        Unusable: where it is more than one file may hold.
    """
    data = b"" if sys.stdin is None else sys.stdin.buffer.read(LARGEST + 1)
    if len(data) > LARGEST:
        raise Unusable(
            f"standard input gives more than the {LARGEST // 1024 // 1024} MB that are read",
            "Give it a list of names, one a line.",
        )
    return data
