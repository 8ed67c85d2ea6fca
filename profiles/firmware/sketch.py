"""A C++ sketch for 8-bit AVR boards with native USB (ATmega32U4).

Three files go into one folder: the sketch, the fixed core and the tables of this box. The
sketch uses the board core alone, with the HID part that comes with it. Pins are named as the
board core numbers them (its variant for the ATmega32U4: pins_arduino.h).
"""

from collections.abc import Callable
from pathlib import Path

from profiles.facts.box_model import NO_BUTTON, QUEUE
from profiles.firmware.header import write_header
from profiles.firmware.plan import (
    NOISE,
    REPORT_ID,
    CannotBuildError,
    FirmwarePlan,
    estimate_memory,
    list_banks,
    list_levels,
    list_rules,
    list_setup,
    plan_firmware,
    usb_strings,
    warn_of_strings,
)
from profiles.host.descriptor import lay_out_report
from profiles.host.descriptor_listing import write_c_array
from profiles.model import Board, Device, Expander, Ladder, Multiplexer, ShiftRegisterChain
from profiles.text.inert import c_comment, file_name
from profiles.text.prose import join_words
from profiles.wiring.banks import MEASURES, PORTS
from profiles.wiring.power import asked_current

CORES = Path(__file__).parent / "cores"
FIXED = ("box_sketch.ino", "box_core.h", "box_usb.h", "Makefile.txt")

MEMORY = 1900
"""Bytes of working memory a box may take: the chip has 2560 (ATmega32U4 data sheet), and
the board core, its USB buffers and the stack want the rest. Unverified."""

PIN_NUMBERS: dict[str, int] = {
    **{str(number): number for number in range(14)},
    **{f"A{number}": 18 + number for number in range(6)},
    "A6": 4,
    "A7": 6,
    "A8": 8,
    "A9": 9,
    "A10": 10,
    "A11": 12,
    "MISO": 14,
    "SCK": 15,
    "MOSI": 16,
    "SS": 17,
    "RXLED": 17,
    "TXLED": 30,
    "14": 14,
    "15": 15,
    "16": 16,
    "17": 17,
    "30": 30,
    **{str(18 + number): 18 + number for number in range(6)},
    "SDA": 2,
    "SCL": 3,
    "RX": 0,
    "TX": 1,
}
"""Number of each pin by the name printed beside it. A6 to A11 are second names."""

PORT_NUMBERS: dict[str, int] = {
    **{f"PB{bit}": number for bit, number in enumerate((17, 15, 16, 14, 8, 9, 10, 11))},
    **{f"PD{bit}": number for bit, number in enumerate((3, 2, 0, 1, 4, 30, 12, 6))},
    **{
        f"PF{bit}": number for bit, number in ((0, 23), (1, 22), (4, 21), (5, 20), (6, 19), (7, 18))
    },
    "PC6": 5,
    "PC7": 13,
    "PE6": 7,
}
"""Number of each pin by the chip's name of it, as a board file gives it."""

ANALOG_NUMBERS: dict[int, int] = {
    **{number: number for number in range(18, 24)},
    **{number: place for place, number in enumerate((4, 6, 8, 9, 10, 12), 24)},
}
"""Number under which a pin is measured, by its number: A0 to A5, then A6 to A11."""

BUS_PINS = {"sda": 2, "scl": 3}
"""The chip's wires of the two-wire bus (PIN_WIRE_SDA and PIN_WIRE_SCL in pins_arduino.h)."""

NONE = 0xFF
"""The number of a pin or a register that is not there."""

BOARD_LIGHTS = frozenset({17, 30})
"""Pins of the lights that the board core switches with USB traffic (RXLED0 and TXLED0 in
pins_arduino.h): it would fight with whatever a box has there."""

PIN_WITH_LIGHT = 13
"""Many boards have a light with a resistor from this pin to GND. Rule of thumb."""

WARNING = (
    "Use USB numbers that are yours to use. Without `[device.usb]` the box has those of the board, "
    "as every other one of its make."
)

Find = Callable[[str], int | None]
"""From the name of a pin to the board core's number of it."""


