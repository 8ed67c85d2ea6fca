"""The wires behind the plate: one daisy chain a line, its pieces, and what to cut.

- `run_line` orders the stops of one line by the shortest chain from the board (`route`)
- `cut_pieces`, `total_wire`: what to cut, and how much of each colour and gauge
- `solder_steps`: the order of work
- `from_behind`: the mirrored place, because one solders from behind

Lengths are mm, places those of the plate seen from the front.
"""

from collections.abc import Iterable, Sequence
from functools import lru_cache
from itertools import pairwise
from math import ceil, dist
from typing import NamedTuple

from profiles.wiring.route import Chain, shortest_chain

Point = tuple[float, float]


class Stop(NamedTuple):
    """Where a wire is soldered: its name, its place, and the control it belongs to (by id)."""

    name: str
    at: Point
    control: str = ""


class WireLine(NamedTuple):
    """One line to be wired: its name, the board end, its stops in no order, and its colour."""

    name: str
    start: Stop
    stops: tuple[Stop, ...]
    colour: str


class Run(NamedTuple):
    """A line with its stops in order, the board first, and the length as the crow flies."""

    line: WireLine
    order: tuple[Stop, ...]
    length: float
    exact: bool


class Piece(NamedTuple):
    """One piece of wire between two stops: straight distance, and the length to cut."""

    line: str
    colour: str
    gauge: int
    start: Stop
    end: Stop
    straight: float
    cut: int


class Total(NamedTuple):
    """All pieces of one colour and gauge; `length` in mm."""

    colour: str
    gauge: int
    pieces: int
    length: int


class DiodeFit(NamedTuple):
    """A diode to solder between a contact and the wire of a line, and where its band points."""

    contact: str
    line: str
    band_to_line: bool


class Step(NamedTuple):
    """One step of the work, counted from 1; `line` names the line it belongs to."""

    number: int
    line: str
    text: str


def from_behind(at: Point, width: float) -> Point:
    """Return a place on a plate of this width as one sees it from behind."""
    return width - at[0], at[1]


def run_line(line: WireLine) -> Run:
    """Return the shortest daisy chain of a line."""
    stops = (line.start, *line.stops)
    chain = chain_through(tuple(stop.at for stop in stops))
    return Run(line, tuple(stops[index] for index in chain.order), chain.length, chain.exact)


@lru_cache(maxsize=512)
def chain_through(places: tuple[Point, ...]) -> Chain:
    """The shortest chain through places from the first, kept: sheets and lists ask for the same."""
    return shortest_chain([[dist(a, b) for b in places] for a in places])


def cut_pieces(runs: Iterable[Run], gauge: int, slack: float) -> tuple[Piece, ...]:
    """Return the pieces of all runs; each end gets `slack` mm, and cuts go up to the next mm."""
    pieces = []
    for run in runs:
        for start, end in pairwise(run.order):
            straight = dist(start.at, end.at)
            cut = ceil(round(straight + 2 * slack, 6))
            line = run.line
            pieces.append(Piece(line.name, line.colour, gauge, start, end, straight, cut))
    return tuple(pieces)


def total_wire(pieces: Iterable[Piece]) -> tuple[Total, ...]:
    """Return how much wire of each colour and gauge the pieces take, by colour."""
    groups: dict[tuple[str, int], list[int]] = {}
    for piece in pieces:
        groups.setdefault((piece.colour, piece.gauge), []).append(piece.cut)
    return tuple(
        Total(colour, gauge, len(cuts), sum(cuts))
        for (colour, gauge), cuts in sorted(groups.items())
    )


def solder_steps(pieces: Sequence[Piece], diodes: Sequence[DiodeFit] = ()) -> tuple[Step, ...]:
    """Return the work in order: diodes at their contacts first, then line by line."""
    texts = []
    for fit in diodes:
        way, end = ("away from", "band") if fit.band_to_line else ("toward", "plain")
        text = f"Solder a diode to {fit.contact}, band {way} the contact; "
        texts.append((fit.line, f"{text}the wire of {fit.line} goes to the {end} end"))
    for piece in pieces:
        text = f"Cut {piece.cut} mm of {piece.colour} AWG {piece.gauge}, strip both ends, "
        text += f"and solder it from {piece.start.name} to {piece.end.name}"
        texts.append((piece.line, text))
    return tuple(Step(number, line, text) for number, (line, text) in enumerate(texts, 1))
