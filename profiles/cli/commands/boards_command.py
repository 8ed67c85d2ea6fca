"""`platebook boards`: the boards that a device may name, or the pins of one and which are free."""

import click

from profiles.cli.libraries import library_option, open_sound_library
from profiles.cli.output import write_report
from profiles.report.document import Column, Facts, Report, Table
from profiles.wiring.boards import list_boards
from profiles.work.names import find_named


@click.command(name="boards")
@click.argument("board", required=False)
@library_option
@click.option("--device", help="Show which pins this device leaves free.")
@click.option("--json", "as_json", is_flag=True, help="Print it as JSON.")
def command(
    board: str | None, library_option: str | None, device: str | None, as_json: bool
) -> None:
    """List the boards that a device may name, or the pins of BOARD.

    With --device and no BOARD, show the board that the device names.
    """
    library = open_sound_library(library_option).library
    boards = list_boards(library)
    found = None if device is None else find_named("device", device, library.devices)
    wanted = board or (found.wiring.board if found is not None else None)
    if wanted is None:
        columns = (
            Column("board", "id"),
            Column("name", "name"),
            Column("pins", "pins", align="right"),
            Column("supply", "supply", unit="V"),
            Column("per pin", "pin_current", unit="mA"),
        )
        rows = tuple(
            (key, one.name, len(one.pins), one.supply, one.limits.pin)
            for key, one in sorted(boards.items())
        )
        write_report(Report("Boards", (Table(columns, rows, key="boards"),)), as_json=as_json)
        return
    chosen = find_named("board", wanted, boards)
    uses: dict[str, list[str]] = {}
    if found is not None:
        from profiles.wiring.circuit import pin_uses

        for use in pin_uses(found):
            uses.setdefault(use.pin, []).append(use.what)
    heads = [Column("pin", "pin"), Column("chip", "chip"), Column("note", "note", wraps=True)]
    if found is not None:
        heads.append(Column("used for", "uses", wraps=True))
    pins = tuple(
        (pin, port, chosen.notes.get(pin, ""))
        + ((", ".join(uses.get(pin, ())) or "free",) if found is not None else ())
        for pin, port in chosen.pins.items()
    )
    facts = {"board": chosen.id, "source": chosen.limits.source}
    blocks = (Facts(facts), Table(tuple(heads), pins, "Pins", key="pins"))
    write_report(Report(f"{chosen.name} ({chosen.id})", blocks), as_json=as_json)
