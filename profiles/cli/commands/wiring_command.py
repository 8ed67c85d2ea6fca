"""`platebook wiring`: matrix, pins, power and timing; the host's view; numbering; descriptor."""

import json
from collections.abc import Iterable

import click

from profiles.cli.choices import find_named, find_only
from profiles.cli.exits import Exit, Unusable
from profiles.cli.libraries import library_option, open_sound_library
from profiles.cli.output import note, show_path, write
from profiles.files.library import LoadedLibrary
from profiles.model import Application, Board, Device
from profiles.text.inert import escape_controls
from profiles.wiring.boards import board_of
from profiles.wiring.circuit import numbering_of, profiles_changed
from profiles.wiring.numbering import Along, Unused
from profiles.wiring.renumber import Renumbering, renumber

_device = click.argument("device", required=False)
_json = click.option("--json", "as_json", is_flag=True, help="Print it as JSON.")


@click.group(name="wiring")
def command() -> None:
    """Reason about a device's matrix, pins, power, timing and host."""


@command.command(name="show")
@_device
@library_option
@_json
@click.option(
    "--series",
    type=click.Choice(["E12", "E24"]),
    default="E24",
    show_default=True,
    help="Values that resistors are bought in (IEC 60063).",
)
def show(device: str | None, library_option: str | None, as_json: bool, series: str) -> None:
    """Show DEVICE's matrix, pins, what may be closed together, power and timing.

    A board of your own is a file of the library with a [board] table.
    """
    from profiles.cli.wiring_text import describe_report, make_report, render_report
    from profiles.wiring.electrical import judge_device

    loaded = open_sound_library(library_option)
    found = _choose(loaded, device)
    verdict = judge_device(found, loaded.library.profiles_of(found.id))
    board, titles = _board_of(loaded, found), _applications(loaded, found)
    report = make_report(found, board, verdict, titles, series)
    write(json.dumps(describe_report(report), indent=2) if as_json else render_report(report))


@command.command(name="host")
@_device
@library_option
@_json
def host(device: str | None, library_option: str | None, as_json: bool) -> None:
    """Show each input of DEVICE as operating systems, browsers and applications see it."""
    from profiles.cli.host_text import describe_host, make_host_report, render_host

    loaded = open_sound_library(library_option)
    found = _choose(loaded, device)
    report = make_host_report(found, loaded.library.applications.values())
    write(json.dumps(describe_host(report), indent=2) if as_json else render_host(report))


@command.command(name="renumber")
@_device
@library_option
@click.option("--along", type=click.Choice(["rows", "columns"]), help="Which way numbers run.")
@click.option("--first", type=click.IntRange(1, 65535), help="Number of the first crossing.")
@click.option(
    "--unused", type=click.Choice(["counted", "skipped"]), help="Whether unused crossings count."
)
@click.option("--write", "is_written", is_flag=True, help="Change the device's file.")
@_json
def renumber_inputs(
    device: str | None,
    library_option: str | None,
    along: str | None,
    first: int | None,
    unused: Unused | None,
    is_written: bool,
    as_json: bool,
) -> Exit:
    """Number DEVICE's matrix another way; shows what changes, and with --write does it."""
    loaded = open_sound_library(library_option)
    found = _choose(loaded, device)
    wiring = found.wiring
    way = _way(found, along)
    plan = renumber(found, way, first or wiring.first_input, unused or wiring.unused)
    write(_plan_json(loaded, found, plan) if as_json else _plan_text(loaded, found, plan))
    if plan.clashes:
        note(f"note: {escape_controls(found.id)} would have inputs that several contacts share")
        return Exit.FINDINGS
    _note_undeclared(found, plan)
    if is_written:
        _apply(loaded, found, plan)
    elif plan.edits:
        note("note: nothing is written; --write changes the file")
    return Exit.FINE


@command.command(name="descriptor")
@_device
@library_option
@click.option(
    "--as",
    "form",
    type=click.Choice(["listing", "hex", "c"]),
    default="listing",
    show_default=True,
    help="Annotated listing, bytes in hexadecimal, or a C array.",
)
@click.option("--report-id", type=click.IntRange(1, 255), help="Report id; left out: none.")
def descriptor(
    device: str | None, library_option: str | None, form: str, report_id: int | None
) -> None:
    """Write DEVICE's HID report descriptor."""
    from profiles.host.descriptor_listing import write_c_array, write_listing
    from profiles.host.device_view import describe_device

    loaded = open_sound_library(library_option)
    found = _choose(loaded, device)
    data = describe_device(found, numbering_of(found).numbers.values(), report_id)
    forms = {"listing": write_listing, "c": write_c_array, "hex": _write_hex}
    write(forms[form](data))


