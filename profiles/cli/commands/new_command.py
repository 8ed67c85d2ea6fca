"""`platebook new`: a commented starter file for a device, application, profile, board or part."""

import os
from collections.abc import Mapping
from pathlib import Path
from typing import Literal

import click

from profiles.cli.exits import Unusable
from profiles.cli.libraries import find_folder, library_option, open_library
from profiles.cli.output import note, show_path, write
from profiles.files.library import LoadedLibrary
from profiles.files.starters import StarterError, StarterKind, starter
from profiles.model import Library
from profiles.text.inert import escape_controls
from profiles.work.names import find_named, find_only

_id = click.argument("id_", metavar="ID")
_name = click.option("--name", help="The name people use.  [default: made from ID]")
_output = click.option(
    "--output",
    "-o",
    type=click.Path(path_type=Path, dir_okay=False),
    help="The file to write.  [default: ID.toml in the library's folder]",
)


@click.group(name="new")
def command() -> None:
    """Start a device, application, profile, board or part file, with comments that teach it."""


@command.command(name="device")
@_id
@_name
@_output
@library_option
def new_device(id_: str, name: str | None, output: Path | None, library_option: str | None) -> None:
    """Start the device ID."""
    _start("device", {"id": id_, "name": name or _name_from(id_)}, output, library_option)


@command.command(name="application")
@_id
@_name
@_output
@library_option
def new_application(
    id_: str, name: str | None, output: Path | None, library_option: str | None
) -> None:
    """Start the application ID."""
    _start("application", {"id": id_, "name": name or _name_from(id_)}, output, library_option)


@command.command(name="board")
@_id
@_name
@_output
@library_option
def new_board(id_: str, name: str | None, output: Path | None, library_option: str | None) -> None:
    """Start the controller board ID."""
    _start("board", {"id": id_, "name": name or _name_from(id_)}, output, library_option)


@command.command(name="part")
@_id
@_name
@_output
@library_option
def new_part(id_: str, name: str | None, output: Path | None, library_option: str | None) -> None:
    """Start the part ID, which controls of every device may name."""
    _start("part", {"id": id_, "name": name or _name_from(id_)}, output, library_option)


@command.command(name="profile")
@_id
@_name
@click.option("--application", help="Id of the application.  [default: the only one]")
@click.option("--device", help="Id of the device.  [default: the only one]")
@_output
@library_option
def new_profile(
    id_: str,
    name: str | None,
    application: str | None,
    device: str | None,
    output: Path | None,
    library_option: str | None,
) -> None:
    """Start the profile ID, which binds an application to a device of the library."""
    loaded = open_library(library_option)
    names = {
        "id": id_,
        "name": name or _name_from(id_),
        "application": _choose("application", application, loaded.library),
        "device": _choose("device", device, loaded.library),
    }
    _start("profile", names, output, library_option, loaded)


def _name_from(id_: str) -> str:
    words = id_.replace("-", " ").replace("_", " ").strip()
    return words[:1].upper() + words[1:]


def _choose(kind: Literal["application", "device"], word: str | None, library: Library) -> str:
    """The id given, or the only one there is; it must be in the library."""
    known: Mapping[str, object] = library.applications if kind == "application" else library.devices
    if word is not None:
        if any(item.id == word for item in library.unusable):
            raise Unusable(
                f"the file of {kind} `{escape_controls(word)}` cannot be used",
                "Fix it first: `platebook check` names what is wrong.",
            )
        find_named(kind, word, known)
        return word
    find_only(kind, known)
    return next(iter(known))


def _start(
    kind: StarterKind,
    names: dict[str, str],
    output: Path | None,
    library_option: str | None,
    loaded: LoadedLibrary | None = None,
) -> None:
    loaded = loaded or open_library(library_option)
    taken = loaded.sources.get(names["id"])
    if taken is not None:
        raise Unusable(
            f"id `{escape_controls(names['id'])}` is taken by {escape_controls(taken.shown)}",
            "Choose another id.",
        )
    if any(item.id == names["id"] for item in loaded.library.unusable):
        raise Unusable(
            f"id `{escape_controls(names['id'])}` is taken by a file that cannot be used",
            "Choose another id, or fix that file: `platebook check` names what is wrong.",
        )
    path = output or find_folder(library_option) / f"{names['id']}.toml"
    if path.suffix.lower() != ".toml":
        raise Unusable(
            f"a starter is TOML, and {show_path(path)} does not end with .toml",
            "Name it so; `platebook convert` makes YAML or JSON of it.",
        )
    try:
        text = starter(kind, **names)
    except StarterError as error:
        raise Unusable(str(error)) from None
    _write_new(path, text)
    write(show_path(path))
    note("edit it, then run `platebook check`")
    if kind == "board":
        from profiles.wiring.boards import packaged_boards

        if names["id"] in packaged_boards():
            note(f"it takes the place of the board `{names['id']}` that comes with Platebook")


def _write_new(path: Path, text: str) -> None:
    from profiles.files.save import SaveError, create_file

    if os.path.lexists(path):
        raise Unusable(
            f"{show_path(path)} is there already, and is left as it is",
            "Choose another id, or another file with --output.",
        )
    try:
        create_file(path, text.encode())
    except SaveError as error:
        raise Unusable(str(error)) from None
