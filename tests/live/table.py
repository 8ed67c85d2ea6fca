"""The table of diagnoses: simulated boxes with every fault, and how often the answer is right.

    python -m tests.live.table                 # every single fault, 100 pairs a matrix
    python -m tests.live.table --each 5 --pairs 5 --sizes 5x5

For each fault a full test is run on a simulated box (events handed over directly, without SDL) by a
hand that never answers, with what the test asks after its plan, and diagnosed. Columns: `boxes`
tried; `silent` where the fault leaves no trace in the recording; of the others, `named` where the
true fault stands first, `class` where it stands first or among the faults that predict the same
readings, `readings` where the first explanation predicts every reading. For pairs, the same among
the first three; `pairs, no mask` leaves out those of which one fault hides the other whole (every
diode reversed and one contact open): its `silent` counts them.

Faults are the same where the boxes made with them are: columns reversed after two were exchanged is
another two exchanged after columns were reversed.
"""

import argparse
import random
from collections.abc import Iterable, Iterator
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass, replace
from functools import cache
from itertools import combinations

from profiles.facts.box_model import BoxModel
from profiles.facts.device import DeviceFacts
from profiles.live.build import build_of
from profiles.live.chains import chains_of
from profiles.live.diagnosis import Diagnosis, diagnose
from profiles.live.evidence import gather
from profiles.live.fault_types import FAULT_TYPES, FaultKind
from profiles.live.faults import RATES, Fault, apply_all
from profiles.live.forward import Heard, Simulator
from profiles.live.hypotheses import Space
from profiles.live.session import Session
from profiles.model import Device
from tests.live.hand import free_test
from tests.live.simulated import make_box

SIZES = ((5, 5), (4, 6), (8, 8))


@dataclass(frozen=True)
class Score:
    """How one box came out."""

    silent: bool
    named: bool
    in_class: bool
    readings: bool
    masked: bool


@cache
def box(rows: int, columns: int, diodes: bool) -> tuple[Device, BoxModel]:
    """A box and its model."""
    device = make_box(rows, columns, diodes=diodes)
    return device, DeviceFacts(device).model


def list_faults(model: BoxModel) -> dict[FaultKind, list[Fault]]:
    """Every single fault that the box can have, by kind.

    Contacts that touch are on different driven lines: on one line it makes no difference.
    """
    found: dict[FaultKind, list[Fault]] = {}
    for fault in Space(model).line_faults:
        found.setdefault(fault.kind, []).append(fault)
    contacts = range(len(model.contacts))
    single: list[FaultKind] = ["stuck", "open", "bounces"]
    diodes = [one for one in contacts if build_of(model).diodes[one]]
    channels = {contact for pair in model.channel_contacts for contact in pair}
    for kind in single:
        found[kind] = [Fault(kind, (one,)) for one in contacts if one not in channels]
    if diodes:
        found["diode-reversed"] = [Fault("diode-reversed", (one,)) for one in diodes]
        found["diode-missing"] = [Fault("diode-missing", (one,)) for one in diodes]
        sites = build_of(model).sites
        pairs = [(a, b) for a, b in combinations(diodes, 2) if sites[a][0] != sites[b][0]]
        found["joined"] = [Fault("joined", pair) for pair in pairs]
    pairs = [pair for pair in combinations(contacts, 2) if not channels.intersection(pair)]
    found["exchanged"] = [Fault("exchanged", pair) for pair in pairs]
    found["turns-back"] = [Fault("turns-back", (0,))]
    found["skips"] = [Fault("skips", (0,))]
    found["multiplies"] = [Fault("multiplies", (0, rate)) for rate in range(len(RATES))]
    pairs = list(combinations(range(len(model.rotaries)), 2))
    found["knobs-exchanged"] = [Fault("knobs-exchanged", pair) for pair in pairs]
    found["common-lost"] = [Fault("common-lost", (one,)) for one in range(len(model.rotaries))]
    lasting = Space(model).lasting
    pressed = [one for one in contacts if one not in channels]
    found["inverted"] = [Fault("inverted", (one,)) for one in pressed]
    found["springs"] = [Fault("springs", (one,)) for one in pressed if one in lasting]
    found["latches"] = [Fault("latches", (one,)) for one in pressed if one not in lasting]
    found["broken"] = [
        Fault("broken", (at, after))
        for at, chain in enumerate(chains_of(model))
        for after in range(1, len(chain.stops))
    ]
    found["miswired"] = list(_list_legs(model))
    for fault in Space(model).bank_faults:
        found.setdefault(fault.kind, []).append(fault)
    is_wired = Space(model).is_wired
    return {
        kind: faults
        for kind, faults in found.items()
        if faults and (is_wired or FAULT_TYPES[kind].whole)
    }