def _write_hex(data: bytes) -> str:
    """Sixteen bytes a line."""
    return "\n".join(data[start : start + 16].hex(" ") for start in range(0, len(data), 16))


def _choose(loaded: LoadedLibrary, word: str | None) -> Device:
    devices = loaded.library.devices
    if word is not None:
        return find_named("device", word, devices)
    return find_only("device", devices, option="DEVICE")


def _applications(loaded: LoadedLibrary, device: Device) -> Iterable[Application]:
    """Applications whose profiles bind the device, each once."""
    links = loaded.library.profiles_of(device.id)
    found = {link.application.id: link.application for link in links if link.application}
    return found.values()


def _board_of(loaded: LoadedLibrary, device: Device) -> Board | None:
    board = board_of(loaded.library, device)
    if board is None and device.wiring.board is not None:
        note(f"note: no board file describes `{escape_controls(device.wiring.board)}`")
    return board


def _way(device: Device, along: str | None) -> Along:
    if along is not None:
        return "along-columns" if along == "columns" else "along-rows"
    if device.wiring.numbering is None:
        raise Unusable(
            f"the inputs of `{escape_controls(device.id)}` are given one by one",
            "Say which way numbers shall run: --along rows or --along columns.",
        )
    return device.wiring.numbering


def _plan_text(loaded: LoadedLibrary, device: Device, plan: Renumbering) -> str:
    from profiles.sheets.text_table import render_table

    if not plan.changes:
        return "No input number changes."
    rows = [(str(t), str(old or "-"), str(new or "-")) for t, old, new in plan.changes]
    parts = [render_table(("contact", "now", "then"), rows)]
    for profile, keys in _profiles(loaded, device, plan):
        named = ", ".join(f"`{escape_controls(key)}`" for key in keys)
        parts.append(f"profile {profile} changes meaning in its title: {named}")
    for clash in plan.clashes:
        who = " and ".join(str(terminal) for terminal in clash.terminals)
        parts.append(f"input {clash.number} would be shared by {who}")
    return "\n\n".join(parts)


def _note_undeclared(device: Device, plan: Renumbering) -> None:
    """A note where the new numbers go beyond the buttons that the device declares."""
    declared = device.device.report.buttons
    highest = max((change.new or 0 for change in plan.changes), default=0)
    if declared is not None and highest > declared:
        note(
            f"note: {escape_controls(device.id)} declares {declared} buttons, "
            f"the highest input would be {highest}; set device.report.buttons too"
        )


def _profiles(
    loaded: LoadedLibrary, device: Device, plan: Renumbering
) -> tuple[tuple[str, tuple[str, ...]], ...]:
    terminals = [change.terminal for change in plan.changes]
    return profiles_changed(loaded.library, device, terminals)


def _plan_json(loaded: LoadedLibrary, device: Device, plan: Renumbering) -> str:
    document = {
        "format": 1,
        "device": device.id,
        "changes": [
            {"contact": str(terminal), "now": old, "then": new}
            for terminal, old, new in plan.changes
        ],
        "profiles": {name: list(keys) for name, keys in _profiles(loaded, device, plan)},
        "clashes": [
            {"input": clash.number, "contacts": [str(one) for one in clash.terminals]}
            for clash in plan.clashes
        ],
    }
    return json.dumps(document, indent=2)


def _apply(loaded: LoadedLibrary, device: Device, plan: Renumbering) -> None:
    """Change the device's file in place.

    Raises:
        Unusable: where it is no TOML, has changed since, or cannot be written.
    """
    from profiles.files.edit import FileEditor
    from profiles.files.save import SaveError
    from profiles.files.toml_edit import EditError

    source = loaded.sources[device.id]
    try:
        editor = FileEditor.open(source.path)
        for path, value in plan.edits:
            editor.set(path, value)
        if plan.edits:
            editor.save()
    except (EditError, SaveError) as error:
        raise Unusable(str(error)) from None
    note(f"changed {show_path(source.shown)}" if plan.edits else "nothing to change")
