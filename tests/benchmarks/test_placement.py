"""How long placing labels takes, against measuring their words.

Run with `pytest tests/benchmarks`; the ratios stand in `extra_info`. Measuring means what the
layout needs to know of a label: the widths of its lines for every number of lines it may take.
"""

from collections.abc import Callable
from random import Random
from time import process_time

import pytest
from pytest_benchmark.fixture import BenchmarkFixture

from profiles.lettering import REGULAR
from profiles.plate.fit import Measured
from profiles.plate.label_requests import LabelRequest, Placement
from profiles.plate.placement import measure_labels, place_labels
from profiles.plate.shapes import Disc, Rectangle

WORDS = [
    "PUMP",
    "LIGHT",
    "FUEL",
    "VALVE",
    "GENERATOR",
    "MAIN",
    "BUS",
    "TIE",
    "ANTI-ICE",
    "CABIN",
    "HORN",
    "DOOR",
    "STARTER",
    "MASTER",
    "ALARM",
    "RESET",
    "TEST",
    "CROSS",
    "FEED",
    "WIPER",
    "HEAT",
]


def plate(
    columns: int, pitch: float, row: float
) -> tuple[list[LabelRequest], Rectangle, list[Disc]]:
    """128 buttons of 18 mm in rows, each with one to three words to be read from 600 mm."""
    random = Random(1)
    labels, fronts = [], []
    height = 20 + row * -(-128 // columns)
    for n in range(128):
        across, down = n % columns, n // columns
        front = Disc(10 + pitch * (across + 0.5), height - 10 - row * (down + 0.6), 9)
        text = " ".join(random.choice(WORDS) for _ in range(random.randint(1, 3)))
        labels.append(
            LabelRequest(id=f"{n:03}", text=text, front=front, wanted=3.5, least=2.6, series="0")
        )
        fronts.append(front)
    return labels, Rectangle(0, 0, 20 + pitch * columns, height), fronts


def time_best(work: Callable[[], object], rounds: int) -> float:
    """Return the best of a few runs, seconds of this process, whatever else the machine does."""
    times = []
    for _ in range(rounds):
        start = process_time()
        work()
        times.append(process_time() - start)
    return min(times)


def measure_all(labels: list[LabelRequest]) -> list[Measured]:
    """Every text that may be set, whether the layout asks for it or not."""
    texts = measure_labels(labels, REGULAR).values()
    return [text() for by_means in texts for text in by_means.values()]


@pytest.mark.benchmark(min_rounds=2, max_time=0.2)
@pytest.mark.parametrize(
    ("pitch", "row", "rounds", "most"),
    [
        pytest.param(31.0, 35.0, 20, 12, id="recommended"),
        pytest.param(26.0, 32.0, 3, 45, id="tight"),
        pytest.param(22.0, 26.0, 3, 110, id="overfull"),
    ],
)
def test_placing_128_labels(
    benchmark: BenchmarkFixture, pitch: float, row: float, rounds: int, most: int
) -> None:
    """At 31 mm the fronts stand 13 mm apart (NUREG-0700 Rev.3, Table 11.5); below, closer."""
    labels, outline, fronts = plate(16, pitch, row)
    measuring = time_best(lambda: measure_all(labels), 20)
    placing = time_best(lambda: place_labels(labels, outline, fronts, REGULAR), rounds)
    found: Placement = benchmark(lambda: place_labels(labels, outline, fronts, REGULAR))
    benchmark.extra_info["placing to measuring"] = round(placing / measuring, 1)
    benchmark.extra_info["placed"] = len(found.placed)
    assert len(found.placed) + len(found.unplaced) == 128
    assert placing < most * measuring
