"""Annotated listing and C array of a report descriptor."""

import re
import shutil
import subprocess
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from profiles.host.descriptor import ReportShape, write_descriptor
from profiles.host.descriptor_listing import (
    annotate_descriptor,
    write_c_array,
    write_listing,
)
from profiles.host.hid_items import DescriptorError
from tests.needs import skip_unless

LISTING = """\
   0  05 01           Usage Page (Generic Desktop)
   2  09 04           Usage (Joystick)
   4  A1 01           Collection (Application)
   6  05 09             Usage Page (Button)
   8  19 01             Usage Minimum (Button 1)
  10  29 04             Usage Maximum (Button 4)
  12  15 00             Logical Minimum (0)
  14  25 01             Logical Maximum (1)
  16  75 01             Report Size (1)
  18  95 04             Report Count (4)
  20  81 02             Input (Data, Variable, Absolute)
  22  95 04             Report Count (4)
  24  81 03             Input (Constant, Variable, Absolute)
  26  05 01             Usage Page (Generic Desktop)
  28  09 39             Usage (Hat switch)
  30  15 01             Logical Minimum (1)
  32  25 08             Logical Maximum (8)
  34  35 00             Physical Minimum (0)
  36  46 3B 01          Physical Maximum (315)
  39  65 14             Unit (English rotation: degrees)
  41  75 04             Report Size (4)
  43  95 01             Report Count (1)
  45  81 42             Input (Data, Variable, Absolute, Null state)
  47  45 00             Physical Maximum (0)
  49  65 00             Unit (None)
  51  95 01             Report Count (1)
  53  81 03             Input (Constant, Variable, Absolute)
  55  05 01             Usage Page (Generic Desktop)
  57  09 30             Usage (X)
  59  16 01 80          Logical Minimum (-32767)
  62  26 FF 7F          Logical Maximum (32767)
  65  75 10             Report Size (16)
  67  95 01             Report Count (1)
  69  81 02             Input (Data, Variable, Absolute)
  71  C0              End Collection
"""


def test_listing_shows_offset_bytes_and_words() -> None:
    assert write_listing(write_descriptor(ReportShape("joystick", 4, 1, ("x",)))) == LISTING


@pytest.mark.parametrize(
    ("raw", "words"),
    [
        ("05 0C", ["Usage Page (Consumer)"]),
        ("06 00 FF", ["Usage Page (0xff00)"]),
        ("05 02 09 BB", ["Usage Page (Simulation Controls)", "Usage (Throttle)"]),
        ("05 09 09 00", ["Usage Page (Button)", "Usage (No button)"]),
        ("0B 39 00 01 00", ["Usage (Hat switch)"]),
        ("05 0C 0A 38 02", ["Usage Page (Consumer)", "Usage (0x238)"]),
        ("A1 80", ["Collection (0x80)"]),
        ("A1 06", ["Collection (Usage Modifier)"]),
        ("81 06", ["Input (Data, Variable, Relative)"]),
        ("82 00 01", ["Input (Data, Array, Absolute, Buffered Bytes)"]),
        ("65 11", ["Unit (0x11)"]),
        ("F4", ["Reserved item 0xf4"]),
        ("FE 01 33 00", ["Reserved item 0xfe"]),
        (
            "05 09 A4 05 01 B4 09 02",
            [
                "Usage Page (Button)",
                "Push",
                "Usage Page (Generic Desktop)",
                "Pop",
                "Usage (Button 2)",
            ],
        ),
    ],
)
def test_words_follow_the_tables(raw: str, words: list[str]) -> None:
    """USB HID 1.11, 6.2.2.5 and 6.2.2.6; HID Usage Tables 1.12; push and pop keep the page."""
    assert [line.words for line in annotate_descriptor(bytes.fromhex(raw))] == words


@given(st.binary(max_size=80))
def test_any_bytes_are_listed_or_refused(descriptor: bytes) -> None:
    try:
        join_words = write_listing(descriptor)
    except DescriptorError:
        return
    shown = "".join(line[6:].split("  ")[0] for line in join_words.splitlines())
    assert bytes.fromhex(shown).startswith(descriptor[:4])
    assert join_words.isascii()


@skip_unless(shutil.which("cc"), "no C compiler on this machine")
def test_c_array_compiles_to_the_same_bytes(tmp_path: Path) -> None:
    descriptor = write_descriptor(ReportShape("game-pad", 37, 2, ("x", "y", "rudder")), 3)
    source = tmp_path / "array.c"
    source.write_text(
        "#include <stdint.h>\n#include <stdio.h>\n"
        + write_c_array(descriptor, "box")
        + "int main(void) { for (unsigned i = 0; i < sizeof box; i++)"
        ' printf("%02x", box[i]); return 0; }\n'
    )
    program = tmp_path / "array"
    subprocess.run(["cc", "-Wall", "-Werror", "-o", program, source], check=True)

    printed = subprocess.run([program], check=True, capture_output=True, text=True).stdout

    assert bytes.fromhex(printed) == descriptor


def test_c_array_names_its_length_and_keyword() -> None:
    text = write_c_array(bytes.fromhex("05 01 C0"), "box", "PROGMEM")

    assert text == (
        "static const uint8_t box[3] PROGMEM = {\n"
        "    0x05, 0x01,              /* Usage Page (Generic Desktop) */\n"
        "    0xC0,                    /* End Collection */\n"
        "};\n"
    )


def test_every_comment_of_the_array_closes() -> None:
    text = write_c_array(bytes(range(1, 250)) + bytes(8))

    assert len(re.findall(r"/\*", text)) == len(re.findall(r"\*/", text)) == text.count("\n") - 2
