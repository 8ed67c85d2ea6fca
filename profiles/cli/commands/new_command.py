"""`platebook new`: a commented starter file for a device, application, profile, board or part."""

import os
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Literal

import click
from click.core import ParameterSource

from profiles.cli.exits import Unusable
from profiles.cli.group import WholeGroup
from profiles.cli.libraries import (
    explain_fault,
    find_folder,
    library_option,
    open_library,
    open_sound_library,
)
from profiles.cli.output import note, show_path, write, write_report
from profiles.files.library import LoadedLibrary
from profiles.files.starters import StarterError, StarterKind, check_id, starter
from profiles.model import Library
from profiles.text.inert import escape_controls, file_name
from profiles.text.prose import join_words
from profiles.work.names import find_named, find_only

if TYPE_CHECKING:
    from profiles.files.lists import Pasted
    from profiles.plan.wires import Diodes
    from profiles.work.drift import Taken
    from profiles.work.starting import Started

_id = click.argument("id_", metavar="ID")
_name = click.option("--name", metavar="NAME", help="The name people use.  [default: made from ID]")
_list = click.Path(path_type=Path, dir_okay=False, allow_dash=True)
_output = click.option(
    "--output",
    "-o",
    type=click.Path(path_type=Path, dir_okay=False),
    help="The file to write.  [default: ID.toml in the library's folder]",
)


@click.group(name="new", cls=WholeGroup)
def command() -> None:
    """Start a device, application, profile, board or part file, with comments that teach it."""


@command.command(name="device")
@_id
@_name
@click.option("--grid", metavar="5x4", help="Lay out so many controls in a row, and rows.")
@click.option(
    "--row",
    "row_words",
    multiple=True,
    metavar="3xpush-16,rotary-7",
    help="Lay out a row of these parts; again for each row, from the top.",
)
@click.option(
    "--part",
    metavar="PART",
    default="push-16",
    show_default=True,
    help="With --grid: the part of each control.",
)
@click.option(
    "--pitch", metavar="35", help="Centre to centre in mm.  [default: as far apart as advised]"
)
@click.option("--labels", type=_list, help="With --grid or --row: a file of labels, one a line.")
@click.option(
    "--board", metavar="ID", default="atmega32u4", show_default=True, help="The controller board."
)
@click.option(
    "--diodes",
    type=click.Choice(["fewest", "every"]),
    default="every",
    show_default=True,
    help="A diode at each contact, or only where switches that stay closed need one.",
)
@_output
@library_option
def new_device(
    id_: str,
    name: str | None,
    grid: str | None,
    row_words: tuple[str, ...],
    part: str,
    pitch: str | None,
    labels: Path | None,
    board: str,
    diodes: "Diodes",
    output: Path | None,
    library_option: str | None,
) -> None:
    """Start the device ID; with --grid or --row lay it out: plate, controls and wiring.

    \b
      platebook new device box --grid 5x4 --labels labels.txt
      platebook new device box --row 5xtoggle-12 --row 4xpush-16,2xrotary-7
    """
    names = {"id": id_, "name": name or _name_from(id_)}
    given = _list_given("part", "pitch", "labels", "board", "diodes")
    if grid is None and not row_words:
        if given:
            goes = "goes" if len(given) == 1 else "go"
            raise click.UsageError(f"{join_words(given)} {goes} with --grid or --row")
        _start("device", names, output, library_option)
        return
    from profiles.plan.layout import LayoutError, read_grid, read_pitch, read_row
    from profiles.work.starting import start_device

    if grid is not None and row_words:
        raise click.UsageError("choose either --grid or --row")
    if grid is None and "--part" in given:
        raise click.UsageError("--part goes with --grid")
    try:
        if grid is not None:
            across, down = read_grid(grid)
            rows = [[part] * across] * down
        else:
            rows = [read_row(words) for words in row_words]
        step = None if pitch is None else read_pitch(pitch)
    except LayoutError as error:
        raise Unusable(escape_controls(str(error)), error.remedy) from None
    pasted = None if labels is None else _read_list(labels)

    def make(library: Library) -> "Started":
        return start_device(library, names, rows, pasted, step, board, diodes)

    _start("device", names, output, library_option, make=make)


def _list_given(*keys: str) -> list[str]:
    """Those options of the running command that were typed."""
    source = click.get_current_context().get_parameter_source
    return [f"--{key}" for key in keys if source(key) is ParameterSource.COMMANDLINE]


@command.command(name="application")
@_id
@_name
@click.option(
    "--actions", type=_list, help="A file of action names, one a line, groups as headings."
)
@click.option("--like", metavar="APPLICATION", help="Copy this application, comments and all.")
@click.option(
    "--of",
    "theirs",
    metavar="DIR",
    help="Copy from this library, such as an unpacked bundle: APPLICATION, or the only one.",
)
@click.option("--show", is_flag=True, help="With --like or --of: show the actions, write nothing.")
@_output
@library_option
def new_application(
    id_: str,
    name: str | None,
    actions: Path | None,
    like: str | None,
    theirs: str | None,
    show: bool,
    output: Path | None,
    library_option: str | None,
) -> None:
    """Start the application ID; with --actions it has those of a list that you paste.

    A heading ends with a colon, or begins with #. The file - is standard input. With --like or --of
    it is a copy of another application.
    """
    is_copy = like is not None or theirs is not None
    if show and not is_copy:
        raise click.UsageError("--show goes with --like or --of")
    if is_copy and actions is not None:
        raise click.UsageError("choose either --actions, or --like and --of")
    if is_copy:
        _copy_application(id_, name, like, theirs, output, library_option, show=show)
        return
    names = {"id": id_, "name": name or _name_from(id_)}
    if actions is None:
        _start("application", names, output, library_option)
        return
    from profiles.work.starting import start_application

    pasted = _read_list(actions)
    make = lambda _: start_application(names, pasted)  # noqa: E731
    _start("application", names, output, library_option, make=make)


