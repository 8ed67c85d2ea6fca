"""What a control is, by what it does: springs back, stays as put, pulses, goes through positions.

A `Trace` is all that a box said while one control was worked; `read_behaviour` makes of it a kind
and the keys of a device file, or says why it cannot. Times are ms. The limits that part hands from
boards are rules of thumb.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from itertools import pairwise
from typing import Any

from profiles.live.buttons import END
from profiles.live.events import Event
from profiles.model import AXIS_NAMES, HAT_WAYS
from profiles.text.prose import group_runs, join_words

STAYS = 1500.0
"""An input that is down for so long, ms, stays as put: no hand holds on that was told to let go."""

OFTEN = 3
"""So many pulses of each of two inputs are detents."""

LONGEST_PULSE = 150.0
"""A pulse that a board makes is no longer, ms."""

EVEN = 12.0
"""By how much pulses that a board makes differ, ms: a few polling intervals."""

TOUCH = 300.0
"""Two positions may be down together for so long, ms, on the way from one to the next."""

MOVED = 16384
"""An axis that moved so far, of 65,536, was worked; less is noise."""

NEAR_CENTRE = 4096
"""An axis that ends so near to its middle sprang back to it."""

SORTS = {"button": "buttons", "hat": "hats", "axis": "axes"}
"""What a box has, one and several of a sort."""

KINDS = ("momentary", "latching", "rotary", "selector", "hat", "axis")

Span = tuple[float, float]
"""When an input went down and up."""


class UnclearError(ValueError):
    """Why a trace is no one control; a sentence without a full stop."""


@dataclass(frozen=True, slots=True)
class Behaviour:
    """A kind, the keys that tell it in a device file, and what was heard in words.

    `fields` names the buttons, hats and axes it takes: ("button", 5).
    """

    kind: str
    keys: Mapping[str, Any]
    words: str
    fields: frozenset[tuple[str, int]]


@dataclass
class Trace:
    """What a box said while a control was worked.

    `spans` has the times of each button that changed, in the order in which they first did;
    `open` those that are down; `down` those that were at the beginning.
    """

    down: frozenset[int] = frozenset()
    spans: dict[int, list[Span]] = field(default_factory=dict)
    open: dict[int, float] = field(default_factory=dict)
    hats: dict[int, set[int]] = field(default_factory=dict)
    axes: dict[int, list[int]] = field(default_factory=dict)
    last: float = 0.0

    def take(self, event: Event, start: float) -> None:
        """One event; `start` is when the trace began."""
        number = event.number
        if event.kind == "down" and number not in self.open:
            self.spans.setdefault(number, [])
            self.open[number] = event.time
        elif event.kind == "up" and (number in self.open or number in self.down):
            began = self.open.pop(number, start)
            self.spans.setdefault(number, []).append((began, event.time))
        elif event.kind == "hat":
            self.hats.setdefault(number, set()).add(event.value)
        elif event.kind == "axis":
            self.axes.setdefault(number, []).append(event.value)
        else:
            return
        self.last = event.time

    @property
    def before(self) -> frozenset[int]:
        """Those that were down at the beginning, of the buttons that changed."""
        return self.down & self.spans.keys()

    @property
    def moved(self) -> list[int]:
        """The axes that were worked."""
        return [
            number for number, values in self.axes.items() if max(values) - min(values) >= MOVED
        ]

    @property
    def is_empty(self) -> bool:
        """Whether nothing was worked."""
        return not (self.spans or self.hats or self.moved)

    def find_spans(self, now: float) -> dict[int, list[Span]]:
        """The spans, those of inputs that are still down until now."""
        return {
            number: [*spans, *([(self.open[number], now)] if number in self.open else [])]
            for number, spans in self.spans.items()
        }


def read_behaviour(trace: Trace, now: float, kind: str = "") -> Behaviour:
    """What was worked, as this kind or as the one it behaves like.

    Raises:
        UnclearError: if it is no one control, or none of this kind.
    """
    if trace.is_empty:
        raise UnclearError("nothing new was heard")
    moved = [("hat", number) for number in trace.hats] + [("axis", n) for n in trace.moved]
    if len(moved) > 1:
        names = [f"{sort} {number}" for sort, number in moved]
        raise UnclearError(f"{join_words(names)} moved: work one of them alone")
    heard = _Heard(trace, now)
    sort = moved[0][0] if moved else ""
    found = kind or sort or heard.guess()
    if found not in KINDS:
        raise UnclearError(f"there is no kind `{found}`")
    if found != sort and (sort or found == "axis"):
        raise UnclearError(f"what was heard is no {found}")
    shape = {
        "momentary": heard.as_momentary,
        "latching": heard.as_latching,
        "rotary": heard.as_rotary,
        "selector": heard.as_selector,
        "hat": heard.as_hat,
        "axis": heard.as_axis,
    }[found]
    keys, words = shape()
    fields = frozenset([*(("button", number) for number in trace.spans), *moved])
    return Behaviour(found, keys, words, fields)


Shape = tuple[dict[str, Any], str]


class _Heard:
    """A trace up to now, and what it would be as each kind."""

    def __init__(self, trace: Trace, now: float) -> None:
        self.trace = trace
        self.spans = trace.find_spans(now)
        self.order = list(self.spans)
        every = sorted((span, number) for number, spans in self.spans.items() for span in spans)
        self.pairs = list(pairwise(every))
        """Each span with its input, and the next one to begin with its own."""
        self.staying = [
            number
            for number, spans in self.spans.items()
            if any(end - start >= STAYS for start, end in spans) and not self._is_closed(number)
        ]

    def _is_closed(self, number: int) -> bool:
        """Whether an input is down at rest, and up only for as long as a finger is on it."""
        spans = self.spans[number]
        ups = [after[0] - before[1] for before, after in pairwise(spans)]
        return (
            len(self.spans) == 1
            and number in self.trace.before
            and number in self.trace.open
            and max(ups, default=STAYS) < STAYS
        )

    def guess(self) -> str:
        """The kind that a control of buttons behaves like."""
        spans = self.spans
        often = [number for number in spans if len(spans[number]) >= OFTEN]
        if len(spans) in (2, 3) and len(often) == 2 and not self.staying:
            return "rotary"
        if len(spans) == 1:
            return "latching" if self.staying else "momentary"
        if together := self._find_together():
            raise UnclearError(f"{_name(together)} were down together: work one control alone")
        if len(spans) == 2:
            return "latching"
        if self.staying or self._is_even():
            return "selector"
        if len(spans) in (4, 5):
            return "hat"
        raise UnclearError(
            f"{_name(self.order)} were heard, each for a moment: work one control alone"
        )

    def _find_together(self) -> list[int]:
        """Two inputs that were down at the same time for longer than on the way."""
        for (before, one), (after, other) in self.pairs:
            if one != other and min(before[1], after[1]) - after[0] > TOUCH:
                return [one, other]
        return []

    def _is_even(self) -> bool:
        """Whether all presses are pulses as boards make them."""
        lengths = [end - start for spans in self.spans.values() for start, end in spans]
        return max(lengths) <= LONGEST_PULSE and max(lengths) - min(lengths) <= EVEN

    def _demand(self, kind: str, *numbers: int) -> None:
        if len(self.spans) not in numbers:
            wanted = join_words([str(number) for number in numbers], last="or")
            noun = "input" if numbers == (1,) else "inputs"
            were = "1 was" if len(self.spans) == 1 else f"{len(self.spans)} were"
            raise UnclearError(f"a {kind} has {wanted} {noun}, and {were} heard")

    def as_momentary(self) -> Shape:
        """One input."""
        self._demand("momentary", 1)
        (number,) = self.order
        if self._is_closed(number):
            words = f"input {number} is down at rest and up while pressed: a momentary"
            return {"input": number}, words
        return {"input": number}, f"input {number} springs back: a momentary"

    def as_latching(self) -> Shape:
        """One input that stays, or is pulsed both ways; two or three positions."""
        self._demand("latching", 1, 2, 3)
        first, *others = self.order
        if not others:
            if self.staying:
                return {"input": first}, f"input {first} stays as put: latching, on and off"
            words = f"input {first} is pulsed both ways: latching"
            return {"reports": "changes", "input": first}, words
        if len(others) == 1 and not self.staying and self._is_even():
            inputs = {"on": first, "off": others[0]}
            words = f"input {first} is pulsed, then input {others[0]}: latching, on and off"
            return {"reports": "edges", "inputs": inputs}, words
        names = [number for number in self.order if number not in self.trace.before]
        rest = [number for number in self.order if number in self.trace.before]
        if (len(self.order), len(rest)) not in ((2, 0), (2, 1), (3, 1)):
            raise UnclearError(f"{_name(self.order)} are not the positions of one latching control")
        part = {one: "on" if one in {*self.staying, *rest} else "(on)" for one in self.order}
        if len(self.order) == 3:
            numbers, middle = {"up": names[0], "centre": rest[0], "down": names[1]}, part[rest[0]]
        elif rest:
            numbers, middle = {"up": names[0], "down": rest[0]}, ""
        else:
            numbers, middle = {"up": names[0], "down": names[1]}, "off"
        parts = [part[numbers["up"]], *([middle] if middle else []), part[numbers["down"]]]
        pattern = "-".join(parts)
        told = join_words([f"{name} is input {number}" for name, number in numbers.items()])
        return {"pattern": pattern, "inputs": numbers}, f"{told}: latching, {pattern}"

    def as_rotary(self) -> Shape:
        """Two inputs pulsed again and again, the first clockwise; a third one by a push."""
        self._demand("rotary", 2, 3)
        turns = sorted(self.order, key=lambda number: -len(self.spans[number]))[:2]
        clockwise, anticlockwise = (number for number in self.order if number in turns)
        inputs = {"clockwise": clockwise, "anticlockwise": anticlockwise}
        push = [number for number in self.order if number not in turns]
        words = f"inputs {clockwise} (clockwise) and {anticlockwise} are pulsed"
        if push:
            inputs["press"] = push[0]
            words = f"{words}, input {push[0]} is its push"
        return {"inputs": inputs}, f"{words}: a rotary"

    def as_selector(self) -> Shape:
        """One of several inputs at a time, and positions at which none is down."""
        if len(self.order) < 2:
            raise UnclearError("a selector has 2 inputs or more, and 1 was heard")
        order, keys = self.order, dict[str, Any]()
        if not self.staying:
            keys["reports"] = "edges"
            times = [len(self.spans[number]) for number in order]
            if times[-1] == 1 < max(times):  # reached on the way back: where it began
                order = [order[-1], *order[:-1]]
        first = [number for number in order if number in self.trace.before]
        places: list[int | None] = [None] if self.staying and not first else []
        silent = self._find_silent() if self.staying else []
        for number in [*first, *(number for number in order if number not in first)]:
            if places and {places[-1], number} in silent:
                places.append(None)
            places.append(number)
        keys["positions"] = len(places)
        if off := [at for at, number in enumerate(places, 1) if number is None]:
            keys["off"] = off
        keys["inputs"] = {f"position-{at}": number for at, number in enumerate(places, 1) if number}
        words = f"one of {_name(order)} at a time: a selector of {len(places)} positions"
        return keys, f"{words}, {len(off)} of them without a contact" if off else words

    def _find_silent(self) -> list[set[int | None]]:
        """Pairs of inputs between which none was down for long."""
        return [
            {one, other}
            for (before, one), (after, other) in self.pairs
            if one != other and after[0] - before[1] >= STAYS
        ]

    def as_hat(self) -> Shape:
        """A hat switch, with a push if a button was heard too; or four buttons, clockwise."""
        if not self.trace.hats:
            self._demand("hat of buttons", 4, 5)
            inputs = dict(zip((*HAT_WAYS[:4], "press"), self.order, strict=False))
            keys = {"reports": "buttons", "ways": len(inputs), "inputs": inputs}
            told = join_words([f"{way} {number}" for way, number in inputs.items()])
            return keys, f"{told}: a hat of {len(inputs)} ways as buttons"
        self._demand("hat", 0, 1)
        (number,) = self.trace.hats
        has_corners = any(value.bit_count() > 1 for value in self.trace.hats[number])
        ways = 8 if has_corners else 4 + len(self.order)
        keys = {"ways": ways} | ({"inputs": {"press": self.order[0]}} if self.order else {})
        push = f" with a push, input {self.order[0]}" if self.order else ""
        return keys, f"hat {number}: a hat of {8 if has_corners else 4} ways{push}"

    def as_axis(self) -> Shape:
        """An axis; one that ends near its middle after both ends springs back to it."""
        self._demand("axis", 0)
        (number,) = self.trace.moved
        if number > len(AXIS_NAMES):
            raise UnclearError(f"axis {number} has no name on any host")
        values = self.trace.axes[number]
        keys: dict[str, Any] = {"axis": AXIS_NAMES[number - 1]}
        both = max(values) >= END and min(values) <= -END
        if both and abs(values[-1]) <= NEAR_CENTRE:
            return {**keys, "centre": 50.0}, f"axis {number} springs back to its middle: an axis"
        return keys, f"axis {number} stays where it is put: an axis"


def _name(numbers: Iterable[int]) -> str:
    named = [str(number) for number in numbers]
    return f"input{'s' if len(named) > 1 else ''} {join_words(named)}"


def describe_fields(fields: Iterable[tuple[str, int]]) -> str:
    """Buttons, hats and axes by number, runs of them short: `buttons 3, 5 to 9; hat 1`."""
    by_sort: dict[str, list[int]] = {}
    for sort, number in sorted(fields):
        by_sort.setdefault(sort, []).append(number)
    parts = []
    for sort, several in SORTS.items():
        numbers = by_sort.get(sort, [])
        if not numbers:
            continue
        told = [
            f"{run[0]} to {run[-1]}" if len(run) > 2 else ", ".join(run)
            for run in group_runs(map(str, numbers))
        ]
        parts.append(f"{sort if len(numbers) == 1 else several} {', '.join(told)}")
    return "; ".join(parts)
