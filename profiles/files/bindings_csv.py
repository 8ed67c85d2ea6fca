"""Bindings of a profile as a table for spreadsheets, out and in.

One row for every action of a binding: `binding`, `action`, `legend`, `short`, `note`. Where the
library is known each row also has the control's label, the input number and the action's name for
people; contacts that do nothing yet and actions that no contact does have rows of their own.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING, Any, NamedTuple

from profiles.files.csv_rows import (
    Cell,
    CsvError,
    describe_unread,
    read_rows,
    read_text,
    write_rows,
)
from profiles.model.binding import BindingKey, BindingKeyError, BoundAction, parse_key
from profiles.model.profile import Profile
from profiles.text.inert import escape_controls
from profiles.text.prose import count

if TYPE_CHECKING:
    from profiles.files.edit import FileEditor

__all__ = [
    "Changes",
    "CsvError",
    "Shelf",
    "Table",
    "apply_bindings",
    "parse_bindings",
    "read_bindings",
    "write_bindings",
]

COLUMNS = ("binding", "action", "legend", "short", "note")
"""The columns in their order; `binding` and `action` must be there on the way in."""

TOLD = ("label", "input", "name")
"""Columns that people read, and nobody reads back."""

Written = str | dict[str, str] | list[str | dict[str, str]]
"""What a binding does, as a file gives it."""


class Shelf(NamedTuple):
    """What the library knows of a profile: what a row tells, and what is not bound yet.

    `tell` gives label, input number and action name for a key and an action, either of them empty.
    """

    tell: Callable[[str, str], tuple[Cell, Cell, Cell]]
    free: tuple[str, ...] = ()
    open_actions: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Table:
    """Bindings read from a CSV file, and what the user should know."""

    bindings: Mapping[str, Written]
    notes: tuple[str, ...]
    labels: Mapping[str, str] = field(default_factory=dict)
    """What the table tells of each key's label, which is not read back."""


@dataclass(frozen=True, slots=True)
class Changes:
    """Keys of the bindings that a table added, changed and removed."""

    new: tuple[str, ...]
    changed: tuple[str, ...]
    removed: tuple[str, ...]


def write_bindings(profile: Profile, shelf: Shelf | None = None) -> str:
    """Return the bindings of a profile as CSV, in its file's order; what is open comes last."""
    rows: list[tuple[str, ...]] = [
        (key, use.action, use.legend or "", use.short or "", use.note)
        for key, _, uses in profile.entries
        for use in uses
    ]
    if shelf is None:
        return write_rows(COLUMNS, rows)
    rows += [(key, "", "", "", "") for key in shelf.free]
    rows += [("", action, "", "", "") for action in shelf.open_actions]
    return write_rows((*COLUMNS, *TOLD), [(*row, *shelf.tell(row[0], row[1])) for row in rows])


def read_bindings(path: Path) -> Table:
    """Read bindings from a CSV file.

    Raises:
        CsvError: with every row that cannot be read.
        profiles.files.faults.FileFaultError: where the file itself cannot be read.
    """
    return parse_bindings(read_text(path))


def parse_bindings(text: str) -> Table:
    """Read bindings from the text of a CSV file; rows count from 1, the names of the columns.

    Raises:
        CsvError: with every row that cannot be read.
    """
    table = read_rows(text, COLUMNS[:2], COLUMNS, TOLD, lambda name: name == "label")
    problems: list[str] = []
    found: dict[BindingKey, tuple[str, list[dict[str, str]]]] = {}
    seen: dict[tuple[BindingKey, str], int] = {}
    free, waiting = 0, 0
    for number, cells in table.rows:
        key, action = cells["binding"].strip(), cells["action"].strip()
        has_words = any(cells.get(name, "").strip() for name in COLUMNS[2:])
        if not has_words and bool(key) != bool(action):
            free, waiting = free + bool(key), waiting + bool(action)
            continue
        problem = _judge_row(key, action, cells)
        if problem is None:
            parsed = parse_key(key)
            earlier = seen.setdefault((parsed, action), number)
            if earlier != number:
                problem = f"repeats row {earlier}; remove one of the two"
        if problem is not None:
            problems.append(f"row {number}: {problem}")
            continue
        use = {name: cells[name] for name in COLUMNS[2:] if cells.get(name, "").strip()}
        found.setdefault(parsed, (key, []))[1].append({"action": action, **use})
    if problems:
        raise CsvError(problems)
    bindings: dict[str, Written] = {}
    for key, uses in found.values():
        short = [use["action"] if len(use) == 1 else use for use in uses]
        bindings[key] = short[0] if len(short) == 1 else short
    notes = [f"{count(free, 'row')} without an action"] if free else []
    notes += [f"{count(waiting, 'row')} without a contact"] if waiting else []
    labels = {
        cells["binding"].strip(): cells["label"].strip()
        for _, cells in table.rows
        if cells.get("label", "").strip()
    }
    return Table(bindings, (*describe_unread(table), *notes), labels)


def apply_bindings(editor: "FileEditor", table: Table) -> Changes:
    """Make the bindings of an opened profile those of a table; nothing is saved yet.

    Bindings that the table gives as they are stay untouched, with their comments.

    Raises:
        profiles.files.toml_edit.EditError: where the file cannot be changed safely.
    """
    before = {parse_key(key): (key, value) for key, value in editor.content["bindings"].items()}
    wanted = {parse_key(key): (key, value) for key, value in table.bindings.items()}
    removed = [key for parsed, (key, _) in before.items() if parsed not in wanted]
    new, changed = [], []
    editor.change_many([(("bindings", key), None) for key in removed])
    bindings = dict[str, Any]()
    for parsed, (key, value) in wanted.items():
        if parsed not in before:
            new.append(key)
        elif _normal(before[parsed][1]) != _normal(value):
            changed.append(before[parsed][0])
        else:
            continue
        bindings[before[parsed][0] if parsed in before else key] = value
    editor.set_bindings(bindings)
    return Changes(tuple(new), tuple(changed), tuple(removed))


def _normal(written: Any) -> list[dict[str, str]]:
    many = written if isinstance(written, list) else [written]
    tables = [{"action": one} if isinstance(one, str) else one for one in many]
    return [{key: text for key, text in table.items() if text} for table in tables]


def _judge_row(key: str, action: str, cells: Mapping[str, str]) -> str | None:
    """What is wrong with a row by itself."""
    from pydantic import ValidationError

    from profiles.files.explain import explain_errors

    if not key:
        return "no `binding`; name a contact such as `horn`"
    try:
        parse_key(key)
    except BindingKeyError as error:
        return f"`{escape_controls(key)}` {error}"
    if not action:
        return "no `action`; give the id of one, or remove the row"
    content = {name: cells[name] for name in COLUMNS[2:] if cells.get(name, "").strip()}
    content["action"] = action
    try:
        BoundAction.model_validate(content)
    except ValidationError as error:
        return explain_errors(BoundAction, content, error)[0].message
    return None
