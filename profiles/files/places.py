"""Where keys and values stand in a file: from key paths to lines and columns.

A scanner for each format maps every key path of a text that its parser has accepted to two
spans of offsets, one of the key and one of the value. A `Locator` turns them into lines and
columns, and only when a finding asks: a library without findings is never scanned.
"""

import re
from bisect import bisect_right
from functools import cached_property
from typing import Literal, NamedTuple

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


class Locator:
    """Finds the key paths of one text, which must be one its parser has accepted."""

    def __init__(self, text: str, file_format: Format) -> None:
        self.text = text
        self.format = file_format

    @cached_property
    def lines(self) -> Lines:
        """The text's lines."""
        return Lines(self.text)

    @cached_property
    def spans(self) -> SpanMap:
        """Both spans of every key path."""
        return scan_spans(self.text, self.format)

    def locate(self, path: KeyPath, aim: Aim = "entry") -> Region | None:
        """Return where `path` stands, or its nearest parent that is there; None for the root.

        The aim `entry` is the key and its value where they share a line, else the key.
        """
        for length in range(len(path), 0, -1):
            spans = self.spans.get(path[:length])
            if spans is not None:
                return self.lines.region(self._choose(spans, aim))
        return None

    def _choose(self, spans: Spans, aim: Aim) -> Span:
        if spans.key is None or aim == "value":
            return spans.value
        if aim == "key" or not self._share_line(spans.key, spans.value):
            return spans.key
        return Span(spans.key.start, max(spans.key.end, spans.value.end))

    def _share_line(self, key: Span, value: Span) -> bool:
        return value.start >= key.start and not LINE_END.search(self.text, key.start, value.end)


def scan_spans(text: str, file_format: Format) -> SpanMap:
    """Return the spans of every key path of a text that its parser has accepted."""
    if file_format == "toml":
        from profiles.files.toml_places import scan_toml

        return scan_toml(text)
    if file_format == "yaml":
        from profiles.files.yaml_reader import scan_yaml

        return scan_yaml(text)
    from profiles.files.json_places import scan_json

    return scan_json(text)
