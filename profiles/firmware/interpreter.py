"""Files for boards that run a Python interpreter with USB HID.

Four files go onto the board's drive: `boot.py` tells the host what the box is, `code.py`
reads the pins and sends reports, `box_core.py` is the fixed core, `box_config.py` holds the
tables of this box. They use the interpreter's documented modules `board`, `digitalio`,
`microcontroller`, `supervisor` and `usb_hid`, and nothing that has to be installed.
"""

from pathlib import Path

from profiles.firmware.header import write_header
from profiles.firmware.plan import QUEUE, REPORT_ID, FirmwarePlan, plan_firmware
from profiles.host.descriptor import COLLECTION_USAGES
from profiles.host.descriptor_listing import annotate_descriptor
from profiles.model import Board, Device
from profiles.text.inert import c_comment, escape_controls

CORES = Path(__file__).parent / "cores"

LONGEST_PRODUCT = 126
"""UTF-16 units of a USB string descriptor: 255 bytes less two, two bytes each (USB 2.0, 9.6.7)."""

WARNINGS = (
    "A rotary that is turned faster than the interpreter reads its pins loses steps; the sketch "
    "for an 8-bit AVR board reads about every millisecond.",
    "After the first copy press reset or plug the board in again: boot.py runs at power-up only.",
)


def interpreter_files(device: Device, board: Board | None = None) -> dict[str, str]:
    """Texts of the four files by name; `board` is the device's own, where its file is known.

    Raises:
        CannotBuildError: where the wiring contradicts itself or nothing can be reported.
    """
    plan = plan_firmware(device, board)
    kind = "a board that runs a Python interpreter with USB HID"
    header = write_header(plan, kind, [*WARNINGS, *_warn_of_name(device)])
    top = "".join(f"# {c_comment(line)}".rstrip() + "\n" for line in header) + "\n"
    return {
        "boot.py": top + _read_core("box_boot.py.txt"),
        "code.py": top + _read_core("box_main.py.txt"),
        "box_core.py": _read_core("box_core.py"),
        "box_config.py": top + write_tables(plan, device, board),
    }


def _read_core(name: str) -> str:
    return (CORES / name).read_text(encoding="utf-8")


def write_tables(plan: FirmwarePlan, device: Device, board: Board | None) -> str:
    """The tables of one box as box_config.py."""
    parts = [
        "from box_core import Tables\n",
        _write_identity(plan, device),
        _write_descriptor(plan),
        _write_pins(plan),
        _write_ports(plan, board),
        _write_rules(plan),
    ]
    return "\n".join(parts)


def name_product(device: Device) -> str:
    """The name the host shows, made inert; cut where USB cannot carry all of it."""
    shown = _show_name(device)
    while len(shown.encode("utf-16-le")) > 2 * LONGEST_PRODUCT:
        shown = shown[:-1]
    return shown


def _show_name(device: Device) -> str:
    usb = device.device.usb
    return escape_controls(usb.name if usb is not None and usb.name else device.name)


def _warn_of_name(device: Device) -> list[str]:
    product = name_product(device)
    if product == _show_name(device):
        return []
    return [f"USB cannot carry the whole name; the host shows its first {len(product)} letters."]


def _write_identity(plan: FirmwarePlan, device: Device) -> str:
    usb = device.device.usb
    lines = [
        f"PRODUCT = {name_product(device)!a}",
        f"VENDOR_ID = {f'0x{usb.vendor.upper()}' if usb else None}",
        f"PRODUCT_ID = {f'0x{usb.product.upper()}' if usb else None}",
        f"USAGE = 0x{COLLECTION_USAGES[plan.shape.collection]:02X}",
        f"REPORT_ID = {REPORT_ID}",
        f"REPORT_BYTES = {plan.report_bytes}",
    ]
    return "\n".join(lines) + "\n"


def _write_descriptor(plan: FirmwarePlan) -> str:
    rows = "".join(
        f"    b{_escape_bytes(line.raw)}  # {'  ' * line.depth}{line.words}\n"
        for line in annotate_descriptor(plan.descriptor)
    )
    return f"DESCRIPTOR = (\n{rows})\n"


def _escape_bytes(raw: bytes) -> str:
    return '"' + "".join(f"\\x{byte:02X}" for byte in raw) + '"'


def _write_pins(plan: FirmwarePlan) -> str:
    chain = plan.chain
    uses = (chain.latch, chain.clock, chain.data) if chain is not None else ()
    lists = {
        "DRIVEN": plan.driven,
        "SENSED": plan.sensed,
        "OWN": plan.own,
        "HELD_LOW": plan.held_low,
        "LEDS": plan.leds,
        "CHAIN": uses,
    }
    lines = [
        f"{name} = {_write_tuple([ascii(pin) for pin in pins])}" for name, pins in lists.items()
    ]
    return "\n".join([*lines, f"SETTLE = {plan.settle}  # us"]) + "\n"


def _write_ports(plan: FirmwarePlan, board: Board | None) -> str:
    """The chip's names of the pins, for boards whose printed names the interpreter lacks."""
    ports = board.pins if board is not None else {}
    rows = "".join(
        f"    {pin!a}: {ports[pin]!a},\n" for pin in dict.fromkeys(plan.pins) if pin in ports
    )
    return f"PORTS = {{\n{rows}}}\n" if rows else "PORTS = {}\n"


def _write_tuple(words: list[str]) -> str:
    return f"({', '.join(words)}{',' if len(words) == 1 else ''})"


def _write_rules(plan: FirmwarePlan) -> str:
    sizes = {
        "driven_count": len(plan.driven),
        "sensed_count": len(plan.sensed),
        "own_count": len(plan.own),
        "chain_count": plan.chain_length,
        "report_bytes": plan.report_bytes,
        "debounce": plan.debounce,
        "gap": plan.gap,
        "queue": QUEUE,
    }
    lines = ["TABLES = Tables()", *(f"TABLES.{name} = {size}" for name, size in sizes.items())]
    for name, rows in _list_rules(plan).items():
        body = "".join(f"    {row},  # {c_comment(note)}\n" for row, note in rows)
        lines.append(f"TABLES.{name} = (\n{body})")
    return "\n".join(lines) + "\n"


def _list_rules(plan: FirmwarePlan) -> dict[str, list[tuple[str, str]]]:
    """Rows of every table as (Python text, whose they are)."""
    return {
        "follows": [
            (f"({rule.point}, {rule.button}, {int(rule.inverted)})", rule.name)
            for rule in plan.rules.follows
        ],
        "edges": [
            (f"({rule.point}, {int(rule.opening)}, {rule.pulser}, {rule.slot})", rule.name)
            for rule in plan.rules.edges
        ],
        "rotaries": [
            (f"({rule.a}, {rule.b}, {rule.steps}, {rule.pulser})", rule.name)
            for rule in plan.rules.turns
        ],
        "pulsers": [
            (f"({first}, {pulser.pulse})", pulser.name)
            for first, pulser in zip(_first_slots(plan), plan.rules.pulsers, strict=True)
        ],
        "slots": [
            (f"0x{button:04X}", pulser.name)
            for pulser in plan.rules.pulsers
            for button in pulser.buttons
        ],
    }


def _first_slots(plan: FirmwarePlan) -> list[int]:
    sizes = [len(pulser.buttons) for pulser in plan.rules.pulsers]
    return [sum(sizes[:at]) for at in range(len(sizes))]
