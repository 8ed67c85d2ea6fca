"""A hand at a box that runs its firmware: what a press test asks for is done, and it listens.

Contacts close, knobs go on from where they stand, levers move; the interpreter's core makes reports
of it, hid-tools reads them, and what changes is told as SDL tells it on Linux.
"""

from collections.abc import Iterator

from profiles.live.events import Event
from profiles.live.forward import ENDS
from profiles.live.lines import Answer
from profiles.live.plan import Step
from profiles.live.session import Session
from profiles.model import Axis, Contact, Device, Rotary
from profiles.model.control_value import TURNS
from tests.firmware.presses import GRAY, Wires
from tests.firmware.test_fields import Bench

TICK, FRAME, QUARTER, CALM = 5, 60, 15, 1500
"""Between scans, while contacts stand, a step of a knob's Gray code, after a step of the test; ms.
"""

CODES = {
    **{0x00010030 + at: at for at in range(9)},
    0x000200BA: 7,
    0x000200BB: 6,
    0x000200C4: 9,
    0x000200C5: 10,
    0x000200C8: 8,
}
"""Event codes of axes by usage: X to Wheel, and of the page of simulation controls those of Rudder,
Throttle, Accelerator, Brake, Steering (Linux, drivers/hid/hid-input.c, input-event-codes.h)."""

BITS = (0, 1, 3, 2, 6, 4, 12, 8, 9)
"""SDL_hat by the value of a hat switch, from 0 for none, then clockwise from up."""


class FirmwareHand:
    """`exchanged` are contacts that are soldered in place of each other."""

    def __init__(
        self, device: Device, bench: Bench, exchanged: tuple[tuple[Contact, Contact], ...] = ()
    ) -> None:
        self.device, self.bench = device, bench
        self.session = Session(device, "full", instance=1, platform="linux")
        self.places = {one: other for pair in exchanged for one, other in (pair, pair[::-1])}
        self.knobs = {n: 0 for n, one in device.controls.items() if isinstance(one, Rotary)}
        self.levers = dict.fromkeys(bench.axes, 0x8000)
        core = bench.cores[0]
        self.pins, self.box = core.pins, core.box
        self.pins.diodes = Wires(device, bench.plan).diodes
        self.time = 0.0
        self.closed = frozenset(self.session.steps[0].frames[0])
        self._close()
        self.box.begin()
        self.told = bench.reader.read(int.from_bytes(self.box.report, "little"))

    def run(self) -> Session:
        """The whole test, no step of it skipped."""
        session = self.session
        session.take(Event(0.0, 1, "added", down=tuple(self.told["buttons"])))
        while (step := session.step) is not None:
            if step.contact is None:
                session.take(*self._wait(CALM), Answer(self.time, "next"))
                continue
            session.take(*self._do(step), *self._wait(CALM))
            session.tick(self.time)
            if session.step == step:
                session.take(Answer(self.time, "next"))
        return session

    def _do(self, step: Step) -> Iterator[Event]:
        assert step.contact is not None
        name, contact = step.contact
        control = self.device.controls[name]
        if isinstance(control, Axis) and step.gesture in ENDS:
            low, high = control.range
            share = high if (step.gesture == "to-high") != control.reversed else low
            self.levers[name] = round(655.35 * share)
            yield from self._wait(FRAME)
        elif isinstance(control, Rotary) and contact in TURNS:
            for _ in range(step.detents * control.steps_per_detent):
                self.knobs[name] += 1 if contact == "clockwise" else -1
                yield from self._wait(QUARTER)
        else:
            for frame in step.frames:
                self.closed = frame
                yield from self._wait(FRAME)

    def _close(self) -> None:
        """Put the contacts where they are, those of knobs where these stand."""
        closed = {one for one in self.closed if one.contact not in TURNS}
        for name, place in self.knobs.items():
            closed |= {
                Contact(name, way) for way, on in zip(TURNS, GRAY[place % 4], strict=True) if on
            }
        where = {self.places.get(one, one) for one in closed}
        points = self.bench.plan.model.points
        self.pins.closed = self.bench.row({one for one in where if one in points}, self.levers)

    def _wait(self, ms: int) -> Iterator[Event]:
        self._close()
        for _ in range(ms // TICK):
            self.time += TICK
            if self.box.tick(TICK):
                yield from self._tell()

    def _tell(self) -> Iterator[Event]:
        """What changed in the report."""
        before, now = self.told, self.bench.reader.read(int.from_bytes(self.box.report, "little"))
        self.told = now
        for number in sorted({*before["buttons"]} ^ {*now["buttons"]}):
            yield Event(self.time, 1, "down" if number in now["buttons"] else "up", number)
        for at, (was, value) in enumerate(zip(before["hats"], now["hats"], strict=True), 1):
            if was != value:
                yield Event(self.time, 1, "hat", at, BITS[value])
        axes = sorted((one for one in now if one not in ("buttons", "hats")), key=_rank)
        for at, axis in enumerate(axes, 1):
            if before[axis] != now[axis]:
                yield Event(self.time, 1, "axis", at, now[axis][0])


def _rank(usage: str) -> int:
    return CODES[int(usage, 16)]
