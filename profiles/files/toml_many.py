"""Many changes to a TOML text at once, in the time of a few.

Each change of `toml_edit` reads the whole text again; here all are found in one reading, and made
where none needs what another one makes. The result is held against what was meant, as there.
"""

import tomllib
from collections.abc import Sequence
from contextlib import suppress
from typing import Any, NamedTuple

from profiles.files.places import KeyPath, Span
from profiles.files.toml_edit import (
    EditError,
    Section,
    find_cut,
    find_indent,
    find_line_end,
    find_line_ending,
    list_sections,
    look_up,
    make_plain,
    remove_key,
    require,
    same_content,
    set_value,
    verify,
    wants_header,
    with_value,
    without,
    write_key,
    write_section,
    write_value,
)
from profiles.files.toml_places import Statement, list_statements, scan_toml


class Patch(NamedTuple):
    """What takes the place of a span; of those at one place, entries go before tables."""

    span: Span
    is_table: bool
    text: str


def _patch(text: str, patches: Sequence[Patch]) -> str:
    done, at = list[str](), 0
    for span, _, new in sorted(patches, key=lambda patch: (patch.span.start, patch.is_table)):
        done += (text[at : span.start], new)
        at = max(at, span.end)
    return "".join([*done, text[at:]])


def _list_patches(text: str, before: Any, changes: Sequence[tuple[KeyPath, Any]]) -> list[Patch]:
    """Return what changes in a text for all changes at once.

    Raises:
        EditError: where one of them needs what another makes, or is not as simple as most.
    """
    spans, statements, end = scan_toml(text), list_statements(text), find_line_ending(text)
    sections = list_sections(statements)
    headed = {section.path: section for section in sections if section.header}
    lists = {statement.path for statement in statements if statement.kind == "member"}
    kin: dict[KeyPath, list[Section]] = {}
    for section in sections:
        for length in range(len(section.path) + 1):
            kin.setdefault(section.path[:length], []).append(section)
    entries: dict[KeyPath, list[Statement]] = {}
    for statement in statements:
        for part, _ in statement.parts if statement.kind == "entry" else ():
            entries.setdefault(part, []).append(statement)
    patches = []
    for path, value in changes:
        there, holder = spans.get(path), path[:-1]
        if value is None:
            cut = [(one.header.span.start, one.end) for one in kin.get(path, ()) if one.header]
            patches += [Patch(find_cut(text, *one, and_blank=True), False, "") for one in cut]
            for entry in entries.get(path, ()):
                if entry.opened is not None:
                    raise EditError("an entry of an inline table goes")
                patches.append(Patch(find_cut(text, *entry.span, and_blank=False), False, ""))
        elif there is not None and there.key != there.value and path not in lists:
            if not same_content(look_up(before, path), make_plain(value)):
                patches.append(Patch(there.value, False, write_value(value)))
        elif there is not None or not isinstance(path[-1], str):
            raise EditError("a table that is there is changed key by key")
        elif isinstance(value, dict) and holder in kin and wants_header(path, kin[holder]):
            at = find_line_end(text, max(section.end for section in kin[holder]))
            new = "".join(line + end for line in ("", *write_section(path, value)))
            patches.append(Patch(Span(at, at), True, new))
        elif not isinstance(value, dict) and headed.get(holder):
            own = headed[holder]
            at = find_line_end(text, own.end)
            indent = find_indent(text, own.entries[-1]) if own.entries else ""
            entry_line = f"{indent}{write_key(path[-1])} = {write_value(value)}{end}"
            patches.append(Patch(Span(at, at), False, entry_line))
        else:
            raise EditError("its table is made first")
    return patches


def change_many(text: str, changes: Sequence[tuple[KeyPath, Any]]) -> str:
    """Return `text` with many keys set, and those of value None removed.

    Where one pass cannot do it, the first change is made as `set_value` or `remove_key` does, and
    the rest is tried again.

    Raises:
        EditError: where one of the changes cannot be made.
    """
    for done, (path, value) in enumerate(changes):
        end = "" if text.endswith("\n") else find_line_ending(text)  # as every line has one
        with suppress(EditError):
            return _change_at_once(text + end, changes[done:]).removesuffix(end)
        text = remove_key(text, path) if value is None else set_value(text, path, value)
    return text


def _change_at_once(text: str, changes: Sequence[tuple[KeyPath, Any]]) -> str:
    before = tomllib.loads(text)
    wanted: Any = before
    for path, value in changes:
        if value is None:
            require(wanted, path)
        wanted = without(wanted, path) if value is None else with_value(wanted, path, value)
    return verify(_patch(text, _list_patches(text, before, changes)), wanted, changes[0][0])
