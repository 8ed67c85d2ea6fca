"""`platebook print`: sheets true to scale. One command a sheet, made from its request's class."""

from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

import click

from profiles.cli.exits import Exit, Unusable
from profiles.cli.group import WholeGroup
from profiles.cli.libraries import library_option, open_sound_library
from profiles.cli.output import (
    date_option,
    is_terminal,
    put_outputs,
    replace_option,
    show_path,
    write,
    write_file_text,
    write_report,
)
from profiles.cli.print_all import print_all_command
from profiles.cli.remarks import describe_remarks, plain_remarks
from profiles.files.library import LoadedLibrary
from profiles.sheets.options import Option, options_of
from profiles.sheets.requests import SHEETS, SheetRequest
from profiles.work.printing import (
    READABLE,
    STDOUT,
    MadeSheet,
    choose_formats,
    make_request,
    make_sheets,
    place_sheets,
)


@click.group(name="print", cls=WholeGroup)
def command() -> None:
    """Print sheets. Measure the ruler on paper before you trust it: print at 100 %."""


def make_command(kind: type[SheetRequest], *, name: str = "", form: str = "") -> click.Command:
    """The command of a sheet, under its own name and its first format unless given."""

    def run(**given: Any) -> Exit:
        return _run(kind, form, given)

    made = click.Command(name or kind.sheet, callback=run, help=f"{kind.title}.")
    options = [
        library_option,
        click.option("--device", metavar="ID", help="The device, if needed."),
    ]
    if kind.takes[1]:
        words = "A profile to print; may be given several times."
        options.append(
            click.option("--profile", "profiles", metavar="ID", multiple=True, help=words)
        )
    options += [_option(name, option) for name, option in options_of(kind).items()]
    options += [
        click.option(
            "--format",
            "formats",
            metavar=f"[{'|'.join(kind.formats)}]",
            multiple=True,
            help=f"Format; may be given several times.  [default: {form or kind.formats[0]}]",
        ),
        click.option(
            *("--output", "-o"),
            metavar="PATH",
            help="File, folder with / at its end, or - for stdout.",
        ),
        replace_option,
        date_option,
        click.option("--json", "as_json", is_flag=True, help="Print what was made as JSON."),
        click.option(
            "--strict",
            is_flag=True,
            help="Exit with 1 if something was skipped, shrunk or moved.",
        ),
    ]
    if kind.is_true_scale:
        options.append(click.option("--scale", hidden=True, callback=_refuse_scale))
    for decorate in options:
        made = decorate(made)
    return made


def _option(name: str, option: Option) -> Any:
    """An option of a request as one of the command; its value is judged by the request."""
    if option.is_flag:
        return click.option(f"--{name}", is_flag=True, default=None, help=f"{option.words}.")
    unit = {"mm": "MM", "g/cm³": "G/CM3", "%": "PERCENT"}.get(option.unit, "")
    metavar = f"{unit}x{unit}" if option.is_pair else unit or f"[{'|'.join(option.choices)}]"
    limits = "" if option.choices else f", {option.range}"
    words = f"{option.words}{limits}.  [default: {option.usual}]"
    return click.option(f"--{name}", metavar=metavar, help=words)


def _refuse_scale(_context: click.Context, _param: click.Parameter, value: object) -> None:
    if value is not None:
        raise Unusable(
            "this sheet is true to scale and takes no --scale",
            "Choose larger paper with --paper, or let it be tiled.",
        )


def _run(kind: type[SheetRequest], usual: str, given: dict[str, Any]) -> Exit:
    loaded = open_sound_library(given["library_option"])
    request = make_request(
        kind.sheet,
        device=given["device"],
        profiles=given.get("profiles", ()),
        date=given["today"],
        **{name: given[name] for name in options_of(kind)},
    )
    output = given["output"]
    formats = choose_formats(kind, given["formats"], output, usual)
    to_stdout = output == STDOUT or (output is None and formats == ("text",))
    if to_stdout and (len(formats) > 1 or formats[0] not in READABLE):
        raise Unusable("only one readable format can go to stdout", "Name a file or folder.")
    made = make_sheets(loaded.library, request, formats)
    if to_stdout and len(made) > 1 and formats != ("text",):
        raise Unusable(
            f"{len(made)} sheets as {formats[0]} cannot share stdout",
            "Name one with --device, or a folder with --output.",
        )
    placed = [] if to_stdout else place_sheets(made, output)
    put_outputs([file for files in placed for file in files], replace=given["replace"])
    paths = [[file.path for file in files] for files in placed] or [[] for _ in made]
    if given["as_json"]:
        _write_json(loaded, made, paths)
    elif to_stdout and formats == ("text",) and is_terminal():
        for number, sheet in enumerate(one.sheet for one in made):
            if number:
                write("")
            if sheet.report is not None:
                write_report(sheet.report)
    elif to_stdout:
        write_file_text("\n".join(one.data[formats[0]].decode("utf-8") for one in made))
    else:
        for path in (path for each in paths for path in each):
            write(show_path(path))
    remarks = list(dict.fromkeys(remark for one in made for remark in one.remarks))
    describe_remarks(loaded, remarks)
    failed = given["strict"] and any(remark.fails_strict for remark in remarks)
    return Exit.FINDINGS if failed else Exit.FINE


def _write_json(
    loaded: LoadedLibrary, made: Sequence[MadeSheet], paths: Sequence[Sequence[Path]]
) -> None:
    """What was made as JSON: a sheet's members at the top, a list `sheets` where there are more."""
    import json

    sheets = [_plain(loaded, *pair) for pair in zip(made, paths, strict=True)]
    members = sheets[0] if len(sheets) == 1 else {"sheets": sheets}
    write(json.dumps({"format": 1, **members}, ensure_ascii=True, indent=2))


def _plain(loaded: LoadedLibrary, made: MadeSheet, paths: Sequence[Path]) -> Mapping[str, Any]:
    return {
        "sheet": made.sheet.name,
        "title": made.sheet.title,
        "files": [str(path) for path in paths],
        "pages": len(made.sheet.document.pages),
        "facts": dict(made.sheet.facts),
        "remarks": plain_remarks(loaded, made.remarks),
    }


for _kind in SHEETS.values():
    command.add_command(make_command(_kind))
command.add_command(print_all_command)
