"""Report descriptors, held against published examples and read back by another parser.

Examples: USB HID 1.11 appendices D.1, E.6 and E.10; HID Usage Tables 1.12 A.12 and A.13;
Linux Documentation/hid/hidintro.rst. E.6, E.10 and hidintro are printed as bytes. D.1, A.12
and A.13 are printed as items: their bytes below follow from the rules of 6.2.2.2 with every
item in its shortest form, and D.1 has its two printing errors put right (the second Usage
Minimum, and Throttle asked for while the Generic Desktop page is in force).
"""

import hidtools.hid
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from profiles.host.axes import AXES, axis_input, find_axis, hat_input
from profiles.host.descriptor import (
    ReportShape,
    lay_out_report,
    pack_buttons,
    shape_report,
    write_descriptor,
)
from profiles.host.hid_items import DescriptorError, encode_item, encode_items, read_items
from profiles.model import Report
from tests.host.descriptor_faults import Fault, count_report_bits, find_faults

E6_KEYBOARD = """
05 01 09 06 A1 01 05 07 19 E0 29 E7 15 00 25 01 75 01 95 08 81 02 95 01 75 08 81 01
95 05 75 01 05 08 19 01 29 05 91 02 95 01 75 03 91 01 95 06 75 08 15 00 25 65 05 07
19 00 29 65 81 00 C0
"""
E10_MOUSE = """
05 01 09 02 A1 01 09 01 A1 00 05 09 19 01 29 03 15 00 25 01 95 03 75 01 81 02 95 01
75 05 81 01 05 01 09 30 09 31 15 81 25 7F 75 08 95 02 81 06 C0 C0
"""
HIDINTRO_MOUSE = """
05 01 09 02 A1 01 09 01 A1 00 05 09 19 01 29 03 15 00 25 01 75 01 95 03 81 02 75 05
95 01 81 01 05 01 09 30 09 31 09 38 15 81 25 7F 75 08 95 03 81 06 C0 C0
"""
A12_JOYSTICK = """
05 01 09 04 A1 01 05 02 09 BB 15 81 25 7F 75 08 95 01 81 02 05 01 09 01 A1 00 09 30
09 31 95 02 81 02 C0 09 39 15 00 25 03 35 00 46 0E 01 65 14 55 00 75 04 95 01 81 42
05 09 19 01 29 04 15 00 25 01 35 00 45 01 95 04 75 01 65 00 81 02 C0
"""
A13_GAME_PAD = """
05 01 09 05 A1 01 09 01 A1 00 09 30 09 31 15 FF 25 01 95 02 75 02 81 02 C0 95 04 75
01 81 03 05 09 19 01 29 06 15 00 25 01 95 06 75 01 81 02 95 02 81 03 C0
"""
D1_JOYSTICK = """
05 01 09 04 A1 01 05 01 09 01 A1 00 15 81 25 7F 75 08 95 02 A4 09 30 09 31 81 02 09
39 15 00 25 03 35 00 46 0E 01 65 14 95 01 75 04 81 42 15 00 25 01 95 02 75 01 05 09
19 01 29 02 65 00 81 02 C0 19 03 29 04 81 02 B4 09 BB 95 01 81 02 C0
"""
HIDINTRO_PARTS = """
16 00 F8 26 FF 07 75 0C 95 02 81 06
"""

WORDS = {
    "page": "Usage Page",
    "usage": "Usage",
    "from": "Usage Minimum",
    "to": "Usage Maximum",
    "low": "Logical Minimum",
    "high": "Logical Maximum",
    "plow": "Physical Minimum",
    "phigh": "Physical Maximum",
    "unit": "Unit",
    "exponent": "Unit Exponent",
    "size": "Report Size",
    "count": "Report Count",
    "in": "Input",
    "out": "Output",
    "open": "Collection",
    "close": "End Collection",
    "push": "Push",
    "pop": "Pop",
}

