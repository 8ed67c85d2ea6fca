"""`platebook wiring`: matrix, pins, power and timing; the host's view; numbering; descriptor."""

import click

from profiles.cli.editing import offer_edit
from profiles.cli.exits import Exit, Unusable
from profiles.cli.group import WholeGroup
from profiles.cli.libraries import library_option, open_sound_library
from profiles.cli.output import note, show_path, write, write_report
from profiles.facts.device import DeviceFacts
from profiles.files.library import LoadedLibrary
from profiles.model import Device
from profiles.plan.wires import Diodes, WiringPlan, WiringPlanError, plan_wiring
from profiles.report.document import Column, Facts, Paragraph, Report, Table
from profiles.text.inert import escape_controls
from profiles.text.prose import count
from profiles.wiring.boards import board_of
from profiles.wiring.box import harness_of
from profiles.wiring.numbering import Along, Unused
from profiles.wiring.renumber import renumber
from profiles.work.controls import put
from profiles.work.names import find_named, find_only

_device = click.argument("device", required=False)
_json = click.option("--json", "as_json", is_flag=True, help="Print it as JSON.")


@click.group(name="wiring", cls=WholeGroup)
def command() -> None:
    """Show a device's matrix, pins, ghosting, power, timing and host."""


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
    """Show DEVICE's matrix, pins, what may be pressed at the same time, power and timing.

    A board of your own is a file of the library with a [board] table.
    """
    from profiles.sheets.wiring_report import report_wiring

    loaded = open_sound_library(library_option)
    found = _choose(loaded, device)
    wanted = found.wiring.board
    if wanted is not None and board_of(loaded.library, found) is None:
        note(f"note: no board file describes `{escape_controls(wanted)}`")
    write_report(report_wiring(loaded.library, found, series), as_json=as_json)


@command.command(name="host")
@_device
@library_option
@_json
def host(device: str | None, library_option: str | None, as_json: bool) -> None:
    """Show each input of DEVICE as operating systems, browsers and applications see it, and when it
    arrives."""
    from profiles.facts.device import DeviceFacts
    from profiles.sheets.host_report import report_host

    loaded = open_sound_library(library_option)
    applications = loaded.library.applications.values()
    found = _choose(loaded, device)
    facts = DeviceFacts(found, board_of(loaded.library, found))
    write_report(report_host(facts, applications), as_json=as_json)


@command.command(name="plan")
@_device
@library_option
@click.option(
    "--diodes",
    type=click.Choice(["fewest", "every"]),
    default="fewest",
    show_default=True,
    help="Diodes where profiles and switches need them, or one at each contact.",
)
@click.option("--rewire", is_flag=True, help="Also plan the crossings that contacts already have.")
@click.option("--renumber", is_flag=True, help="Let input numbers change.")
@click.option("--write", "is_written", is_flag=True, help="Change the device's file.")
@_json
def plan_lines(
    device: str | None,
    library_option: str | None,
    diodes: Diodes,
    rewire: bool,
    renumber: bool,
    is_written: bool,
    as_json: bool,
) -> None:
    """Give each contact of DEVICE that has no wire a crossing or a pin; shows what changes first.

    Crossings, pins and input numbers stay as they are. New ones: contacts with a common share a
    line, no combination that is pressed causes ghosting, with the fewest pins, the fewest diodes
    and the least wire.
    """
    loaded = open_sound_library(library_option)
    found = _choose(loaded, device)
    try:
        plan = plan_wiring(loaded.library, found, diodes, rewired=rewire, renumbered=renumber)
    except WiringPlanError as error:
        raise Unusable(str(error), error.remedy) from None
    edit = put(found.id, f"Plan the wiring of {found.id}", plan.edits)
    report = report_plan(found, plan)
    offer_edit(loaded, edit, report, is_written=is_written, as_json=as_json)
    for line in plan.lacks:
        note(f"warning: {line}")
    for line in plan.notes:
        note(f"note: {line}")


