"""Loading a large library costs little more than reading and validating its bytes does.

Both sides are measured in one run, turn by turn, by the time of the process, so the machine's own
speed and its other work cancel out.
"""

import gc
import json
import subprocess
import sys
import time
import tomllib
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from profiles.files.library import load_library
from profiles.files.validate import KINDS
from tests.benchmarks.big_library import PROFILES, write_library

ROUNDS = 5


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("library")
    write_library(folder / "small", profiles=1)
    write_library(folder / "big")
    return folder / "big"


def _read_plainly(folder: Path) -> int:
    """Tomllib and the validating library on the same bytes, and nothing else."""
    read = 0
    for path in folder.rglob("*.toml"):
        content = tomllib.loads(path.read_bytes().decode())
        model = next(model for kind, model in KINDS.items() if kind in content)
        model.model_validate(content)
        read += 1
    return read


def measure_ratio(one: Callable[[], Any], other: Callable[[], Any]) -> float:
    """Return how many times longer `one` takes than `other`, best of some rounds each.

    What other tests left in memory is kept from the garbage collector meanwhile.
    """
    gc.collect()
    gc.freeze()
    best = [float("inf"), float("inf")]
    for _ in range(ROUNDS):
        for side, work in enumerate((one, other)):
            start = time.process_time()
            work()
            best[side] = min(best[side], time.process_time() - start)
    gc.unfreeze()
    return best[0] / best[1]


def test_loading_takes_at_most_half_again_the_time_of_its_parsers(
    folder: Path, benchmark: Any
) -> None:
    loaded = benchmark.pedantic(load_library, (folder,), rounds=3)
    assert len(loaded.library.profiles) == PROFILES
    ratio = measure_ratio(lambda: load_library(folder), lambda: _read_plainly(folder))
    benchmark.extra_info["ratio to tomllib and pydantic"] = round(ratio, 2)
    assert ratio <= 1.5


@pytest.mark.skipif(sys.platform != "linux", reason="reads proc_pid_status(5)")
def test_loading_takes_at_most_ten_times_the_files_size_in_memory(
    folder: Path,
) -> None:
    size = sum(path.stat().st_size for path in folder.rglob("*.toml"))
    run = subprocess.run(
        [sys.executable, "-m", "tests.benchmarks.big_library", str(folder.parent)],
        capture_output=True,
        text=True,
        check=True,
        cwd=Path(__file__).parents[2],
    )
    ratio = json.loads(run.stdout) * 1024 / size
    print(f"memory: {ratio:.1f} times the files' size")
    assert ratio <= 10
