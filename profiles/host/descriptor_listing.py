"""A HID report descriptor for people: an annotated listing, and an array for C.

Words for usages are those of the HID Usage Tables 1.12 (tables 1, 6, 7 and 14), words for
flags and collections those of USB HID 1.11 (6.2.2.5, 6.2.2.6). What has no word here is
shown as a number; nothing is left out.
"""

from typing import NamedTuple

from profiles.host.hid_items import Item, read_items

PAGES = {
    0x01: "Generic Desktop",
    0x02: "Simulation Controls",
    0x07: "Keyboard",
    0x08: "LED",
    0x09: "Button",
    0x0C: "Consumer",
}

USAGES: dict[tuple[int, int], str] = {
    (0x01, 0x01): "Pointer",
    (0x01, 0x02): "Mouse",
    (0x01, 0x04): "Joystick",
    (0x01, 0x05): "Game Pad",
    (0x01, 0x06): "Keyboard",
    (0x01, 0x07): "Keypad",
    (0x01, 0x08): "Multi-axis Controller",
    (0x01, 0x30): "X",
    (0x01, 0x31): "Y",
    (0x01, 0x32): "Z",
    (0x01, 0x33): "Rx",
    (0x01, 0x34): "Ry",
    (0x01, 0x35): "Rz",
    (0x01, 0x36): "Slider",
    (0x01, 0x37): "Dial",
    (0x01, 0x38): "Wheel",
    (0x01, 0x39): "Hat switch",
    (0x02, 0xBA): "Rudder",
    (0x02, 0xBB): "Throttle",
    (0x02, 0xC4): "Accelerator",
    (0x02, 0xC5): "Brake",
    (0x02, 0xC8): "Steering",
}

COLLECTIONS = (
    "Physical",
    "Application",
    "Logical",
    "Report",
    "Named Array",
    "Usage Switch",
    "Usage Modifier",
)

_FLAGS = (
    ("Data", "Constant"),
    ("Array", "Variable"),
    ("Absolute", "Relative"),
    ("", "Wrap"),
    ("", "Non-linear"),
    ("", "No Preferred"),
    ("", "Null state"),
    ("", "Volatile"),
    ("", "Buffered Bytes"),
)


class Line(NamedTuple):
    """One item of a listing: byte offset, bytes, depth in collections, and its words."""

    offset: int
    raw: bytes
    depth: int
    words: str


def annotate_descriptor(descriptor: bytes) -> list[Line]:
    """Every item with its words, in order.

    Raises DescriptorError where the descriptor ends inside an item.
    """
    lines: list[Line] = []
    page, depth, pages = 0, 0, []
    for item in read_items(descriptor):
        if item.name == "Usage Page":
            page = item.value
        elif item.name == "Push":
            pages.append(page)
        elif item.name == "Pop" and pages:
            page = pages.pop()
        depth -= item.name == "End Collection"
        lines.append(Line(item.offset, item.raw, max(depth, 0), describe_item(item, page)))
        depth += item.name == "Collection"
    return lines


def describe_item(item: Item, page: int) -> str:
    """The item in words, such as `Usage (Joystick)`, under the usage page in force."""
    if not item.name:
        return f"Reserved item {item.prefix:#04x}"
    value = item.value
    unknown = f"{value:#04x}"
    argument = str(value)
    if item.name in ("End Collection", "Push", "Pop"):
        return item.name
    if item.name in ("Input", "Output", "Feature"):
        words = (pair[value >> bit & 1] for bit, pair in enumerate(_FLAGS))
        argument = ", ".join(word for word in words if word)
    elif item.name == "Collection":
        argument = COLLECTIONS[value] if value < len(COLLECTIONS) else unknown
    elif item.name == "Usage Page":
        argument = PAGES.get(value, unknown)
    elif item.name in ("Usage", "Usage Minimum", "Usage Maximum"):
        if len(item.data) == 4:  # the page in the upper half
            page, value = value >> 16, value & 0xFFFF
        argument = USAGES.get((page, value), f"{value:#04x}")
        if page == 0x09:
            argument = f"Button {value}" if value else "No button"
    elif item.name == "Unit":
        argument = {0: "None", 0x14: "English rotation: degrees"}.get(value, unknown)
    return f"{item.name} ({argument})"


def write_listing(descriptor: bytes) -> str:
    """One line an item: offset in decimal, bytes in hexadecimal, words indented by depth."""
    lines = annotate_descriptor(descriptor)
    return "".join(
        f"{line.offset:4d}  {line.raw.hex(' ').upper():<15} {'  ' * line.depth}{line.words}\n"
        for line in lines
    )


def write_c_array(descriptor: bytes, name: str = "report_descriptor", keyword: str = "") -> str:
    """A C array of the bytes, one item a line with its words in a comment.

    `keyword` stands between the name and the initialiser, for instance `PROGMEM`.
    """
    placed = f" {keyword}" if keyword else ""
    body = ""
    for line in annotate_descriptor(descriptor):
        raw = " ".join(f"0x{byte:02X}," for byte in line.raw)
        body += f"    {raw:<24} /* {'  ' * line.depth}{line.words} */\n"
    return f"static const uint8_t {name}[{len(descriptor)}]{placed} = {{\n{body}}};\n"
