"""Boxes of any building blocks, as their files give them: strategies for the tests of every room.

`kinds` are controls without wires, numbers or place; `silent` and `numberless` tell which of their
contacts take no wire and no input number. `contents` are whole devices whose wiring is sound: no
pin twice, no place twice. What a hand would never build is built too.
"""

from collections.abc import Mapping
from itertools import product
from typing import Any, get_args

from hypothesis import strategies as st

from profiles.model import AXIS_NAMES, HAT_WAYS, Fixture, Latching
from profiles.model.board import Ability
from profiles.wiring.boards import packaged_boards

CONTACTS: dict[str, tuple[str, ...]] = {
    "latching": ("on", "off"),
    "hat": HAT_WAYS[:4],
    "selector": ("position-1", "position-2", "position-3"),
    "rotary": ("clockwise", "anticlockwise", "press", "pull"),
    "momentary": ("press",),
    "axis": ("axis",),
}
TURNS = ("clockwise", "anticlockwise")
PATTERNS = get_args(Latching.model_fields["pattern"].annotation)
WORDS = st.sampled_from(["HORN", "LAMP"])
SIZES = st.sampled_from([6.0, 18.0, [12.0, 24.0]])
HOLES: st.SearchStrategy[Any] = st.sampled_from(
    [
        6.0,
        16.2,
        [10.0, 20.0],
        {"diameter": 12.0, "across_flats": 11.0},
        {"diameter": 12.0, "across_flats": 7.0, "flats": 1, "angle": 200.0},
        {"diameter": 22.3, "keyway": [3.2, 1.8], "angle": 10.0},
        {"diameter": 3.4, "countersink": {"diameter": 16.6, "angle": 60.0}},
        {"width": 10.0, "height": 20.0, "corner_radius": 5.0},
        {"length": 30.0, "width": 4.0, "angle": 45.0},
    ]
)
"""A hole of each shape."""


def _some(**keys: st.SearchStrategy[Any]) -> st.SearchStrategy[dict[str, Any]]:
    """Some of these keys."""
    return st.fixed_dictionaries({}, optional=keys)


REPORTS = st.sampled_from(["state", "edges"])
OPTIONS: dict[str, st.SearchStrategy[dict[str, Any]]] = {
    "momentary": _some(guard=st.just([20.0, 24.0])),
    "latching": st.one_of(
        _some(reports=st.sampled_from(["state", "edges", "changes"]), guard=st.just([20.0, 24.0])),
        st.fixed_dictionaries({"reports": REPORTS, "pattern": st.sampled_from(PATTERNS)}),
    ),
    "selector": st.fixed_dictionaries(
        {
            "reports": REPORTS,
            "positions": st.just(3),
            "off": st.sampled_from([[], [1], [2], [1, 3]]),
            "spring": st.sampled_from([[], [1], [3]]),
            "key_out": st.sampled_from([[], [1]]),
            "switching": st.sampled_from(["break-before-make", "make-before-break"]),
        },
        optional={"first_angle": st.just(-60.0), "step_angle": st.just(30.0)},
    ),
    "rotary": st.one_of(
        st.fixed_dictionaries(
            {
                "steps_per_detent": st.sampled_from([1, 2, 4]),
                "gap": st.sampled_from([2.0, 5.0]),
                "opposite": st.sampled_from(["queue", "cancel"]),
            }
        ),
        st.fixed_dictionaries(
            {
                "steps_per_detent": st.sampled_from([1, 2, 4]),
                "axis": st.sampled_from(AXIS_NAMES),
                "axis_step": st.sampled_from([0.1, 5.0, 100.0]),
            }
        ),
    ),
    "hat": st.fixed_dictionaries(
        {"ways": st.sampled_from([4, 5, 8]), "reports": st.sampled_from(["hat", "buttons"])}
    ),
    "axis": st.fixed_dictionaries(
        {"axis": st.sampled_from(AXIS_NAMES), "sensor": st.sampled_from(["potentiometer", "hall"])},
        optional={
            "range": st.sampled_from([[0.0, 100.0], [10.0, 90.0]]),
            "centre": st.sampled_from([50.0, 30.0]),
            "reversed": st.booleans(),
            "scale": st.sampled_from(
                [
                    {"marks": ["0", "5", "10"], "angle": 270.0},
                    {"marks": ["SHUT", "OPEN"], "stroke": 40.0},
                ]
            ),
        },
    ),
}
"""Keys of each kind that are its own."""


