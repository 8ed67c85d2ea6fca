"""American wire gauge: diameter, area, resistance, voltage drop.

Formula of ASTM B258: AWG 36 is 0.005 in, AWG 0000 is 0.46 in, 39 equal ratios between. Resistance
is that of annealed copper at 20 degrees Celsius (IEC 60028, 1/58 ohm mm2/m = 1.7241e-8 ohm m).
"""

from math import pi

COPPER = 1.7241e-8
"""Resistivity of annealed copper at 20 degrees Celsius, ohm metres (IEC 60028)."""


def wire_diameter(gauge: int) -> float:
    """Return the diameter of the bare conductor, mm. AWG 00 is -1, 000 is -2, 0000 is -3."""
    return float(0.127 * 92 ** ((36 - gauge) / 39))


def wire_area(gauge: int) -> float:
    """Return the cross-section of the conductor, mm2."""
    return pi / 4 * wire_diameter(gauge) ** 2


def wire_resistance(gauge: int, length: float) -> float:
    """Return the resistance, ohm, of a length in mm."""
    return COPPER * length * 1000 / wire_area(gauge)


def voltage_drop(gauge: int, length: float, current: float) -> float:
    """Return the drop, V, along a length in mm at a current in mA; out and back count twice."""
    return wire_resistance(gauge, length) * current / 1000
