"""`platebook boards`: the boards that a device may name, or the pins of one and which are free."""

import click

from profiles.cli.libraries import library_option, open_sound_library
from profiles.cli.output import write_report
from profiles.report.document import Cell, Column, Facts, Report, Table, Value
from profiles.wiring.boards import list_boards
from profiles.work.names import find_named


@click.command(name="boards")
@click.argument("board", required=False)
@library_option
@click.option("--device", metavar="ID", help="Show which pins this device leaves free.")
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
            Column("firmware", "firmware"),
        )
        rows = tuple(
            (key, one.name, len(one.pins), one.supply, one.limits.pin, one.board.firmware)
            for key, one in sorted(boards.items())
        )
        write_report(Report("Boards", (Table(columns, rows, key="boards"),)), as_json=as_json)
        return
    chosen = find_named("board", wanted, boards)
    heads = [
        Column("pin", "pin"),
        Column("chip", "chip"),
        Column("can", "can", wraps=True),
        Column("note", "note", wraps=True),
    ]
    pins: list[tuple[Value, ...]] = [
        (pin, port, _show_abilities(chosen.abilities(pin)), chosen.notes.get(pin, ""))
        for pin, port in chosen.pins.items()
    ]
    facts = {
        "board": chosen.id,
        "firmware": chosen.board.firmware,
        "source": chosen.limits.source,
    }
    if found is not None:
        from profiles.wiring.circuit import free_pins, pin_uses

        uses: dict[str, list[str]] = {}
        for use in pin_uses(found):
            uses.setdefault(use.pin, []).append(use.what)
        free = free_pins(found, chosen)
        heads += [Column("used for", "uses", wraps=True), Column("", "free", readers="machines")]
        pins = [
            (
                *row,
                ", ".join(uses.get(pin, ())) or ("free" if pin in free else "a common"),
                pin in free,
            )
            for row, pin in zip(pins, chosen.pins, strict=True)
        ]
    blocks = (Facts(facts), Table(tuple(heads), tuple(pins), "Pins", key="pins"))
    write_report(Report(f"{chosen.name} ({chosen.id})", blocks), as_json=as_json)


def _show_abilities(abilities: tuple[str, ...]) -> Cell:
    """What a pin can do: `digital` means reading, driving and a pull-up together."""
    usual = ("input", "output", "pull-up")
    words = abilities
    if abilities[: len(usual)] == usual:
        words = ("digital", *abilities[len(usual) :])
    return Cell(", ".join(words), data=abilities)
