"""Documents for the tests of files: plain content, and texts that spell it; bundled and random.

`contents` draws what all three formats can carry. `render_toml` spells content as TOML in one
of many ways: headers, dotted keys, inline tables, lists of tables, all forms of text, comments.
"""

import json
from collections.abc import Iterator
from datetime import UTC, date, datetime, time
from random import Random
from typing import Any

from hypothesis import strategies as st

from profiles.files.documents import find_format, parse_text
from profiles.files.library import load_library
from tests.hostile import NAUGHTY
from tests.work.libraries import EXAMPLES


def read_examples() -> list[tuple[str, dict[str, Any]]]:
    """Kind and content of every document of the sound example libraries."""
    return [
        (source.kind, parse_text(source.path.read_text("utf-8"), find_format(source.path)))
        for name in ("harbour", "boatyard")
        for source in load_library(EXAMPLES / name).sources.values()
    ]


KEYS = st.one_of(
    st.sampled_from(["horn", "trim", "on", "off", "yes", "1", "a-b", "x_y", "é", "", " ", "a.b"]),
    st.sampled_from(['"', "'", "\\", "#", "=", "]", "\n", "\t", "key # no comment", "🚢", "true"]),
    st.text(st.characters(codec="utf-8"), max_size=6),
)
TEXTS = st.one_of(
    st.sampled_from([text for text in NAUGHTY if len(text) < 200]),
    st.sampled_from(
        ["", "HORN", "a\nb", "\n", '"""', "'''", "x # y", "]", "}", ",", "\\", "''\"'"]
    ),
    st.sampled_from(["on", "1e3", "0x10", "null", "~", "1.0", "2020-01-01", "=1", "- a", "a: b"]),
    st.text(st.characters(codec="utf-8"), max_size=12),
)
SCALARS = st.one_of(
    TEXTS,
    st.booleans(),
    st.integers(-(2**63), 2**63 - 1),
    st.floats(allow_nan=False, allow_infinity=False),
)


def contents() -> st.SearchStrategy[dict[str, Any]]:
    """Tables of what all three formats can carry."""
    return _tables(SCALARS)


def toml_contents() -> st.SearchStrategy[dict[str, Any]]:
    """Tables of all that TOML can carry, dates too."""
    dates = st.sampled_from(
        [
            date(1979, 5, 27),
            time(7, 32, 1),
            datetime(1979, 5, 27, 7, 32),
            datetime(1979, 5, 27, 7, 32, 0, 5000, tzinfo=UTC),
        ]
    )
    return _tables(st.one_of(SCALARS, dates))


def _tables(scalars: st.SearchStrategy[Any]) -> st.SearchStrategy[dict[str, Any]]:
    values = st.recursive(
        scalars,
        lambda inner: st.one_of(
            st.lists(inner, max_size=3),
            st.lists(st.dictionaries(KEYS, inner, max_size=3), min_size=1, max_size=3),
            st.dictionaries(KEYS, inner, max_size=4),
        ),
        max_leaves=14,
    )
    return st.dictionaries(KEYS, values, max_size=5)


def list_paths(content: Any, path: tuple[Any, ...] = ()) -> Iterator[tuple[tuple[Any, ...], Any]]:
    """Find every key path below the root, with its value."""
    pairs = content.items() if isinstance(content, dict) else enumerate(content)
    for key, value in pairs:
        yield (*path, key), value
        if isinstance(value, dict | list):
            yield from list_paths(value, (*path, key))


def with_change(content: Any, path: tuple[Any, ...], value: Any) -> Any:
    """Content with the value at `path` replaced, the order of keys kept."""
    if not path:
        return value
    first, rest = path[0], path[1:]
    if isinstance(content, dict):
        return {k: with_change(v, rest, value) if k == first else v for k, v in content.items()}
    return [with_change(v, rest, value) if i == first else v for i, v in enumerate(content)]


def with_renamed(content: Any, path: tuple[Any, ...], name: str) -> Any:
    """Content with the key at the end of `path` renamed."""
    if len(path) == 1:
        return {name if k == path[0] else k: v for k, v in content.items()}
    return with_change(content, path[:1], with_renamed(content[path[0]], path[1:], name))


def render_toml(content: dict[str, Any], random: Random) -> str:
    """Spell content as TOML, in ways that `random` chooses; line ends too."""
    text = _Renderer(random).render(content)
    return text.replace("\n", "\r\n") if random.random() < 0.3 else text


