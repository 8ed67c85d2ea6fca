"""The example's helm desk as a simulated box, and the recording of its press test.

`python -m tests.live.bench` writes the recording again, after a change of the device file.
"""

from collections.abc import Iterable, Iterator
from pathlib import Path

from profiles.api import load
from profiles.live.events import Event, FoundBox
from profiles.live.faults import Fault
from profiles.live.lines import Answer, Entry, Header, describe_device, write_line
from profiles.live.session import Session
from profiles.model import Contact, Device, Latching
from tests.live.simulated import INSTANCE, SimulatedBox

EXAMPLE = Path(__file__).resolve().parents[2] / "example_profiles" / "harbour"
RECORDING = EXAMPLE / "recordings" / "helm-desk-press.jsonl"
PULSE = 40.0
"""How long the box holds an input of a toggle that reports edges, ms."""


class Bench(SimulatedBox):
    """A simulated box whose program also makes pulses of toggles that report edges."""

    def __init__(self, device: Device, faults: Iterable[Fault] = (), seed: int = 0) -> None:
        self.on: set[int] = set()
        super().__init__(device, faults, seed)
        self.edges = dict(self._find_edges())

    def levels(self, closed: Iterable[Contact]) -> set[int]:
        return super().levels(closed) - set(self.edges)

    def _settle(self, closed: Iterable[Contact]) -> Iterator[Event]:
        yield from super()._settle(closed)
        now = super().levels(closed) & set(self.edges)
        changed = sorted(now - self.on) + [self.edges[n] for n in sorted(self.on - now)]
        self.on = now
        for number in changed:
            yield self._event("down", number)
            self.time += PULSE
            yield self._event("up", number)

    def _find_edges(self) -> Iterator[tuple[int, int]]:
        """Input of `on`, input of `off`, as the board numbers them."""
        for control in self.device.controls.values():
            if isinstance(control, Latching) and control.reports == "edges":
                off = control.input_by_contact["off"] + self.offset
                yield self._number(control.crossing_by_contact["on"]), off


def helm_desk() -> Device:
    """The helm desk of the example library."""
    return load(EXAMPLE).library.devices["helm-desk"]


def faults_of(box: SimulatedBox) -> tuple[Fault, ...]:
    """The faults of the example's recording: columns 2 and 4 exchanged, and a bell that bounces."""
    bell = box.terminals.index(Contact("bell", "press"))
    return (Fault("swapped", (6, 8)), Fault("bounces", (bell,)))


def make_entries(device: Device, faults: Iterable[Fault], seed: int = 4) -> list[Entry]:
    """All that happens in a full test by a patient person."""
    box = Bench(device, faults, seed)
    session = Session(device, "full", instance=INSTANCE)
    box.closed = set(session.steps[0].frames[0])
    box.down = box.levels(box.closed)
    named = FoundBox(INSTANCE, "Helm desk", "1209", "0001", serial="HD-01", buttons=34)
    first = Event(0.0, INSTANCE, "added", box=named, down=tuple(sorted(box.down)))
    entries: list[Entry] = [first]
    session.take(first)
    while session.phase != "finished":
        step = session.step
        if step is None:
            entries.append(session.think())
            session.take(entries[-1])
            continue
        fresh: list[Entry] = [*box.perform(step)]
        session.take(*fresh)
        session.tick(box.time)
        fresh.append(Answer(box.time, "next" if session.step is step else "quiet"))
        session.take(fresh[-1])
        entries += fresh
    return [*entries, Answer(box.time, "stop")]


def write_recording(device: Device) -> bytes:
    """The example's recording."""
    header = Header(
        device=device.id,
        description=describe_device(device),
        program="0.1.0",
        started="2031-05-04 19:20",
        depth="full",
        instance=INSTANCE,
    )
    entries = make_entries(device, faults_of(Bench(device)))
    return b"".join(write_line(line) for line in (header, *entries))


if __name__ == "__main__":
    RECORDING.parent.mkdir(exist_ok=True)
    RECORDING.write_bytes(write_recording(helm_desk()))
