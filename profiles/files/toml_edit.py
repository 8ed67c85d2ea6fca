"""Changes to a TOML text that leave every other byte alone.

`set_value`, `remove_key` and `rename_key` take a text and return the changed text. They splice at
the places that `toml_places` knows: comments, order, spacing, quotes and line ends elsewhere stay
because they are not touched. `tomlkit` writes the new pieces; as an editor of whole documents it
would put a new entry behind the comment of the table that follows.

Every result is read back with `tomllib` and compared with what was meant: a change that this
module cannot make is an `EditError`, never a wrong file.
"""

import re
import tomllib
from collections.abc import Mapping, Sequence
from contextlib import suppress
from typing import Any, NamedTuple

from profiles.files.places import KeyPath, Span
from profiles.files.toml_places import Statement, list_statements, scan_toml
from profiles.text.finding import Spot
from profiles.text.inert import escape_controls

TABLES_OF_TABLES = ("controls", "actions", "parts")
"""Tables whose members get a header of their own when they are new."""

LINE = re.compile(r"[^\n]*\n?")
BLANK_LINE = re.compile(r"[ \t]*\r?\n")


class EditError(Exception):
    """A change that was not made; the text says why."""


class Section(NamedTuple):
    """A header and the entries below it; the first one of a text has no header."""

    path: KeyPath
    header: Statement | None
    entries: list[Statement]

    @property
    def end(self) -> int:
        """Offset just past the last entry, or past the header."""
        if self.entries:
            return self.entries[-1].span.end
        return self.header.span.end if self.header else 0


def set_value(text: str, path: KeyPath, value: Any) -> str:
    """Return `text` with `value` at `path`; tables on the way are made where they lack.

    A table that is there is changed key by key.

    Raises:
        EditError: where the text is laid out so that this cannot be done safely.
    """
    before = tomllib.loads(text)
    after = _set(text, before, path, value)
    return verify(after, with_value(before, path, value), path)


def fill_placeholder(text: str, path: KeyPath, value: Any) -> str:
    """Return `text` with the line `# key = ""` of a starter file made the entry at `path`.

    What stands behind it on its line stays. Without such a line in its table nothing changes.
    """
    line = re.compile(
        rf'^#[ \t]*{re.escape(write_key(str(path[-1])))}[ \t]*=[ \t]*""', re.MULTILINE
    )
    before = tomllib.loads(text)
    for match in line.finditer(text):
        entry = f"{write_key(str(path[-1]))} = {write_value(value)}"
        after = text[: match.start()] + entry + text[match.end() :]
        with suppress(EditError):
            return verify(after, with_value(before, path, value), path)
    return text


def drop_comment_line(text: str, start: str) -> str:
    """Return `text` without the lines of comment that begin so; never a line of a text."""
    after = re.sub(rf"^{re.escape(start)}[^\n]*\n?", "", text, flags=re.MULTILINE)
    return after if same_content(tomllib.loads(after), tomllib.loads(text)) else text


def remove_key(text: str, path: KeyPath) -> str:
    """Return `text` without the key at `path`, and all below it.

    Raises:
        EditError: where there is none, or it cannot be removed safely.
    """
    before = tomllib.loads(text)
    require(before, path)
    after = _remove(text, path)
    return verify(after, without(before, path), path)


def append_table(text: str, path: KeyPath, table: dict[str, Any]) -> str:
    """Return `text` with one more table at the end of the list of tables at `path`.

    It gets a header of its own, `[[accept]]`, unless the list is written on one line.

    Raises:
        EditError: where the list has comments inside its brackets.
    """
    before = tomllib.loads(text)
    try:
        members = list(look_up(before, path))
    except KeyError:
        members = []
    wanted = [*members, make_plain(table)]
    span = _find_value(text, path)
    if span is not None:
        if "#" in text[span.start : span.end]:
            name = escape_controls(str(Spot("", path))[1:])
            raise EditError(f"`{name}` is a list with comments inside; write it as `[[{name}]]`")
        return set_value(text, path, wanted)
    header, *entries = write_section(path, table)
    lines = [f"[{header}]", *entries]
    kin = [
        section
        for section in list_sections(list_statements(text))
        if section.path[: len(path)] == path
    ]
    if kin:
        after = _insert_after(text, kin[-1].end, ["", *lines])
    else:
        head, end = text.rstrip("\r\n"), find_line_ending(text)
        after = head + (end + end if head else "") + end.join(lines) + end
    return verify(after, with_value(before, path, wanted), path)


