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
    return _scan(text)[0]


def find_repeated_key(text: str) -> tuple[KeyPath, Span]:
    """Return the first key that is twice in one object, with its second place.

    Raises:
        ValueError: where none is.
    """
    _, repeated = _scan(text)
    if repeated is None:
        raise ValueError("no key is a duplicate")
    return repeated


def _scan(text: str) -> tuple[SpanMap, tuple[KeyPath, Span] | None]:
    """Walk once over the tokens; `path` leads to the container that is open."""
    found: SpanMap = {}
    repeated: tuple[KeyPath, Span] | None = None
    path: list[str | int] = []
    containers: list[tuple[int, Span | None]] = []
    key: Span | None = None
    expects_key = False
    for match in TOKEN.finditer(text):
        token, span = match[0], Span(*match.span())
        if token in ("{", "["):
            containers.append((span.start, key))
            key, expects_key = None, token == "{"
            path.append(0 if token == "[" else "")
        elif token == ",":
            last = path[-1]
            if isinstance(last, int):
                path[-1] = last + 1
            else:
                expects_key = True
        elif expects_key and token != "}":
            path[-1] = json.loads(token)
            place = tuple(path)
            if place in found and repeated is None:
                repeated = (place, span)
            found[place] = Spans(span, span)
            key, expects_key = span, False
        elif token != ":":
            if token in ("}", "]"):
                start, key = containers.pop()
                path.pop()
                span = Span(start, span.end)
            if path:
                found[tuple(path)] = Spans(key, span)
            key, expects_key = None, False
    return found, repeated