PRINTED = {
    "E.6 keyboard": (
        E6_KEYBOARD,
        """page=1 usage=6 open=1 page=7 from=0xE0 to=0xE7 low=0 high=1 size=1 count=8 in=2
        count=1 size=8 in=1 count=5 size=1 page=8 from=1 to=5 out=2 count=1 size=3 out=1
        count=6 size=8 low=0 high=101 page=7 from=0 to=101 in=0 close""",
    ),
    "E.10 mouse": (
        E10_MOUSE,
        """page=1 usage=2 open=1 usage=1 open=0 page=9 from=1 to=3 low=0 high=1 count=3 size=1
        in=2 count=1 size=5 in=1 page=1 usage=0x30 usage=0x31 low=-127 high=127 size=8 count=2
        in=6 close close""",
    ),
    "hidintro mouse": (
        HIDINTRO_MOUSE,
        """page=1 usage=2 open=1 usage=1 open=0 page=9 from=1 to=3 low=0 high=1 size=1 count=3
        in=2 size=5 count=1 in=1 page=1 usage=0x30 usage=0x31 usage=0x38 low=-127 high=127
        size=8 count=3 in=6 close close""",
    ),
    "hidintro 12-bit axes": (
        HIDINTRO_PARTS,
        "low=-2048 high=2047 size=12 count=2 in=6",
    ),
    "A.12 joystick": (
        A12_JOYSTICK,
        """page=1 usage=4 open=1 page=2 usage=0xBB low=-127 high=127 size=8 count=1 in=2 page=1
        usage=1 open=0 usage=0x30 usage=0x31 count=2 in=2 close usage=0x39 low=0 high=3 plow=0
        phigh=270 unit=0x14 exponent=0 size=4 count=1 in=0x42 page=9 from=1 to=4 low=0 high=1
        plow=0 phigh=1 count=4 size=1 unit=0 in=2 close""",
    ),
    "A.13 game pad": (
        A13_GAME_PAD,
        """page=1 usage=5 open=1 usage=1 open=0 usage=0x30 usage=0x31 low=-1 high=1 count=2
        size=2 in=2 close count=4 size=1 in=3 page=9 from=1 to=6 low=0 high=1 count=6 size=1
        in=2 count=2 in=3 close""",
    ),
    "D.1 joystick": (
        D1_JOYSTICK,
        """page=1 usage=4 open=1 page=1 usage=1 open=0 low=-127 high=127 size=8 count=2 push
        usage=0x30 usage=0x31 in=2 usage=0x39 low=0 high=3 plow=0 phigh=270 unit=0x14 count=1
        size=4 in=0x42 low=0 high=1 count=2 size=1 page=9 from=1 to=2 unit=0 in=2 close from=3
        to=4 in=2 pop usage=0xBB count=1 in=2 close""",
    ),
}

REPORT_BITS = {
    "E.6 keyboard": (63, {("Input", 0): 64, ("Output", 0): 8}),  # 0x3F bytes in E.4
    "E.10 mouse": (50, {("Input", 0): 24}),  # 0x32 bytes in E.8
    "hidintro mouse": (52, {("Input", 0): 32}),
    "A.12 joystick": (79, {("Input", 0): 32}),
    "A.13 game pad": (52, {("Input", 0): 16}),
    "D.1 joystick": (79, {("Input", 0): 32}),
}


def read_words(text: str) -> list[tuple[str, int | None]]:
    pairs = (word.partition("=") for word in text.split())
    return [(WORDS[name], int(value, 0) if value else None) for name, _, value in pairs]


@pytest.mark.parametrize("name", PRINTED)
def test_published_items_become_the_published_bytes(name: str) -> None:
    """USB HID 1.11 D.1, E.6, E.10; HUT 1.12 A.12, A.13; Linux hidintro.rst."""
    printed, words = PRINTED[name]

    assert encode_items(read_words(words)) == bytes.fromhex(printed)


@pytest.mark.parametrize("name", REPORT_BITS)
def test_published_descriptors_have_their_published_sizes(name: str) -> None:
    length, bits = REPORT_BITS[name]
    descriptor = bytes.fromhex(PRINTED[name][0])

    assert len(descriptor) == length
    assert count_report_bits(descriptor) == bits


@pytest.mark.parametrize("name", PRINTED)
def test_items_read_back_are_the_items_written(name: str) -> None:
    printed, words = PRINTED[name]
    items = read_items(bytes.fromhex(printed))

    assert [(item.name, item.value if item.data else None) for item in items] == read_words(words)


@pytest.mark.parametrize("name", REPORT_BITS)
def test_published_descriptors_have_no_faults(name: str) -> None:
    assert find_faults(bytes.fromhex(PRINTED[name][0])) == []


@pytest.mark.parametrize(
    ("name", "value", "raw"),
    [
        ("Logical Maximum", 127, "25 7F"),
        ("Logical Maximum", 128, "26 80 00"),
        ("Logical Maximum", 255, "26 FF 00"),
        ("Logical Minimum", -128, "15 80"),
        ("Logical Minimum", -129, "16 7F FF"),
        ("Physical Maximum", 270, "46 0E 01"),
        ("Usage Maximum", 255, "29 FF"),
        ("Usage Maximum", 256, "2A 00 01"),
        ("Usage Maximum", 65535, "2A FF FF"),
        ("Usage", 0x00090001, "0B 01 00 09 00"),
        ("End Collection", None, "C0"),
    ],
)
def test_items_take_the_fewest_bytes_that_keep_the_value(
    name: str, value: int | None, raw: str
) -> None:
    """Size code 3 means four bytes, and 255 as a signed limit needs two (6.2.2.2, 6.2.2.7)."""
    assert encode_item(name, value) == bytes.fromhex(raw)


