"""LEDs and currents: R = (Vs - Vf) / I, the next E24 value up, and limits."""

from profiles.model import Device, Related, Spot
from tests.checks.build import device, find, told


def leds(current: float, count: int = 1, wiring: str = "") -> Device:
    """So many LEDs of 2 V on 5 V, each on a pin of its own."""
    text = f'[wiring]\nboard = "atmega32u4"\n{wiring}\n'
    for n in range(count):
        text += (
            f"[controls.key-{n}]\ninput = {n + 1}\n"
            f'led = {{ forward_voltage = 2.0, current = {current}, pin = "{n}" }}\n'
        )
    return device(text)


def test_a_supply_below_the_forward_voltage_is_an_error() -> None:
    box = device("[controls.horn]\nled = { forward_voltage = 3.2, current = 5.0, supply = 3.0 }")

    assert told("led-underfed", box) == [
        (
            "the LED of `horn` needs over 3.2 V, but has 3 V",
            "Raise its supply, or choose an LED of lower forward voltage",
            "desk:controls.horn.led",
        )
    ]


def test_a_led_on_a_pin_is_fed_by_the_board() -> None:
    """A board of 3.3 V cannot light an LED of 3.4 V from a pin; from its USB supply it can."""
    led = "[controls.horn]\nled = { forward_voltage = 3.4, current = 5.0"
    on_pin = device(f'[wiring]\nboard = "rp2040"\n{led}, pin = "GP1" }}')
    on_supply = device(f'[wiring]\nboard = "rp2040"\n{led} }}')

    assert [one.message for one in find("led-underfed", on_pin)] == [
        "the LED of `horn` needs over 3.4 V, but has 3.3 V"
    ]
    assert find("led-underfed", on_supply) == []


def test_a_led_on_a_pin_with_a_higher_supply_is_an_error() -> None:
    """Rule of thumb: a pin bears its board's supply and no more."""
    led = "[controls.horn]\nled = { forward_voltage = 6.0, current = 5.0, supply = 12.0"
    (found,) = find("led-over-pin", device(f'[wiring]\nboard = "rp2040"\n{led}, pin = "GP1" }}'))

    assert found.message == "the LED of `horn` has 12 V, but pin `GP1` has 3.3 V"
    assert found.remedy == "Feed it from the pin, or switch it by a transistor"
    assert found.subject == "desk:controls.horn.led"
    assert found.related == (Related("the board", Spot("desk", ("wiring", "board"))),)
    assert find("led-over-pin", device(f'[wiring]\nboard = "rp2040"\n{led} }}')) == []


def test_a_pin_over_its_limit_is_an_error() -> None:
    """3 V over 100 ohm are 30 mA; boards on an ATmega32U4 print 20 mA a pin."""
    (found,) = find("current-over-limit", leds(30.0))

    assert found.message == "pin 0: 30.0 mA, over the limit of 20 mA"
    assert found.remedy == "Lower the LEDs' current, or spread them"
    assert found.subject == "desk:wiring pin 0"
    there = Spot("desk", ("controls", "key-0", "led"))
    assert found.related == (Related("draws from it", there),)


def test_a_pin_near_its_limit_is_a_note() -> None:
    """3 V over 180 ohm, the next E24 value up from 166.7, are 16.7 mA of 20."""
    assert told("current-near-limit", leds(18.0)) == [
        (
            "pin 0: 16.7 mA, near the limit of 20 mA",
            "Lower the LEDs' current, or spread them",
            "desk:wiring pin 0",
        )
    ]


def test_a_box_that_draws_more_than_it_asks_for_is_an_error() -> None:
    """Five LEDs of 15 mA and the board's own draw are over one unit load of 100 mA
    (USB 2.0, 7.2.1)."""
    (found,) = find("current-over-limit", leds(15.0, 5))

    assert found.message == "the whole box: 105.0 mA, over the limit of 100 mA"
    assert found.remedy == "Raise the USB current asked for, or lower the LEDs'"


