"""Rows of CSV, out and in, for every table of a file (RFC 4180).

Every cell of text is quoted and none starts a formula (OWASP, CSV Injection); what the apostrophe
did is undone on the way in. Read are commas, semicolons or tabs between cells, with or without a
byte order mark, and rows that break off.
"""

import csv
import io
from collections.abc import Callable, Iterable, Mapping, Sequence
from pathlib import Path
from typing import NamedTuple

from profiles.files.documents import decode_text, read_bytes
from profiles.text.inert import csv_cell, escape_controls, restore_csv_cell
from profiles.text.prose import join_words
from profiles.text.suggest import closest

SEPARATORS = (",", ";", "\t")

Cell = str | int | float


class CsvError(Exception):
    """A table that cannot be read; `problems` has one line each."""

    def __init__(self, problems: Sequence[str]) -> None:
        super().__init__("; ".join(problems))
        self.problems = tuple(problems)


class Row(NamedTuple):
    """A row's number, from 1 for the names of the columns, and its cells by column."""

    number: int
    cells: Mapping[str, str]


class Rows(NamedTuple):
    """A table as its file gives it; `unread` are its columns that mean nothing here."""

    separator: str
    columns: tuple[str, ...]
    rows: tuple[Row, ...]
    unread: tuple[str, ...]


def write_rows(columns: Sequence[str], rows: Iterable[Sequence[Cell]]) -> str:
    """Return a table as CSV; numbers stay numbers."""
    file = io.StringIO(newline="")
    writer = csv.writer(file, quoting=csv.QUOTE_ALL)
    writer.writerow(columns)
    for row in rows:
        writer.writerow([csv_cell(cell) if isinstance(cell, str) else cell for cell in row])
    return file.getvalue()


def read_text(path: Path) -> str:
    """Return the text of a CSV file.

    Raises:
        profiles.files.faults.FileFaultError: where it cannot be read.
    """
    return decode_text(read_bytes(path))


def read_rows(
    text: str,
    needed: Sequence[str],
    known: Sequence[str],
    told: Sequence[str] = (),
    is_known: Callable[[str], bool] = lambda _: False,
) -> Rows:
    """Read a table; its columns may stand in any order, rows without a word are passed over.

    Columns that are `told` are for people alone; `is_known` tells of more that are read.

    Raises:
        CsvError: where it breaks off, or lacks a column that is needed.
    """
    separator = max(SEPARATORS, key=text.partition("\n")[0].count)
    try:
        table = [
            [restore_csv_cell(cell) for cell in row]
            for row in csv.reader(io.StringIO(text, newline=""), delimiter=separator, strict=True)
        ]
    except csv.Error as error:
        raise CsvError([f"the table breaks off: {escape_controls(str(error))}"]) from None
    names = [cell.strip().lower() for cell in table[0]] if table else []
    wanted, known = (
        known,
        (*known, *(name for name in dict.fromkeys(names) if name and is_known(name))),
    )
    problems = []
    for column in needed:
        if column not in names:
            meant = closest(column, [name for name in names if name not in known])
            every = f"name the columns {join_words(wanted)}"
            advice = f"rename `{escape_controls(meant)}`" if meant else every
            problems.append(f"row 1: no column `{column}`; {advice}")
    for column in dict.fromkeys(names):
        if column in known and names.count(column) > 1:
            problems.append(f"row 1: column `{column}` is a duplicate; keep one")
    if problems:
        raise CsvError(problems)
    places = {name: names.index(name) for name in dict.fromkeys(names) if name in known}
    rows = tuple(
        Row(number, {name: row[at] if at < len(row) else "" for name, at in places.items()})
        for number, row in enumerate(table[1:], start=2)
        if any(cell.strip() for cell in row)
    )
    unread = tuple(name for name in dict.fromkeys(names) if name and name not in (*known, *told))
    return Rows(separator, tuple(places), rows, unread)


def describe_unread(table: Rows) -> tuple[str, ...]:
    """What the user should know of columns that are not read."""
    other = [f"`{escape_controls(name)}`" for name in table.unread]
    return (f"columns not read: {join_words(other)}",) if other else ()
