"""Every key of every kind of file is cleared and set again through its form, in each format.

What is driven is the form of a document as the screen has it, by what a person would type. The keys
are those that the schemas publish, so a new one fails here until a document has it.
"""

from collections.abc import Iterator
from functools import cache
from pathlib import Path
from typing import Any

import pytest

from profiles.checks.registry import run_checks
from profiles.files.documents import find_format, parse_text
from profiles.files.form import ABSENT, Row, holds_rows, list_rows, read_typed, show_value
from profiles.files.keys import list_keys
from profiles.files.library import load_library
from profiles.files.places import Format, KeyPath
from profiles.files.toml_edit import EditError
from profiles.files.write import write_content
from profiles.model import SETTINGS_NAME
from profiles.work.copy import WorkingCopy
from profiles.work.forms import DocumentForm
from tests.work.contents import list_contents

FORMATS: tuple[Format, ...] = ("toml", "yaml", "json")


def list_set(kind: str, content: dict[str, Any], path: KeyPath = ()) -> Iterator[Row]:
    """Every line of a form whose key the document has."""
    for row in list_rows(kind, content, path):
        if row.is_there:
            yield row
            if row.holds_rows:
                yield from list_set(kind, content, row.path)


def name_keys(kind: str) -> dict[tuple[str, ...], str]:
    """The keys of a kind of file, in parts, `*` for a name of the user's."""
    return {tuple(one.path.split(".")): one.path for one in list_keys() if one.kind == kind}


def find_key(known: dict[tuple[str, ...], str], path: KeyPath) -> str | None:
    """The published key that a place of a file is."""
    parts = tuple(str(part) for part in path if not isinstance(part, int))
    for key, name in known.items():
        if len(key) == len(parts) and all(
            one in ("*", part) for one, part in zip(key, parts, strict=True)
        ):
            return name
    return None


Chosen = list[tuple[str, dict[str, Any], list[Row]]]


@cache
def choose_documents() -> tuple[Chosen, set[tuple[str, str]]]:
    """Small documents with the lines to be tried in each, every key once; and what none has."""
    left = {(one.kind, one.path) for one in list_keys()}
    chosen: Chosen = []
    for kind, content in sorted(list_contents(), key=lambda one: len(str(one[1]))):
        known, rows = name_keys(kind), []
        for row in list_set(kind, content):
            key = (kind, find_key(known, row.path) or "")
            if key in left:
                left.discard(key)
                rows.append(row)
        if rows:
            chosen.append((kind, content, rows))
    return chosen, left


def test_every_key_that_the_schemas_publish_is_in_some_document() -> None:
    """Add a value to a file of `odd` for a key that is named here."""
    assert choose_documents()[1] == set()


class Desk:
    """A library of one document, and its form."""

    def __init__(self, folder: Path, kind: str, content: dict[str, Any], file: Format) -> None:
        self.folder = folder
        folder.mkdir()
        name = SETTINGS_NAME if kind == "settings" else f"one.{file}"
        text = write_content(content, "toml" if kind == "settings" else file)
        (folder / name).write_text(
            text if file == "json" else f"# A note.\n{text}# The end.\n", "utf-8"
        )
        self.copy = WorkingCopy(load_library(folder))
        (self.id,) = (SETTINGS_NAME,) if kind == "settings" else self.copy.loaded.sources

    @property
    def form(self) -> DocumentForm:
        """The form as it is now."""
        return DocumentForm.of(self.copy, self.id)

    def clear(self, path: KeyPath) -> bool:
        """Remove a key; whether it can be without."""
        try:
            self.form.remove(path).apply(self.copy)
        except EditError:
            return False
        assert self.form.value(path) is ABSENT
        return True

    def type_in(self, row: Row) -> None:
        """Type what a line showed, as its dialog takes it; tables are set as they were."""
        form = self.form
        value = row.value
        if not holds_rows(value):
            (now,) = (one for one in form.rows(row.path[:-1]) if one.key == row.key)
            value = read_typed(now.branches, show_value(value))
        for one in (f"{value}-2", value) if row.path[1:] == ("id",) else (value,):
            edit = self.form.set(row.path, one)
            edit.apply(self.copy)
            if edit.moved:  # into a file of its new name
                self.id = edit.moved[1]
                self.copy.save()


@pytest.mark.long
@pytest.mark.parametrize("file", FORMATS)
def test_every_key_is_cleared_and_typed_again_through_its_form(
    file: Format, tmp_path: Path
) -> None:
    """What is saved then reads back as the same content, and the checks find what they found."""
    tried = cleared = 0
    for number, (kind, content, rows) in enumerate(choose_documents()[0]):
        desk = Desk(tmp_path / str(number), kind, content, file)
        before = run_checks(desk.copy.library).findings
        for row in rows:
            if row.path == ("format",):  # no line has it: it is not to be changed
                assert "format" not in {one.key for one in desk.form.rows(())}
                continue
            cleared += desk.clear(row.path)
            desk.type_in(row)
            tried += 1
        saved = desk.copy.save()
        assert (saved.clashes, saved.failures) == ((), ())
        loaded = load_library(desk.folder)
        assert loaded.problems == ()
        assert set(run_checks(loaded.library).findings) == set(before)
        path = desk.copy.path(desk.id)
        text = path.read_text("utf-8")
        assert parse_text(text, find_format(path)) == content
        if file != "json":
            assert text.startswith("# A note.\n")
            assert text.count("# The end.\n") == 1
    assert tried == len(list_keys()) - 6  # of each kind of file all but `format`
    assert cleared > tried / 2