class _Renderer:
    """Spells content at random, within what TOML 1.0 allows."""

    def __init__(self, random: Random) -> None:
        self.random = random
        self.lines: list[str] = []

    def render(self, content: dict[str, Any]) -> str:
        self._table(content, [])
        end = self.random.choice(["\n", ""])
        return "\n".join(self.lines) + end

    def _chance(self, share: float) -> bool:
        return self.random.random() < share

    def _space(self) -> str:
        return self.random.choice(["", "", " ", "\t ", "  "])

    def _table(self, table: dict[str, Any], path: list[str]) -> None:
        later = []
        for key, value in table.items():
            if self._can_have_header(value) and self._chance(0.6):
                later.append((key, value))
            else:
                self._entry([key], value)
        for key, value in later:
            self._headed([*path, key], value)

    def _can_have_header(self, value: Any) -> bool:
        if isinstance(value, list):
            return bool(value) and all(isinstance(member, dict) for member in value)
        return isinstance(value, dict)

    def _headed(self, path: list[str], value: Any) -> None:
        members = value if isinstance(value, list) else [value]
        opening, closing = ("[[", "]]") if isinstance(value, list) else ("[", "]")
        for member in members:
            self._comment()
            has_entries = any(not self._can_have_header(one) for one in member.values())
            implied = isinstance(value, dict) and member and not has_entries and self._chance(0.4)
            if implied:
                for key, inner in member.items():
                    self._headed([*path, key], inner)
                continue
            words = self._dotted(path)
            self._line(f"{opening}{self._space()}{words}{self._space()}{closing}")
            self._table(member, path)

    def _entry(self, path: list[str], value: Any) -> None:
        self._comment()
        if isinstance(value, dict) and value and self._chance(0.4):
            for key, inner in value.items():
                self._entry([*path, key], inner)
            return
        words = self._dotted(path)
        self._line(f"{words}{self._space()}={self._space()}{self._value(value)}")

    def _line(self, text: str) -> None:
        comment = self.random.choice(["", "", "", " # a = [1] \"x\" '''"])
        self.lines.append(f"{self._space()}{text}{self._space()}{comment}")

    def _comment(self) -> None:
        if self._chance(0.2):
            self.lines.append(self.random.choice(["", "# [x]", "\t", '  # k = """ é🚢']))

    def _dotted(self, path: list[str]) -> str:
        return f"{self._space()}.{self._space()}".join([self._key(key) for key in path])

    def _key(self, key: str) -> str:
        plain = key.isascii() and key.replace("-", "").replace("_", "").isalnum()
        if plain and self._chance(0.8):
            return key
        literal = key.isprintable() and "'" not in key
        return f"'{key}'" if literal and self._chance(0.5) else self._basic(key)

    def _basic(self, text: str) -> str:
        return json.dumps(text, ensure_ascii=False).replace("\x7f", "\\u007f")

    def _value(self, value: Any) -> str:
        match value:
            case bool():
                return "true" if value else "false"
            case str():
                return self._text(value)
            case int():
                return self._integer(value)
            case float():
                return repr(value)
            case dict():
                inner = ", ".join(self._inline(key, one) for key, one in value.items())
                return f"{{{self._space()}{inner}{self._space()}}}"
            case list():
                return self._list(value)
            case _:
                return str(value) if self._chance(0.5) else value.isoformat()

    def _inline(self, key: str, value: Any) -> str:
        path = [key]
        while isinstance(value, dict) and len(value) == 1 and self._chance(0.4):
            ((inner, value),) = value.items()
            path.append(inner)
        return f"{self._dotted(path)}{self._space()}={self._space()}{self._value(value)}"

    def _integer(self, value: int) -> str:
        if value >= 0 and self._chance(0.2):
            return self.random.choice([hex(value), oct(value), bin(value)])
        return f"{value:_}" if self._chance(0.2) else str(value)

    def _text(self, text: str) -> str:
        shape = self.random.choice(["basic", "literal", "basic block", "literal block"])
        safe = all(letter.isprintable() or letter in "\n\t" for letter in text)
        if shape == "literal" and safe and not set(text) & set("'\n"):
            return f"'{text}'"
        if shape == "literal block" and safe and "'''" not in text and not text.endswith("'"):
            return f"'''\n{text}'''"
        if shape == "basic block":
            inner = self._basic(text)[1:-1].replace("\\n", "\n")
            return f'"""{self.random.choice(["", chr(10)])}{self._unquote(inner)}"""'
        return self._basic(text)

    def _unquote(self, inner: str) -> str:
        """Leave one or two quotes bare, as a block of text may."""
        if inner.startswith("\n") or '\\"\\"' in inner:
            return inner if not inner.startswith("\n") else "\\n" + inner[1:]
        return inner.replace('\\"', '"') if "\\\\" not in inner else inner

    def _list(self, members: list[Any]) -> str:
        if not members:
            return f"[{self._space()}]"
        breaks = self.random.choice([" ", "\n  ", ' # ] "\n', "\n\n# x\n\t"])
        inner = f",{breaks}".join(self._value(member) for member in members)
        comma = self.random.choice(["", ","])
        return f"[{breaks}{inner}{comma}{breaks}]"