def report_plan(device: Device, plan: WiringPlan) -> Report:
    """Report where each new contact goes, and what the whole takes."""
    rows = [
        (str(one), f"row {row}, column {column}", plan.numbers.get(one))
        for one, (row, column) in plan.crossings.items()
    ]
    rows += [(str(one), f"pin {pin}", plan.numbers.get(one)) for one, pin in plan.pins.items()]
    wire, was = (
        sum(total.length for total in harness_of(box).totals) for box in (plan.device, device)
    )
    wiring = plan.device.wiring
    sums = {
        "rows": len(wiring.rows),
        "columns": len(wiring.columns),
        "diodes": len(plan.diodes),
        "wire": wire,
        "wire_before": was,
    }
    words = (
        f"{count(sums['rows'], 'row')} and {count(sums['columns'], 'column')}, "
        f"{count(sums['diodes'], 'diode')}, {wire / 1000:.1f} m of wire"
    )
    columns = (Column("contact", "contact"), Column("place", "place"), Column("input", "input"))
    facts = Facts({"device": device.id, **sums, "lacks": plan.lacks, "notes": plan.notes})
    return Report("", (facts, Table(columns, tuple(rows), key="contacts"), Paragraph(words)))


@command.command(name="renumber")
@_device
@library_option
@click.option("--along", type=click.Choice(["rows", "columns"]), help="Which way numbers run.")
@click.option(
    "--first", metavar="N", type=click.IntRange(1, 65535), help="Number of the first crossing."
)
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
    from profiles.sheets.wiring_report import report_renumbering

    loaded = open_sound_library(library_option)
    found = _choose(loaded, device)
    wiring = found.wiring
    way: Along | None = wiring.numbering
    if along is not None:
        way = "along-columns" if along == "columns" else "along-rows"
    if way is None:
        raise Unusable(
            f"the inputs of `{escape_controls(found.id)}` are given one by one",
            "Say which way to number them: --along rows or --along columns.",
        )
    plan = renumber(found, way, first or wiring.first_input, unused or wiring.unused)
    write_report(report_renumbering(loaded.library, found, plan), as_json=as_json)
    if plan.clashes:
        note(f"note: several contacts of {escape_controls(found.id)} would share an input")
        return Exit.FINDINGS
    declared = found.device.report.buttons
    highest = max((change.new or 0 for change in plan.changes), default=0)
    if declared is not None and highest > declared:
        note(
            f"note: {escape_controls(found.id)} declares {declared} buttons, "
            f"the highest input would be {highest}; set device.report.buttons too"
        )
    if not plan.edits or not is_written:
        if is_written:
            note("nothing to change")
        elif plan.edits:
            note("note: nothing is written; --write changes the file")
        return Exit.FINE
    from profiles.files.edit import FileEditor
    from profiles.files.save import SaveError
    from profiles.files.toml_edit import EditError

    source = loaded.sources[found.id]
    try:
        editor = FileEditor.open(source.path, loaded.library)
        for path, value in plan.edits:
            editor.set(path, value)
        editor.save()
    except (EditError, SaveError) as error:
        raise Unusable(str(error)) from None
    note(f"changed {show_path(source.shown)}")
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
@click.option(
    "--report-id", metavar="N", type=click.IntRange(1, 255), help="Report id.  [default: none]"
)
def descriptor(
    device: str | None, library_option: str | None, form: str, report_id: int | None
) -> None:
    """Write DEVICE's HID report descriptor."""
    from profiles.host.descriptor_listing import write_c_array, write_listing
    from profiles.host.device_view import describe_device

    loaded = open_sound_library(library_option)
    found = _choose(loaded, device)
    data = describe_device(found, DeviceFacts(found).reported.values(), report_id)
    if form == "hex":
        lines = [data[start : start + 16].hex(" ") for start in range(0, len(data), 16)]
        write("\n".join(lines))
    else:
        write(write_c_array(data) if form == "c" else write_listing(data))


def _choose(loaded: LoadedLibrary, word: str | None) -> Device:
    devices = loaded.library.devices
    if word is not None:
        return find_named("device", word, devices)
    return find_only("device", devices)
