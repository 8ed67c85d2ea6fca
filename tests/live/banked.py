"""A simulated box whose contacts and levers are on banks: what is soldered there, by names.

Ladders are worked out from their resistors; nothing here uses the project's own reading of banks.
"""

from collections.abc import Iterable, Iterator
from typing import Any

from profiles.live.events import Event
from profiles.live.faults import Fault
from profiles.live.plan import Step
from profiles.model import Contact, Device
from tests.firmware.boxes import make_device
from tests.live.simulated import INSTANCE, SimulatedBox

BANKS = ("register", "deck", "rail", "fan", "rungs")
LADDER = (2.4, 4.3, 8.2, 24.0)
FIRST = {"register": 1, "deck": 17, "rail": 25, "fan": 33, "rungs": 41}
"""Input number of the first place of each bank."""

SIZES = {"register": 16, "deck": 8, "rail": 8, "fan": 8, "rungs": 5}
USED = {"register": 16, "deck": 4, "rail": 5, "fan": 8, "rungs": 5}
LEVERS = ("sail", "keel")


def make_banked_box() -> Device:
    """Two registers of eight, two expanders, a multiplexer, a ladder, and two levers."""
    bus = {"kind": "expander", "sda": "2", "scl": "3", "chip": "pcf8574"}
    keys: dict[str, dict[str, Any]] = {
        f"{bank}-{place + 1}": {
            "kind": "momentary",
            "input": FIRST[bank] + place,
            **({"bit": place + 1} if bank == "register" else {"pin": f"{bank}.{place + 1}"}),
        }
        for bank, used in USED.items()
        for place in range(used)
    }
    levers: dict[str, dict[str, Any]] = {
        name: {"kind": "axis", "axis": axis, "pin": pin}
        for name, axis, pin in zip(LEVERS, ("x", "y"), ("A2", "A6"), strict=True)
    }
    for at, control in enumerate([*keys.values(), *levers.values()]):
        control["position"] = [10.0 + 20.0 * (at % 8), 10.0 + 20.0 * (at // 8)]
    banks = {
        "deck": {**bus, "address": 0x20},
        "rail": {**bus, "address": 0x21},
        "fan": {"kind": "multiplexer", "select": ["A3", "A4", "A5"], "pin": "5"},
        "rungs": {"kind": "ladder", "pin": "A0", "pull_up": 10.0, "steps": list(LADDER)},
    }
    chain = {"latch": "7", "clock": "8", "data": "9", "length": 16}
    return make_device("banked", {"banks": banks, "chain": chain}, keys | levers)


class BankedBox(SimulatedBox):
    """The box with one fault, which is done to what is soldered."""

    def __init__(self, device: Device, fault: Fault | None = None) -> None:
        super().__init__(device)
        self.fault = fault or Fault("unnamed")

    def levels(self, closed: Iterable[Contact]) -> set[int]:
        pressed: dict[str, set[int]] = {bank: set() for bank in BANKS}
        for contact in closed:
            bank, _, place = contact.control.rpartition("-")
            if bank:
                pressed[bank].add(int(place) - 1)
        kind, places = self.fault.kind, self.fault.places
        if kind == "banks-exchanged":
            one, other = BANKS[places[0]], BANKS[places[1]]
            pressed[one], pressed[other] = pressed[other], pressed[one]
        read = {bank: self._read(bank, where) for bank, where in pressed.items()}
        used = {(bank, place) for bank, many in USED.items() for place in range(many)}
        return {
            FIRST[bank] + place
            for bank, where in read.items()
            for place in where
            if (bank, place) in used
        }

    def _read(self, bank: str, pressed: set[int]) -> set[int]:
        """The places that read closed while these are pressed."""
        kind, (at, *given) = self.fault.kind, self.fault.places or (-1,)
        is_here = at >= 0 and BANKS[at] == bank
        if bank == "rungs":
            return self._measure(pressed, kind if is_here else "", given)
        if not is_here or kind == "banks-exchanged":
            return pressed
        found = set()
        for place in range(SIZES[bank]):
            chosen = place
            if kind == "select-stuck":  # the chip sees this level whatever is asked
                bits = [place >> n & 1 for n in range(3)]
                bits[given[0]] = given[1]
                chosen = sum(bit << n for n, bit in enumerate(bits))
            elif kind == "selects-exchanged":
                bits = [place >> n & 1 for n in range(3)]
                bits[given[0]], bits[given[1]] = bits[given[1]], bits[given[0]]
                chosen = sum(bit << n for n, bit in enumerate(bits))
            elif kind == "bits-shifted":
                chosen = place - given[0]
            is_closed = chosen in pressed and kind != "bank-silent"
            if kind == "places-lost" and place >= given[0]:
                is_closed = bool(given[1])
            if is_closed:
                found.add(place)
        return found

    def _measure(self, pressed: set[int], kind: str, given: list[int]) -> set[int]:
        """What the pin of the ladder reads: the contact nearest to it wins."""
        steps = list(LADDER)
        if kind == "bank-silent" or not pressed:
            return set()
        if kind == "places-lost":
            steps[given[0] - 1] = 1e9
        if kind == "resistor-wrong":
            steps[given[0]] *= (0.0, 0.1, 10.0)[given[1]]
        total = sum(steps[: min(pressed)])
        usual = [sum(LADDER[:at]) for at in range(5)]
        levels = [*(each / (each + 10.0) for each in usual), 1.0]
        nearest = min(range(6), key=lambda at: abs(levels[at] - total / (total + 10.0)))
        return {nearest} - {5}

    def perform(self, step: Step) -> Iterator[Event]:
        if step.gesture not in ("to-high", "to-low") or step.contact is None:
            yield from super().perform(step)
            return
        kind, places = self.fault.kind, self.fault.places
        lever = LEVERS.index(step.contact.control)
        end = 32767 if step.gesture == "to-high" else -32767
        if kind == "axis-backwards" and lever in places:
            end = -end
        is_silent = kind == "axis-silent" and lever in places
        axis = 1 - lever if kind == "axes-exchanged" else lever
        for way in range(5):
            self.time += 60.0
            if not is_silent:
                yield Event(self.time, INSTANCE, "axis", axis + 1, -end + end * way // 2)
        self.time += 3000.0