def rename_key(text: str, path: KeyPath, name: str) -> str:
    """Return `text` with the key at the end of `path` named otherwise, wherever it stands.

    Raises:
        EditError: where there is none, or the name is taken.
    """
    before = tomllib.loads(text)
    require(before, path)
    if isinstance(path[-1], int):
        raise EditError("a member of a list has no name to change")
    holder = look_up(before, path[:-1])
    if name in holder:
        raise EditError(f"there is a key `{escape_controls(name)}` already")
    spans = [
        span
        for statement in list_statements(text)
        for part, span in statement.parts
        if part == path
    ]
    after = text
    for span in sorted(set(spans), reverse=True):
        after = _splice(after, span, write_key(name))
    renamed = {name if key == path[-1] else key: value for key, value in holder.items()}
    return verify(after, with_value(before, path[:-1], renamed), path)


def write_key(word: str) -> str:
    """Return one part of a key as TOML, quoted where it must be."""
    return word if re.fullmatch(r"[A-Za-z0-9_-]+", word) else write_value(word)


def write_value(value: Any) -> str:
    """Return a value as TOML on one line."""
    import tomlkit

    if isinstance(value, dict):
        inner = ", ".join(f"{write_key(key)} = {write_value(one)}" for key, one in value.items())
        return f"{{ {inner} }}" if inner else "{}"
    if isinstance(value, list | tuple):
        return f"[{', '.join(write_value(one) for one in value)}]"
    written: str = tomlkit.item(value).as_string()
    return written


def write_section(path: KeyPath, table: Mapping[str, Any]) -> list[str]:
    """Return the lines of a table as TOML: its header, and an entry for each key."""
    words = ".".join(write_key(part) for part in path if isinstance(part, str))
    entries = [f"{write_key(key)} = {write_value(one)}" for key, one in table.items()]
    return [f"[{words}]", *entries]


def same_content(one: Any, other: Any) -> bool:
    """Whether two contents are equal in values and types; 1, 1.0 and true all differ."""
    if type(one) is not type(other):
        return False
    if isinstance(one, dict):
        return one.keys() == other.keys() and all(same_content(one[k], other[k]) for k in one)
    if isinstance(one, list):
        return len(one) == len(other) and all(map(same_content, one, other))
    return bool(one == other)


def verify(after: str, wanted: dict[str, Any], path: KeyPath) -> str:
    """Return a changed text that says what was meant.

    Raises:
        EditError: where it does not.
    """
    try:
        content = tomllib.loads(after)
    except ValueError:
        content = None
    if content is None or not same_content(_pruned(content), _pruned(wanted)):
        name = escape_controls(str(Spot("", path))[1:])
        raise EditError(f"`{name}` cannot be changed safely as this file is laid out")
    return after


def _pruned(content: Any) -> Any:
    """Return content without empty tables: a dotted key takes its table with it."""
    if isinstance(content, list):
        return [_pruned(one) for one in content]
    if not isinstance(content, dict):
        return content
    pruned = {key: _pruned(value) for key, value in content.items()}
    return {key: value for key, value in pruned.items() if value != {}}


def look_up(content: Any, path: KeyPath) -> Any:
    """Return what is at a path. Raises KeyError, IndexError or TypeError where nothing is."""
    for part in path:
        content = content[part]
    return content


def require(content: Any, path: KeyPath) -> None:
    """Raise an EditError where there is nothing at a path."""
    try:
        look_up(content, path)
    except (KeyError, IndexError, TypeError):
        name = escape_controls(str(Spot("", path))[1:])
        raise EditError(f"there is no `{name}` to change") from None


