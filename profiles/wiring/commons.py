"""The common terminal of a control that switches several contacts, and the line it is soldered to.

The contacts of a selector, of a changeover toggle and the two channels of a rotary meet in one
terminal. It takes one wire, so all of them must sit on one row or on one column; a push switch
under a knob has terminals of its own.

A control whose contacts share no line needs a pole for each of them: `find_commons` then numbers a
common for every line of the side that has fewer, `find_torn` names the control.
"""

from collections.abc import Mapping

from profiles.model import Contact
from profiles.wiring.circuit import Circuit
from profiles.wiring.matrix import Line

Commons = Mapping[tuple[str, Line], str]
"""Name of the common terminal by control and line; no entry where the line joins none."""


def find_commons(circuit: Circuit) -> dict[tuple[str, Line], str]:
    """Return the common terminals of a matrix."""
    commons: dict[tuple[str, Line], str] = {}
    for control, members in _switched(circuit).items():
        lines = _common_side(circuit, members)
        split = len(_lines(circuit, members, lines[0].kind)) > 1
        for number, line in enumerate(lines, 1):
            commons[control, line] = f"{control} common {number}" if split else f"{control} common"
    return commons


def find_torn(circuit: Circuit) -> tuple[str, ...]:
    """Return the controls whose contacts share neither a row nor a column."""
    return tuple(
        control
        for control, members in _switched(circuit).items()
        if len(_lines(circuit, members, "row")) > 1 and len(_lines(circuit, members, "column")) > 1
    )


def _switched(circuit: Circuit) -> dict[str, list[Contact]]:
    """Return the contacts in the matrix of each control that has two or more, `press` apart."""
    found: dict[str, list[Contact]] = {}
    for terminal in circuit.places:
        if terminal.contact != "press":
            found.setdefault(terminal.control, []).append(terminal)
    return {control: members for control, members in found.items() if len(members) > 1}


def _common_side(circuit: Circuit, members: list[Contact]) -> list[Line]:
    """Return the lines that take a common: of the side on which the contacts use fewer lines."""
    rows, columns = (_lines(circuit, members, kind) for kind in ("row", "column"))
    return rows if len(rows) <= len(columns) else columns


def _lines(circuit: Circuit, members: list[Contact], kind: str) -> list[Line]:
    axis = 0 if kind == "row" else 1
    numbers = sorted({circuit.places[member][axis] for member in members})
    return [Line("row" if kind == "row" else "column", number) for number in numbers]
