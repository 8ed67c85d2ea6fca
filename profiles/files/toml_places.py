"""Where every key and value of a TOML text stands.

`scan_toml` reads a text that `tomllib` has accepted, so it knows no errors: it follows the
grammar of TOML 1.0 just far enough to tell keys from values, strings and comments.
"""

import re
import tomllib

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


def scan_toml(text: str) -> SpanMap:
    """Return the spans of every key path in a TOML text."""
    return _Scanner(text).scan()


class _Scanner:
    """Walks once over a text; `at` is the offset reached, `found` what has been seen."""

    def __init__(self, text: str) -> None:
        self.text = text
        self.at = 0
        self.found: SpanMap = {}
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
        brackets = 2 if self.text.startswith("[[", self.at) else 1
        self.at += brackets
        parts = self._read_key()
        self.at += brackets
        path = self._enter_parents((), parts)
        word, span = parts[-1]
        path = (*path, word)
        if brackets == 1:
            self.found[path] = Spans(span, span)
            return path
        self.found.setdefault(path, Spans(span, span))
        member = self.lengths.get(path, 0)
        self.lengths[path] = member + 1
        self.found[*path, member] = Spans(None, span)
        return (*path, member)

    def _read_entry(self, table: KeyPath) -> None:
        parts = self._read_key()
        self.at += 1
        self._skip_space()
        word, span = parts[-1]
        path = (*self._enter_parents(table, parts), word)
        self.found[path] = Spans(span, self._read_value(path))

    def _enter_parents(self, table: KeyPath, parts: list[tuple[str, Span]]) -> KeyPath:
        """Note the tables that a dotted key implies; a list's name stands for its last member."""
        for word, span in parts[:-1]:
            table = (*table, word)
            self.found.setdefault(table, Spans(span, span))
            if table in self.lengths:
                table = (*table, self.lengths[table] - 1)
        return table

    def _read_key(self) -> list[tuple[str, Span]]:
        parts = []
        while True:
            self._skip_space()
            match = KEY_PART.match(self.text, self.at)
            assert match is not None, "a key of an accepted text"
            parts.append((_read_word(match), Span(*match.span())))
            self.at = match.end()
            self._skip_space()
            if not self.text.startswith(".", self.at):
                return parts
            self.at += 1

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
        self.at += 1
        self._skip_blank()
        while self.text[self.at] != "}":
            self._read_entry(path)
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
