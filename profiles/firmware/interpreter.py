"""Files for boards that run a Python interpreter with USB HID.

Four files go onto the board's drive: `boot.py` tells the host what the box is, `code.py`
reads the pins and sends reports, `box_core.py` is the fixed core, `box_config.py` holds the
tables of this box. They use the interpreter's documented modules `analogio`, `board`, `busio`,
`digitalio`, `microcontroller`, `supervisor` and `usb_hid`, and nothing that has to be installed.
"""

from pathlib import Path

from profiles.facts.box_model import QUEUE
from profiles.firmware.header import write_header
from profiles.firmware.plan import (
    NOISE,
    REPORT_ID,
    FirmwarePlan,
    list_banks,
    list_levels,
    list_rules,
    list_setup,
    plan_firmware,
    usb_strings,
    warn_of_strings,
)
from profiles.host.descriptor import COLLECTION_USAGES, lay_out_report
from profiles.host.descriptor_listing import annotate_descriptor
from profiles.host.identity import INTERPRETER_BYTES
from profiles.model import Board, Device, Expander, Ladder, Multiplexer, ShiftRegisterChain
from profiles.text.inert import c_comment
from profiles.wiring.banks import PORTS, Bank
from profiles.wiring.power import INTERPRETER_ASKS

CORES = Path(__file__).parent / "cores"
FIXED = ("box_boot.py.txt", "box_main.py.txt", "box_core.py")

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
    plan = plan_firmware(device, board, "python")
    warnings = [*WARNINGS, *warn_of_strings(device, INTERPRETER_BYTES)]
    if device.device.usb is not None and device.device.usb.serial:
        warnings.append("The interpreter gives the box the serial number of its chip, not yours.")
    if device.wiring.usb_current != INTERPRETER_ASKS:
        warnings.append(
            f"The interpreter asks the USB port for {INTERPRETER_ASKS} mA, not for "
            f"{device.wiring.usb_current}: nothing in these files can change that."
        )
    header = write_header(plan, "a board that runs a Python interpreter with USB HID", warnings)
    top = "".join(f"# {c_comment(line)}".rstrip() + "\n" for line in header) + "\n"
    core = {name: (CORES / name).read_text(encoding="utf-8") for name in FIXED}
    return {
        "boot.py": top + core["box_boot.py.txt"],
        "code.py": top + core["box_main.py.txt"],
        "box_core.py": core["box_core.py"],
        "box_config.py": top + write_tables(plan, board),
    }


def write_tables(plan: FirmwarePlan, board: Board | None) -> str:
    """The tables of one box as box_config.py.

    The chip's names of the pins go along, for boards whose printed names the interpreter lacks.
    """
    usb, chip = plan.device.device.usb, board.pins if board else {}
    strings = usb_strings(plan.device, INTERPRETER_BYTES)
    words = {"product": strings["name"], "manufacturer": strings["maker"]}
    known = [f'"{key}": {word!a}' for key, word in words.items() if word]
    if usb:
        known += [f'"vid": 0x{usb.vendor.upper()}', f'"pid": 0x{usb.product.upper()}']
    identity = {
        "IDENTITY": f"{{{', '.join(known)}}}",
        "USAGE": f"0x{COLLECTION_USAGES[plan.shape.collection]:02X}",
        "REPORT_ID": REPORT_ID,
        "REPORT_BYTES": plan.report_bytes,
    }
    descriptor = []
    for line in annotate_descriptor(plan.descriptor):
        raw = "".join(f"\\x{byte:02X}" for byte in line.raw)
        descriptor.append(f'    b"{raw}"  # {"  " * line.depth}{line.words}')
    pins = {
        "DRIVEN": plan.driven,
        "SENSED": plan.sensed,
        "OWN": plan.own,
        "HELD_LOW": plan.held_low,
    }
    ports = [f"    {pin!a}: {chip[pin]!a}," for pin in dict.fromkeys(plan.pins) if pin in chip]
    sizes = {
        "driven_count": len(plan.driven),
        "sensed_count": len(plan.sensed),
        "own_count": len(plan.own),
        "report_bytes": plan.report_bytes,
        "debounce": plan.debounce,
        "hold": plan.hold,
        "queue": QUEUE,
        "hats_at": lay_out_report(plan.shape).hats_at,
        "hat_count": plan.shape.hats,
        "noise": NOISE,
    }
    lines = ["from box_core import Tables", ""]
    lines += [f"{name} = {value}" for name, value in identity.items()]
    lines += ["", "DESCRIPTOR = (", *descriptor, ")", ""]
    lines += [f"{name} = {tuple(map(str, names))!a}" for name, names in pins.items()]
    lines += ["BANKS = (", *(f"    {_list_bank(bank)!a}," for bank in plan.banks), ")"]
    lights = [
        (light.led.pin, light.led.lit == "low", *(light.led.crossing or (0, 0)))
        for light in plan.lights
    ]
    matrix = plan.device.wiring.leds
    lines += ["LIGHTS = (", *(f"    {one!a}," for one in lights), ")"]
    lines += [f"LIGHT_ROWS = {(matrix.rows if matrix else ())!a}"]
    lines += [f"LIGHT_COLUMNS = {(matrix.columns if matrix else ())!a}"]
    axes = "".join(f"{plan.lead_to(axis)!a}, " for axis in plan.axes)
    lines += [f"AXES = ({axes.rstrip()})"]
    lines += [f"SETTLE = {plan.settle}  # us", ""]
    lines += ["PORTS = {", *ports, "}", ""] if ports else ["PORTS = {}", ""]
    lines += ["TABLES = Tables()", *(f"TABLES.{name} = {size}" for name, size in sizes.items())]
    for name, rows in {**list_rules(plan), **list_banks(plan.banks)}.items():
        body = [f"    {row},  # {c_comment(note)}" for row, note in rows]
        lines += [f"TABLES.{name} = (", *body, ")"]
    return "\n".join(lines) + "\n"


def _list_bank(bank: Bank) -> tuple[object, ...]:
    """Kind of a bank, and what box_main makes it from."""
    match bank.part:
        case ShiftRegisterChain() as one:
            return ("chain", one.latch, one.clock, one.data, one.active == "high")
        case Expander() as one:
            port = PORTS[one.chip]
            command = () if port.command is None else (port.command,)
            wires = (one.sda, one.scl, one.address)
            return ("expander", *wires, list_setup(one), command, port.size, one.interrupt)
        case Multiplexer() as one:
            return ("multiplexer", "" if bank.measured else one.pin, one.select)
        case Ladder() as one:
            return ("ladder", one.pin, list_levels(one, 0xFFFF))
