"""Pulses and rests against frames: 1000 ms divided by the frame rate."""

import pytest

from profiles.model import Related, Spot
from tests.checks.build import application, device, find, profile, told

ROTARY = '[controls.trim]\nkind = "rotary"\ninputs = { clockwise = 1, anticlockwise = 2 }\n'
TURNS = '[bindings]\n"trim.clockwise" = "up"\n"trim.anticlockwise" = "down"'
ACTIONS = "[actions.up]\n[actions.down]\n"


def at(frame_rate: float) -> str:
    return f"{ACTIONS}[application]\nframe_rate = {frame_rate}"


def test_a_pulse_shorter_than_a_frame_is_a_warning() -> None:
    """At 30 frames a second a frame takes 33.3 ms."""
    box = device(f"{ROTARY}[wiring]\npulse = 20.0\ngap = 40.0")

    (found,) = find("pulse-below-frame", box, application(at(30.0)), profile(TURNS))

    assert found.message == "the pulse of `desk` is 20 ms, but a frame of `harbour` takes 33.3 ms"
    assert found.remedy == "Set wiring.pulse to 33.4 or more"
    assert found.subject == "desk:wiring.pulse harbour"
    there = Spot("harbour", ("application", "frame_rate"))
    assert (Related("the frame rate", there),) == found.related


def test_a_rotary_with_a_pulse_of_its_own_is_told_at_that() -> None:
    box = device(f"{ROTARY}pulse = 5.0")

    assert told("pulse-below-frame", box, application(at(60.0)), profile(TURNS)) == [
        (
            "`trim` pulses 5 ms, but a frame of `harbour` takes 16.7 ms",
            "Set controls.trim.pulse to 16.7 or more",
            "desk:controls.trim.pulse harbour",
        )
    ]


def test_a_rest_shorter_than_a_frame_is_a_warning() -> None:
    box = device(f"{ROTARY}[wiring]\npulse = 40.0\ngap = 10.0")

    assert told("gap-below-frame", box, application(at(30.0)), profile(TURNS)) == [
        (
            "the gap of `desk` is 10 ms, but a frame of `harbour` takes 33.3 ms",
            "Set wiring.gap to 33.4 or more",
            "desk:wiring.gap harbour",
        )
    ]


FLAPS = """[controls.flaps]
kind = "latching"
pattern = "on-off-on"
inputs = { up = 1, centre = 2, down = 3 }
pins = { up = "2", down = "3" }
"""


def test_a_gap_that_counts_as_a_position_is_a_warning() -> None:
    """Two fifths of the 100 ms in which a hand goes on by one position. Rule of thumb."""
    assert told("hold-short", device(f"{FLAPS}[wiring]\nhold = 39.0")) == [
        (
            "`desk` takes `flaps.centre` for chosen once nothing is closed for 39 ms, but a hand "
            "takes up to 40 ms from one position to the next",
            "Set wiring.hold to 40 or more",
            "desk:wiring.hold",
        )
    ]
    assert find("hold-short", device(FLAPS)) == []
    wired = FLAPS.replace('{ up = "2"', '{ centre = "4", up = "2"')
    assert find("hold-short", device(f"{wired}[wiring]\nhold = 1.0")) == []


def test_two_profiles_of_one_application_are_told_once() -> None:
    box = device(f"{ROTARY}[wiring]\npulse = 20.0\ngap = 20.0")
    other = profile(f'[profile]\nid = "other"\n{TURNS}')

    assert len(find("pulse-below-frame", box, application(at(30.0)), profile(TURNS), other)) == 1


@pytest.mark.parametrize("frame_rate", [25.0, 40.0, 50.0])
def test_a_pulse_of_exactly_one_frame_is_silent(frame_rate: float) -> None:
    box = device(f"{ROTARY}[wiring]\npulse = {1000 / frame_rate}\ngap = {1000 / frame_rate}")

    assert find("pulse-below-frame", box, application(at(frame_rate)), profile(TURNS)) == []
    assert find("gap-below-frame", box, application(at(frame_rate)), profile(TURNS)) == []