def pin_finder(board: Board | None) -> Find:
    """How pins are found: by the chip's names where the board's file has them, else as printed."""
    ports = board.pins if board is not None else {}

    def find(name: str) -> int | None:
        return PORT_NUMBERS.get(ports.get(name, ""), find_pin(name))

    return find


def find_pin(name: str) -> int | None:
    """The board core's number of a pin: its name as printed, with or without a leading D."""
    bare = name[1:] if name[:1] in ("D", "d") and name[1:].isdigit() else name
    return PIN_NUMBERS.get(bare, PIN_NUMBERS.get(bare.upper()))


def sketch_files(device: Device, board: Board | None = None) -> dict[str, str]:
    """Texts of the sketch by path, to be written below any folder.

    `board` is the device's own, where its file is known.

    Raises:
        CannotBuildError: where the wiring contradicts itself, the board lacks a pin, or the
            box needs more memory than the chip has.
    """
    plan, find = plan_firmware(device, board, "avr"), pin_finder(board)
    _check_board(plan, find)
    warnings = [WARNING, *warn_of_strings(device)]
    warnings += [
        f"Many boards have a light on pin {pin}. Where it hangs on the pin without a driver, the "
        "pin reads as closed all the time: choose another pin or take the light off."
        for pin in (*plan.sensed, *plan.own)
        if find(pin) == PIN_WITH_LIGHT
    ]
    header = write_header(plan, "an 8-bit AVR board with native USB (ATmega32U4)", warnings)
    top = "".join(f"// {c_comment(line)}".rstrip() + "\n" for line in header)
    folder = file_name(plan.device.id)
    power = asked_current(device.wiring.usb_current, "avr")
    core = {name: (CORES / name).read_text(encoding="utf-8") for name in FIXED}
    return {
        f"{folder}/{folder}.ino": f"{top}\n{core['box_sketch.ino']}",
        f"{folder}/box_config.h": f"{top}\n{write_tables(plan, find)}",
        f"{folder}/box_core.h": core["box_core.h"],
        f"{folder}/box_usb.h": core["box_usb.h"],
        f"{folder}/Makefile": f"SKETCH = {folder}.ino\nPOWER = {power}\n\n{core['Makefile.txt']}",
    }


def write_identity(device: Device) -> str:
    """The numbers and strings by which the host knows the box, as tables of box_config.h."""
    usb = device.device.usb
    lines = [f"#define BOX_HAS_IDENTITY {int(usb is not None)}"]
    if usb is not None:
        lines += [f"#define BOX_VENDOR 0x{usb.vendor}", f"#define BOX_PRODUCT 0x{usb.product}"]
        for key, text in usb_strings(device).items():
            raw = text.encode("utf-16-le")
            units = [f"0x{raw[at] | raw[at + 1] << 8:04X}" for at in range(0, len(raw), 2)]
            array = f"static const uint16_t box_{key}[{max(len(units), 1)}] BOX_FLASH"
            lines.append(f"#define BOX_{key.upper()}_COUNT {len(units)} /* {c_comment(text)} */")
            lines.append(f"{array} = {{{', '.join(units) or '0'}}};")
    return "\n".join(lines)


def _check_board(plan: FirmwarePlan, find: Find) -> None:
    """Raise CannotBuildError where the board cannot do what the box needs."""
    numbers = {pin: find(pin) for pin in dict.fromkeys(plan.pins)}
    by_number: dict[int, list[str]] = {}
    for pin, number in numbers.items():
        if number is not None:
            by_number.setdefault(number, []).append(pin)
    problems = []
    unknown = [pin for pin, number in numbers.items() if number is None]
    if unknown:
        problems.append(f"the ATmega32U4 board core knows no pin {join_words(unknown, 'or')}")
    problems += [
        f"pins {join_words(names)} are one pin of the board"
        for names in by_number.values()
        if len(names) > 1
    ]
    problems += [
        f"pin {pin} is a light that the board core switches itself"
        for pin, number in numbers.items()
        if number in BOARD_LIGHTS
    ]
    problems += [
        f"pin {axis.pin} for {axis.name} cannot measure"
        for axis in plan.axes
        if numbers.get(axis.pin) is not None and numbers[axis.pin] not in ANALOG_NUMBERS
    ]
    problems += [
        f"pin {pin} for {bank.name} cannot measure"
        for bank in plan.banks
        for _, pin, _, asks in bank.wires
        if asks == MEASURES and find(pin) is not None and find(pin) not in ANALOG_NUMBERS
    ]
    problems += [
        f"pin {pin} cannot be {wire} of {bank.name}: the chip has it at pin {BUS_PINS[wire]}"
        for bank in plan.banks
        for wire, pin, _, _ in bank.wires
        if wire in BUS_PINS and find(pin) != BUS_PINS[wire]
    ]
    needed = estimate_memory(plan)
    if needed > MEMORY:
        problems.append(f"the box needs {needed} bytes of memory; the chip has {MEMORY} for it")
    if problems:
        raise CannotBuildError(tuple(problems))