@st.composite
def kinds(draw: st.DrawFn) -> dict[str, Any]:
    """A control of any kind with the keys that are its own; a `dead_band` where it has a centre."""
    kind = draw(st.sampled_from(list(CONTACTS)))
    control = {"kind": kind, **draw(OPTIONS[kind])}
    if "centre" in control and draw(st.booleans()):
        control["dead_band"] = 3.0
    return control


def list_contacts(control: Mapping[str, Any]) -> tuple[str, ...]:
    """Every contact it can have."""
    if control["kind"] == "hat":
        ways = HAT_WAYS if control["ways"] == 8 else HAT_WAYS[:4]
        return (*ways, *(("press",) if control["ways"] > 4 else ()))
    pattern = control.get("pattern", "on-off")
    if control["kind"] == "latching" and pattern not in ("on-off", "(on)-off", "off-(on)"):
        return ("up", "centre", "down") if pattern.count("-") == 2 else ("up", "down")
    return CONTACTS[control["kind"]]


def silent(control: Mapping[str, Any]) -> set[str]:
    """Contacts that take no wire."""
    return {f"position-{number}" for number in control.get("off", ())}


def numberless(control: Mapping[str, Any]) -> set[str]:
    """Contacts that take no input number."""
    found = {"off"} if control.get("reports") == "changes" else set[str]()
    if control["kind"] == "axis":
        found |= {"axis"}
    if control["kind"] == "rotary" and "axis" in control:
        found |= {*TURNS}
    if control["kind"] == "hat" and control["reports"] == "hat":
        found |= {*HAT_WAYS}
    if len(control.get("off", ())) > 1:
        found |= silent(control)
    return found


CHIPS = {"mcp23008": 8, "mcp23017": 16, "pcf8574": 8, "pcf8575": 16}
NAMES = ("one", "two", "three", "four", "five", "six")
FIXTURES = get_args(Fixture.model_fields["kind"].annotation)
LED = {"forward_voltage": 2.0, "current": 2.0}
EXTRAS = [
    {"name": "Board", "unit_price": 9.5, "covers": ["board"]},
    {"name": "Filament", "mass": 310, "price_per_kg": 21.9},
]

MOSTLY = st.sampled_from([True] * 9 + [False])
Place = tuple[str, Any]
"""The key of a table of a control, and a value in it."""


