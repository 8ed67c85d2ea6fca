"""`platebook convert`: a file as another format; bindings to a spreadsheet and back."""

from pathlib import Path

import click

from profiles.cli.exits import Unusable
from profiles.cli.output import note, show_path, write, write_file_text
from profiles.files.documents import read_document
from profiles.files.faults import FileFaultError
from profiles.files.places import Format
from profiles.model.profile import Profile
from profiles.text.inert import escape_controls
from profiles.text.prose import count, join_words

_SUFFIXES: dict[Format, str] = {"toml": ".toml", "yaml": ".yaml", "json": ".json"}


@click.command(name="convert")
@click.argument("file", type=click.Path(path_type=Path))
@click.option("--to", "form", type=click.Choice(list(_SUFFIXES)), help="The format to write.")
@click.option("--csv", "as_csv", is_flag=True, help="Bindings as CSV, out of or into a profile.")
@click.option(
    "--into",
    type=click.Path(path_type=Path),
    metavar="PROFILE.toml",
    help="With --csv: the profile whose bindings FILE.csv replaces, comments kept.",
)
@click.option(
    "--output",
    "-o",
    type=click.Path(path_type=Path),
    help="File to write.  [default: standard output]",
)
def command(
    file: Path, form: Format | None, as_csv: bool, into: Path | None, output: Path | None
) -> None:
    """Rewrite FILE as TOML, YAML or JSON, its content equal; or its bindings as CSV.

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
        raise click.UsageError("--csv --into PROFILE.toml brings a CSV file in")
    try:
        if into is not None:
            _bring_in(file, into)
        elif as_csv:
            _put(_write_csv(file), output)
        else:
            from profiles.files.convert import convert_file

            converted = convert_file(file, form or "toml")
            _put(converted.text, output)
            for line in converted.notes:
                note(f"warning: {line}")
            if output is not None and output.parent.resolve() == file.parent.resolve():
                note(f"note: keep one of the two in a library: {show_path(file)} has the same id")
    except FileFaultError as fault:
        raise _explain_fault(file, fault) from None


def _write_csv(file: Path) -> str:
    from profiles.files.bindings_csv import write_bindings

    return write_bindings(_read_profile(file))


def _read_profile(file: Path) -> Profile:
    from profiles.files.validate import validate_content

    try:
        value = validate_content(read_document(file).content)
    except ExceptionGroup as group:
        faults = "\n  ".join(escape_controls(str(one)) for one in group.exceptions)
        raise Unusable(
            f"{show_path(file)} cannot be used:\n  {faults}", "Run `platebook check` for the lines."
        ) from None
    if not isinstance(value, Profile):
        raise Unusable(f"{show_path(file)} holds no profile", "Name a file with bindings.")
    return value


def _bring_in(table_file: Path, into: Path) -> None:
    from profiles.files.bindings_csv import CsvError, apply_bindings, read_bindings
    from profiles.files.edit import FileEditor
    from profiles.files.save import SaveError
    from profiles.files.toml_edit import EditError

    _read_profile(into)
    try:
        table = read_bindings(table_file)
        editor = FileEditor.open(into)
        changes = apply_bindings(editor, table)
        editor.save()
    except CsvError as error:
        problems = "\n  ".join(escape_controls(one) for one in error.problems)
        raise Unusable(f"{show_path(table_file)} cannot be read:\n  {problems}") from None
    except (EditError, SaveError) as error:
        raise Unusable(str(error)) from None
    for line in table.notes:
        note(f"note: {line}")
    for what, keys in (
        ("new", changes.new),
        ("changed", changes.changed),
        ("removed", changes.removed),
    ):
        if keys:
            named = join_words([f"`{escape_controls(key)}`" for key in keys])
            write(f"{what}: {count(len(keys), 'binding')}: {named}")
    if not (changes.new or changes.changed or changes.removed):
        write("nothing changed")


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


def _explain_fault(file: Path, fault: FileFaultError) -> Unusable:
    region = getattr(fault, "region", None)
    said = escape_controls(str(fault))
    if region is None and escape_controls(file.name) in said:
        return Unusable(said, f"{fault.remedy}.")
    where = f":{region.line}:{region.column}" if region else ""
    return Unusable(f"{show_path(file)}{where}: {said}", f"{fault.remedy}.")
