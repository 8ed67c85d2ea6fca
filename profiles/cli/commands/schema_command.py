"""`platebook schema`: the JSON Schemas of the file formats, for editors."""

from pathlib import Path

import click

from profiles.cli.exits import Exit, Unusable
from profiles.cli.libraries import library_option, open_library
from profiles.cli.output import note, put_outputs, replace_option, show_path, write
from profiles.text.prose import count


@click.command(name="schema")
@click.argument("folder", required=False, type=click.Path(path_type=Path, file_okay=False))
@click.option(
    "--kind", metavar="KIND", help="Print the schema of one kind of file instead of writing files."
)
@click.option("--verify", is_flag=True, help="Read the library by the schemas alone instead.")
@replace_option
@library_option
def command(
    folder: Path | None, kind: str | None, verify: bool, replace: bool, library_option: str | None
) -> Exit | None:
    """Write the JSON Schemas (draft 2020-12) into FOLDER, by default `schemas`.

    With --verify: read the library in FOLDER as any other program would. Exit code 1: a schema
    refuses a file, or takes one that `check` refuses.
    """
    if verify and kind is not None:
        raise click.UsageError("choose either --kind or --verify")
    if verify:
        if folder is not None and library_option is not None:
            raise click.UsageError("name the library once: as FOLDER or with --library")
        from profiles.files.verify import verify_library

        refused = list(verify_library(open_library(str(folder) if folder else library_option)))
        for place, message, remedy in refused:
            write(f"{place}: {message}\n  {remedy}")
        note(f"{count(len(refused), 'value')} refused by the schemas or by `check` alone")
        return Exit.FINDINGS if refused else Exit.FINE
    if kind is not None:
        _print_one(kind)
        return None
    from profiles.files.schema import schema_files
    from profiles.work.outputs import Output

    target = folder or Path("schemas")
    outputs = [Output(target / name, text.encode()) for name, text in schema_files().items()]
    put_outputs(outputs, replace=replace)
    for output in outputs:
        write(show_path(output.path))
    note("name one in the first line of a file, and an editor checks it as you type")
    return None


def _print_one(kind: str) -> None:
    import json

    from profiles.files.schema import schemas
    from profiles.text.inert import escape_controls
    from profiles.text.prose import join_words

    known = schemas()
    if kind not in known:
        kinds = join_words([f"`{word}`" for word in known], last="or")
        raise Unusable(f"no schema for `{escape_controls(kind)}`", f"Choose {kinds}.")
    write(json.dumps(known[kind], indent=2, ensure_ascii=True))
