"""What is made of a plate as long as plates may be is within the budget.

`python -m tests.work.limits` tries all commands over all such libraries.
"""

import sys
from pathlib import Path

import pytest

from tests.work.large import write
from tests.work.limits import RUNS, find_faults, run

pytestmark = pytest.mark.skipif(sys.platform != "linux", reason="memory as Linux counts it, in kB")


@pytest.mark.parametrize("command", ["print plate stl", "print drill csv", "wiring show"])
def test_the_longest_plate_is_within_the_budget(command: str, tmp_path: Path) -> None:
    write("long", tmp_path / "mine")
    ran = run(RUNS[command], tmp_path)
    print(f"{command}: {ran.seconds:.1f} s of processor, {ran.megabytes:.0f} MB")
    assert (ran.code, list(find_faults(command, ran))) == (0, [])