def test_leds_well_within_every_limit_are_silent() -> None:
    for code in ("led-underfed", "current-over-limit", "current-near-limit"):
        assert find(code, leds(5.0, 4)) == []


def test_a_device_without_leds_has_no_currents() -> None:
    assert find("current-over-limit", device("[wiring]\nusb_current = 2")) == []


def test_an_led_that_follows_nothing_is_an_error() -> None:
    led = 'led = {{ forward_voltage = 2.0, current = 5.0, pin = "9", follows = "{}" }}\n'
    horn = f'[controls.horn]\npin = "2"\n{led}[controls.bell]\n'

    assert told("led-follows-nothing", device(horn.format("hron"))) == [
        (
            "the LED of `horn` stays dark: `hron` is no contact of this device",
            "Write `horn`",
            "desk:controls.horn.led.follows",
        )
    ]
    (layer,) = find("led-follows-nothing", device(horn.format("horn + bel.press")))
    assert layer.remedy == "Write `horn + bell.press`"
    (other,) = find("led-follows-nothing", device(horn.format("galley")))
    assert other.remedy == "Write `power`, or contacts of this device that are wired, joined by `+`"
    assert [one.message for one in find("led-follows-nothing", device(horn.format("bell")))] == [
        "the LED of `horn` stays dark: `bell` has no wire"
    ]
    assert find("led-follows-nothing", device(horn.format("horn"))) == []


def test_an_led_outside_the_led_matrix_is_an_error() -> None:
    led = "led = { forward_voltage = 2.0, current = 5.0, crossing = [1, 3] }\n"
    matrix = '[wiring]\nleds = { rows = ["4"], columns = ["5", "6"] }\n'
    horn = f'[controls.horn]\npin = "2"\n{led}'

    assert told("led-outside", device(matrix + horn)) == [
        (
            "the LED of `horn` sits at row 1, column 3, but the LED matrix has 1 by 2",
            "Write a crossing from [1, 1] to [1, 2], or add the line",
            "desk:controls.horn.led.crossing",
        )
    ]
    assert [one.message for one in find("led-outside", device(horn))] == [
        "the LED of `horn` sits at row 1, column 3, but the file has no LED matrix"
    ]


def test_leds_that_follow_different_things_cannot_share_a_pin() -> None:
    led = 'led = {{ forward_voltage = 2.0, current = 2.0, pin = "9", follows = "{}" }}\n'
    box = "".join(
        f'[controls.{key}]\npin = "{pin}"\n{led.format(key)}' for key, pin in (("a", 1), ("b", 2))
    )

    assert [one.message for one in find("pin-shared", device(box))] == [
        "pin `9` serves the LED of `a` and the LED of `b`"
    ]


def test_a_current_that_the_firmware_does_not_ask_for_is_a_warning() -> None:
    """bMaxPower counts 2 mA, and 500 mA at most (USB 2.0, 7.2.1 and 9.6.3)."""
    for current, why, asked in (
        (600, "a USB 2.0 box asks for 500 mA at most", 500),
        (151, "a box asks in steps of 2 mA: for 150 mA", 150),
    ):
        assert told("power-not-asked", device(f"[wiring]\nusb_current = {current}")) == [
            (
                f"`desk` should ask the USB port for {current} mA, but {why}",
                f"Set wiring.usb_current to {asked}",
                "desk:wiring.usb_current",
            )
        ]
    assert find("power-not-asked", device("[wiring]\nusb_current = 500")) == []


def test_an_interpreter_asks_for_its_own_current() -> None:
    box = device('[wiring]\nboard = "rp2040"\nusb_current = 300')
    assert [one.message for one in find("power-not-asked", box)] == [
        "`desk` should ask the USB port for 300 mA, but the interpreter always asks for 100 mA"
    ]
    assert find("power-not-asked", device('[wiring]\nboard = "rp2040"')) == []
