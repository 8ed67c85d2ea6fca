"""`platebook print`: sheets true to scale. One command a sheet, made from the registry."""

from collections.abc import Sequence
from datetime import date
from typing import Any

import click

from profiles.cli.exits import Exit, Unusable
from profiles.cli.libraries import library_option, open_sound_library
from profiles.cli.sheet_options import OPTIONS
from profiles.cli.sheet_orders import (
    STDOUT,
    choose_formats,
    choose_paper,
    choose_subject,
    print_sheet,
)
from profiles.drawing.paper import PAPERS
from profiles.model.library import Link
from profiles.sheets.registry import SHEETS, SheetKind
from profiles.sheets.sheet import SheetRequest


@click.group(name="print")
def command() -> None:
    """Print sheets. Measure the ruler on paper before you trust it: print at 100 %."""


def make_command(kind: SheetKind, *, name: str = "", form: str = "") -> click.Command:
    """The command of a sheet, under its own name and with its first format unless told."""
    usual = form or kind.formats[0]

    def run(**given: Any) -> Exit:
        return _run(kind, usual, given)

    params = click.Command(name or kind.name, callback=run, help=f"{kind.title}.")
    for decorate in (*_common(kind, usual), *(OPTIONS[option] for option in kind.options)):
        params = decorate(params)
    return params


def _common(kind: SheetKind, usual: str) -> list[Any]:
    options = [
        library_option,
        click.option("--device", metavar="ID", help="The device; may be left out where clear."),
        click.option("--paper", type=click.Choice(sorted(PAPERS)), default="a4", show_default=True),
        click.option(
            "--landscape",
            is_flag=True,
            help="Long side of the paper across; else a drawing turns it as it needs.",
        ),
        click.option(
            "--format",
            "formats",
            type=click.Choice(kind.formats),
            multiple=True,
            help=f"Output format; may be given several times.  [default: {usual}]",
        ),
        click.option(
            "--output",
            "-o",
            metavar="PATH",
            help="File, folder with / at its end, or - for stdout.",
        ),
        click.option("--no-date", is_flag=True, help="Leave the date out: same input, same bytes."),
        click.option("--json", "as_json", is_flag=True, help="Print what was made as JSON."),
        click.option(
            "--strict",
            is_flag=True,
            help="Exit with 1 where something was left out, shrunk or moved.",
        ),
    ]
    if kind.profiles[1]:
        options.append(
            click.option(
                "--profile", "profiles", metavar="ID", multiple=True, help="The profile to print."
            )
        )
    if kind.true_scale:
        options.append(click.option("--scale", hidden=True, callback=_refuse_scale))
    return options


def _refuse_scale(_context: click.Context, _param: click.Parameter, value: object) -> None:
    if value is not None:
        raise Unusable(
            "this sheet is true to scale and takes no --scale",
            "Choose larger paper with --paper, or let it be tiled.",
        )


def _refuse_titles_of_none(labels: str | None, links: Sequence[Link]) -> None:
    if labels in ("title", "both") and not links:
        raise Unusable(f"--labels {labels} needs a title's profile", "Name one with --profile.")


def _run(kind: SheetKind, usual: str, given: dict[str, Any]) -> Exit:
    loaded = open_sound_library(given["library_option"])
    device, links = choose_subject(loaded.library, kind, given["device"], given.get("profiles", ()))
    _refuse_titles_of_none(given.get("labels"), links)
    order = SheetRequest(
        library=loaded.library,
        device=device,
        links=links,
        devices=(device,) if given["device"] else (),
        paper=choose_paper(given["paper"], given["landscape"]),
        date="" if given["no_date"] else date.today().isoformat(),
        rear=bool(given.get("rear")),
        options={name: given[name] for name in kind.options if given.get(name) is not None},
    )
    formats = choose_formats(kind, given["formats"], given["output"], usual)
    return print_sheet(
        loaded,
        kind,
        order,
        formats=formats,
        output=given["output"] or (STDOUT if formats == ("text",) else None),
        as_json=given["as_json"],
        strict=given["strict"],
    )


for _kind in SHEETS.values():
    command.add_command(make_command(_kind))
