"""Pins, resistors, limits, wire and times, each against its published source."""

from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from profiles.wiring.gauge import voltage_drop, wire_area, wire_diameter, wire_resistance
from profiles.wiring.matrix import Matrix
from profiles.wiring.pins import (
    Split,
    best_split,
    capacity,
    fewest_lines,
    spare_crossings,
    split_for,
)
from profiles.wiring.power import (
    E12,
    E24,
    Load,
    next_value_up,
    series_resistor,
    sum_loads,
    usb_loads,
)
from profiles.wiring.timing import (
    covers_bounce,
    debounce_scans,
    fastest_decode,
    fastest_turn,
    frame_time,
    judge_pulse,
    last_scans,
    scans_per_frame,
)


def test_capacity_of_two_to_sixteen_pins() -> None:
    """n lines serve (n/2)^2 crossings by ordinary multiplexing; whole numbers of lines."""
    wanted = [1, 2, 4, 6, 9, 12, 16, 20, 25, 30, 36, 42, 49, 56, 64]
    assert [capacity(lines) for lines in range(2, 17)] == wanted


def test_sixteen_contacts_take_eight_pins() -> None:
    """Published comparison (microchips-pic blog): 4 x 4 takes 8 pins, 2 x 8 takes 10."""
    assert split_for(16) == Split(4, 4, 0)
    assert split_for(16).lines == 8


@given(st.integers(1, 2000))
def test_no_fewer_pins_serve_the_contacts(contacts: int) -> None:
    lines = fewest_lines(contacts)
    assert capacity(lines) >= contacts > capacity(lines - 1)
    assert split_for(contacts).spare == capacity(lines) - contacts


def test_pins_that_do_not_suffice_leave_less_than_nothing() -> None:
    assert best_split(7, 13) == Split(3, 4, -1)
    assert split_for(0) == Split(0, 0, 0)


def test_spare_crossings_hold_no_contact() -> None:
    assert spare_crossings(Matrix(3, 4, frozenset({(1, 1), (3, 4)}))) == 10


def test_the_series_are_those_of_the_standard() -> None:
    """IEC 60063 (DIN EN 60063:2015)."""
    assert E12 == (10, 12, 15, 18, 22, 27, 33, 39, 47, 56, 68, 82)
    assert len(E24) == 24
    assert set(E24) - set(E12) == {11, 13, 16, 20, 24, 30, 36, 43, 51, 62, 75, 91}
    assert list(E24) == sorted(E24)


def test_the_series_are_no_rounded_powers_of_ten() -> None:
    """The trap: rounding 10^(i/12) gives 26, 32, 38, 46 and 83."""
    rounded = [round(10 * 10 ** (i / 12)) for i in range(12)]
    assert [(a, b) for a, b in zip(rounded, E12, strict=True) if a != b] == [
        (26, 27),
        (32, 33),
        (38, 39),
        (46, 47),
        (83, 82),
    ]


@pytest.mark.parametrize(
    ("supply", "forward", "current", "series", "exact", "value", "resulting"),
    [
        # Wikipedia, LED circuit: 12 V, 1.8 V, 5 mA make 2040 ohm, 9 V make 1440 ohm.
        (12.0, 1.8, 5.0, "E24", 2040.0, 2200.0, 4.64),
        (9.0, 1.8, 5.0, "E24", 1440.0, 1500.0, 4.8),
        # R = (Vs - Vf) / I by hand.
        (5.0, 2.0, 10.0, "E24", 300.0, 300.0, 10.0),
        (5.0, 2.0, 10.0, "E12", 300.0, 330.0, 9.09),
        (3.3, 3.0, 20.0, "E12", 15.0, 15.0, 20.0),
    ],
)
def test_a_led_gets_the_next_value_up(
    supply: float,
    forward: float,
    current: float,
    series: str,
    exact: float,
    value: float,
    resulting: float,
) -> None:
    resistor = series_resistor(supply, forward, current, series)
    assert resistor.exact == pytest.approx(exact)
    assert resistor.value == value
    assert resistor.current == pytest.approx(resulting, abs=0.005)
    assert resistor.power == pytest.approx((supply - forward) * resistor.current)


@given(st.floats(0.01, 1e7), st.sampled_from(["E12", "E24"]))
def test_the_next_value_is_of_the_series_and_the_smallest_not_below(
    resistance: float, series: str
) -> None:
    value = next_value_up(resistance, series)
    assert value >= resistance * (1 - 1e-8)
    digits = float(f"{value:.3e}".split("e")[0]) * 10
    assert digits in (E12 if series == "E12" else E24)
    steps = (
        [a / b for a, b in pairwise((*E24, 100))]
        if series == "E24"
        else [a / b for a, b in pairwise((*E12, 100))]
    )
    assert value * min(steps) < resistance * (1 + 1e-8)


def test_a_supply_below_the_forward_voltage_is_refused() -> None:
    with pytest.raises(ValueError, match="cannot light") as caught:
        series_resistor(3.0, 3.2, 10.0)
    assert str(caught.value) == "a supply of 3 V cannot light an LED of 3.2 V"
    with pytest.raises(ValueError, match="a resistance must be above zero"):
        next_value_up(0.0)


@pytest.mark.parametrize(
    ("current", "state"),
    [(79.9, "fine"), (80.0, "near"), (100.0, "near"), (100.1, "over")],
)
def test_a_load_is_near_its_limit_from_four_fifths_on(current: float, state: str) -> None:
    assert Load("port", current, 100.0, "sheet").state == state


