"""What an application's own settings file binds, read by the templates of its `settings_file`.

The file is only ever read.
"""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import NamedTuple

from profiles.files.documents import read_bytes
from profiles.files.settings_tree import LARGEST, Node, decode_settings, read_tree
from profiles.model.settings_file import Piece, SettingsFile, split_template

MOST_DIGITS = 6
"""Digits of an input number; the highest has five."""

Captured = Mapping[str, str]


class FoundBinding(NamedTuple):
    """A binding as the file has it: `number` counts from 1, whatever the file does; `device` is
    empty where the file does not say; `line` is 0 where it is not known."""

    action: str
    device: str
    number: int
    line: int


@dataclass(frozen=True, slots=True)
class FoundBindings:
    """What was read, and how many entries at that place are written otherwise."""

    bindings: tuple[FoundBinding, ...]
    unread: int


def read_settings_file(path: Path, table: SettingsFile, first_number: int) -> FoundBindings:
    """Read the bindings in a file; `first_number` is the application's own first button.

    Raises:
        FileFaultError: where the file cannot be read, or is not of its format.
    """
    return read_settings(read_bytes(path, LARGEST), table, first_number)


def read_settings(data: bytes, table: SettingsFile, first_number: int) -> FoundBindings:
    """Read the bindings in the bytes of a file, as `read_settings_file` does."""
    first = first_number if table.first_number is None else table.first_number
    if table.format == "lines":
        entries = _read_lines(decode_settings(data), table.line or "")
    else:
        entries = _read_nodes(read_tree(data, table.format), table)
    found, unread = [], 0
    for captured, line in entries:
        number = int(captured["number"]) + 1 - first if captured else 0
        if captured and 1 <= number <= 65535:
            device = captured.get("device", "")
            found.append(FoundBinding(captured["action"], device, number, line))
        else:
            unread += 1
    return FoundBindings(tuple(found), unread)


def match(pieces: Iterable[Piece], text: str) -> dict[str, str] | None:
    """Return what the names of a template stand for in a text; None where it does not fit.

    A name ends where the text after it in the template comes next, the last such text of a
    template at the end; a number takes all its digits. The time is linear in the text.
    """
    parts = tuple(pieces)
    found: dict[str, str] = {}
    at = 0
    for place, (is_holder, words) in enumerate(parts):
        if not is_holder:
            if not text.startswith(words, at):
                return None
            at += len(words)
            continue
        if words == "number":
            end = at
            while end < len(text) and end - at <= MOST_DIGITS and text[end] in "0123456789":
                end += 1
        elif place + 1 == len(parts):
            end = len(text)
        elif place + 2 == len(parts):
            end = len(text) - len(parts[-1][1]) if text.endswith(parts[-1][1]) else -1
        else:
            end = text.find(parts[place + 1][1], at)
        if (
            end < at
            or (end == at and words != "any")
            or (words == "number" and end - at > MOST_DIGITS)
        ):
            return None
        if words != "any":
            found[words] = text[at:end]
        at = end
    return found if at == len(text) else None


def _read_lines(text: str, template: str) -> Iterator[tuple[Captured | None, int]]:
    """Each line that fits, or begins as one that fits; runs of spaces count as one."""
    pieces = split_template(" ".join(template.split()))
    begins = "" if pieces[0][0] else pieces[0][1]
    for number, line in enumerate(text.splitlines(), 1):
        words = " ".join(line.split())
        captured = match(pieces, words)
        if captured is not None or (begins and words.startswith(begins)):
            yield captured, number


def _read_nodes(root: Node, table: SettingsFile) -> Iterator[tuple[Captured | None, int]]:
    steps = [() if step == "*" else split_template(step) for step in (table.at or "").split("/")]
    templates = [(place.split("/"), split_template(one)) for place, one in table.fields.items()]
    if table.value is not None:
        templates.append((["."], split_template(table.value)))
    for node, captured in _find_nodes(root, steps):
        whole: dict[str, str] | None = dict(captured)
        for place, pieces in templates:
            at = _follow(node, place)
            more = None if at is None or at.value is None else match(pieces, at.value)
            if more is None or whole is None:
                whole = None
                break
            whole |= more
        yield whole, node.line


def _find_nodes(
    root: Node, steps: list[tuple[Piece, ...]]
) -> Iterator[tuple[Node, dict[str, str]]]:
    """The nodes that a path leads to, in the order of the file, with what its names stand for."""
    found: list[tuple[Node, dict[str, str]]] = [(root, {})]
    for step in steps:
        found = [
            (child, {**captured, **more})
            for node, captured in found
            for child in node.children
            if (more := {} if not step else match(step, child.name)) is not None
        ]
    yield from found


def _follow(node: Node, place: list[str]) -> Node | None:
    """The node at a place seen from this one: `.` is itself, `..` what holds it."""
    here: Node | None = node
    for step in place:
        if here is None:
            return None
        if step == "..":
            here = here.parent
        elif step != ".":
            here = next((child for child in here.children if child.name == step), None)
    return here