def test_a_settle_time_below_the_rise_of_the_wires_is_a_warning() -> None:
    """80 kilohm and 50 pF a metre; the board sits in the middle of the plate."""
    box = '[wiring]\nboard = "rp2040"\nrows = ["GP2"]\ncolumns = ["GP3"]\nsettle = {}\n'
    box += "[controls.horn]\ncrossing = [1, 1]\nposition = [100.0, 150.0]"

    assert told("settle-short", device(box.format(1.0))) == [
        (
            "column 1 settles 1 µs, but takes 2.8 µs to rise: 80 kohm charge 260 mm of wire, 33 pF",
            "Set wiring.settle to 3 or more",
            "desk:wiring.settle",
        )
    ]
    assert find("settle-short", device(box.format(3.0))) == []
    assert find("settle-short", device(box.replace("rp2040", "bench").format(1.0))) == []


def test_buttons_send_no_pulses() -> None:
    """A finger's press is as long as the finger makes it."""
    box = device("[controls.horn]\ninput = 1\n[wiring]\npulse = 1.0\ngap = 1.0")
    play = profile('[bindings]\nhorn = "up"')

    assert find("pulse-below-frame", box, application(at(30.0)), play) == []
    assert find("gap-below-frame", box, application(at(30.0)), play) == []


def test_edge_reporters_pulse_too() -> None:
    box = device(
        '[controls.gear]\nkind = "latching"\nreports = "edges"\ninput = 1\n[wiring]\npulse = 1.0'
    )
    play = profile('[bindings]\ngear = "up"')

    assert len(find("pulse-below-frame", box, application(at(60.0)), play)) == 1


def test_a_debounce_below_published_bounce_is_a_note() -> None:
    """16 types of switch bounced 6.2 ms at most (A Guide to Debouncing)."""
    assert told("debounce-short", device("[wiring]\ndebounce = 6.1")) == [
        (
            "`desk` debounces 6.1 ms, but switches bounce up to 6.2 ms",
            "Set wiring.debounce to 6.2 or more",
            "desk:wiring.debounce",
        )
    ]
    assert find("debounce-short", device("[wiring]\ndebounce = 6.2")) == []


def test_a_scan_beyond_half_the_debounce_time_is_a_note() -> None:
    """Four driven rows of 1 ms, and 0.06 ms for the rest by the table of measured costs."""
    lines = '[wiring]\nrows = ["1", "2", "3", "4"]\ncolumns = ["5"]\n'

    assert told("scan-slow", device(f"{lines}settle = 1000.0")) == [
        (
            "a scan of `desk` takes 4.06 ms, more than half its debounce of 7 ms",
            "Shorten wiring.settle, or drive the side with fewer lines",
            "desk:wiring.settle",
        )
    ]
    assert find("scan-slow", device(f"{lines}settle = 800.0")) == []


def test_a_rotary_that_a_hand_outruns_is_a_note() -> None:
    """1000 ms over 60 and 50 ms are 9.1 detents a second; 24 detents make a turn. The last one
    waits for the pulse and rest before it and its own: 170 ms, a scan until it is seen, one that
    tells it and a USB frame."""
    slow = device(f"{ROTARY}[wiring]\npulse = 60.0\ngap = 50.0")

    assert told("turn-slow", slow) == [
        (
            "`trim` follows only 9.1 detents/s (23 rpm), the last of them told up to 172 ms late",
            "Shorten wiring.pulse and wiring.gap",
            "desk:controls.trim",
        )
    ]
    assert find("turn-slow", device(f"{ROTARY}[wiring]\npulse = 50.0\ngap = 50.0")) == []


def test_a_knob_whose_channels_are_read_far_apart_is_told_to_bring_them_together() -> None:
    """26 ms from the first line to the last, and a scan of 28 ms, which may take 5 % more: 57 ms
    for each of two steps."""
    lines = ", ".join(f'"{at}"' for at in range(14))
    wires = "crossings = { clockwise = [1, 1], anticlockwise = [14, 1] }\nsteps_per_detent = 2\n"
    wiring = (
        f'[wiring]\nrows = [{lines}]\ncolumns = ["A0"]\nsettle = 2000.0\npulse = 5.0\ngap = 5.0'
    )
    (found,) = find("turn-slow", device(f"{ROTARY}{wires}{wiring}"))

    assert found.message.startswith("`trim` follows only 8.7 detents/s")
    assert found.remedy == "Wire both channels to places that are read one after the other"