def test_currents_are_summed_by_group() -> None:
    groups = {"A0": "port-f", "A1": "port-f", "9": "ports-b-e"}
    loads = [("A0", 10.0), ("A1", 5.0), ("9", 1.0), ("TX", 7.0)]
    assert sum_loads(loads, groups) == {"port-f": 15.0, "ports-b-e": 1.0}


def test_a_port_gives_five_unit_loads() -> None:
    """USB 2.0, 7.2.1: a unit load is 100 mA; a high-power device takes five at most."""
    fine, port = usb_loads(60.0, 100.0)
    assert (fine.state, port.state, port.limit) == ("fine", "fine", 500.0)
    assert [load.state for load in usb_loads(120.0, 100.0)] == ["over", "fine"]
    assert [load.state for load in usb_loads(450.0, 500.0)] == ["near", "near"]
    assert [load.state for load in usb_loads(520.0, 500.0)] == ["over", "over"]


@pytest.mark.parametrize(
    ("gauge", "millimetres", "area", "ohms"),
    [
        # Diameter and area from the formula of ASTM B258; resistance in ohm/km as printed in
        # the Hardware Book's table of wire gauges and, per 1000 ft, in HyperPhysics.
        (22, 0.6438, 0.3255, 53.0),
        (24, 0.5106, 0.2047, 84.2),
        (26, 0.4049, 0.1288, 134.0),
        (28, 0.3211, 0.0810, 213.0),
        (30, 0.2546, 0.0509, 339.0),
    ],
)
def test_wire_is_that_of_the_published_tables(
    gauge: int, millimetres: float, area: float, ohms: float
) -> None:
    assert wire_diameter(gauge) == pytest.approx(millimetres, abs=5e-5)
    assert wire_area(gauge) == pytest.approx(area, abs=5e-5)
    assert wire_resistance(gauge, 1e6) == pytest.approx(ohms, rel=0.003)


def test_gauge_is_anchored_at_its_two_ends() -> None:
    """ASTM B258: AWG 36 is 0.0050 in, AWG 0000 is 0.4600 in."""
    assert wire_diameter(36) == pytest.approx(0.0050 * 25.4)
    assert wire_diameter(-3) == pytest.approx(0.4600 * 25.4)


def test_voltage_drop_of_a_metre_there_and_back() -> None:
    """HyperPhysics: AWG 28 has 64.90 ohm per 1000 ft, so 2 m at 100 mA drop 42.6 mV."""
    assert voltage_drop(28, 2000, 100) == pytest.approx(64.90 / 304.8 * 2 * 0.1, rel=0.001)


def test_debounce_covers_the_published_bounce() -> None:
    """A Guide to Debouncing: 16 of 18 types averaged 1557 µs, 6200 at most; 5 ms is too short."""
    assert not covers_bounce(5.0)
    assert covers_bounce(6.2)


@pytest.mark.parametrize(
    ("debounce", "interval", "scans"), [(7.0, 1.0, 8), (7.0, 2.0, 5), (1.0, 5.0, 2), (0.3, 0.1, 4)]
)
def test_debounce_is_counted_in_scans(debounce: float, interval: float, scans: int) -> None:
    """The scan that sees the change, and those that agree until the time is over."""
    assert debounce_scans(debounce, interval) == scans


def test_a_time_is_over_at_a_scan() -> None:
    assert last_scans(30.0, 1.0) == 30.0
    assert last_scans(30.0, 8.0) == 32.0
    assert last_scans(30.0, 87.0) == 87.0


def test_a_pulse_shorter_than_a_frame_may_be_missed() -> None:
    """Sampled once a frame: 30 frames a second see whatever lasts 33.4 ms, not 30 ms."""
    assert frame_time(30) == pytest.approx(33.333, abs=0.001)
    missed = judge_pulse(30.0, 40.0, 30)
    assert (missed.seen, missed.rest_seen) == (False, True)
    assert missed.least == frame_time(30)
    seen = judge_pulse(33.4, 33.0, 30)
    assert (seen.seen, seen.rest_seen) == (True, False)


@given(st.floats(1, 200), st.floats(1, 200), st.floats(10, 240), st.floats(0, 1))
def test_a_pulse_judged_as_seen_meets_a_look_in_whatever_phase(
    pulse: float, gap: float, rate: float, phase: float
) -> None:
    """Counts the looks during one pulse that starts at any phase of the frame."""
    frame = 1000 / rate
    start = phase * frame
    looks = [n * frame for n in range(int((start + pulse) / frame) + 2)]
    if judge_pulse(pulse, gap, rate).seen:
        assert any(start <= look <= start + pulse + 1e-9 for look in looks)


def test_the_fastest_turn_leaves_each_detent_its_pulse_and_rest() -> None:
    """Detents above 1 / (pulse + gap) are lost: 30 and 20 ms make 20 detents a second."""
    turn = fastest_turn(30.0, 20.0, 24)
    assert turn.detents_per_second == pytest.approx(20.0)
    assert turn.rpm == pytest.approx(50.0)


def test_scanning_sees_every_gray_step_of_a_turn() -> None:
    """Four steps a detent (00, 01, 11, 10): a scan of 1 ms follows 250 detents a second."""
    assert fastest_decode(1.0, 20).detents_per_second == pytest.approx(250.0)
    assert fastest_decode(1.0, 20).rpm == pytest.approx(750.0)


def test_scans_in_a_frame() -> None:
    assert scans_per_frame(0.5, 50) == pytest.approx(40.0)