def _list_legs(model: BoxModel) -> Iterator[Fault]:
    """Legs on another line of their own side, or on ground instead of the driven line."""
    for contact, ends in enumerate(build_of(model).sites):
        if model.contacts[contact] not in model.circuit.places:
            continue
        for end, own in enumerate(ends):
            side = range(model.rows) if own < model.rows else range(model.rows, model.ground)
            yield from (Fault("miswired", (contact, end, node)) for node in side if node != own)
        yield Fault("miswired", (contact, 0, model.ground))


def predict(session: Session, faults: Iterable[Fault]) -> list[Heard]:
    """What a box with these faults would say in every step of a session, as it was done."""
    model = session.model
    simulator = Simulator(model, apply_all(model, tuple(faults)))
    asked = gather(model, session.tries).readings
    return [simulator.hear(one.step, one.frames, one.before) for one in asked]


def score(session: Session, found: Diagnosis, faults: tuple[Fault, ...], first: int) -> Score:
    """Whether the truth stands among the first explanations."""
    truth = predict(session, faults)
    tops = found.explanations[:first]
    model = session.model
    wanted = apply_all(model, faults)
    headlines = [apply_all(model, one.faults) for one in tops]
    listed = [apply_all(model, other) for one in tops for other in one.equivalents]
    alone = [(fault,) for fault in faults] if len(faults) > 1 else []
    return Score(
        silent=truth == predict(session, ()),
        masked=any(truth == predict(session, one) for one in alone),
        named=wanted in headlines,
        in_class=wanted in headlines + listed,
        readings=any(predict(session, one.faults) == truth for one in tops),
    )


def try_faults(
    rows: int, columns: int, diodes: bool, faults: tuple[Fault, ...], seed: int = 0
) -> Score:
    """Test and diagnose one box."""
    device, _ = box(rows, columns, diodes)
    session = free_test(device, faults, seed=seed)
    found = diagnose(session.model, session.tries)
    return score(session, found, faults, first=1 if len(faults) == 1 else 3)


def sample_pairs(model: BoxModel, count: int, seed: int = 1) -> Iterator[tuple[Fault, ...]]:
    """Pairs of faults: two kinds drawn evenly, then one fault of each."""
    chance = random.Random(seed)
    by_kind = list_faults(model)
    kinds = sorted(by_kind)
    while count:
        pair = tuple(chance.choice(by_kind[kind]) for kind in chance.choices(kinds, k=2))
        if pair[0] != pair[1]:
            count -= 1
            yield pair


def _job(job: tuple[int, int, bool, tuple[Fault, ...]]) -> Score:
    return try_faults(*job)


def _row(label: str, scores: list[Score]) -> str:
    loud = [one for one in scores if not one.silent]
    shares = [
        sum(getattr(one, name) for one in loud) / max(1, len(loud))
        for name in ("named", "in_class", "readings")
    ]
    cells = "  ".join(f"{share:8.1%}" for share in shares)
    return f"{label:<18}{len(scores):>7}{len(scores) - len(loud):>8}  {cells}"


def print_table(sizes: Iterable[tuple[int, int]], each: int | None, pairs: int) -> None:
    """Run the boxes and print the table as they come."""
    with ProcessPoolExecutor() as pool:
        for rows, columns in sizes:
            for diodes in (False, True):
                _, model = box(rows, columns, diodes)
                kind_of = "diodes" if diodes else "no diodes"
                print(f"\n{rows}x{columns}, {kind_of}")
                head = f"{'fault':<18}{'boxes':>7}{'silent':>8}"
                print(head + "     named     class  readings", flush=True)
                whole: list[Score] = []
                for kind, faults in sorted(list_faults(model).items()):
                    chosen = _choose(faults, each)
                    jobs = [(rows, columns, diodes, (fault,)) for fault in chosen]
                    scores = list(pool.map(_job, jobs, chunksize=4))
                    whole += scores
                    print(_row(kind, scores), flush=True)
                print(_row("all single", whole), flush=True)
                drawn = [(rows, columns, diodes, pair) for pair in sample_pairs(model, pairs)]
                found = list(pool.map(_job, drawn))
                print(_row("pairs, first 3", found), flush=True)
                print(_row("pairs, no mask", [_hide(one) for one in found]), flush=True)


def _hide(score: Score) -> Score:
    """A pair of which nothing shows one fault counts as silent."""
    return replace(score, silent=score.silent or score.masked)


def _choose(faults: list[Fault], each: int | None) -> list[Fault]:
    if each is None or len(faults) <= each:
        return faults
    return random.Random(0).sample(faults, each)


def main() -> None:
    """Read the options and print the table."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0] if __doc__ else "")
    parser.add_argument("--each", type=int, help="boxes a kind at most; left out: all")
    parser.add_argument("--pairs", type=int, default=100, help="pairs a matrix")
    parser.add_argument("--sizes", nargs="*", default=["5x5", "4x6", "8x8"])
    given = parser.parse_args()
    sizes = [tuple(int(part) for part in size.split("x")) for size in given.sizes]
    print_table([(rows, columns) for rows, columns in sizes], given.each, given.pairs)


if __name__ == "__main__":
    main()
