"""Finds key paths in a text: its scanner is chosen by the format, and runs only when asked.

A library without findings is never scanned.
"""

from functools import cached_property, lru_cache

from profiles.files.places import (
    LINE_END,
    Aim,
    Format,
    KeyPath,
    Lines,
    Region,
    Span,
    SpanMap,
)


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
            if spans is None:
                continue
            key, value = spans
            if key is None or aim == "value":
                return self.lines.region(value)
            start, end = key
            is_after = value.start >= start
            if aim == "entry" and is_after and not LINE_END.search(self.text, start, value.end):
                end = max(end, value.end)
            return self.lines.region(Span(start, end))
        return None


@lru_cache(maxsize=16)
def scan_spans(text: str, file_format: Format) -> SpanMap:
    """Return the spans of every key path of a text that its parser has accepted.

    Kept for the last few texts, since findings are located one by one.
    """
    if file_format == "toml":
        from profiles.files.toml_places import scan_toml

        return scan_toml(text)
    if file_format == "yaml":
        from profiles.files.yaml_reader import scan_yaml

        return scan_yaml(text)
    from profiles.files.json_places import scan_json

    return scan_json(text)