def with_value(content: Any, path: KeyPath, value: Any) -> Any:
    """Return content with a value at a path; what is on the way is not changed but copied."""
    if not path:
        return [make_plain(one) for one in value] if isinstance(value, tuple) else make_plain(value)
    first, rest = path[0], path[1:]
    if isinstance(content, list) and isinstance(first, int):
        return [
            with_value(one, rest, value) if at == first else one for at, one in enumerate(content)
        ]
    table = content if isinstance(content, dict) else {}
    return {**table, first: with_value(table.get(first, {}), rest, value)}


def make_plain(value: Any) -> Any:
    """Return a value with lists in the place of tuples."""
    if isinstance(value, dict):
        return {key: make_plain(one) for key, one in value.items()}
    return [make_plain(one) for one in value] if isinstance(value, list | tuple) else value


def without(content: Any, path: KeyPath) -> Any:
    """Return content without what is at a path."""
    first, rest = path[0], path[1:]
    if isinstance(content, list):
        changed = [without(content[first], rest)] if rest and isinstance(first, int) else []
        at = int(first)
        return [*content[:at], *changed, *content[at + 1 :]]
    if not rest:
        return {key: value for key, value in content.items() if key != first}
    return {**content, first: without(content[first], rest)}


def _set(text: str, content: Any, path: KeyPath, value: Any) -> str:
    try:
        current = look_up(content, path)
    except (KeyError, IndexError, TypeError):
        return _add(text, path, value)
    span = _find_value(text, path)
    if span is not None:
        is_same = same_content(current, make_plain(value))
        return text if is_same else _splice(text, span, write_value(value))
    if not isinstance(current, dict) or not isinstance(value, dict):
        return _add(_remove(text, path), path, value)
    for key in current:
        if key not in value:
            text = _remove(text, (*path, key))
    for key, one in value.items():
        text = _set(text, tomllib.loads(text), (*path, key), one)
    return text


def find_line_end(text: str, at: int) -> int:
    """Return the offset just past the line that holds an offset."""
    line = LINE.match(text, at)
    return line.end() if line else len(text)


def _find_value(text: str, path: KeyPath) -> Span | None:
    """Return where a value stands that is written out in one piece, not under headers."""
    spans = scan_toml(text).get(path)
    if spans is None or spans.key == spans.value:
        return None
    statements = list_statements(text)
    if any(statement.kind == "member" and statement.path == path for statement in statements):
        return None
    return spans.value


def _splice(text: str, span: Span, new: str) -> str:
    return text[: span.start] + new + text[span.end :]


def list_sections(statements: Sequence[Statement]) -> list[Section]:
    """Return the headers with the entries below each, those before any header first."""
    sections = [Section((), None, [])]
    for statement in statements:
        if statement.kind != "entry":
            sections.append(Section(statement.path, statement, []))
        elif statement.opened is None:
            sections[-1].entries.append(statement)
    return sections


def _add(text: str, path: KeyPath, value: Any) -> str:
    """Add a key that is not there, in the manner in which its table is written."""
    holder, key = path[:-1], path[-1]
    if isinstance(key, int):
        raise EditError("a list is changed as a whole")
    statements = list_statements(text)
    sections = list_sections(statements)
    spans = scan_toml(text)
    entry = f"{write_key(key)} = {write_value(value)}"
    if holder and holder not in spans:
        if isinstance(value, dict) and wants_header(path, []):
            return _add_section(text, sections, path, value)
        return _add(text, holder, {key: value})
    if holder and text.startswith("{", spans[holder].value.start):
        braces = spans[holder].value
        ends = [statement.span.end for statement in statements if statement.opened == braces.start]
        if not ends:
            return _splice(text, braces, f"{{ {entry} }}")
        return _splice(text, Span(max(ends), max(ends)), f", {entry}")
    inline = [
        statement
        for statement in statements
        if statement.opened is not None and _prefix(text, statement, holder)
    ]
    if inline:
        end = inline[-1].span.end
        return _splice(text, Span(end, end), f", {_prefix(text, inline[-1], holder)}.{entry}")
    if isinstance(value, dict) and wants_header(path, sections):
        return _add_section(text, sections, path, value)
    own = next((section for section in sections if section.path == holder), None)
    if own is not None and own.entries:
        return _insert_after(text, own.end, [find_indent(text, own.entries[-1]) + entry])
    if own is not None:
        if own.header is None:
            return entry + find_line_ending(text) + text
        return _insert_after(text, own.end, [entry])
    for one in (one for section in reversed(sections) for one in reversed(section.entries)):
        prefix = _prefix(text, one, holder)
        if prefix:
            return _insert_after(text, one.span.end, [f"{find_indent(text, one)}{prefix}.{entry}"])
    return _add_section(text, sections, holder, {str(key): value})