class _Growing:
    """A box while it is drawn: its free pins, and free places for contacts."""

    def __init__(self, draw: st.DrawFn, board: str | None) -> None:
        self.draw = draw
        pins = [f"D{pin}" for pin in range(70)]
        self.measuring, self.bus = pins[60:], pins[58:60]
        if board is not None:
            known = packaged_boards()[board]
            able: tuple[Ability, ...] = ("input", "output", "pull-up")
            pins = [pin for pin in known.pins if all(known.is_able(pin, one) for one in able)]
            self.measuring = [pin for pin in pins if known.is_able(pin, "analog")]
            wires = next(iter(known.buses.values()))
            self.bus = [next(pin for pin in pins if wires.serves(pin, "sda"))]
            self.bus += [
                next(pin for pin in pins if wires.serves(pin, "scl") and pin not in self.bus)
            ]
            pins = list(draw(st.permutations(pins)))
        self.pins = [pin for pin in pins if pin not in self.bus]
        self.places: list[Place] = []
        self.levers: list[str] = []
        self.wiring: dict[str, Any] = {}

    def take(self, count: int) -> list[str]:
        """So many free pins; none where there are too few."""
        if len(self.pins) < count + 4:
            return []
        found, self.pins = self.pins[:count], self.pins[count:]
        return found

    def take_measuring(self) -> str | None:
        found = next((pin for pin in self.pins if pin in self.measuring), None)
        if found is not None:
            self.pins.remove(found)
        return found

    def wire(self) -> None:
        draw, wiring = self.draw, self.wiring
        rows, columns = (draw(st.sampled_from([3, 2, 1, 0])) for _ in range(2))
        wiring["rows"], wiring["columns"] = self.take(rows), self.take(columns)
        sizes = len(wiring["rows"]), len(wiring["columns"])
        self.places += [
            ("crossings", list(place)) for place in product(*(range(1, n + 1) for n in sizes))
        ]
        wiring["driven"] = draw(st.sampled_from(["rows", "columns"]))
        wiring["diodes"] = draw(st.sampled_from(["every", "none", [*NAMES[:2]]]))
        wiring["unused"] = draw(st.sampled_from(["counted", "skipped"]))
        if along := draw(st.sampled_from([None, "along-rows", "along-columns"])):
            wiring["numbering"] = along
        self._wire_chains()
        self._wire_banks()
        self.places += [("pins", pin) for pin in self.take(draw(st.sampled_from([8, 4, 0])))]

    def _wire_chains(self) -> None:
        lengths = self.draw(st.sampled_from([[], [6], [2, 4]]))
        chains, first = [], 0
        for at, length in enumerate(lengths):
            if pins := self.take(3):
                one = dict(zip(("latch", "clock", "data"), pins, strict=True))
                chains.append({**one, "length": length, "active": ("low", "high")[at]})
                self.places += [("bits", bit) for bit in range(first + 1, first + length + 1)]
                first += length
        if len(chains) == 1:
            self.wiring["chain"] = chains[0]
        elif chains:
            self.wiring["chains"] = chains

    def _wire_banks(self) -> None:
        draw, banks = self.draw, dict[str, Any]()
        every = ["deck", "fan", "levers", "rungs"]
        wanted = draw(st.sampled_from([every, [], *([one] for one in every)]))
        if "deck" in wanted:
            chip = draw(st.sampled_from(sorted(CHIPS)))
            banks["deck"] = {"kind": "expander", "chip": chip, "address": 0x20}
            banks["deck"] |= dict(zip(("sda", "scl"), self.bus, strict=True))
            if draw(st.booleans()) and (pins := self.take(1)):
                banks["deck"]["interrupt"] = pins[0]
            last = CHIPS[chip]
            self.places += [("pins", f"deck.{place}") for place in (1, 2, last)]
        if "fan" in wanted and (pins := self.take(3)):
            banks["fan"] = {"kind": "multiplexer", "select": pins[:2], "pin": pins[2]}
            self.places += [("pins", f"fan.{place}") for place in (1, 3, 4)]
        if "levers" in wanted and (pin := self.take_measuring()) and (pins := self.take(2)):
            banks["levers"] = {"kind": "multiplexer", "select": pins, "pin": pin}
            self.levers = ["levers.1", "levers.4"]
        if "rungs" in wanted and (pin := self.take_measuring()):
            banks["rungs"] = {"kind": "ladder", "pin": pin, "pull_up": 10.0, "steps": [5.1, 15.0]}
            self.places += [("pins", f"rungs.{place}") for place in (1, 2, 3)]
        if banks:
            self.wiring["banks"] = banks

    def fit(self, control: dict[str, Any], numbers: list[int]) -> None:
        """Give a control wires and input numbers; now and then none."""
        draw = self.draw
        if control["kind"] == "axis":
            pin = self.levers.pop() if self.levers else self.take_measuring()
            control |= {"pin": pin} if pin else {}
            return
        between = HAT_WAYS[4:] if control["kind"] == "hat" and draw(MOSTLY) else ()
        for contact in list_contacts(control):
            is_wired = contact not in between and contact not in silent(control)
            if is_wired and self.places and draw(MOSTLY):
                table, place = self.places.pop()
                control.setdefault(table, {})[contact] = place
            if contact not in numberless(control) and numbers and draw(MOSTLY):
                control.setdefault("inputs", {})[contact] = numbers.pop()

    def light(self, controls: dict[str, dict[str, Any]]) -> None:
        """LEDs on pins, drivers and in a matrix of their own, that follow anything."""
        draw, crossings = self.draw, list[list[int]]()
        if draw(st.booleans()) and (pins := self.take(4)):
            self.wiring["leds"] = {"rows": pins[:2], "columns": pins[2:]}
            crossings = [[1, 1], [2, 2]]
        tables = {"crossings", "pins", "bits"}
        names = sorted(
            key
            for key, one in controls.items()
            if one["kind"] == "momentary" and tables & one.keys()
        )
        follows = ["power", *names, *([" + ".join(names)] if len(names) > 1 else [])]
        for control in controls.values():
            led: dict[str, Any] = {**LED, "follows": draw(st.sampled_from(follows))}
            match draw(st.sampled_from(["none", "none", "pin", "driver", "crossing"])):
                case "crossing" if crossings:
                    control["led"] = {**led, "crossing": crossings.pop()}
                case "pin" | "driver" as way if pins := self.take(1):
                    low = draw(st.sampled_from(["high", "low"]))
                    control["led"] = {**led, "pin": pins[0], "lit": low}
                    control["led"] |= {"driver": True} if way == "driver" else {}


