"""The rise of a sensed line against an independent integration of its circuit."""

from itertools import pairwise
from math import isclose

import numpy as np
import pytest

from profiles.wiring.boards import packaged_boards
from profiles.wiring.box import harness_of
from profiles.wiring.settling import rise_time, slowest_rise
from tests.checks.build import device

BOX = """
[wiring]
rows = ["GP2", "GP3"]
columns = ["GP4", "GP5"]
settle = {settle}
board = "rp2040"
[controls.near]
crossing = [1, 1]
[controls.far]
crossing = [2, 2]
[controls.other]
crossing = [1, 2]
"""


@pytest.mark.parametrize(
    ("pull_up", "capacitance", "level"), [(50.0, 80.0, 0.6), (20.0, 200.0, 0.7), (80.0, 33.0, 0.5)]
)
def test_the_rise_is_that_of_the_circuit(pull_up: float, capacitance: float, level: float) -> None:
    """Pull-up and capacitor step by step: dV/dt = (1 - V) / (R C), in kilohm, pF and ns."""
    step = pull_up * capacitance / 1e5
    voltages = 1 - (1 - step / (pull_up * capacitance)) ** np.arange(1, 400_000)
    reached = (int(np.argmax(voltages >= level)) + 1) * step / 1000

    assert rise_time(pull_up, capacitance, level) == pytest.approx(reached, rel=1e-4)


def test_one_time_constant_reaches_63_percent() -> None:
    """The Art of Electronics: 63 % of the final value after one RC."""
    assert rise_time(10.0, 100.0, 0.632) == pytest.approx(1.0, rel=1e-3)


def test_the_wire_is_that_of_the_harness() -> None:
    """Where it is too slow: the cut pieces of the two longest lines that a contact joins."""
    box = device(BOX.format(settle=0.1))
    rise = slowest_rise(box, packaged_boards()["rp2040"])
    assert rise is not None

    cut: dict[str, int] = {}
    for piece in harness_of(box).pieces:
        cut[piece.line] = cut.get(piece.line, 0) + piece.cut
    joined = [("row 1", "column 1"), ("row 2", "column 2"), ("row 1", "column 2")]
    assert rise.length == max(cut[row] + cut[column] for row, column in joined)
    assert cut[rise.driven] + cut[rise.sensed] == rise.length
    assert isclose(rise.capacitance, rise.length * 0.05 + 20.0)
    assert isclose(rise.time, rise_time(80.0, rise.capacitance, 0.65))


def test_more_wire_and_more_resistance_settle_later() -> None:
    times = [rise_time(pull_up, 100.0, 0.6) for pull_up in (10.0, 20.0, 50.0)]
    assert all(one < other for one, other in pairwise(times))


def test_a_rough_length_is_never_too_short() -> None:
    rough = slowest_rise(device(BOX.format(settle=1000.0)), packaged_boards()["rp2040"])
    exact = slowest_rise(device(BOX.format(settle=0.1)), packaged_boards()["rp2040"])
    assert rough is not None
    assert exact is not None
    assert rough.time >= exact.time


def test_nothing_is_told_where_no_pull_up_or_contact_is_known() -> None:
    assert slowest_rise(device(BOX.format(settle=1.0)), None) is None
    assert slowest_rise(device('[wiring]\nboard = "rp2040"'), packaged_boards()["rp2040"]) is None