def wants_header(path: KeyPath, sections: Sequence[Section]) -> bool:
    """Whether a new table at `path` gets a header: as its sisters do, else by custom."""
    if len(path) == 1 or any(
        section.path[:-1] == path[:-1] for section in sections if section.header
    ):
        return True
    is_in_lines = any(section.path == path[:-1] and section.entries for section in sections)
    return len(path) == 2 and path[0] in TABLES_OF_TABLES and not is_in_lines


def _add_section(
    text: str, sections: Sequence[Section], path: KeyPath, value: dict[str, Any]
) -> str:
    kin = [section for section in sections if section.path[: len(path) - 1] == path[:-1]]
    after = max((kin or sections), key=lambda section: section.end)
    lines = write_section(path, value)
    return _insert_after(text, after.end, ["", *lines] if text.strip() else lines)


def _prefix(text: str, entry: Statement, holder: KeyPath) -> str:
    """Return a dotted key up to the part that stands for `holder`, empty where none does."""
    ends = [span.end for part, span in entry.parts if part == holder]
    return text[entry.span.start : ends[-1]] if ends else ""


def find_indent(text: str, entry: Statement) -> str:
    """Return what stands before an entry on its line."""
    start = text.rfind("\n", 0, entry.span.start) + 1
    return text[start : entry.span.start]


def find_line_ending(text: str) -> str:
    """Return how the lines of a text end."""
    at = text.find("\n")
    return "\r\n" if at > 0 and text[at - 1] == "\r" else "\n"


def _insert_after(text: str, at: int, lines: Sequence[str]) -> str:
    """Insert lines below the one that holds offset `at`; a missing last line end stays missing."""
    end = find_line_ending(text)
    below = find_line_end(text, at)
    if below == 0 or text[below - 1] == "\n":
        return text[:below] + "".join(one + end for one in lines) + text[below:]
    return text + "".join(end + one for one in lines)


def _remove(text: str, path: KeyPath) -> str:
    length = len(path)
    for section in reversed(list_sections(list_statements(text))):
        if section.header and section.path[:length] == path:
            text = _cut_lines(text, section.header.span.start, section.end, and_blank=True)
    if isinstance(path[-1], int):
        return text
    while True:
        statements = list_statements(text)
        kin = [
            statement
            for statement in statements
            if any(part == path for part, _ in statement.parts)
        ]
        entries = [one for one in kin if one.kind == "entry"]
        if not entries:
            return text
        entry = entries[-1]
        if entry.opened is None:
            text = _cut_lines(text, entry.span.start, entry.span.end, and_blank=False)
            continue
        spans = sorted(
            statement.span for statement in statements if statement.opened == entry.opened
        )
        at = spans.index(entry.span)
        if len(spans) == 1:
            gap = Span(entry.opened + 1, text.index("}", entry.span.end))
        elif at == 0:
            gap = Span(spans[0].start, spans[1].start)
        else:
            gap = Span(spans[at - 1].end, entry.span.end)
        text = _splice(text, gap, "")


def _cut_lines(text: str, start: int, end: int, and_blank: bool) -> str:
    """Cut whole lines; of blank lines before and after them one too."""
    return _splice(text, find_cut(text, start, end, and_blank), "")


def find_cut(text: str, start: int, end: int, and_blank: bool) -> Span:
    """Return the whole lines of a stretch; of blank lines before and after them one too."""
    first, last = text.rfind("\n", 0, start) + 1, find_line_end(text, end)
    head = text[max(0, first - 3) : first]
    blank = BLANK_LINE.match(text, last) if and_blank else None
    if blank is not None and (first == 0 or head.endswith(("\n\n", "\n\r\n"))):
        last = blank.end()
    elif and_blank and last == len(text) and head.endswith(("\n\n", "\n\r\n")):
        first -= 2 if head.endswith("\r\n") else 1
    return Span(first, last)
