"""What a reader of real boxes hands on: events, boxes seen, and the clock they are timed by.

- `Event`: one thing that happened on one box, at a time in ms
- `FoundBox`: a box as the host sees it, told apart from its twin by `instance`
- `Reader`: what the press test needs of anything that reads boxes
- `Steady`: a clock that never runs backwards, whatever its source does
- `LiveError`: something outside went wrong; message and remedy
- `grade_box`, `match_boxes`, `follow_box`: which box is meant, and where it is
  after it was plugged in again
"""

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from typing import Literal, Protocol, get_args

from profiles.host.identity import shows_name
from profiles.model import UsbIdentity

EventKind = Literal["down", "up", "hat", "axis", "added", "removed"]

EVENT_KINDS: tuple[EventKind, ...] = get_args(EventKind)


class LiveError(Exception):
    """Something outside went wrong: `message` says what, `remedy` starts with a verb.

    `advice` is the remedy as a sentence; one that ends with a command to copy has no full stop.
    """

    def __init__(self, message: str, remedy: str, shell_command: str = "") -> None:
        super().__init__(message)
        self.message = message
        self.remedy = remedy
        self.advice = f"{remedy}: {shell_command}" if shell_command else f"{remedy}."

    @property
    def sentences(self) -> str:
        """Message and remedy on one line."""
        return f"{self.message}. {self.advice}"


@dataclass(frozen=True, slots=True)
class FoundBox:
    """A box as the host sees it.

    `instance` is new at each plugging in. `vendor` and `product` are four hexadecimal digits,
    "0000" where unknown; `serial` and `path` are empty where unknown.
    """

    instance: int
    name: str
    vendor: str = "0000"
    product: str = "0000"
    serial: str = ""
    path: str = ""
    buttons: int = 0
    axes: int = 0
    hats: int = 0


@dataclass(frozen=True, slots=True)
class Event:
    """One thing that happened.

    `time` in ms since the reader began; `device` is the instance. `number` counts buttons, hats
    and axes from 1, in the host's own order; `value` is the hat's bits (1 up, 2 right, 4 down,
    8 left) or the axis' place (-32768 to 32767). An `added` event carries the box and the
    numbers that are down at that moment.
    """

    time: float
    device: int
    kind: EventKind
    number: int = 0
    value: int = 0
    box: FoundBox | None = None
    down: tuple[int, ...] = ()


class Reader(Protocol):
    """Anything that reads boxes."""

    def devices(self) -> tuple[FoundBox, ...]:
        """The boxes that are plugged in, in the order of their instances."""

    def poll(self) -> list[Event]:
        """What happened since the last call, in order; never waits. Raises LiveError."""

    def now(self) -> float:
        """The time in ms, on the same scale as the events'."""

    def close(self) -> None:
        """Let go of all boxes."""


class Steady:
    """Turns a clock that may jump into one that never runs backwards.

    A step back (a clock that was set, a counter that wrapped round) counts as no time at all;
    from there on the time goes forward again at the source's pace.
    """

    def __init__(self, start: float = 0.0) -> None:
        self.time = start
        self._last: float | None = None

    def at(self, raw: float) -> float:
        """The steady time in ms, to the microsecond, for a reading of the source in ms."""
        if self._last is not None and raw > self._last:
            self.time += raw - self._last
        self._last = raw
        return round(self.time, 3)


Clock = Callable[[], float]
"""A source of time, in ms."""


def grade_box(box: FoundBox, identity: UsbIdentity | None) -> int:
    """How surely a box is the one described: 0 it is not, 1 it may be, 4 it is.

    Without an identity any box may be it. A serial number that is equal decides. A name counts if
    both sides have one. A foreign serial number may be that of the board's chip.
    """
    if identity is None:
        return 1
    if (box.vendor.lower(), box.product.lower()) != (
        identity.vendor.lower(),
        identity.product.lower(),
    ):
        return 0
    if identity.serial and box.serial == identity.serial:
        return 4
    named = bool(identity.name and box.name)
    if named and not shows_name(box.name, identity.name or "", identity.maker or ""):
        return 0
    if identity.serial and box.serial:
        return 1
    return 3 if named else 2


def match_boxes(boxes: Iterable[FoundBox], identity: UsbIdentity | None) -> tuple[FoundBox, ...]:
    """The boxes that are most surely the one described; none where none may be."""
    grades = [(box, grade_box(box, identity)) for box in boxes]
    best = max((grade for _, grade in grades), default=0)
    return tuple(box for box, grade in grades if grade == best > 0)


def follow_box(lost: FoundBox, added: FoundBox) -> bool:
    """Whether a box that was added is the one that was lost, plugged in again."""
    if (lost.vendor, lost.product, lost.name) != (added.vendor, added.product, added.name):
        return False
    if lost.serial and added.serial:
        return lost.serial == added.serial
    return True