def write_tables(plan: FirmwarePlan, find: Find) -> str:
    """The tables of one box as box_config.h."""
    rules, matrix = plan.rules, plan.device.wiring.leds
    sizes = {
        "DRIVEN_COUNT": len(plan.driven),
        "SENSED_COUNT": len(plan.sensed),
        "OWN_COUNT": len(plan.own),
        "LOW_COUNT": len(plan.held_low),
        "LED_COUNT": len(plan.leds),
        "LIGHT_COUNT": len(plan.lights),
        "LIGHT_ROWS": len(matrix.rows) if matrix else 0,
        "LIGHT_COLUMNS": len(matrix.columns) if matrix else 0,
        "BANK_COUNT": len(plan.banks),
        "PLACE_COUNT": sum(len(bank.places) for bank in plan.banks),
        "FOLLOW_COUNT": len(rules.follows),
        "EDGE_COUNT": len(rules.edges),
        "WAITING_COUNT": len(plan.model.waiting),
        "ROTARY_COUNT": len(rules.turns),
        "PULSER_COUNT": len(rules.pulsers),
        "HAT_COUNT": plan.shape.hats,
        "HATS_AT": lay_out_report(plan.shape).hats_at,
        "DIAL_COUNT": len(plan.dials),
        "AXIS_COUNT": len(plan.axes),
        "NOISE": f"{NOISE}u /* of 65535 */",
        "REPORT_BYTES": plan.report_bytes,
        "REPORT_ID": REPORT_ID,
        "POWER": f"{asked_current(plan.device.wiring.usb_current, 'avr')} /* mA */",
        "QUEUE": QUEUE,
        "DEBOUNCE": f"{plan.debounce}u /* ms */",
        "HOLD": f"{plan.hold}u /* ms */",
        "SETTLE": f"{plan.settle}u /* us */",
    }
    pins = []
    for name, names in (
        ("driven", plan.driven),
        ("sensed", plan.sensed),
        ("own", plan.own),
        ("low", plan.held_low),
        ("led", plan.leds),
        ("light_row", matrix.rows if matrix else ()),
        ("light_column", matrix.columns if matrix else ()),
        ("axis", tuple(pin for pin, _, _ in map(plan.lead_to, plan.axes))),
    ):
        found = [find(pin) for pin in names]
        if name == "axis":
            found = [ANALOG_NUMBERS.get(number or 0) for number in found]
        numbers = ", ".join(map(str, found)) or "0"
        note = f" /* {c_comment(' '.join(names))} */" if names else " /* none */"
        size = max(len(names), 1)
        array = f"static const uint8_t box_{name}_pins[{size}]"
        pins.append(f"{array} BOX_FLASH = {{{numbers}}};{note}")
    pins += _list_banks(plan, find)
    at = [light.led.crossing or (1, 1) for light in plan.lights]
    low = [int(light.led.lit == "low") for light in plan.lights]
    for array, values in (
        (
            "box_light_place box_light_places",
            [f"{{{row - 1}, {column - 1}}}" for row, column in at],
        ),
        ("uint8_t box_light_low", list(map(str, low))),
    ):
        body = ", ".join(values) or "{}"
        pins.append(f"static const {array}[{max(len(values), 1)}] BOX_FLASH = {{{body}}};")
    tables = []
    for name, rows in {**list_rules(plan), **list_banks(plan.banks)}.items():
        lines = [
            f"    {row.replace('(', '{').replace(')', '}')}, /* {c_comment(note)} */\n"
            for row, note in rows
        ]
        body = (
            "".join(lines)
            or f"    {'0' if C_NAMES[name].startswith('uint') else '{}'}, /* none */\n"
        )
        size = max(len(rows), 1)
        tables.append(f"static const {C_NAMES[name]}[{size}] BOX_FLASH = {{\n{body}}};")
    tables.append(f"/* A slot of 0x{NO_BUTTON:04X} has no button. */")
    parts = [
        "#ifndef BOX_CONFIG_H\n#define BOX_CONFIG_H",
        "\n".join(f"#define BOX_{name} {value}" for name, value in sizes.items()),
        "\n".join(pins),
        "\n".join(tables),
        write_identity(plan.device),
        write_c_array(plan.descriptor, "box_descriptor", "BOX_FLASH").rstrip(),
        "#endif",
    ]
    return "\n\n".join(parts) + "\n"


