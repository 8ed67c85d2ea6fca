"""Where keys and values are in a file: from key paths to lines and columns.

A scanner for each format maps every key path of a text that its parser has accepted to two
spans of offsets, one of the key and one of the value; `Lines` turns offsets into lines and
columns. `locator` puts them together.
"""

import re
from bisect import bisect_right
from typing import Any, Literal, NamedTuple

KeyPath = tuple[str | int, ...]
Format = Literal["toml", "yaml", "json"]
Aim = Literal["entry", "key", "value"]

LINE_END = re.compile(r"\r\n?|\n")


class Span(NamedTuple):
    """Offsets of the first character and of the one past the last."""

    start: int
    end: int


class Spans(NamedTuple):
    """Where a key and its value stand; a list's member has no key.

    The value of a table that is opened by a header or implied by a dotted key is that key.
    """

    key: Span | None
    value: Span


SpanMap = dict[KeyPath, Spans]


class Region(NamedTuple):
    """A stretch of one line, all counted from 1; `end_column` is just past the stretch."""

    line: int
    column: int
    end_column: int


class Lines:
    """The lines of a text, to turn offsets into lines and columns of characters."""

    def __init__(self, text: str) -> None:
        self.text = text
        self.starts = [0, *[match.end() for match in LINE_END.finditer(text)]]

    def region(self, span: Span) -> Region:
        """Return the stretch of `span`; one that runs over lines is cut at its first line's end."""
        line = bisect_right(self.starts, span.start)
        first = self.starts[line - 1]
        last = min(max(span.end, span.start), first + len(self.line(line)))
        return Region(line, span.start - first + 1, max(last, span.start) - first + 1)

    def point(self, at: int) -> Region:
        """Return the one letter at an offset, or the last one of the text where it is past it."""
        at = max(0, min(at, len(self.text.rstrip()) - 1))
        return self.region(Span(at, at + 1))

    def line(self, number: int) -> str:
        """Return the text of a line counted from 1, without its end."""
        start = self.starts[number - 1]
        end = self.starts[number] if number < len(self.starts) else len(self.text)
        return self.text[start:end].rstrip("\r\n")


def find_at(content: Any, path: KeyPath, absent: Any = None) -> Any:
    """Return the value at a path, or `absent` where there is none."""
    for part in path:
        try:
            content = content[part]
        except (KeyError, IndexError, TypeError):
            return absent
    return content
