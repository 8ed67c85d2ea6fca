"""Random boxes: every kind of wiring, control, light and identity, on the pins of an ATmega32U4."""

import random
from typing import Any

from profiles.model import Device
from tests.firmware.boxes import make_device

PINS = ["0", "1", "5", "7", "13", "SCK", "MOSI", "MISO"]
MEASURING = ["A2", "A3", "A4", "A5"]
LADDERS = ["A0", "A1"]
"""Pins whose channels the simulated chip knows (`tests.firmware.test_chip.CHANNELS`)."""

OTHERS = ["4", "6", "8", "9", "10", "12"]

AXES = ["x", "y", "z", "rx", "ry", "rz", "slider", "dial"]
WORDS = ["Helm", "Möwe & Söhne", "Łódź", "Пульт", "甲板", "Deck 7", "\U0001f6a2", "A" * 126]


class BoxMaker:
    """One random box while it grows."""

    def __init__(self, seed: str) -> None:
        self.rng = random.Random(seed)
        self.pins = [*PINS, *MEASURING, *OTHERS, *LADDERS]
        self.rng.shuffle(self.pins)
        self.wiring: dict[str, Any] = {"settle": self.rng.choice([2.0, 5.0, 5.0, 10.0])}
        self.controls: dict[str, dict[str, Any]] = {}
        self.next_input = 1
        self.spots: list[tuple[str, Any]] = []

    def take(self, wanted: list[str] | None = None) -> str | None:
        """A free pin, of those wanted."""
        for pin in self.pins:
            if wanted is None or pin in wanted:
                self.pins.remove(pin)
                return pin
        return None

    def take_many(self, count: int) -> list[str]:
        found = [pin for pin in (self.take() for _ in range(count)) if pin]
        if len(found) < count:
            self.pins += found
            return []
        return found

    def wire(self) -> None:
        """The ways in which contacts reach the board; `spots` are where a contact can sit."""
        rng = self.rng
        rows = rng.choice([0, 2, 3, 4, 5, 6])
        columns = rng.choice([2, 3, 4, 5]) if rows else 0
        lines = self.take_many(rows + columns)
        if lines:
            self.wiring |= {"rows": lines[:rows], "columns": lines[rows:], "diodes": "every"}
            self.wiring["driven"] = rng.choice(["rows", "columns"])
            self.spots += [
                ("crossing", [row, column])
                for row in range(1, rows + 1)
                for column in range(1, columns + 1)
            ]
        self._wire_chains()
        self._wire_banks()
        for _ in range(rng.choice([1, 2, 4])):
            if pin := self.take():
                self.spots.append(("pin", pin))

    def _wire_chains(self) -> None:
        chains, first = [], 1
        for _ in range(self.rng.choice([0, 0, 1, 1, 2])):
            if pins := self.take_many(3):
                length = self.rng.choice([4, 8, 12, 16, 24, 32, 64])
                chains.append(
                    {
                        **dict(zip(("latch", "clock", "data"), pins, strict=True)),
                        "length": length,
                        "active": self.rng.choice(["low", "high"]),
                    }
                )
                bits = self.rng.sample(range(first, first + length), min(length, 20))
                self.spots += [("bit", bit) for bit in sorted(bits)]
                first += length
        if chains:
            self.wiring["chains"] = chains

    def _wire_banks(self) -> None:
        banks: dict[str, Any] = {}
        places: dict[str, list[int]] = {}
        for at, name in enumerate(("deck", "rail")[: self.rng.choice([0, 0, 1, 2])]):
            chip = self.rng.choice(["mcp23008", "mcp23017", "pcf8574", "pcf8575"])
            banks[name] = {"kind": "expander", "sda": "2", "scl": "3", "chip": chip}
            banks[name]["address"] = 0x20 + at
            size = 16 if chip.endswith(("17", "75")) else 8
            if self.rng.random() < 0.3 and (pin := self.take()):
                banks[name]["interrupt"] = pin
            places[name] = self.rng.sample(range(1, size + 1), self.rng.randint(1, size))
        if self.rng.random() < 0.3:
            count = self.rng.choice([1, 2, 3])
            if pins := self.take_many(count + 1):
                banks["fan"] = {"kind": "multiplexer", "select": pins[1:], "pin": pins[0]}
                places["fan"] = self.rng.sample(
                    range(1, 2**count + 1), self.rng.randint(1, 2**count)
                )
        if self.rng.random() < 0.3 and (pin := self.take(LADDERS)):
            steps = [2.4, 4.3, 8.2, 24.0][: self.rng.randint(2, 4)]
            banks["rungs"] = {"kind": "ladder", "pin": pin, "pull_up": 10.0, "steps": steps}
            places["rungs"] = list(range(1, len(steps) + 1))
        if banks:
            self.wiring["banks"] = banks
        for name, found in places.items():
            self.spots += [("pin", f"{name}.{place}") for place in sorted(found)]

    def add(self, kind: str, contacts: list[str], sends: list[str], **more: Any) -> bool:
        """A control of this kind at the next free spots, each contact with an input number."""
        if len(self.spots) < len(contacts):
            return False
        control: dict[str, Any] = {"kind": kind, **more}
        for contact in contacts:
            way, place = self.spots.pop(self.rng.randrange(len(self.spots)))
            if contact:
                control.setdefault(f"{way}s", {})[contact] = place
            else:
                control[way] = place
        for contact in sends:
            control.setdefault("inputs", {})[contact] = self.next_input
            self.next_input += 1
        if not sends:
            control["input"] = self.next_input
            self.next_input += 1
        self.controls[f"{kind}-{len(self.controls) + 1}"] = control
        return True

    def fill(self) -> None:
        """Controls of all kinds; the first is a toggle, with a pin of its own if there is one."""
        rng = self.rng
        self.spots.sort(key=lambda spot: spot[0] == "pin" and "." not in spot[1], reverse=True)
        first, *others = self.spots
        self.spots = [first]
        self.add("latching", [""], [])
        self.spots = others
        self.add("momentary", [""], [])
        for _ in range(rng.choice([2, 6, 12, 30])):
            match rng.choice(["key", "key", "key", "toggle", "edges", "mode", "knob", "stick"]):
                case "key":
                    self.add("momentary", [""], [])
                case "toggle":
                    self.add("latching", [""], ["on", "off"])
                case "edges":
                    self.add("latching", ["on", "off"], ["on", "off"], reports="edges")
                case "mode":
                    count = rng.choice([2, 3, 5])
                    named = [f"position-{at}" for at in range(1, count + 1)]
                    how = rng.choice(["state", "edges"])
                    self.add("selector", named, named, positions=count, reports=how)
                case "knob":
                    ways = ["clockwise", "anticlockwise"]
                    steps, opposite = rng.choice([1, 2, 4]), rng.choice(["queue", "cancel"])
                    self.add("rotary", ways, ways, steps_per_detent=steps, opposite=opposite)
                case "stick" if sum(one["kind"] == "hat" for one in self.controls.values()) < 4:
                    if self.add("hat", ["up", "right", "down", "left"], []):
                        *_, last = self.controls.values()
                        del last["input"]
                        self.next_input -= 1
        for axis in AXES[: rng.choice([0, 0, 1, 3])]:
            if pin := self.take(MEASURING):
                self.controls[f"axis-{axis}"] = {
                    "kind": "axis",
                    "axis": axis,
                    "pins": {"axis": pin},
                }
        self._light()

    def turn_axes(self, device_id: str) -> None:
        """Let some knobs move an axis each, of those that are left."""
        rng = random.Random(f"dials of {device_id}")
        free = [axis for axis in AXES if f"axis-{axis}" not in self.controls]
        for control in self.controls.values():
            if control["kind"] == "rotary" and free and rng.random() < 0.3:
                control |= {"axis": free.pop(), "axis_step": rng.choice([2.0, 10.0])}
                del control["inputs"], control["opposite"]

    def _light(self) -> None:
        rng, led = self.rng, {"forward_voltage": 2.0, "current": 2.0}
        lit = [one for one in self.controls.values() if one["kind"] in ("momentary", "latching")]
        names = [name for name, one in self.controls.items() if one["kind"] == "momentary"]
        rng.shuffle(lit)
        if rng.random() < 0.2 and (pins := self.take_many(4)):
            self.wiring["leds"] = {"rows": pins[:2], "columns": pins[2:]}
            for place in ([1, 1], [1, 2], [2, 1], [2, 2])[: rng.randint(1, 4)]:
                if lit:
                    lit.pop()["led"] = {**led, "crossing": place, "follows": rng.choice(names)}
        for _ in range(rng.choice([0, 0, 1, 3])):
            if lit and (pin := self.take()):
                lit.pop()["led"] = {**led, "pin": pin, "follows": rng.choice(names)}

    def identify(self) -> dict[str, Any]:
        """The header: an identity of its own, or that of its board."""
        rng = self.rng
        header: dict[str, Any] = {"name": rng.choice(WORDS)}
        header["report"] = {"collection": rng.choice(["joystick", "game-pad", "multi-axis"])}
        if rng.random() < 0.8:
            usb = {"vendor": "1209", "product": f"{rng.randrange(1, 0xFFFF):04x}"}
            for key in ("maker", "name", "serial"):
                if rng.random() < 0.7:
                    usb[key] = rng.choice(WORDS)
            header["usb"] = usb
        return header

    def make(self, device_id: str) -> Device:
        rng = self.rng
        self.wire()
        self.fill()
        self.wiring["debounce"] = rng.choice([3.0, 5.0, 7.0, 12.0])
        self.wiring["pulse"], self.wiring["gap"] = (
            rng.choice([20.0, 30.0]),
            rng.choice([20.0, 30.0]),
        )
        self.turn_axes(device_id)
        self.wiring["usb_current"] = rng.choice([100, 100, 150, 250, 500])
        return make_device(device_id, self.wiring, self.controls, **self.identify())


def make_random_box(seed: int) -> Device:
    """The box of a number: always the same one."""
    return BoxMaker(f"box {seed}").make(f"box-{seed}")