def _copy_application(
    id_: str,
    name: str | None,
    like: str | None,
    theirs: str | None,
    output: Path | None,
    library_option: str | None,
    *,
    show: bool,
) -> None:
    """Copy an application of the library, or of another one, under an id of its own."""
    from profiles.files.faults import FileFaultError
    from profiles.work.starting import copy_application, report_actions

    loaded = open_library(library_option)
    shelf = loaded if theirs is None else open_sound_library(theirs, "--of")
    known = shelf.library.applications
    other = (
        find_only("application", known) if like is None else find_named("application", like, known)
    )
    if show:
        write_report(report_actions(other))
        note("nothing is written; without --show the application is")
        return

    def make(_: Library) -> "Started":
        try:
            return copy_application(shelf, other, {"id": id_, "name": name})
        except FileFaultError as fault:
            raise Unusable(f"{escape_controls(str(fault))}", f"{fault.remedy}.") from None

    _start("application", {"id": id_}, output, library_option, loaded, make)


def _read_list(path: Path) -> "Pasted":
    """The names and headings in a file, or in standard input for `-`."""
    from profiles.cli.typed import read_whole
    from profiles.files.documents import decode_text, read_bytes
    from profiles.files.faults import FileFaultError
    from profiles.files.lists import read_list

    try:
        data = read_whole() if str(path) == "-" else read_bytes(path)
        return read_list(decode_text(data))
    except FileFaultError as fault:
        raise explain_fault(path, fault) from None


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
@click.option("--application", metavar="ID", help="Id of the application.  [default: the only one]")
@click.option("--device", metavar="ID", help="Id of the device.  [default: the only one]")
@click.option(
    "--like",
    metavar="PROFILE",
    help="Carry bindings over from this profile: by ids, words, groups and places.",
)
@click.option(
    "--of",
    "theirs",
    metavar="DIR",
    help="With --like: the library that PROFILE is in, such as an unpacked bundle.",
)
@click.option(
    "--show", is_flag=True, help="With --like: show both profiles side by side, write nothing."
)
@click.option(
    "--from",
    "source",
    metavar="FILE",
    type=click.Path(path_type=Path),
    help="Take the bindings of the application's own settings file.",
)
@_output
@library_option
def new_profile(
    id_: str,
    name: str | None,
    application: str | None,
    device: str | None,
    like: str | None,
    theirs: str | None,
    show: bool,
    source: Path | None,
    output: Path | None,
    library_option: str | None,
) -> None:
    """Start the profile ID, which binds an application to a device of the library.

    It has a line for each contact with its label, and lists the actions still to bind. Those whose
    name is the label of a control are bound to it.
    """
    from profiles.work.starting import start_profile

    loaded = open_library(library_option)
    other = None
    if like is None and (theirs or show):
        raise click.UsageError("--of and --show go with --like")
    if like is not None:
        shelf = loaded.library if theirs is None else open_sound_library(theirs, "--of").library
        other = shelf.link(find_named("profile", like, shelf.profiles).id)
        header = other.profile
        application = application or _if_there(
            header.profile.application, loaded.library.applications
        )
        device = device or _if_there(header.device_ids[0], loaded.library.devices)
    names = {
        "id": id_,
        "name": name or _name_from(id_),
        "application": _choose("application", application, loaded.library),
        "device": _choose("device", device, loaded.library),
    }

    if show and other is not None:
        from profiles.work.starting import report_carried

        mine = loaded.library
        box, program = mine.devices[names["device"]], mine.applications[names["application"]]
        write_report(report_carried(other, box, program))
        note("nothing is written; without --show the profile is")
        return

    def make(library: Library) -> "Started":
        taken = None if source is None else _take_bindings(source, library, names)
        return start_profile(library, names, other, taken)

    _start("profile", names, output, library_option, loaded, make)


def _take_bindings(file: Path, library: Library, names: Mapping[str, str]) -> "Taken":
    """The bindings in the application's settings file."""
    from profiles.files.faults import FileFaultError
    from profiles.work.drift import take_bindings

    application = library.applications[names["application"]]
    try:
        return take_bindings(file, application, library.devices[names["device"]])
    except FileFaultError as fault:
        raise explain_fault(file, fault) from None


def _if_there(word: str, known: Mapping[str, object]) -> str | None:
    """A name, where it leads somewhere."""
    return word if word in known else None


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
    make: "Callable[[Library], Started] | None" = None,
) -> None:
    """Write the starter of a kind, or what `make` makes of the library, into a new file."""
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
    path = output or find_folder(library_option) / f"{file_name(names['id'])}.toml"
    if path.suffix.lower() != ".toml":
        raise Unusable(
            f"a starter is TOML, and {show_path(path)} does not end with .toml",
            "Name it so; `platebook convert` makes YAML or JSON of it.",
        )
    notes: tuple[str, ...] = ()
    try:
        check_id("id", names["id"])
        if make is None:
            text = starter(kind, **names)
        else:
            text, notes = make(loaded.library)
    except StarterError as error:
        raise Unusable(str(error), getattr(error, "remedy", "")) from None
    _write_new(path, text)
    for line in notes:
        note(f"note: {escape_controls(line)}")
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
