"""Functions that move between applications; boxes the host cannot tell apart."""

from profiles.model import Device, Profile, Related, Spot
from tests.checks.build import application, device, find, profile, told

BOX = device("[controls.a]\ninput = 1\n[controls.b]\ninput = 2\n[controls.c]\ninput = 3")
APPLICATION = application('[actions.on]\ngroup = "lights"\n[actions.off]\ngroup = "lights"')


def test_a_group_that_moved_is_a_note_against_where_most_have_it() -> None:
    one = profile('[profile]\nid = "one"\n[bindings]\na = "on"\nb = "off"')
    two = profile('[profile]\nid = "two"\n[bindings]\na = "on"\nb = "off"')
    odd = profile('[profile]\nid = "far"\n[bindings]\na = "on"\nc = "off"')

    (found,) = find("group-moved", BOX, APPLICATION, odd, one, two)

    assert found.severity == "note"
    assert found.message == "`lights` sits on `c`, in `one` on `b`"
    assert found.remedy == "Bind the group to the same controls, or accept the move"
    assert found.subject == "far:bindings desk lights"
    assert (Related("has it there", Spot("one", ("bindings",))),) == found.related


def test_a_group_with_more_controls_in_one_application_has_not_moved() -> None:
    one = profile('[profile]\nid = "one"\n[bindings]\na = "on"')
    two = profile('[profile]\nid = "two"\n[bindings]\na = "on"\nb = "off"')

    assert find("group-moved", BOX, APPLICATION, one, two) == []


SIDE = device('[device]\nid = "side"\n[controls.k]\ninput = 1\n[controls.l]\ninput = 2')


def both(id_: str, bindings: str) -> Profile:
    head = f'[profile]\nid = "{id_}"\napplication = "harbour"\ndevices = ["desk", "side"]\n'
    return profile(f"{head}[bindings]\n{bindings}", "")


def test_a_group_on_another_device_than_in_most_applications_has_moved() -> None:
    """The usual place counts over all devices: its profile binds the usual one, too."""
    one = profile('[profile]\nid = "one"\n[bindings]\na = "on"')
    two = profile('[profile]\nid = "two"\n[bindings]\na = "on"')
    odd = both("far", '"side/k" = "on"\n"desk/b" = "other"')
    other = application(
        '[actions.on]\ngroup = "lights"\n[actions.off]\ngroup = "lights"\n[actions.other]\n'
    )

    (found,) = find("group-moved", BOX, SIDE, other, odd, one, two)

    assert found.message == "`lights` sits on `k` of `side`, in `one` on `a` of `desk`"
    assert found.subject == "far:bindings side lights"


def test_a_group_of_a_profile_without_the_usual_device_has_not_moved() -> None:
    one = profile('[profile]\nid = "one"\n[bindings]\na = "on"')
    two = profile('[profile]\nid = "two"\n[bindings]\na = "on"')
    alone = profile('[profile]\nid = "far"\ndevice = "side"\n[bindings]\nk = "on"')
    more = both("more", '"side/k" = "on"\n"desk/a" = "off"')

    assert find("group-moved", BOX, SIDE, APPLICATION, alone, one, two, more) == []


def box(name: str, usb: str) -> Device:
    return device(f'[device]\nid = "{name}"\n[device.usb]\nvendor = "1209"\n{usb}')


def test_devices_with_the_same_numbers_are_a_warning() -> None:
    """A host goes by idVendor, idProduct, iSerialNumber (USB 2.0, 9.6.1)."""
    one, two = box("left", 'product = "0001"'), box("right", 'product = "0001"')

    (found,) = find("devices-identical", one, two)

    assert found.message == "`right` looks like `left` to the host"
    assert found.remedy == "Give `right` its own product number or serial number"
    assert found.subject == "right:device.usb left"
    assert (Related("has the same numbers", Spot("left", ("device", "usb"))),) == found.related


def test_devices_that_only_the_serial_number_tells_apart_are_a_note() -> None:
    one = box("left", 'product = "00ab"\nserial = "A"')
    two = box("right", 'product = "00AB"\nserial = "B"')

    assert told("devices-differ-by-serial", one, two) == [
        (
            "`right` looks like `left` to the host",
            "Give `right` its own product number",
            "right:device.usb left",
        )
    ]
    assert told("devices-identical", one, two) == []


def test_devices_with_numbers_of_their_own_are_silent() -> None:
    one, two = box("left", 'product = "0001"'), box("right", 'product = "0002"')

    assert find("devices-identical", one, two) == []
    assert find("devices-differ-by-serial", one, two) == []


def test_boxes_without_an_identity_have_that_of_their_board() -> None:
    """The sketch keeps the board core's numbers; an interpreter has its chip's serial number."""
    avr = [device(f'[device]\nid = "{name}"\n[wiring]\nboard = "atmega32u4"') for name in "ab"]
    python = [device(f'[device]\nid = "{name}"\n[wiring]\nboard = "rp2040"') for name in "cd"]

    assert told("devices-identical", *avr, *python) == [
        (
            "`b` looks like `a` to the host: both have their board's own identity",
            "Give `b` an identity of its own in [device.usb]",
            "b:device a",
        )
    ]
    assert [words for words, _, _ in told("devices-differ-by-serial", *avr, *python)] == [
        "`d` looks like `c` to the host: both have their board's own identity"
    ]


def test_a_name_that_usb_cannot_carry_is_a_warning() -> None:
    """126 UTF-16 units: a string descriptor is at most 255 bytes (USB 2.0, 9.6.7)."""
    long, fits = "\U0001f6a2" * 64, "x" * 126
    one = box("left", f'product = "0001"\nname = "{long}"\nserial = "{fits}"')

    assert told("usb-name-long", one) == [
        ("USB carries 63 of the 64 letters of this name", "Shorten it", "left:device.usb.name")
    ]


def test_an_interpreter_carries_fewer_letters_than_usb() -> None:
    """126 bytes of UTF-8, two for each letter of the Greek alphabet."""
    name = f'product = "0001"\nname = "{"λ" * 64}"'
    wired = '\n[wiring]\nboard = "{}"'

    assert find("usb-name-long", box("left", name + wired.format("atmega32u4"))) == []
    (found,) = find("usb-name-long", box("left", name + wired.format("rp2040")))
    assert found.message == "USB carries 63 of the 64 letters of this name"
