"""The one door out: stdout is data, stderr is notes, colour only where it is wanted.

Colour never carries meaning alone: every coloured word says the same in plain letters.
"""

import os
import sys
from collections.abc import Mapping
from typing import TextIO

import click

from profiles.text.inert import visible

COLOURS: Mapping[str, str] = {"error": "red", "warning": "yellow", "advice": "cyan"}
"""Colour of a severity's word."""


def is_colour_wanted(stream: TextIO) -> bool:
    """Whether to colour: a terminal that has not asked for plain text (no-color.org)."""
    if os.environ.get("NO_COLOR") or os.environ.get("TERM") == "dumb":
        return False
    return bool(os.environ.get("FORCE_COLOR")) or stream.isatty()


def write(text: str) -> None:
    """Put data on stdout, as it is, with one line end."""
    _put(sys.stdout, text)


def note(text: str) -> None:
    """Put a note on stderr, after all data written so far."""
    sys.stdout.flush()
    _put(sys.stderr, text)


def _put(stream: TextIO, text: str) -> None:
    encoding = stream.encoding or "utf-8"
    safe = text.encode(encoding, errors="replace").decode(encoding)
    stream.write(safe if safe.endswith("\n") else safe + "\n")
    stream.flush()


def paint(text: str, *, colour: str | None = None, strong: bool = False, on: bool) -> str:
    """A text in colour where colour is on, else as it is."""
    return click.style(text, fg=colour, bold=strong) if on else text


def show_path(path: object) -> str:
    """A path fit for one line of a terminal."""
    return visible(str(path))
