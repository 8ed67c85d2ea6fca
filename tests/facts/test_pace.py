"""Times of whole devices: scans by the table of measured costs, presses, turns and frames."""

import pytest

from profiles.facts.device import DeviceFacts
from profiles.facts.pace import meet_frames, pace_of, rotary_paces
from profiles.facts.scan import count_waits, count_work, read_costs, time_points, time_scan
from profiles.model import Device
from profiles.wiring.boards import packaged_boards
from tests.firmware.boxes import make_banks_box, make_device
from tests.wiring.boxes import MIXED, PLAIN, TITLE, application, device

BOARDS = packaged_boards()
TICK = 64 * 256 / 16000
"""The AVR board core's clock moves once in 64 * 256 cycles of 16 MHz (wiring.c), ms."""


def facts(text: str, board: str | None = None) -> DeviceFacts:
    return DeviceFacts(device(text), BOARDS[board] if board else None)


def wait_of(one: Device) -> float:
    return count_waits(DeviceFacts(one).model)


MORE = 1 + read_costs("avr").error


def look_of(text: str) -> float:
    """Time from one step of `trim` to the next, that each is seen: a scan, and from the reading of
    the one channel to that of the other."""
    box = facts(text)
    (turn,), read = box.model.read_rules.turns, time_points(box.model, "avr")
    return TICK + pace_of(box).pause + MORE * abs(read[turn.a] - read[turn.b])


def test_a_scan_waits_for_the_driven_lines() -> None:
    assert wait_of(device(MIXED)) == pytest.approx(2 * 5)
    columns = MIXED.replace("[wiring]", '[wiring]\ndriven = "columns"\nsettle = 20.0')
    assert wait_of(device(columns)) == pytest.approx(3 * 20)


def test_a_scan_waits_for_the_bytes_of_a_bus_and_for_places_chosen() -> None:
    """UM10204: nine clocks a byte at 400 kHz. `deck` has its interrupt wired, and is read in one of
    32 scans: its address twice, the register and two ports. `rail` has one port and no register.
    `fan` leads to three contacts."""
    bus = 9 / 400 * 1000
    assert wait_of(make_banks_box()) == pytest.approx((5 / 32 + 2) * bus + 3 * 5)


def test_a_scan_costs_what_was_measured_of_each_thing_it_does() -> None:
    box = facts(MIXED)
    costs, work = read_costs("avr"), count_work(box.model)
    assert (work["line"], work["crossing"]) == (2, 6)
    told = sum(many * costs.quiet.get(name, 0.0) for name, many in work.items())
    assert time_scan(box.model, "avr").quiet == pytest.approx((10 + told) / 1000)
    assert "simulated" in costs.source
    assert "Unverified" in read_costs("python").source


def test_the_interpreter_takes_longer_than_the_sketch() -> None:
    sketch, interpreter = (pace_of(facts(MIXED, name)) for name in ("atmega32u4", "rp2040"))
    assert (sketch.firmware, interpreter.firmware) == ("avr", "python")
    assert interpreter.period > 5 * sketch.period
    assert pace_of(facts(MIXED)) == sketch, "a board that is not known is taken for an AVR"


def test_the_pace_of_a_device() -> None:
    """A scan begins with each move of the clock; one that takes longer sets the pace itself."""
    pace = pace_of(facts(MIXED))
    assert (pace.interval, pace.busy_interval) == (TICK, TICK)
    assert (pace.scans, pace.covers_bounce) == (8, True)
    slowest = TICK + 7 * TICK + MORE * pace.change + 1 + pace.pause
    assert pace.slowest_press == pytest.approx(slowest)
    slow = pace_of(facts(MIXED.replace("[wiring]", "[wiring]\nsettle = 1000.0")))
    assert slow.interval == slow.period > 2.0
    assert slow.scans == 5
    scans = slow.interval + 4 * slow.busy_interval + slow.change
    assert slow.slowest_press == pytest.approx(scans * MORE + 1 + slow.pause)
    assert not pace_of(facts(MIXED.replace("[wiring]", "[wiring]\ndebounce = 5.0"))).covers_bounce


def test_the_safe_turn_of_a_rotary_is_the_slower_of_sending_and_following() -> None:
    """30 ms pulse and 30 ms rest: 16.7 detents a second, 41.7 turns a minute of 24."""
    (pace,) = rotary_paces(facts(MIXED))
    assert pace.control == "trim"
    assert pace.safe == pace.sent
    assert pace.safe.detents_per_second == pytest.approx(1000 / 60)
    assert pace.safe.rpm == pytest.approx(1000 / 60 / 24 * 60)
    slow = MIXED.replace("[wiring]", "[wiring]\nsettle = 10000.0")
    (pace,) = rotary_paces(facts(slow))
    assert pace.safe == pace.followed


