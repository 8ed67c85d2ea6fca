"""Where every key and value of a JSON text stands, and whether a key stands twice.

`scan_json` reads a text that `json` has accepted (RFC 8259). It keeps a stack of its own, so
depth costs nothing.
"""

import json
import re

from profiles.files.places import KeyPath, Span, SpanMap, Spans

TOKEN = re.compile(r'"(?:[^"\\]|\\.)*"|[\[\]{},:]|[^\s\[\]{},:"]+')


def scan_json(text: str) -> SpanMap:
    """Return the spans of every key path in a JSON text; of a repeated key, the last."""
    return _Scanner(text).scan()


def find_repeated_key(text: str) -> tuple[KeyPath, Span]:
    """Return the first key that stands twice in one object, with its second place.

    Raises:
        ValueError: where none does.
    """
    scanner = _Scanner(text)
    scanner.scan()
    if scanner.repeated is None:
        raise ValueError("no key stands twice")
    return scanner.repeated


class _Scanner:
    """Walks once over the tokens; `path` leads to the container that is open."""

    def __init__(self, text: str) -> None:
        self.text = text
        self.found: SpanMap = {}
        self.repeated: tuple[KeyPath, Span] | None = None
        self.path: list[str | int] = []
        self.open: list[tuple[str, int, Span | None]] = []
        self.key: Span | None = None
        self.expects_key = False

    def scan(self) -> SpanMap:
        for match in TOKEN.finditer(self.text):
            token = match[0]
            span = Span(*match.span())
            if token in ("{", "["):
                self._open(token, span)
            elif token in ("}", "]"):
                self._close(span)
            elif token == ",":
                self._step()
            elif token != ":":
                self._take(token, span)
        return self.found

    def _open(self, token: str, span: Span) -> None:
        self.open.append((token, span.start, self.key))
        self.key = None
        self.expects_key = token == "{"
        self.path.append(0 if token == "[" else "")

    def _close(self, span: Span) -> None:
        _, start, key = self.open.pop()
        self.path.pop()
        self.expects_key = False
        self._note(key, Span(start, span.end))

    def _step(self) -> None:
        last = self.path[-1]
        if isinstance(last, int):
            self.path[-1] = last + 1
        else:
            self.expects_key = True

    def _take(self, token: str, span: Span) -> None:
        if not self.expects_key:
            self._note(self.key, span)
            return
        self.path[-1] = json.loads(token)
        path = tuple(self.path)
        if path in self.found and self.repeated is None:
            self.repeated = (path, span)
        self.found[path] = Spans(span, span)
        self.key = span
        self.expects_key = False

    def _note(self, key: Span | None, value: Span) -> None:
        if self.path:
            self.found[tuple(self.path)] = Spans(key, value)
        self.key = None
