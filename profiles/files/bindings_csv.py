"""Bindings of a profile as a table for spreadsheets, out and in.

One row for every action of a binding: `binding`, `action`, `legend`, `short`, `note`. Every cell is
quoted and none starts a formula (OWASP, CSV Injection); what the apostrophe did is undone on the
way in.
Read are commas, semicolons or tabs between cells, with or without a byte order mark.
"""

import csv
import io
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

from profiles.files.documents import decode_text, read_bytes
from profiles.model.binding import BindingKey, BindingKeyError, BoundAction, parse_key
from profiles.model.profile import Profile
from profiles.text.inert import csv_cell, escape_controls, restore_csv_cell
from profiles.text.prose import join_words
from profiles.text.suggest import closest

if TYPE_CHECKING:
    from profiles.files.edit import FileEditor

COLUMNS = ("binding", "action", "legend", "short", "note")
"""The columns in their order; `binding` and `action` must be there on the way in."""

SEPARATORS = (",", ";", "\t")

Written = str | dict[str, str] | list[str | dict[str, str]]
"""What a binding does, as a file gives it."""


class CsvError(Exception):
    """A table that cannot be read as bindings; `problems` has one line each."""

    def __init__(self, problems: Sequence[str]) -> None:
        super().__init__("; ".join(problems))
        self.problems = tuple(problems)


@dataclass(frozen=True, slots=True)
class Table:
    """Bindings read from a CSV file, and what the user should know."""

    bindings: Mapping[str, Written]
    notes: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Changes:
    """Keys of the bindings that a table added, changed and removed."""

    new: tuple[str, ...]
    changed: tuple[str, ...]
    removed: tuple[str, ...]


def write_bindings(profile: Profile) -> str:
    """Return the bindings of a profile as CSV (RFC 4180), in the order of its file."""
    file = io.StringIO(newline="")
    writer = csv.writer(file, quoting=csv.QUOTE_ALL)
    writer.writerow(COLUMNS)
    for key, _, uses in profile.entries:
        for use in uses:
            cells = (key, use.action, use.legend or "", use.short or "", use.note)
            writer.writerow([csv_cell(cell) for cell in cells])
    return file.getvalue()


def read_bindings(path: Path) -> Table:
    """Read bindings from a CSV file.

    Raises:
        CsvError: with every row that cannot be read.
        profiles.files.faults.FileFaultError: where the file itself cannot be read.
    """
    return parse_bindings(decode_text(read_bytes(path)))


def parse_bindings(text: str) -> Table:
    """Read bindings from the text of a CSV file; rows count from 1, the names of the columns.

    Raises:
        CsvError: with every row that cannot be read.
    """
    separator = max(SEPARATORS, key=text.partition("\n")[0].count)
    try:
        rows = [
            [restore_csv_cell(cell) for cell in row]
            for row in csv.reader(io.StringIO(text, newline=""), delimiter=separator, strict=True)
        ]
    except csv.Error as error:
        raise CsvError([f"the table breaks off: {escape_controls(str(error))}"]) from None
    columns, notes = _find_columns(rows[0] if rows else [])
    problems: list[str] = []
    found: dict[BindingKey, tuple[str, list[dict[str, str]]]] = {}
    seen: dict[tuple[BindingKey, str], int] = {}
    for number, row in enumerate(rows[1:], start=2):
        if not any(cell.strip() for cell in row):
            continue
        cells = {name: row[at] if at < len(row) else "" for name, at in columns.items()}
        key, action = cells["binding"].strip(), cells["action"].strip()
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
    return Table(bindings, notes)


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
    for key in removed:
        editor.remove_binding(key)
    for parsed, (key, value) in wanted.items():
        if parsed not in before:
            new.append(key)
        elif _normal(before[parsed][1]) != _normal(value):
            changed.append(before[parsed][0])
        else:
            continue
        editor.set_binding(key, value)
    return Changes(tuple(new), tuple(changed), tuple(removed))


def _normal(written: Any) -> list[dict[str, str]]:
    many = written if isinstance(written, list) else [written]
    tables = [{"action": one} if isinstance(one, str) else one for one in many]
    return [{key: text for key, text in table.items() if text} for table in tables]


def _find_columns(header: list[str]) -> tuple[dict[str, int], tuple[str, ...]]:
    names = [cell.strip().lower() for cell in header]
    problems = []
    for column in COLUMNS[:2]:
        if names.count(column) > 1:
            problems.append(f"row 1: column `{column}` is a duplicate; keep one")
        elif column not in names:
            meant = closest(column, [name for name in names if name not in COLUMNS])
            every = f"name the columns {join_words(COLUMNS)}"
            advice = f"rename `{escape_controls(meant)}`" if meant else every
            problems.append(f"row 1: no column `{column}`; {advice}")
    if problems:
        raise CsvError(problems)
    other = [f"`{escape_controls(name)}`" for name in names if name and name not in COLUMNS]
    notes = (f"columns not read: {join_words(other)}",) if other else ()
    return {name: names.index(name) for name in COLUMNS if name in names}, notes


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