@pytest.mark.parametrize(
    ("name", "value", "message"),
    [
        ("Usage", None, "Usage takes a value"),
        ("Pop", 1, "Pop takes no value"),
        ("Report Count", -1, "Report Count cannot hold -1"),
        ("Logical Maximum", 1 << 31, "Logical Maximum cannot hold 2147483648"),
    ],
)
def test_items_that_cannot_be_written_are_refused(
    name: str, value: int | None, message: str
) -> None:
    with pytest.raises(DescriptorError) as caught:
        encode_item(name, value)

    assert str(caught.value) == message


@pytest.mark.parametrize("raw", ["05", "26 FF", "FE", "FE 02 10 00"])
def test_a_descriptor_cut_off_is_refused(raw: str) -> None:
    with pytest.raises(DescriptorError, match=r"^the item at byte 2 is cut off$"):
        read_items(bytes.fromhex("05 01" + raw))


@given(st.binary(max_size=64))
def test_reading_loses_no_byte(descriptor: bytes) -> None:
    try:
        items = read_items(descriptor)
    except DescriptorError:
        return
    assert b"".join(item.raw for item in items) == descriptor


@pytest.mark.parametrize(
    ("shape", "report_id", "raw"),
    [
        (
            ReportShape("joystick", 24),
            None,
            "05 01 09 04 A1 01 05 09 19 01 29 18 15 00 25 01 75 01 95 18 81 02 C0",
        ),
        (
            ReportShape("game-pad", 6),
            1,
            "05 01 09 05 A1 01 85 01 05 09 19 01 29 06 15 00 25 01 75 01 95 06 81 0295 02 81 03 C0",
        ),
    ],
)
def test_small_boxes_have_the_descriptor_one_writes_by_hand(
    shape: ReportShape, report_id: int | None, raw: str
) -> None:
    assert write_descriptor(shape, report_id) == bytes.fromhex(raw)


SHAPES = st.builds(
    ReportShape,
    st.sampled_from(["joystick", "game-pad", "multi-axis"]),
    st.integers(0, 300),
    st.integers(0, 4),
    st.sets(st.sampled_from([axis.id for axis in AXES])).map(
        lambda named: tuple(axis.id for axis in AXES if axis.id in named)
    ),
)


@given(SHAPES, st.sampled_from([None, 1, 255]))
def test_own_descriptors_have_no_faults(shape: ReportShape, report_id: int | None) -> None:
    descriptor = write_descriptor(shape, report_id)
    bits = count_report_bits(descriptor)

    assert find_faults(descriptor) == []
    assert sum(bits.values()) == 8 * lay_out_report(shape).size


def read_shape(descriptor: bytes, report_id: int) -> tuple[object, ...]:
    """Buttons, hats, usages of the axes, bytes and application usage as hid-tools reads them."""
    reports = hidtools.hid.ReportDescriptor.from_bytes(list(descriptor)).input_reports
    if not reports:
        return 0, 0, [], 0, 0
    report = reports[report_id or -1]
    usages = [field.usage for field in report if not field.is_const]
    buttons = [usage for usage in usages if usage >> 16 == 0x09]
    assert [usage & 0xFFFF for usage in buttons] == list(range(1, len(buttons) + 1))
    hats = usages.count(0x00010039)
    axes = [one for one in usages if one not in buttons and one != 0x00010039]
    return len(buttons), hats, axes, report.bitsize // 8, report.application


@settings(max_examples=60, deadline=None)
@given(SHAPES, st.sampled_from([None, 1]))
def test_another_parser_reads_the_same_shape(shape: ReportShape, report_id: int | None) -> None:
    """hid-tools, the reader of the kernel's own HID test suite."""
    if not shape.buttons + shape.hats + len(shape.axes):
        return
    usage = {"joystick": 0x04, "game-pad": 0x05, "multi-axis": 0x08}[shape.collection]
    size = lay_out_report(shape).size + (report_id is not None)

    found = read_shape(write_descriptor(shape, report_id), report_id or 0)

    axes = [find_axis(axis).page << 16 | find_axis(axis).usage for axis in shape.axes]
    assert found == (shape.buttons, shape.hats, axes, size, 0x00010000 | usage)


