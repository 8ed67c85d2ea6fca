"""Measurements of a press test: bounce, press times, rotary pulses; as values.

Times are ms as the host heard them, so a press or gap shorter than the host's polling interval
(1 to 10 ms on USB full speed, by the descriptor's bInterval) does not show, and what the box's own
debounce hides does not either.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from itertools import pairwise
from statistics import median

from profiles.live.evidence import BOUNCE_GAP, Observation
from profiles.model import Contact


@dataclass(frozen=True, slots=True)
class PressMeasurements:
    """One contact's presses: how long each lasted, bounces included, and the gaps of those, ms."""

    contact: Contact
    times: tuple[float, ...]
    bounces: tuple[float, ...]

    @property
    def median(self) -> float | None:
        """Median time of a press, ms."""
        return median(self.times) if self.times else None


@dataclass(frozen=True, slots=True)
class TurnMeasurements:
    """One direction of a rotary: detents asked, pulses heard, and the fastest without a loss.

    `fastest` is in detents/s over `RUN` detents in a row, None where detents were lost or too few
    were heard. `gaps` are ms from pulse to pulse.
    """

    contact: Contact
    detents: int
    pulses: int
    gaps: tuple[float, ...]
    fastest: float | None

    @property
    def per_detent(self) -> float:
        """Pulses per detent."""
        return self.pulses / self.detents if self.detents else 0.0


@dataclass(frozen=True, slots=True)
class Measurements:
    """All measurements of a test, in the order of its steps; false where there are none."""

    presses: tuple[PressMeasurements, ...]
    turns: tuple[TurnMeasurements, ...]

    def __bool__(self) -> bool:
        return bool(self.presses or self.turns)


RUN = 4
"""Pulses in a row over which a turn's speed is taken, so that no single gap decides."""


def summarise(observations: Iterable[Observation]) -> Measurements:
    """Measurements of every contact that was pressed or turned."""
    presses, turns = [], []
    for observed in observations:
        contact = observed.step.contact
        if observed.skipped or contact is None or not observed.presses:
            continue
        if observed.step.gesture == "turn":
            turns.append(_measure_turn(observed, contact))
        elif observed.step.gesture == "press":
            gaps = tuple(gap for _, gap in observed.bounces)
            presses.append(PressMeasurements(contact, _press_times(observed), gaps))
    return Measurements(tuple(presses), tuple(turns))


def _press_times(observed: Observation) -> tuple[float, ...]:
    """From down to up, ms; what follows within a bounce's time belongs to the press before."""
    spans: dict[int, list[list[float]]] = {}
    for press in observed.presses:
        if press.end is None:
            continue
        known = spans.setdefault(press.number, [])
        if known and 0.0 <= press.start - known[-1][1] < BOUNCE_GAP:
            known[-1][1] = press.end
        else:
            known.append([press.start, press.end])
    return tuple(end - start for found in spans.values() for start, end in found)


def _measure_turn(observed: Observation, contact: Contact) -> TurnMeasurements:
    counts = observed.counts
    number = max(sorted(counts), key=lambda key: counts[key])
    starts = [press.start for press in observed.presses if press.number == number]
    gaps = tuple(after - before for before, after in pairwise(starts))
    runs = [
        after - before
        for before, after in zip(starts, starts[RUN:], strict=False)
        if after > before
    ]
    is_whole = counts[number] == observed.step.detents
    fastest = 1000.0 * RUN / min(runs) if is_whole and runs else None
    return TurnMeasurements(contact, observed.step.detents, counts[number], gaps, fastest)
