"""An oracle that shares no code with the project: nodal analysis of the resistor network.

Every closed contact is 1 ohm, in series with an ideal diode where it has one; sensed lines have a
pull-up of 30 kilohm to 5 V; the driven line is tied to 0 V through 1 milliohm; the other driven
lines float (10 gigohm of leakage). A crossing reads closed when its sensed line is below 1 V.
Diodes are switched on and off until their states agree with the voltages.
"""

import numpy as np
from numpy.typing import NDArray

Flags = NDArray[np.bool_]
Volts = NDArray[np.float64]

SUPPLY, PULL_UP, DRIVE, CONTACT, LEAK, BLOCKED = 5.0, 1 / 30e3, 1e3, 1.0, 1e-10, 1e-13


def read_networks(closed: Flags, diodes: Flags) -> Flags:
    """Read many matrices at once.

    `closed` and `diodes` have the shape (cases, driven lines, sensed lines); so has the answer.
    """
    answers = np.zeros_like(closed)
    for line in range(closed.shape[1]):
        volts = _settle(closed, diodes, line)
        answers[:, line, :] = volts[:, closed.shape[1] :] < 1.0
    return answers


def _settle(closed: Flags, diodes: Flags, line: int) -> Volts:
    """Voltages of all lines, driven ones first, with one of them pulled low."""
    conducting = closed.copy()
    for _ in range(closed.shape[1] * closed.shape[2]):
        volts = _solve(closed, conducting, line)
        before, after = volts[:, : closed.shape[1], None], volts[:, None, closed.shape[1] :]
        forward = after - before
        wanted = closed & (~diodes | np.where(conducting, forward > -1e-7, forward > 1e-7))
        if (wanted == conducting).all():
            return volts
        conducting = wanted
    raise AssertionError("the diodes found no steady state")


def _solve(closed: Flags, conducting: Flags, line: int) -> Volts:
    cases, driven, sensed = closed.shape
    conductance = np.where(conducting, CONTACT, np.where(closed, BLOCKED, 0.0))
    size = driven + sensed
    matrix = np.zeros((cases, size, size))
    matrix[:, :driven, driven:] = -conductance
    matrix[:, driven:, :driven] = -conductance.transpose(0, 2, 1)
    tie = np.full(size, LEAK)
    tie[driven:] += PULL_UP
    source = tie * SUPPLY
    tie[line] += DRIVE
    diagonal = -matrix.sum(axis=2) + tie
    matrix[:, np.arange(size), np.arange(size)] += diagonal
    solved = np.linalg.solve(matrix, np.broadcast_to(source, (cases, size))[..., None])
    return np.asarray(solved[..., 0], dtype=np.float64)