@settings(max_examples=40, deadline=None)
@given(st.sets(st.integers(1, 40)), st.integers(0, 2), st.integers(0, 3))
def test_another_parser_reads_the_same_buttons_from_a_report(
    pressed: set[int], hats: int, axes: int
) -> None:
    shape = ReportShape("joystick", 40, hats, ("x", "y", "throttle")[:axes])
    parsed = hidtools.hid.ReportDescriptor.from_bytes(list(write_descriptor(shape)))
    report = parsed.input_reports[-1]
    values = list(pack_buttons(pressed, shape))

    read = {
        field.usage & 0xFFFF
        for field in report
        if not field.is_const and field.usage >> 16 == 0x09 and field.get_values(values) == [1]
    }

    assert read == pressed


def test_hidintro_mouse_buttons_fill_the_low_bits() -> None:
    """hidintro.rst shows 01, 02, 04 for buttons 1, 2, 3 and 03 for 1 and 2 together."""
    shape = ReportShape("joystick", 3)

    assert [pack_buttons(pressed, shape) for pressed in ([1], [2], [3], [1, 2])] == [
        b"\x01",
        b"\x02",
        b"\x04",
        b"\x03",
    ]


def test_a_button_the_report_lacks_is_refused() -> None:
    with pytest.raises(ValueError, match=r"^the report has buttons 1 to 8, not 9$"):
        pack_buttons([9], ReportShape("joystick", 8))


@pytest.mark.parametrize("report_id", [0, 256])
def test_reserved_report_ids_are_refused(report_id: int) -> None:
    """USB HID 1.11, 6.2.2.7: report id 0 is reserved."""
    with pytest.raises(ValueError, match=rf"^a report id is 1 to 255, not {report_id}$"):
        write_descriptor(ReportShape("joystick", 8), report_id)


def test_buttons_come_from_the_highest_input_unless_declared() -> None:
    assert shape_report(Report(), [3, 12]) == ReportShape("joystick", 12)
    assert shape_report(Report(buttons=32, hats=1, axes=2), [3]) == ReportShape(
        "joystick", 32, 1, ("x", "y")
    )
    assert shape_report(Report(collection="game-pad"), []) == ReportShape("game-pad", 0)


def test_hats_and_axes_of_inputs_join_those_declared() -> None:
    inputs = [4, hat_input(2, "up-left"), axis_input("throttle"), axis_input("rz")]

    assert shape_report(Report(axes=1), inputs) == ReportShape(
        "joystick", 4, 2, ("x", "rz", "throttle")
    )


@pytest.mark.parametrize(
    ("raw", "faults"),
    [
        ("A1 00 C0", [Fault(0, "the outermost collection is no application")]),
        ("A1 01", [Fault(2, "1 collections stay open")]),
        ("C0", [Fault(0, "a collection is closed that was never opened")]),
        ("85 00", [Fault(0, "report id 0 is reserved")]),
        ("B4", [Fault(0, "pop without a push")]),
        ("A4", [Fault(1, "1 pushes are never popped")]),
        ("F1 00", [Fault(0, "reserved item 0xf1")]),
        ("FE 01 00 00", [Fault(0, "reserved item 0xfe")]),
        (
            "A1 01 09 01 81 02 C0",
            [
                Fault(
                    4,
                    "Input lacks Logical Minimum and Logical Maximum and Report Size"
                    " and Report Count",
                )
            ],
        ),
        ("A1 01 15 00 25 01 75 01 95 01 81 02 C0", [Fault(10, "Input has no usage")]),
        (
            "15 00 25 01 75 01 95 01 09 01 81 02",
            [Fault(10, "Input is outside every collection")],
        ),
        (
            "A1 01 15 00 25 FF 75 08 95 01 09 30 81 02 C0",
            [Fault(12, "logical limits run from 0 down to -1")],
        ),
        (
            "A1 01 15 00 25 01 75 01 95 01 09 01 81 02 85 01 C0",
            [Fault(14, "the first report id comes after a field")],
        ),
        (
            "A1 01 15 00 25 01 75 01 95 04 09 01 81 02 75 20 95 01 09 30 81 02 C0",
            [Fault(20, "a field of 32 bits spans more than 4 bytes")],
        ),
    ],
)
def test_each_fault_is_named_at_its_byte(raw: str, faults: list[Fault]) -> None:
    """USB HID 1.11: 6.2.2 page 25, 6.2.2.6, 6.2.2.7, 8.4."""
    assert find_faults(bytes.fromhex(raw)) == faults


def test_a_32_bit_field_on_a_byte_boundary_is_fine() -> None:
    descriptor = bytes.fromhex("A1 01 15 00 25 01 75 20 95 02 09 30 81 02 C0")

    assert find_faults(descriptor) == []
