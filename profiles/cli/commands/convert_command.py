"""`platebook convert`: a file as another format; as a table for spreadsheets and back."""

import os
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from profiles.cli.exits import Unusable
from profiles.cli.libraries import explain_fault, find_folder, library_option
from profiles.cli.output import note, put_outputs, replace_option, show_path, write, write_file_text
from profiles.files.documents import read_document
from profiles.files.faults import FileFaultError
from profiles.files.folder import ENVIRONMENT_NAME, is_folder
from profiles.files.library import LoadedLibrary, load_library
from profiles.files.places import Format
from profiles.files.walk import is_within, refuse_link_out
from profiles.model.profile import Profile
from profiles.text.inert import escape_controls
from profiles.text.prose import count, join_words

if TYPE_CHECKING:
    from profiles.files.validate import AnyValue

_SUFFIXES: dict[Format, str] = {"toml": ".toml", "yaml": ".yaml", "json": ".json"}


@click.command(name="convert")
@click.argument("file", type=click.Path(path_type=Path))
@click.option("--to", "form", type=click.Choice(list(_SUFFIXES)), help="The format to write.")
@click.option("--csv", "as_csv", is_flag=True, help="As a table: bindings, controls or actions.")
@click.option(
    "--into",
    type=click.Path(path_type=Path),
    metavar="FILE.toml",
    help="With --csv: the file that gets the rows of FILE.csv, comments kept.",
)
@library_option
@click.option(
    "--output",
    "-o",
    type=click.Path(path_type=Path),
    help="File to write.  [default: standard output]",
)
@replace_option
def command(
    file: Path,
    form: Format | None,
    as_csv: bool,
    into: Path | None,
    library_option: str | None,
    output: Path | None,
    replace: bool,
) -> None:
    """Rewrite FILE as TOML, YAML or JSON, its content equal; or as a table for spreadsheets.

    A table has the bindings of a profile, the controls of a device or the actions of an
    application. That of a profile lists each contact and what is not bound yet as well.

    \b
      platebook convert harbour.toml --to yaml -o harbour.yaml
      platebook convert harbour.toml --csv -o harbour.csv
      platebook convert harbour.csv --csv --into harbour.toml
    """
    if as_csv == (form is not None):
        raise click.UsageError("choose either --to FORMAT or --csv")
    if into is not None and not as_csv:
        raise click.UsageError("--into goes with --csv")
    if into is None and file.suffix.lower() == ".csv":
        raise click.UsageError("--csv --into FILE.toml brings a CSV file in")
    if replace and (form is not None or into is not None):
        raise click.UsageError("--replace goes with --csv; a file of a library is never replaced")
    try:
        if into is not None:
            _bring_in(file, into, _find_library(into, library_option))
        elif as_csv:
            table = _write_csv(file, _find_library(file, library_option))
            _put_csv(table, output, replace=replace)
        else:
            from profiles.files.convert import convert_file

            converted = convert_file(file, form or "toml")
            _put(converted.text, output)
            for line in converted.notes:
                note(f"warning: {line}")
            if output is not None and output.parent.resolve() == file.parent.resolve():
                note(f"note: keep one of the two in a library: {show_path(file)} has the same id")
    except FileFaultError as fault:
        raise explain_fault(file, fault) from None


def _find_library(file: Path, option: str | None) -> LoadedLibrary | None:
    """The library that a file is of: the one named, one around it, or its own folder."""
    from profiles.work.tables import holds

    if option is not None:
        folders = [find_folder(option)]
    else:
        here = Path().resolve()
        named = [find_folder(None)] if os.environ.get(ENVIRONMENT_NAME) else []
        near = [here] if is_within(file, here) else []
        folders = [*named, *near, file.parent]
    for folder in filter(is_folder, folders):
        loaded = load_library(folder)
        if holds(loaded, file):
            return loaded
    return None


def _write_csv(file: Path, loaded: LoadedLibrary | None) -> str:
    from profiles.work.tables import shelf_of, write_table

    kind, content, value = _read(file, loaded)
    library = None if loaded is None else loaded.library
    if isinstance(value, Profile) and (library is None or shelf_of(library, value) is None):
        note("note: name the library with --library DIR for labels, numbers and what is not bound")
    return write_table(kind, content, value, library)


def _read(file: Path, loaded: LoadedLibrary | None) -> "tuple[str, dict[str, Any], AnyValue]":
    """The kind of a file, its content, and the model's value."""
    from profiles.files.members_csv import HOLDERS
    from profiles.files.validate import find_kind, validate_content

    content = read_document(file).content
    try:
        value = validate_content(content, library=None if loaded is None else loaded.library)
    except ExceptionGroup as group:
        faults = "\n  ".join(escape_controls(str(exception)) for exception in group.exceptions)
        raise Unusable(
            f"{show_path(file)} cannot be used:\n  {faults}", "Run `platebook check` for the lines."
        ) from None
    kind = find_kind(content)
    if kind != "profile" and kind not in HOLDERS:
        raise Unusable(
            f"{show_path(file)} holds a {kind}, which is no table",
            "Name a file with bindings, controls or actions.",
        )
    return kind, content, value


def _bring_in(table_file: Path, into: Path, loaded: LoadedLibrary | None) -> None:
    from profiles.files.bindings_csv import apply_bindings, parse_bindings
    from profiles.files.csv_rows import CsvError, read_text
    from profiles.files.edit import FileEditor
    from profiles.files.members_csv import apply_members
    from profiles.files.save import SaveError
    from profiles.files.toml_edit import EditError
    from profiles.work.tables import list_doubts

    if loaded is None:
        refuse_link_out(into, into.parent, "its folder")
    else:
        refuse_link_out(into, loaded.folder)
    kind, *_ = _read(into, loaded)
    library = None if loaded is None else loaded.library
    try:
        text = read_text(table_file)
        editor = FileEditor.open(into, library)
        if kind == "profile":
            table = parse_bindings(text)
            changes, notes = apply_bindings(editor, table), table.notes
            if library is not None:
                notes = (*notes, *list_doubts(library, editor.content, table))
        else:
            changes, notes = apply_members(editor, text, kind, library)
        editor.save()
    except CsvError as error:
        problems = "\n  ".join(escape_controls(problem) for problem in error.problems)
        raise Unusable(f"{show_path(table_file)} cannot be read:\n  {problems}") from None
    except (EditError, SaveError) as error:
        raise Unusable(str(error)) from None
    for line in notes:
        note(f"note: {line}")
    member = {"profile": "binding", "device": "control", "application": "action"}[kind]
    for what, keys in (
        ("new", changes.new),
        ("changed", changes.changed),
        ("removed", changes.removed),
    ):
        if keys:
            named = join_words([f"`{escape_controls(key)}`" for key in keys])
            write(f"{what}: {count(len(keys), member)}: {named}")
    if not (changes.new or changes.changed or changes.removed):
        write("nothing changed")


def _put_csv(text: str, output: Path | None, *, replace: bool) -> None:
    if output is None:
        write_file_text(text)
        return
    from profiles.work.outputs import Output

    put_outputs([Output(output, text.encode("utf-8"), "csv")], replace=replace)
    write(show_path(output))


def _put(text: str, output: Path | None) -> None:
    if output is None:
        write_file_text(text)
        return
    from profiles.files.save import SaveError, create_file

    try:
        create_file(output, text.encode("utf-8"))
    except SaveError as error:
        raise Unusable(str(error)) from None
    write(show_path(output))