def test_the_last_detent_waits_at_most_for_the_one_before() -> None:
    """Seen, then the pulse and rest before it, its own pulse, and a USB frame."""
    (turn,), pace = rotary_paces(facts(MIXED)), pace_of(facts(MIXED))
    assert turn.lag == pytest.approx(look_of(MIXED) + 90 + MORE * pace.turn + 1)


def test_a_rotary_that_moves_an_axis_sends_no_pulses() -> None:
    text = MIXED.replace('label = "TRIM"', 'label = "TRIM"\naxis = "x"')
    (turn,), pace = rotary_paces(facts(text)), pace_of(facts(text))
    assert turn.safe == turn.followed == turn.sent
    assert turn.lag == pytest.approx(look_of(text) + MORE * pace.turn + 1)


def test_a_rotary_of_one_step_a_detent_is_followed_no_faster_than_its_debounce() -> None:
    """A look for each step of a detent; one step alone is debounced for 7 ms after it is seen."""
    rates = [
        rotary_paces(facts(MIXED.replace('label = "TRIM"', f'label = "TRIM"\n{steps}')))[0]
        for steps in ("steps_per_detent = 4", "steps_per_detent = 2", "steps_per_detent = 1")
    ]
    look = look_of(MIXED)
    assert [one.followed.detents_per_second for one in rates] == pytest.approx(
        [1000 / (4 * look), 1000 / (2 * look), 1000 / (look + 7 * TICK)]
    )


def test_a_rotarys_own_pulse_is_judged_beside_the_wirings() -> None:
    """30 frames a second: 33.3 ms each. The wiring's 30 ms may be missed, 35 ms never."""
    text = MIXED.replace('label = "TRIM"', 'label = "TRIM"\npulse = 35.0')
    fits = meet_frames(facts(text), application())
    assert [(fit.control, fit.pulse.seen, fit.pulse.rest_seen) for fit in fits] == [
        (None, False, False),
        ("trim", True, False),
    ]
    assert fits[0].scans_per_frame == pytest.approx(1000 / 30 / TICK)
    fast = application(TITLE.replace("30.0", "60.0"))
    assert meet_frames(facts(text), fast)[0].pulse.seen


def test_a_device_without_rotaries_has_no_paces() -> None:
    assert rotary_paces(facts(PLAIN + "[controls]")) == ()


def test_points_are_read_one_after_another_and_those_of_an_expander_at_once() -> None:
    """`deck` has six contacts, read with its two ports: address twice, register, two bytes. `fan`
    waits 5 us at each of its three places."""
    box = DeviceFacts(make_banks_box())
    read, costs = time_points(box.model, "avr"), read_costs("avr").quiet
    assert read == sorted(read)
    (own, deck, rail, fan), (first, *_) = [1, 4, 4, 3], read
    assert first * 1000 == pytest.approx(costs["pin"] + costs["point"])
    assert len(set(read[own : own + deck])) == 1
    bus = 5 * (9 / 0.4 + costs["bus_byte"]) + costs["bank"] + costs["expander"]
    assert (read[own] - first) * 1000 == pytest.approx(bus)
    places = read[own + deck + rail : own + deck + rail + fan]
    choice = 5 + costs["choice"] + 3 * costs["select"] + costs["point"]
    assert (places[1] - places[0]) * 1000 == pytest.approx(choice)


def test_an_expander_whose_interrupt_is_wired_makes_one_scan_in_32_longer() -> None:
    box, costs = DeviceFacts(make_banks_box()), read_costs("avr")
    reading = 5 * (9 / 0.4 + costs.quiet["bus_byte"]) + costs.quiet["expander"]
    pause = time_scan(box.model, "avr").pause
    assert pause == pytest.approx(costs.pause + 31 / 32 * reading / 1000)


def test_channels_read_far_apart_are_followed_more_slowly() -> None:
    """Two steps that come closer than a scan and the time between their readings may be seen in
    one scan, and then no way is known."""
    knob = {"kind": "rotary", "inputs": {"clockwise": 1, "anticlockwise": 2}}
    chain = {"latch": "4", "clock": "5", "data": "6", "length": 64}
    near, far = (
        make_device("knob", {"chain": chain}, {"trim": {**knob, "bits": {"clockwise": 1, **b}}})
        for b in ({"anticlockwise": 2}, {"anticlockwise": 64})
    )
    (close,), (apart,) = (rotary_paces(DeviceFacts(one)) for one in (near, far))
    costs = read_costs("avr").quiet
    more = 62 * (costs["bit"] + costs["point"]) / 1000 * MORE
    wait = [1000 / one.followed.detents_per_second for one in (close, apart)]
    assert wait[1] - wait[0] == pytest.approx(4 * more, rel=1e-3)
