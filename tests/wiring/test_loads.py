"""LEDs, currents and times of whole devices."""

import pytest

from profiles.wiring.boards import packaged_boards
from profiles.wiring.leds import loads_of
from tests.checks.build import device as make_device
from tests.wiring.boxes import MIXED, device

AVR = packaged_boards()["atmega32u4"]


def states(text: str) -> dict[str, tuple[float, str]]:
    found = loads_of(device(text), AVR)
    return {load.name: (round(load.current, 1), load.state) for load in found.loads}


def test_a_led_gets_its_resistor_from_the_wirings_supply() -> None:
    """(5 V - 2 V) / 10 mA = 300 ohm."""
    (led,) = loads_of(device(MIXED)).leds
    assert led.resistor is not None
    assert (led.control, led.pin, led.resistor.value) == ("trim", "9", 300.0)


def test_a_leds_wire_drops_little() -> None:
    """HyperPhysics: AWG 28 has 64.90 ohm per 1000 ft; 141.4 mm there and back at 10 mA."""
    (led,) = loads_of(device(MIXED)).leds
    length = 2 * (140.0**2 + 20.0**2) ** 0.5
    assert led.drop == pytest.approx(64.90 / 304800 * length * 0.010, rel=0.001)


def test_a_leds_own_supply_wins() -> None:
    text = MIXED.replace("current = 10.0", "current = 10.0\nsupply = 3.3")
    (led,) = loads_of(device(text)).leds
    assert led.resistor is not None
    assert led.resistor.value == 130.0


def test_a_led_that_its_supply_cannot_light_is_told() -> None:
    text = MIXED.replace("current = 10.0", "current = 10.0\nsupply = 1.5")
    (led,) = loads_of(device(text), AVR).leds
    assert (led.resistor, led.problem) == (
        None,
        "a supply of 1.5 V cannot light an LED of 2 V",
    )


def test_currents_are_held_against_every_limit() -> None:
    assert states(MIXED) == {
        "pin 9": (10.0, "fine"),
        "pin group ports-b-e": (10.0, "fine"),
        "all pins of ATmega32U4 board": (10.0, "fine"),
        "the whole box": (40.0, "fine"),
        "the USB port": (100.0, "fine"),
    }


@pytest.mark.parametrize(("current", "state"), [(15.0, "fine"), (18.0, "near"), (25.0, "over")])
def test_a_pin_is_near_or_over_its_limit(current: float, state: str) -> None:
    """20 mA a pin; the resistor is the next value up, so the current is the wanted or less."""
    text = MIXED.replace("current = 10.0", f"current = {current}")
    load = next(x for x in loads_of(device(text), AVR).loads if x.name == "pin 9")
    assert load.state == state
    assert load.current <= current


def test_leds_on_the_supply_load_the_port_but_no_pin() -> None:
    text = MIXED.replace('pin = "9"', "").replace("current = 10.0", "current = 100.0")
    assert states(text) == {
        "the whole box": (130.0, "over"),
        "the USB port": (130.0, "fine"),
    }


def test_without_a_board_only_the_port_is_judged() -> None:
    alone, port = loads_of(device(MIXED)).loads
    assert (alone.name, alone.current) == ("the LEDs alone, the board's own draw not known", 10.0)
    assert port.name == "the USB port"


def test_leds_of_a_higher_supply_draw_nothing_from_the_port() -> None:
    """The bus has 5.25 V at most (USB 2.0, 7.3.2)."""
    text = MIXED.replace('pin = "9"', "").replace("current = 10.0", "current = 10.0\nsupply = 12.0")
    assert states(text)["the whole box"] == (30.0, "fine")


def test_a_led_on_a_pin_takes_the_boards_voltage_unless_the_file_gives_one() -> None:
    """(3.3 V - 2 V) / 10 mA = 130 ohm, (5 V - 2 V) / 10 mA = 300 ohm."""
    small = packaged_boards()["rp2040"]
    values = [
        plan.resistor.value
        for text in (MIXED, MIXED.replace("[wiring]", "[wiring]\nsupply = 5.0"))
        for plan in loads_of(device(text), small).leds
        if plan.resistor
    ]
    assert values == [130.0, 300.0]


LIGHTS = """
[wiring]
board = "atmega32u4"
leds = { rows = ["A0", "A1"], columns = ["A2", "A3"] }
"""


def light(key: str, wiring: str, current: float = 10.0) -> str:
    return (
        f"[controls.{key}]\n[controls.{key}.led]\n"
        f"forward_voltage = 2.0\ncurrent = {current}\n{wiring}\n"
    )


def find_currents(text: str) -> dict[str, float]:
    found = loads_of(make_device(LIGHTS + text), AVR)
    return {load.name: round(load.current, 1) for load in found.loads}


def test_one_row_of_the_led_matrix_is_lit_at_a_time() -> None:
    """(5 V - 2 V) / 10 mA = 300 ohm, all of E24: a row carries the sum, a column the highest."""
    text = light("a", "crossing = [1, 1]") + light("b", "crossing = [1, 2]")
    text += light("c", "crossing = [2, 2]") + light("d", 'pin = "9"')

    assert find_currents(text) == {
        "pin 9": 10.0,
        "pin A0": 20.0,
        "pin A1": 10.0,
        "pin A2": 10.0,
        "pin A3": 10.0,
        "pin group port-f": 40.0,
        "pin group ports-b-e": 10.0,
        "all pins of ATmega32U4 board": 30.0,
        "the whole box": 60.0,
        "the USB port": 100.0,
    }


def test_a_drivers_current_does_not_go_through_its_pin() -> None:
    currents = find_currents(light("a", 'pin = "9"\ndriver = true', 100.0))

    assert "pin 9" not in currents
    assert currents["the whole box"] == pytest.approx(130.0, abs=5)


def test_a_driven_led_is_fed_from_the_supply_of_the_wiring() -> None:
    text = light("a", 'pin = "GP9"\ndriver = true') + light("b", 'pin = "GP8"')
    box = make_device(LIGHTS.replace("atmega32u4", "rp2040") + text)
    supplies = [led.supply for led in loads_of(box, packaged_boards()["rp2040"]).leds]

    assert supplies == [5.0, 3.3]
