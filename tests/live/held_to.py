"""What the press test is held to, measured on boxes and seeds that no test uses.

    python -m tests.live.held_to             # some minutes
    python -m tests.live.held_to --each 4 --only single,steps   # more boxes, these lines
    python -m tests.live.held_to --seed 5 --sizes 4x5,3x6d      # others; d: with diodes

Boxes are netlists of named wires (`simulated`), worked by a hand that never answers (`hand`).
"""

import argparse
import random
import time
from collections import Counter
from collections.abc import Callable, Iterable, Iterator
from concurrent.futures import ProcessPoolExecutor
from functools import partial
from typing import NamedTuple

from profiles.facts.device import DeviceFacts
from profiles.live.diagnosis import UNNAMED, Diagnosis, diagnose, explain
from profiles.live.events import Event
from profiles.live.evidence import Observation
from profiles.live.faults import Fault
from profiles.live.following import find_next
from profiles.live.session import Session
from profiles.model import Contact, Device
from tests.live.hand import free_test, rhythm_test
from tests.live.simulated import SimulatedBox, make_box
from tests.live.table import list_faults, predict


class Sample(NamedTuple):
    """What is tried: so many of each kind, with this seed and those after it, on these boxes."""

    each: int
    seed: int
    boxes: list[tuple[int, int, bool]]


OUTSIDE = ("moody", "random", "shuffled", "capped", "echo")


class OutsideBox(SimulatedBox):
    """A box with a fault that no list has: its board or its contacts are moody, or forget."""

    def __init__(self, device: Device, kind: str, seed: int) -> None:
        super().__init__(device, (), seed)
        self.kind = kind
        numbers = list(range(1, 40))
        self.moody = set(self.chance.sample(self.terminals, 5))
        few = self.chance.sample(numbers[:20], 4)
        self.table = dict(zip(few, few[1:] + few[:1], strict=True))
        self.cap = self.chance.randint(8, 14)

    def levels(self, closed: Iterable[Contact]) -> set[int]:
        if self.kind == "moody":
            closed = {c for c in closed if c not in self.moody or self.chance.random() < 0.4}
        found = super().levels(closed)
        if self.kind == "random" and self.chance.random() < 0.2:
            found ^= {self.chance.randint(1, 20)}
        if self.kind == "shuffled":
            found = {self.table.get(number, number) for number in found}
        if self.kind == "capped":
            found = {number for number in found if number % self.cap}
        if self.kind == "echo":
            found |= {number + 3 for number in found if number % 3 == 0}
        return found


def is_named(session: Session, found: Diagnosis, faults: tuple[Fault, ...]) -> bool:
    """Whether the truth stands first, or reads the same as what does."""
    best = found.explanations[0]
    if UNNAMED in best.faults:
        return False
    if faults in (best.faults, *best.equivalents):
        return True
    return predict(session, faults) == predict(session, best.faults)


def is_silent(session: Session, faults: tuple[Fault, ...]) -> bool:
    return predict(session, faults) == predict(session, ())


def try_single(job: tuple[int, int, bool, Fault, int, int]) -> tuple[str, bool | None]:
    """A single fault under this many mistakes: its kind, and whether it stands first."""
    rows, columns, diodes, fault, mistakes, seed = job
    device = make_box(rows, columns, diodes=diodes, knobs=2)
    session = free_test(device, (fault,), mistakes=mistakes, seed=seed)
    if is_silent(session, (fault,)):
        return fault.kind, None
    return fault.kind, is_named(session, diagnose(session.model, session.tries), (fault,))


def try_healthy(job: tuple[int, int, bool, int]) -> bool:
    """Whether a sound box gives an alarm after three mistakes."""
    rows, columns, diodes, seed = job
    device = make_box(rows, columns, diodes=diodes, knobs=2)
    session = free_test(device, mistakes=3, seed=seed)
    return not diagnose(session.model, session.tries).is_sound


