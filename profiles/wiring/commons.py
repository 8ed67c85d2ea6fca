"""The common of a control that switches several contacts, and the line it is soldered to.

The contacts of a selector, of a changeover toggle and the two channels of a rotary meet in one
terminal of the switch, its common. It takes one wire, so all of them must be on one row or on one
column; a push switch under a knob has terminals of its own.

A control whose contacts share no line needs a pole for each of them: `find_commons` then numbers a
common for every line of the side that has fewer, `find_split` names the control.
"""

from collections.abc import Iterable, Mapping

from profiles.model import Contact
from profiles.model.control_value import FINGERS
from profiles.wiring.circuit import Circuit
from profiles.wiring.matrix import Line

Commons = Mapping[tuple[str, Line], str]
"""Name of the common by control and line; no entry where the line joins none."""


def find_commons(circuit: Circuit) -> dict[tuple[str, Line], str]:
    """Return the commons of a matrix."""
    commons: dict[tuple[str, Line], str] = {}
    for control, lines in _fewest_lines(circuit).items():
        for number, line in enumerate(lines, 1):
            name = f"{control} common {number}" if len(lines) > 1 else f"{control} common"
            commons[control, line] = name
    return commons


def find_split(circuit: Circuit) -> tuple[str, ...]:
    """Return the controls whose contacts share neither a row nor a column."""
    return tuple(control for control, lines in _fewest_lines(circuit).items() if len(lines) > 1)


def _fewest_lines(circuit: Circuit) -> dict[str, list[Line]]:
    """Return for each control with several contacts, `press` apart, the rows or columns they use.

    The side on which they use fewer lines, rows if both are equal.
    """
    found = {}
    for control, contacts in group_by_common(circuit.places).items():
        places = [circuit.places[contact] for contact in contacts]
        rows = [Line("row", number) for number in sorted({row for row, _ in places})]
        columns = [Line("column", number) for number in sorted({col for _, col in places})]
        found[control] = min(rows, columns, key=len)
    return found


def group_by_common(contacts: Iterable[Contact]) -> dict[str, list[Contact]]:
    """Return the contacts that share a common, by control: several, `press` apart."""
    found: dict[str, list[Contact]] = {}
    for contact in contacts:
        if contact.contact not in FINGERS:
            found.setdefault(contact.control, []).append(contact)
    return {control: those for control, those in found.items() if len(those) > 1}
