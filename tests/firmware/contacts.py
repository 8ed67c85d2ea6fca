"""Contacts of random boxes, as both simulations close them."""

from collections.abc import Iterable

from profiles.firmware import FirmwarePlan
from profiles.model import Expander, Multiplexer, ShiftRegisterChain
from profiles.model.bank import BankPart
from tests.firmware.small import Where


def find_open(plan: FirmwarePlan) -> tuple[str, ...]:
    """Pins that are low while every contact is open."""
    chains = [bank.part for bank in plan.banks if isinstance(bank.part, ShiftRegisterChain)]
    return tuple(one.data for one in chains if one.active == "high")


def find_plain(plan: FirmwarePlan) -> tuple[int, int]:
    """The point that is read first, of those that both simulations can close and whose button is
    down as long as they are; and that button."""
    found = [
        (rule.when.closed[0], rule.button)
        for rule in plan.rules.follows
        if len(rule.when.closed) == 1 and not rule.when.opened
    ]
    buttons = plan.shape.buttons
    return min((at, button) for at, button in found if button < buttons and find_pin(plan, at))


def find_place(plan: FirmwarePlan, point: int) -> tuple[BankPart | ShiftRegisterChain | None, int]:
    """The bank on which a point is, and its place there; without a bank its number."""
    first = plan.points - sum(len(bank.places) for bank in plan.banks)
    for bank in plan.banks:
        if first <= point < first + len(bank.places):
            return bank.part, bank.places[point - first]
        first += len(bank.places)
    return None, point


def find_pin(plan: FirmwarePlan, point: int) -> tuple[Where, int] | None:
    """What closes a point in the interpreter's stand-ins, and by which level. Of a chain it closes
    all."""
    part, place = find_place(plan, point)
    match part:
        case ShiftRegisterChain():
            return part.data, int(part.active == "high")
        case Multiplexer():
            bits = ((pin, bool(place >> bit & 1)) for bit, pin in enumerate(part.select))
            return (part.pin, tuple(bits)), 0
        case Expander() if place < 8:
            return part.address, 255 ^ 1 << place
        case None:
            crossings = len(plan.driven) * len(plan.sensed)
            if point >= crossings:
                return plan.own[point - crossings], 0
            line, sensed = divmod(point, len(plan.sensed))
            return (plan.sensed[sensed], ((plan.driven[line], False),)), 0
    return None


def mark_points(plan: FirmwarePlan, closed: Iterable[int]) -> str:
    """A row of the simulated box: which points are closed."""
    those = frozenset(closed)
    return "".join("1" if at in those else "0" for at in range(plan.points))