def try_outside(job: tuple[int, int, bool, str, int]) -> tuple[str, int, bool, bool]:
    """A fault outside the list: its kind, odd steps, whether sound or surely named."""
    rows, columns, diodes, kind, seed = job
    device = make_box(rows, columns, diodes=diodes)
    session = free_test(device, box=OutsideBox(device, kind, seed))
    found = diagnose(session.model, session.tries)
    best = found.explanations[0]
    is_sure = bool(best.faults) and UNNAMED not in best.faults and best.confidence >= 0.9
    return kind, len(found.odd), found.is_sound, is_sure


def try_rhythm(job: tuple[int, int, bool, int, int]) -> bool:
    rows, columns, diodes, line, seed = job
    fault = Fault("dead", (line,))
    session = rhythm_test(make_box(rows, columns, diodes=diodes), (fault,), seed)
    return is_named(session, diagnose(session.model, session.tries), (fault,))


def count_steps(job: tuple[int, int, Fault, int]) -> tuple[int, int, bool] | None:
    """Steps after the first odd one, and after all contacts, until one explanation is left, and
    whether that is the truth."""
    rows, columns, fault, seed = job
    device = make_box(rows, columns, diodes=True)
    session = free_test(device, (fault,), depth="short", seed=seed)
    if is_silent(session, (fault,)):
        return None
    first = next(
        at
        for at, one in enumerate(session.tries)
        if session.expected(one.step).seen != one.seen or one.step.gesture == "turn"
    )
    box = SimulatedBox(device, (fault,), seed)
    tries: list[Observation] = list(session.tries[: first + 1])
    box.down = box.levels(())
    for tried in tries:
        list(box.perform(tried.step))
    for number in range(40):
        step = find_next(session.model, tries)
        if step is None:
            found = diagnose(session.model, tries)
            is_right = is_named(session, found, (fault,))
            return number, len(session.tries) - session.planned, is_right
        one = Session(device, instance=7, steps=[step])
        one.take(Event(box.time, 7, "added", down=tuple(sorted(box.down))))
        one.take(*box.perform(step))
        one.tick(box.time)
        observed = one.observations or (one.listening(),)
        tries += [each for each in observed if each is not None]
    return 40, len(session.tries) - session.planned, False


def sample_faults(
    sample: Sample, each: int, kinds: Iterable[str] = ()
) -> Iterator[tuple[object, ...]]:
    chance = random.Random(sample.seed)
    for rows, columns, diodes in sample.boxes:
        device = make_box(rows, columns, diodes=diodes, knobs=2)
        known = list_faults(DeviceFacts(device).model)
        for kind, faults in sorted(known.items()):
            if not kinds or kind in kinds:
                for fault in chance.sample(faults, min(each, len(faults))):
                    yield rows, columns, diodes, fault


def print_singles(
    pool: ProcessPoolExecutor, sample: Sample, label: str, each: int, mistakes: int, *kinds: str
) -> None:
    drawn = list(sample_faults(sample, each, kinds))
    jobs = [(*one, mistakes, sample.seed + at) for at, one in enumerate(drawn)]
    right: Counter[str] = Counter()
    heard: Counter[str] = Counter()
    for kind, is_first in pool.map(try_single, jobs, chunksize=4):
        if is_first is not None:
            heard[kind] += 1
            right[kind] += is_first
    whole = f"{right.total()} of {heard.total()}"
    print(f"{label:<46}{whole:>14}  {right.total() / max(1, heard.total()):7.1%}")
    missed = {k: f"{heard[k] - right[k]}/{heard[k]}" for k in heard if right[k] < heard[k]}
    if missed:
        print(f"    missed: {missed}", flush=True)


