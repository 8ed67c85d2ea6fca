"""Controls of a device and actions of an application as a table for spreadsheets, out and in.

One row for each, its id first; a column for each key that any has, `led.colour` for one inside
another, `x` and `y` for a position. A list stands in one cell, `crossing` as `1, 3`. On the way in
a cell that says what the file has already changes nothing there, an empty one takes the key away,
and a column that is not there leaves its key alone.
"""

import re
import tomllib
from collections.abc import Iterator, Mapping, Sequence
from types import UnionType
from typing import TYPE_CHECKING, Annotated, Any, Literal, Union, get_args, get_origin

from pydantic import BaseModel

from profiles.files.bindings_csv import Changes
from profiles.files.csv_rows import Cell, CsvError, describe_unread, read_rows, write_rows
from profiles.files.faults import FileFaultError
from profiles.files.toml_edit import write_value
from profiles.files.validate import validate_content
from profiles.model import Action, Library
from profiles.model.control import Control

if TYPE_CHECKING:
    from profiles.files.edit import FileEditor

Path = tuple[str, ...]

HOLDERS = {"device": ("controls", "control"), "application": ("actions", "action")}
"""Kinds of files that are tables, with what holds their members, and the column of their ids."""

USUAL: Mapping[str, tuple[str, ...]] = {
    "device": ("label", "kind", "part", "x", "y", "hole", "front", "note"),
    "application": ("name", "legend", "group", "behaviour", "need", "contexts", "note"),
}
"""Columns that are there even where no member has the key."""

POINTS = {"position": ("x", "y")}
"""Keys that are a column for each of their numbers."""

IDS = frozenset(["kind", "part", "group", "behaviour", "need", "direction", "partner"])
"""Keys of which spaces around a cell are no part."""

NUMBER = re.compile(r"[+-]?(?:\d+(?:[.,]\d*)?|[.,]\d+)(?:[eE][+-]?\d+)?(?:\s*mm)?")
YES = {"true": True, "yes": True, "false": False, "no": False}


def write_members(content: Mapping[str, Any], kind: str) -> str:
    """Return the controls or actions of a file's plain content as CSV, in their order."""
    holder, column = HOLDERS[kind]
    flat = {key: dict(_flatten(member)) for key, member in content.get(holder, {}).items()}
    names = dict.fromkeys([*USUAL[kind], *(name for cells in flat.values() for name in cells)])
    rows = [[key, *(cells.get(name, "") for name in names)] for key, cells in flat.items()]
    return write_rows([column, *names], rows)


def _flatten(member: Mapping[str, Any], before: str = "") -> Iterator[tuple[str, Cell]]:
    for key, value in member.items():
        if isinstance(value, dict):
            yield from _flatten(value, f"{before}{key}.")
        elif key in POINTS and not before:
            yield from zip(POINTS[key], value, strict=True)
        else:
            yield f"{before}{key}", _show(value)


def _show(value: Any) -> Cell:
    """Return a value as a cell: numbers as they are, words bare, a list with commas between."""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, str | int | float):
        return value
    if all(isinstance(one, str) and "," not in one for one in value):
        return ", ".join(value)
    if all(isinstance(one, int | float) and not isinstance(one, bool) for one in value):
        return ", ".join(map(str, value))
    return write_value(value)


def apply_members(
    editor: "FileEditor", text: str, kind: str, library: Library | None = None
) -> tuple[Changes, tuple[str, ...]]:
    """Make the controls or actions of an opened file those of a table; nothing is saved yet.

    Returns what is new, changed and removed, and notes for the user.

    Raises:
        CsvError: with every row that cannot be used.
        profiles.files.toml_edit.EditError: where the file cannot be changed safely.
    """
    holder, column = HOLDERS[kind]
    members: Mapping[str, Any] = editor.content.get(holder, {})
    usual = [name for name in USUAL[kind] if name != column]
    table = read_rows(
        text, [column], [column, *usual], (), lambda name: bool(_read_name(name, kind))
    )
    paths = {name: path for name in table.columns if (path := _read_name(name, kind))}
    problems, edits = [], list[tuple[Path, Any]]()
    rows: dict[str, int] = {}
    for number, cells in table.rows:
        key = cells[column].strip()
        if not key:
            problems.append(f"row {number}: no `{column}`; give its id")
        elif key in rows:
            problems.append(f"row {number}: repeats row {rows[key]}; remove one of the two")
        else:
            rows[key] = number
            values = _read_cells(cells, paths, members.get(key, {}), kind, table.separator)
            edits += [((holder, key, *path), value) for path, value in values]
    new = [key for key in rows if key not in members]
    removed = [key for key in members if key not in rows]
    if problems:
        raise CsvError(problems)
    changes: list[tuple[Path, Any]] = [((holder, key), None) for key in removed]
    tables: dict[str, list[tuple[Path, Any]]] = {key: [] for key in new}
    for path, value in edits:
        if path[1] in tables:
            tables[path[1]].append((path[2:], value))
    changes += [((holder, key), _gather(mine)) for key, mine in tables.items()]
    changes += [(path, value) for path, value in edits if path[1] in members]
    editor.change_many(changes)
    try:
        validate_content(editor.content, library=library)
    except ExceptionGroup as group:
        told = []
        for fault in group.exceptions:
            spot = fault.path if isinstance(fault, FileFaultError) else ()
            row = rows.get(str(spot[1])) if spot[:1] == (holder,) and len(spot) > 1 else None
            said = str(fault)
            for point, parts in POINTS.items():
                for at, part in enumerate(parts):
                    said = said.replace(f".{point}.{at}`", f".{part}`", 1)
            told.append(said if row is None else f"row {row}: {said}")
        raise CsvError(told) from None
    changed = dict.fromkeys(path[1] for path, _ in edits if path[1] in members)
    return Changes(tuple(new), tuple(changed), tuple(removed)), describe_unread(table)