def _place(draw: st.DrawFn, controls: dict[str, dict[str, Any]], words: Any) -> None:
    """Put controls on the plate, on two rows; perhaps one knob on the axis of another."""
    knobs = [key for key, one in controls.items() if one["kind"] in ("rotary", "selector", "axis")]
    inner = knobs[1] if len(knobs) > 1 and draw(st.booleans()) else ""
    for at, (key, control) in enumerate(controls.items()):
        control["label"] = draw(words)
        if key == inner:
            control |= {"concentric_with": knobs[0], "front": 10.0}
            continue
        control["position"] = [30.0 + 55 * (at % 3), 100.0 - 60 * (at // 3)]
        control["hole"] = draw(HOLES)
        control |= draw(_some(front=SIZES, rotation=st.sampled_from([0.0, 90.0, -30.0])))
        if inner and key == knobs[0]:
            control["front"] = 28.0
        if draw(st.booleans()):
            contact = draw(st.sampled_from(list_contacts(control)))
            control["labels"] = {contact: draw(words)}


@st.composite
def contents(
    draw: st.DrawFn,
    boards: tuple[str | None, ...] = (None,),
    words: st.SearchStrategy[str] = WORDS,
) -> dict[str, Any]:
    """A device of up to six controls, as its file gives it."""
    board = draw(st.sampled_from(boards))
    box = _Growing(draw, board)
    box.wire()
    box.places = list(draw(st.permutations(box.places)))
    numbers: list[int] = list(draw(st.permutations(range(1, 41))))
    controls: dict[str, dict[str, Any]] = {}
    axes = list(AXIS_NAMES)
    for name in NAMES[: draw(st.sampled_from([6, 4, 2, 1]))]:
        control = draw(kinds())
        if "axis" in control and control["axis"] not in axes:
            control["axis"] = axes[0]
        if "axis" in control:
            axes.remove(control["axis"])
        box.fit(control, numbers if "numbering" not in box.wiring else [])
        controls[name] = control
    box.light(controls)
    _place(draw, controls, words)
    content: dict[str, Any] = {
        "format": 1,
        "device": {"id": "random", "name": draw(words)},
        "plate": {
            "width": 190.0,
            "height": 130.0,
            "corner_radius": draw(st.sampled_from([0.0, 6.0])),
        },
        "wiring": {**box.wiring, "debounce": 3.0, "hold": 4.0, "pulse": 2.0, "gap": 3.0},
        "controls": controls,
    }
    if most := draw(st.sampled_from([None, 8, 64])):
        content["device"]["report"] = {"buttons": most}
    if board is not None:
        content["wiring"] |= {"board": board, "pulse": 40.0, "gap": 40.0}
    _share(draw, content)
    return content


def _share(draw: st.DrawFn, content: dict[str, Any]) -> None:
    """A part that a control takes its front and price from, fixtures, screws and other costs."""
    controls = content["controls"]
    outer = [key for key, one in controls.items() if "concentric_with" not in one]
    key = draw(st.sampled_from([None, *outer]))
    if key is not None:
        one = controls[key]
        part = {"kind": one["kind"], "name": "Part", "unit_price": 1.2}
        moved = ("hole", "front", "guard", "steps_per_detent", "pattern", "scale", "led")
        part |= {name: one.pop(name) for name in moved if name in one}
        del one["kind"]
        content["parts"] = {"same": part}
        one["part"] = "same"
    content["fixtures"] = {
        f"fixture-{at}": {
            "kind": kind,
            "position": [20.0 + 60 * at, 12.0],
            "hole": draw(HOLES),
            "rotation": draw(st.sampled_from([0.0, 45.0])),
            **draw(_some(front=SIZES)),
        }
        for at, kind in enumerate(draw(st.lists(st.sampled_from(FIXTURES), max_size=2)))
    }
    if draw(st.booleans()):
        content["plate"]["screws"] = [{"position": [6.0, 6.0], "hole": draw(HOLES), "head": 7.0}]
        content["extras"] = EXTRAS
