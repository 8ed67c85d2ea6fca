"""Where every key and value of a TOML text stands.

`scan_toml` and `list_statements` read a text that `tomllib` has accepted, so they know no errors:
they follow the grammar of TOML 1.0 just far enough to tell keys from values, strings and comments.
"""

import re
import tomllib
from typing import Literal, NamedTuple

from profiles.files.places import KeyPath, Span, SpanMap, Spans

BLANK = re.compile(r"(?:[ \t\r\n]+|#[^\n]*)*")
SPACE = re.compile(r"[ \t]*")
KEY_PART = re.compile(
    r"""(?P<bare>[A-Za-z0-9_-]+)|"(?P<basic>(?:[^"\\\n]|\\.)*)"|'(?P<literal>[^'\n]*)'"""
)
SCALAR = re.compile(
    r'''"""[^"\\]*(?:(?:\\.|"{1,2}(?!"))[^"\\]*)*"{3,5}'''
    r"""|'{3}[^']*(?:'{1,2}(?!')[^']*)*'{3,5}"""
    r'''|"(?:[^"\\\n]|\\.)*"'''
    r"""|'[^'\n]*'"""
    r"""|\d{4}-\d\d-\d\d[ Tt]\d\d:[^\s,\]}#]+"""
    r"""|[^\s,\]}#]+""",
    re.DOTALL,
)


class Statement(NamedTuple):
    """A header or an entry, for whoever changes the text.

    `parts` holds each part of its key with the path it means; `span` runs from the brackets'
    start or the key's start to the end of the brackets or the value; `opened` is the offset of the
    brace that encloses an inline entry.
    """

    kind: Literal["table", "member", "entry"]
    path: KeyPath
    parts: tuple[tuple[KeyPath, Span], ...]
    span: Span
    opened: int | None = None


def scan_toml(text: str) -> SpanMap:
    """Return the spans of every key path in a TOML text."""
    return _Scanner(text).scan()


def list_statements(text: str) -> list[Statement]:
    """Return the statements of a TOML text in their order; inline entries before their owner."""
    scanner = _Scanner(text)
    scanner.scan()
    return scanner.statements


class _Scanner:
    """Walks once over a text; `at` is the offset reached, `found` what has been seen."""

    def __init__(self, text: str) -> None:
        self.text = text
        self.at = 0
        self.found: SpanMap = {}
        self.statements: list[Statement] = []
        self.lengths: dict[KeyPath, int] = {}

    def scan(self) -> SpanMap:
        table: KeyPath = ()
        self._skip_blank()
        while self.at < len(self.text):
            if self.text[self.at] == "[":
                table = self._read_header()
            else:
                self._read_entry(table)
            self._skip_blank()
        return self.found

    def _skip_blank(self) -> None:
        match = BLANK.match(self.text, self.at)
        self.at = match.end() if match else self.at

    def _skip_space(self) -> None:
        match = SPACE.match(self.text, self.at)
        self.at = match.end() if match else self.at

    def _read_header(self) -> KeyPath:
        start = self.at
        brackets = 2 if self.text.startswith("[[", start) else 1
        self.at += brackets
        parts = self._read_key(())
        self.at += brackets
        path, span = parts[-1]
        header = Span(start, self.at)
        if brackets == 1:
            self.found[path] = Spans(span, span)
            self.statements.append(Statement("table", path, parts, header))
            return path
        self.found.setdefault(path, Spans(span, span))
        member = self.lengths.get(path, 0)
        self.lengths[path] = member + 1
        self.found[*path, member] = Spans(None, span)
        self.statements.append(Statement("member", (*path, member), parts, header))
        return (*path, member)

    def _read_entry(self, table: KeyPath, opened: int | None = None) -> None:
        parts = self._read_key(table)
        self.at += 1
        self._skip_space()
        path, span = parts[-1]
        self.found[path] = Spans(span, self._read_value(path))
        whole = Span(parts[0][1].start, self.at)
        self.statements.append(Statement("entry", path, parts, whole, opened))

    def _read_key(self, table: KeyPath) -> tuple[tuple[KeyPath, Span], ...]:
        """Read a dotted key, noting the tables that it implies."""
        parts: list[tuple[KeyPath, Span]] = []
        while True:
            self._skip_space()
            match = KEY_PART.match(self.text, self.at)
            assert match is not None, "a key of an accepted text"
            table = (*table, _read_word(match))
            parts.append((table, Span(*match.span())))
            self.at = match.end()
            self._skip_space()
            if not self.text.startswith(".", self.at):
                return tuple(parts)
            self.at += 1
            table = self._enter(table, parts[-1][1])

    def _enter(self, table: KeyPath, span: Span) -> KeyPath:
        """Note a table that a key implies; the name of a list means its last member."""
        self.found.setdefault(table, Spans(span, span))
        return (*table, self.lengths[table] - 1) if table in self.lengths else table

    def _read_value(self, path: KeyPath) -> Span:
        start = self.at
        first = self.text[start]
        if first == "[":
            self._read_list(path)
        elif first == "{":
            self._read_inline_table(path)
        else:
            match = SCALAR.match(self.text, start)
            assert match is not None, "a value of an accepted text"
            self.at = match.end()
        return Span(start, self.at)

    def _read_list(self, path: KeyPath) -> None:
        self.at += 1
        member = 0
        self._skip_blank()
        while self.text[self.at] != "]":
            inner = (*path, member)
            self.found[inner] = Spans(None, self._read_value(inner))
            member += 1
            self._skip_comma()
        self.at += 1

    def _read_inline_table(self, path: KeyPath) -> None:
        opened = self.at
        self.at += 1
        self._skip_blank()
        while self.text[self.at] != "}":
            self._read_entry(path, opened)
            self._skip_comma()
        self.at += 1

    def _skip_comma(self) -> None:
        self._skip_blank()
        if self.text[self.at] == ",":
            self.at += 1
            self._skip_blank()


def _read_word(match: re.Match[str]) -> str:
    basic = match["basic"]
    if basic is None:
        return match["bare"] or match["literal"] or ""
    if "\\" not in basic:
        return basic
    word: str = tomllib.loads(f'k = "{basic}"')["k"]
    return word
