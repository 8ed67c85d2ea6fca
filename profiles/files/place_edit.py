"""Changes to a YAML or JSON text that leave every other byte alone.

As `toml_edit` does for TOML: `set_value`, `remove_key`, `append_table` and `rename_key` splice at
the places of keys and values, so comments, order, indentation and line ends elsewhere stay. What
is new in YAML is written as its neighbours are, in lines or in braces. Every result is read back
and compared with what was meant, and a comment is never lost but with the line it stands on: what
cannot be done so is an `EditError`, never a wrong file.
"""

import json
from collections.abc import Sequence
from contextlib import suppress
from functools import cached_property
from typing import Any

from profiles.files.convert import count_comments
from profiles.files.documents import parse_text
from profiles.files.faults import FileFaultError
from profiles.files.locator import scan_spans
from profiles.files.places import Format, KeyPath, Span, SpanMap
from profiles.files.toml_edit import (
    EditError,
    look_up,
    require,
    same_content,
    with_value,
    without,
)
from profiles.files.write import make_node, write_node
from profiles.model import Spot
from profiles.text.inert import escape_controls

Patch = tuple[Span, str]
"""What takes the place of a span."""


def set_value(text: str, form: Format, path: KeyPath, value: Any) -> str:
    """Return `text` with `value` at `path`; tables on the way are made where they lack.

    Raises:
        EditError: where the text is laid out so that this cannot be done safely.
    """
    before = _Text(text, form)
    wanted = with_value(before.content, path, value)
    after = before.set(path, look_up(wanted, path))
    return _verified(after, form, wanted, path, count_comments(text, form))


def remove_key(text: str, form: Format, path: KeyPath) -> str:
    """Return `text` without the key or member at `path`, and all below it. Raises EditError."""
    before = _Text(text, form)
    require(before.content, path)
    kept = count_comments(text, form) if before.is_in_braces(path[:-1]) else 0
    return _verified(before.remove(path), form, without(before.content, path), path, kept)


def change_many(text: str, form: Format, changes: Sequence[tuple[KeyPath, Any]]) -> str:
    """Return `text` with many keys set, and those of value None removed, in the time of a few.

    All are found in one reading. Where one pass cannot do it, each half is tried by itself.

    Raises:
        EditError: where one of the changes cannot be made.
    """
    if not changes:
        return text
    if len(changes) == 1:
        ((path, value),) = changes
        return remove_key(text, form, path) if value is None else set_value(text, form, path, value)
    with suppress(EditError):
        return _change_at_once(text, form, changes)
    middle = len(changes) // 2
    return change_many(change_many(text, form, changes[:middle]), form, changes[middle:])


def _change_at_once(text: str, form: Format, changes: Sequence[tuple[KeyPath, Any]]) -> str:
    before = _Text(text, form)
    wanted = before.content
    patches = []
    for path, value in changes:
        if value is None:
            require(wanted, path)
            if not before.is_in_braces(path[:-1]):
                raise EditError("a line goes, and a comment may go with it")
        wanted = without(wanted, path) if value is None else with_value(wanted, path, value)
        patches.append(before.find_patch(path, value))
    done, at = list[str](), 0
    for span, new in sorted(patches, key=lambda patch: patch[0].start):
        if span.start < at:
            raise EditError("two changes meet")
        done += (text[at : span.start], new)
        at = span.end
    after = "".join([*done, text[at:]])
    return _verified(after, form, wanted, changes[0][0], count_comments(text, form))


def append_table(text: str, form: Format, path: KeyPath, table: dict[str, Any]) -> str:
    """Return `text` with one more member at the end of the list at `path`. Raises EditError."""
    before = _Text(text, form)
    try:
        members = list(look_up(before.content, path))
    except (KeyError, TypeError):
        members = []
    return set_value(text, form, path, [*members, table])


def rename_key(text: str, form: Format, path: KeyPath, name: str) -> str:
    """Return `text` with the key at the end of `path` named otherwise.

    Raises:
        EditError: where there is none, or the name is taken.
    """
    before = _Text(text, form)
    require(before.content, path)
    key = before.spans[path].key
    if key is None:
        raise EditError("a member of a list has no name to change")
    holder = look_up(before.content, path[:-1])
    if name in holder:
        raise EditError(f"there is a key `{escape_controls(name)}` already")
    after = text[: key.start] + before.write_key(name) + text[key.end :]
    renamed = {name if one == path[-1] else one: value for one, value in holder.items()}
    wanted = with_value(before.content, path[:-1], renamed) if path[:-1] else renamed
    return _verified(after, form, wanted, path, count_comments(text, form))