def _list_banks(plan: FirmwarePlan, find: Find) -> list[str]:
    """The pins of each bank, what is written to expanders, and the levels of ladders."""

    def number(pin: str) -> int:
        found = find(pin)
        return NONE if found is None else found

    rows, levels, setup = [], list[int](), list[int]()
    for bank in plan.banks:
        four, more = [NONE] * 4, 0
        match bank.part:
            case ShiftRegisterChain() as one:
                kind, more = "CHAIN", int(one.active == "high")
                four[:3] = (number(pin) for pin in (one.latch, one.clock, one.data))
            case Expander() as one:
                port = PORTS[one.chip]
                kind, more = "EXPANDER", one.address
                four[0] = number(one.interrupt) if one.interrupt else NONE
                four[1:3] = (port.size, NONE if port.command is None else port.command)
                for words in list_setup(one):
                    setup += [one.address, len(words), *words]
            case Multiplexer() as one:
                kind, more = "MULTIPLEXER", number(one.pin)
                four[: len(one.select)] = map(number, one.select)
            case Ladder() as one:
                found = list_levels(one, 1023)
                kind, more = "LADDER", ANALOG_NUMBERS.get(number(one.pin), NONE)
                four[:2] = len(levels), len(found)
                levels += found
        note = c_comment(bank.name)
        rows.append(f"    {{BOX_{kind}, {{{', '.join(map(str, four))}}}, {more}}}, /* {note} */\n")
    leads = [plan.lead_to(axis)[1:] for axis in plan.axes if plan.banks]
    lead = ", ".join(f"{{{NONE if bank is None else bank}, {place}}}" for bank, place in leads)
    kinds = {type(bank.part) for bank in plan.banks}
    lines = [f"#define BOX_HAS_EXPANDER {int(Expander in kinds)}"]
    lines += [f"#define BOX_HAS_LADDER {int(Ladder in kinds)}"]
    for name, values in (
        ("box_bank_pins box_bank_wires", "".join(rows)),
        ("box_lead box_axis_leads", lead),
        ("uint16_t box_levels", ", ".join(map(str, levels))),
        (
            "uint8_t box_setup",
            ", ".join([*(f"0x{one:02X}" for one in setup), "0"] if setup else []),
        ),
    ):
        if values:
            body = f"\n{values}" if name.startswith("box") else values
            lines.append(f"static const {name}[] BOX_FLASH = {{{body}}};")
    return lines


C_NAMES = {
    "follows": "box_follow box_follows",
    "edges": "box_edge box_edges",
    "lights": "box_light box_lights",
    "waiting": "box_waiting box_waits",
    "conditions": "uint16_t box_conditions",
    "rotaries": "box_rotary box_rotaries",
    "dials": "box_dial box_dials",
    "pulsers": "box_pulser box_pulsers",
    "slots": "uint16_t box_slots",
    "banks": "box_bank box_banks",
    "places": "uint8_t box_places",
    "axes": "box_axis box_axes",
}
"""C type and name of each table of rules."""
