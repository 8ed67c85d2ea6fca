"""Lamps, currents and times of whole devices."""

import pytest

from profiles.wiring.boards import own_boards
from profiles.wiring.lamps import loads_of
from profiles.wiring.pace import meet_frames, pace_of, period_of, rotary_paces
from tests.wiring.boxes import MIXED, PLAIN, TITLE, application, device

AVR = own_boards()["atmega32u4"]


def states(text: str) -> dict[str, tuple[float, str]]:
    found = loads_of(device(text), AVR)
    return {load.name: (round(load.current, 1), load.state) for load in found.loads}


def test_a_lamp_gets_its_resistor_from_the_wirings_supply() -> None:
    """(5 V - 2 V) / 10 mA = 300 ohm."""
    (lamp,) = loads_of(device(MIXED)).lamps
    assert lamp.resistor is not None
    assert (lamp.control, lamp.pin, lamp.resistor.value) == ("trim", "9", 300.0)


def test_a_lamps_wire_drops_little() -> None:
    """HyperPhysics: AWG 28 has 64.90 ohm per 1000 ft; 141.4 mm there and back at 10 mA."""
    (lamp,) = loads_of(device(MIXED)).lamps
    length = 2 * (140.0**2 + 20.0**2) ** 0.5
    assert lamp.drop == pytest.approx(64.90 / 304800 * length * 0.010, rel=0.001)


def test_a_lamps_own_supply_wins() -> None:
    text = MIXED.replace("current = 10.0", "current = 10.0\nsupply = 3.3")
    (lamp,) = loads_of(device(text)).lamps
    assert lamp.resistor is not None
    assert lamp.resistor.value == 130.0


def test_a_lamp_that_its_supply_cannot_light_is_told() -> None:
    text = MIXED.replace("current = 10.0", "current = 10.0\nsupply = 1.5")
    (lamp,) = loads_of(device(text), AVR).lamps
    assert (lamp.resistor, lamp.problem) == (
        None,
        "a supply of 1.5 V cannot light a lamp of 2 V",
    )


def test_currents_are_held_against_every_limit() -> None:
    assert states(MIXED) == {
        "pin 9": (10.0, "fine"),
        "pin group ports-b-e": (10.0, "fine"),
        "all pins of ATmega32U4 board": (10.0, "fine"),
        "what the box asks of the USB port": (40.0, "fine"),
        "the USB port": (100.0, "fine"),
    }


@pytest.mark.parametrize(("current", "state"), [(15.0, "fine"), (18.0, "near"), (25.0, "over")])
def test_a_pin_is_near_or_over_its_limit(current: float, state: str) -> None:
    """20 mA a pin; the resistor is the next value up, so the current is the wanted or less."""
    text = MIXED.replace("current = 10.0", f"current = {current}")
    load = next(x for x in loads_of(device(text), AVR).loads if x.name == "pin 9")
    assert load.state == state
    assert load.current <= current


def test_lamps_on_the_supply_load_the_port_but_no_pin() -> None:
    text = MIXED.replace('pin = "9"', "").replace("current = 10.0", "current = 100.0")
    assert states(text) == {
        "what the box asks of the USB port": (130.0, "over"),
        "the USB port": (130.0, "fine"),
    }


def test_without_a_board_only_the_port_is_judged() -> None:
    assert len(loads_of(device(MIXED)).loads) == 2


def test_a_scan_takes_the_driven_lines() -> None:
    assert period_of(device(MIXED)) == pytest.approx(2 * 0.005 + 0.05)
    columns = MIXED.replace("[wiring]", '[wiring]\ndriven = "columns"\nsettle = 20.0')
    assert period_of(device(columns)) == pytest.approx(3 * 0.020 + 0.05)


def test_the_pace_of_a_device() -> None:
    pace = pace_of(device(MIXED))
    assert (pace.scans, pace.covers_bounce) == (117, True)
    assert pace.slowest_press == pytest.approx(0.06 + 117 * 0.06 + 1)
    assert not pace_of(device(MIXED.replace("[wiring]", "[wiring]\ndebounce = 5.0"))).covers_bounce


def test_the_safe_turn_of_a_rotary_is_the_slower_of_sending_and_following() -> None:
    """30 ms pulse and 30 ms rest: 16.7 notches a second, 41.7 turns a minute of 24."""
    (pace,) = rotary_paces(device(MIXED))
    assert pace.control == "trim"
    assert pace.safe == pace.sent
    assert pace.safe.notches_per_second == pytest.approx(1000 / 60)
    assert pace.safe.rpm == pytest.approx(1000 / 60 / 24 * 60)
    slow = MIXED.replace("[wiring]", "[wiring]\nsettle = 10000.0")
    (pace,) = rotary_paces(device(slow))
    assert pace.safe == pace.followed


def test_a_rotarys_own_pulse_is_judged_beside_the_wirings() -> None:
    """30 frames a second: 33.3 ms each. The wiring's 30 ms may be missed, 35 ms never."""
    text = MIXED.replace('label = "TRIM"', 'label = "TRIM"\npulse = 35.0')
    fits = meet_frames(device(text), application())
    assert [(fit.control, fit.pulse.seen, fit.pulse.rest_seen) for fit in fits] == [
        (None, False, False),
        ("trim", True, False),
    ]
    assert fits[0].scans_per_frame == pytest.approx(1000 / 30 / 0.06)
    fast = application(TITLE.replace("30.0", "60.0"))
    assert meet_frames(device(text), fast)[0].pulse.seen


def test_a_device_without_rotaries_has_no_paces() -> None:
    assert rotary_paces(device(PLAIN + "[controls]")) == ()