def main() -> None:
    """Measure and print."""
    parser = argparse.ArgumentParser(description="What the press test is held to.")
    parser.add_argument("--each", type=int, default=1)
    parser.add_argument("--only", default="")
    parser.add_argument("--processes", type=int, default=2)
    parser.add_argument("--seed", type=int, default=77_000)
    parser.add_argument("--sizes", default="3x5d,4x4,5x4d")
    given = parser.parse_args()
    boxes = [(int(size[0]), int(size[2]), size.endswith("d")) for size in given.sizes.split(",")]
    each: int = given.each
    sample = Sample(each, given.seed, boxes)
    with ProcessPoolExecutor(given.processes) as pool:
        rows: dict[str, Callable[[], None]] = {
            "outside": partial(print_outside, pool, sample),
            "ground": partial(
                print_singles,
                pool,
                sample,
                "ground and wrong leg named",
                4 * each,
                0,
                "grounded",
                "miswired",
            ),
            "single": partial(print_singles, pool, sample, "single faults first, full", each, 0),
            "mistakes": partial(print_singles, pool, sample, "the same with 3 mistakes", each, 3),
            "rhythm": partial(print_rhythm, pool, sample),
            "healthy": partial(print_healthy, pool, sample),
            "steps": partial(print_steps, pool, sample),
            "time": print_time,
        }
        for name, show in rows.items():
            if not given.only or name in given.only.split(","):
                show()


def print_outside(pool: ProcessPoolExecutor, sample: Sample) -> None:
    jobs = [
        (*box, kind, sample.seed + at)
        for kind in OUTSIDE
        for box in sample.boxes
        for at in range(2 * sample.each)
    ]
    found = [one for one in pool.map(try_outside, jobs) if one[1] >= 3]
    sound = sum(one[2] for one in found)
    sure = Counter(one[0] for one in found if one[3])
    print(f"{'as described first with 3 or more odd steps':<46}{sound:>8} of {len(found)}")
    print(f"    surely named by a fault of the list: {dict(sure)}", flush=True)


def print_rhythm(pool: ProcessPoolExecutor, sample: Sample) -> None:
    jobs = []
    for at in range(30):
        rows, columns, diodes = sample.boxes[at % len(sample.boxes)]
        jobs.append((rows, columns, diodes, at * 7 % (rows + columns), sample.seed + at))
    right = list(pool.map(try_rhythm, jobs))
    print(f"{'rhythm hand with a dead line':<46}{sum(right):>8} of {len(right)}", flush=True)


def print_healthy(pool: ProcessPoolExecutor, sample: Sample) -> None:
    jobs = [(*box, sample.seed + at) for box in sample.boxes for at in range(25 * sample.each)]
    alarms = list(pool.map(try_healthy, jobs, chunksize=8))
    print(f"{'false alarms with 3 mistakes':<46}{sum(alarms):>8} of {len(alarms)}", flush=True)


def print_steps(pool: ProcessPoolExecutor, sample: Sample) -> None:
    for rows, columns in ((3, 7), (10, 3)):
        known = list_faults(DeviceFacts(make_box(rows, columns, diodes=True)).model)
        chance = random.Random(sample.seed)
        jobs = [
            (rows, columns, fault, sample.seed)
            for faults in known.values()
            for fault in chance.sample(faults, min(sample.each, len(faults)))
        ]
        told = [one for one in pool.map(count_steps, jobs) if one is not None]
        after, tail, right = (sum(one[at] for one in told) / len(told) for at in range(3))
        label = f"steps to one explanation, {rows}x{columns}"
        most = max(one[0] for one in told)
        print(
            f"{label:<46}{after:>8.1f} after the first odd step of {len(told)}, {most} at most,\n"
            f"    {right:.1%} of them right; {tail:.1f} after all contacts",
            flush=True,
        )


def print_time() -> None:
    """All tests here are done without an answer; one that is not over then needs an Enter."""
    worst, enters = 0.0, 0
    for diodes in (False, True):
        device = make_box(8, 8, diodes=diodes)
        known = list_faults(DeviceFacts(device).model)
        for faults in known.values():
            session = free_test(device, (random.Random(3).choice(faults),), seed=1)
            enters += session.phase != "finished"
            explain.cache_clear()  # the test has just asked for the same
            start = time.process_time()
            diagnose(session.model, session.tries)
            worst = max(worst, time.process_time() - start)
    print(f"{'diagnosis of 64 contacts, longest':<46}{worst:>8.2f} s of the processor")
    print(f"{'Enters':<46}{enters:>8}")


if __name__ == "__main__":
    main()