def _read_name(name: str, kind: str) -> Path:
    """Return the path of a column inside a member; empty where no member has such a key."""
    for key, parts in POINTS.items():
        if name in parts and kind == "device":
            return (key, name)
    path = tuple(name.split("."))
    model: Any = Control if kind == "device" else Action
    return path if name and _find_types(model, path) else ()


def _read_cells(
    cells: Mapping[str, str], paths: Mapping[str, Path], member: Any, kind: str, separator: str
) -> list[tuple[Path, Any]]:
    """Return what differs in a row from a member of the file; None for a key that goes."""
    found: list[tuple[Path, Any]] = []
    flat = dict(_flatten(member)) if isinstance(member, dict) else {}
    model: Any = Control if kind == "device" else Action
    for key, parts in POINTS.items():
        if any(paths.get(part) == (key, part) for part in parts):
            before = [flat.get(part, "") for part in parts]
            typed = [cells.get(part, str(old)) for part, old in zip(parts, before, strict=True)]
            new = [_read_number(cell) for cell in typed if cell.strip()]
            if new and new != before:
                found.append(((key,), new))
    for name, path in paths.items():
        if path[0] in POINTS:
            continue
        cell, old = cells[name].strip() if name in IDS else cells[name], flat.get(name)
        if not cell.strip():
            if old is not None and str(old).strip():
                found.append((path, None))
        elif old is None or str(old) != cell:
            value = _read_cell(cell, _find_types(model, path), separator)
            if old is None or _show(value) != old:
                found.append((path, value))
    return found


def _gather(values: Sequence[tuple[Path, Any]]) -> dict[str, Any]:
    """Return values at paths as a table."""
    table: dict[str, Any] = {}
    for path, value in values:
        if value is not None:
            holder = table
            for part in path[:-1]:
                holder = holder.setdefault(part, {})
            holder[path[-1]] = value
    return table


def _find_types(annotation: Any, path: Path) -> set[Any]:
    """Return the plain types that a key of a model may have: of them all the kinds' are one set."""
    origin, inner = get_origin(annotation), get_args(annotation)
    if origin is Annotated:
        return _find_types(inner[0], path)
    if origin in (Union, UnionType):
        return {one for part in inner for one in _find_types(part, path)}
    if origin is Literal:
        return {type(one) for one in inner} if not path else set()
    if origin is dict:
        return _find_types(inner[1], path[1:]) if path else {dict}
    if origin is tuple:
        items = {one for part in inner if part is not ... for one in _find_types(part, ())}
        return {tuple, *({("list of", str)} if str in items else set())} if not path else set()
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        if not path:
            return {dict}
        field = annotation.model_fields.get(path[0])
        return _find_types(field.annotation, path[1:]) if field else set()
    return {annotation} if not path and annotation is not type(None) else set()


def _read_cell(cell: str, types: set[Any], separator: str) -> Any:
    """Return what a cell says for a key of these types; words where it is nothing else."""
    typed = cell.strip()
    if bool in types and typed.lower() in YES:
        return YES[typed.lower()]
    is_number = NUMBER.fullmatch(typed) and ("," not in typed or separator != ",")
    if is_number and types & {int, float}:
        return _read_number(typed)
    if tuple in types and (not types & {str} or "," in typed):
        if typed.startswith("["):
            try:
                return tomllib.loads(f"v = {typed}")["v"]
            except tomllib.TOMLDecodeError:
                return cell
        items = [one.strip() for one in re.split(r"\s*[,;×]\s*|\s+x\s+", typed) if one.strip()]
        if ("list of", str) in types:
            return items
        read = [_read_number(one) for one in items]
        return cell if any(isinstance(one, str) for one in read) else read
    return cell if str in types else _read_number(typed)


def _read_number(cell: str) -> Any:
    """Return the number of a cell, decimal commas and `mm` allowed; the cell where it is none."""
    typed = cell.strip()
    if not NUMBER.fullmatch(typed):
        return cell
    plain = typed.removesuffix("mm").strip().replace(",", ".")
    return int(plain) if re.fullmatch(r"[+-]?\d+", plain) else float(plain)