def _verified(after: str, form: Format, wanted: Any, path: KeyPath, comments: int) -> str:
    try:
        is_meant = same_content(parse_text(after, form), wanted)
    except FileFaultError:
        is_meant = False
    if not is_meant or count_comments(after, form) < comments:
        name = escape_controls(str(Spot("", path))[1:])
        raise EditError(f"`{name}` cannot be changed safely as this file is laid out")
    return after


class _Text:
    """A text with the places of all that is in it."""

    def __init__(self, text: str, form: Format) -> None:
        self.text, self.form = text, form
        self.content = parse_text(text, form)

    @cached_property
    def spans(self) -> SpanMap:
        """Both spans of every key path."""
        return scan_spans(self.text, self.form)

    @cached_property
    def _below(self) -> dict[KeyPath, list[KeyPath]]:
        found: dict[KeyPath, list[KeyPath]] = {}
        for path in sorted(self.spans, key=self._start):
            found.setdefault(path[:-1], []).append(path)
        return found

    def _start(self, path: KeyPath) -> int:
        key, value = self.spans[path]
        return (key or value).start

    def _end(self, path: KeyPath) -> int:
        """Offset just past what stands at a path, the space below it left out."""
        value = self.spans[path].value
        if not self.is_in_braces(path) and path in self._below:
            return max(self._end(one) for one in self._below[path])
        return value.start + len(self.text[value.start : value.end].rstrip())

    def is_in_braces(self, path: KeyPath) -> bool:
        """Whether a table or list is written in braces or brackets, not in lines."""
        if path:
            return self.text.startswith(("{", "["), self.spans[path].value.start)
        if self.form == "json":
            return True
        first = self._start(self._below[()][0]) if () in self._below else len(self.text)
        above = [line.split("#")[0] for line in self.text[:first].splitlines()]
        return "{" in "".join(above)

    # Writing

    def write_key(self, name: str) -> str:
        """A key as this format has it."""
        if self.form == "json":
            return json.dumps(name, ensure_ascii=False)
        return self._write_flow({name: 0})[1:-1].rpartition(":")[0]

    def write_value(self, value: Any) -> str:
        """A value on one line, as it may stand anywhere."""
        if self.form == "json":
            return json.dumps(value, ensure_ascii=False)
        return self._write_flow({"k": value})[1:-1].partition(":")[2].strip()

    def _write_flow(self, value: Any) -> str:
        node = make_node(value, ())
        node.flow_style = True
        return write_node(node).rstrip()

    def _write_lines(self, value: Any, path: KeyPath) -> list[str]:
        """A table of YAML in lines, as other tables at its place are."""
        node = make_node(value, tuple(map(str, path)))
        return write_node(node).rstrip("\n").split("\n")

    # Changing

    def set(self, path: KeyPath, value: Any) -> str:
        """The text with a value at a path."""
        try:
            current = look_up(self.content, path)
        except (KeyError, IndexError, TypeError):
            return self._add(path, value)
        if same_content(current, value):
            return self.text
        if isinstance(current, dict) and isinstance(value, dict) and current:
            text = self.text
            for key in [*current, *value]:
                here = _Text(text, self.form)
                if key not in value:
                    text = here.remove((*path, key)) if key in look_up(here.content, path) else text
                else:
                    text = here.set((*path, key), value[key])
            return text
        both_lists = isinstance(current, list) and isinstance(value, list) and current
        if both_lists and same_content(value[: len(current)], current):
            text = self.text
            for at in range(len(current), len(value)):
                text = _Text(text, self.form)._insert((*path, at), value[at])
            return text
        return self._splice(self._replace(path, value))

    def find_patch(self, path: KeyPath, value: Any) -> Patch:
        """What a value at a path, or None for no key there, changes in the text as it is.

        Raises:
            EditError: where that takes more than one place of it.
        """
        if value is None:
            return self._removal(path)
        try:
            current = look_up(self.content, path)
        except (KeyError, IndexError, TypeError):
            if self._below.get(path[:-1]):
                return self._insertion(path, value)
            raise EditError("its table is made first") from None
        if same_content(current, value):
            return Span(0, 0), ""
        is_alike = current and isinstance(current, dict | list) and isinstance(value, type(current))
        if is_alike and (isinstance(current, dict) or same_content(value[: len(current)], current)):
            raise EditError("a table or list that is there is changed part by part")
        return self._replace(path, value)

    def _splice(self, patch: Patch) -> str:
        span, new = patch
        return self.text[: span.start] + new + self.text[span.end :]

    def _replace(self, path: KeyPath, value: Any) -> Patch:
        key, span = self.spans[path]
        written = self.write_value(value)
        if key is not None and not self.is_in_braces(path) and path in self._below:
            return Span(key.end, self._end(path)), f": {written}"
        return Span(span.start, self._end(path)), written

    def _add(self, path: KeyPath, value: Any) -> str:
        try:
            look_up(self.content, path[:-1])
        except (KeyError, IndexError, TypeError):
            if isinstance(path[-1], int):
                return self._add(path[:-1], [value])
            return self._add(path[:-1], {path[-1]: value})
        return self._insert(path, value)

    def _insert(self, path: KeyPath, value: Any) -> str:
        return self._splice(self._insertion(path, value))

    def _insertion(self, path: KeyPath, value: Any) -> Patch:
        """Add a key or member at the end of its table or list, written as its neighbours are."""
        holder, name = path[:-1], path[-1]
        kin = self._below.get(holder, [])
        entry = self.write_value(value)
        if isinstance(name, str):
            entry = f"{self.write_key(name)}: {entry}"
        if not kin:
            span = self._braces(holder)
            if self.text[span.start + 1 : span.end - 1].strip():
                raise EditError("an empty table with a comment inside is not added to")
            return Span(span.start + 1, span.end - 1), entry
        first, at = self._start(kin[0]), self._end(kin[-1])
        line = self.text.rfind("\n", 0, first) + 1
        if self.is_in_braces(holder):
            before = self.text[line:first]
            gap = ",\n" + before if not before.strip() and line else ", "
            return Span(at, at), gap + entry
        column = first - line
        if isinstance(name, int):
            column = self._find_dash(line, first) - line
            entry = f"- {entry}"
        lines = [entry]
        in_lines = any(one in self._below and not self.is_in_braces(one) for one in kin)
        if isinstance(name, str) and isinstance(value, dict) and value and in_lines:
            inner = self._write_lines(value, path)
            lines = [f"{self.write_key(name)}:", *(f"  {one}" for one in inner)]
        end = self.text.find("\n", at)
        end = len(self.text) if end < 0 else end
        written = "".join(f"\n{' ' * column}{one}" for one in lines)
        is_crlf = self.text[end - 1 : end] == "\r"
        at = end - is_crlf
        written = written.replace("\n", "\r\n") if is_crlf else written
        return Span(at, at), written

    def _find_dash(self, line: int, start: int) -> int:
        """Where the dash of a member is."""
        at = self.text.rfind("-", line, start)
        if at < 0:
            raise EditError("a member of this list stands on another line than its dash")
        return at

    def _braces(self, holder: KeyPath) -> Span:
        """Where an empty table or list stands, or the whole of a text in braces."""
        if holder:
            value = self.spans[holder].value
            return Span(value.start, value.start + len(self.text[value.start : value.end].rstrip()))
        if "{" not in self.text:
            raise EditError("there is nothing in this file to add to")
        return Span(self.text.index("{"), self.text.rindex("}") + 1)

    def remove(self, path: KeyPath) -> str:
        """The text without what stands at a path."""
        return self._splice(self._removal(path))

    def _removal(self, path: KeyPath) -> Patch:
        kin = self._below[path[:-1]]
        at, start, end = kin.index(path), self._start(path), self._end(path)
        if self.is_in_braces(path[:-1]):
            if at:
                start = self._end(kin[at - 1])
            elif len(kin) > 1:
                end = self._start(kin[1])
            return Span(start, end), ""
        if len(kin) == 1:
            return Span(start, end), "[]" if isinstance(path[-1], int) else "{}"
        line = self.text.rfind("\n", 0, start) + 1
        if isinstance(path[-1], int):
            start = self._find_dash(line, start)
        if self.text[line:start].strip():  # the first key behind a dash
            return Span(start, self._start(kin[1])), ""
        below = self.text.find("\n", end)
        return Span(line, len(self.text) if below < 0 else below + 1), ""
