"""The trial at the stated limits knows every command, and tells one that takes too much."""

import sys
from pathlib import Path
from random import Random

import pytest

from profiles.cli.group import walk_commands
from profiles.model import Device
from profiles.model.device import MOST_CONTROLS
from tests.work.large import DEVICES
from tests.work.limits import RUNS, WITHOUT, Ran, find_faults, run
from tests.work.plates import draw_device, draw_words


def test_every_command_is_tried_or_named_with_the_reason() -> None:
    leaves = [
        words for words, context in walk_commands() if not hasattr(context.command, "commands")
    ]
    groups = {words.rpartition(" ")[0] for words in leaves}
    for words in set(leaves) - groups:
        tried = any(" ".join(run).startswith(words) for run in RUNS.values())
        assert tried != (words in WITHOUT), words


def test_a_command_that_takes_too_long_or_too_much_or_stops_is_told() -> None:
    assert list(find_faults("boards", Ran(2, 4.9, 499.0, "platebook: no"))) == []
    assert list(find_faults("boards", Ran(3, 5.1, 501.0, "platebook: internal fault"))) == [
        "ends with 3: platebook: internal fault",
        "takes 5.1 s, more than 5 s",
        "takes 501 MB, more than 500 MB",
    ]
    six_sheets = "\n".join(f"{number}/6 legend of box" for number in range(1, 7))
    assert list(find_faults("print all", Ran(0, 29.0, 90.0, six_sheets))) == []


@pytest.mark.skipif(sys.platform != "linux", reason="memory as Linux counts it, in kB")
def test_the_memory_of_who_starts_a_command_is_not_counted(tmp_path: Path) -> None:
    mine = b"x" * 200_000_000
    ran = run(("boards", "--library", "."), tmp_path)
    assert ran.code == 0
    assert 10 < ran.megabytes < len(mine) / 1e6


def test_every_library_is_as_large_as_its_name_says() -> None:
    sizes = {name: make() for name, make in DEVICES.items()}
    assert [len(one["controls"]) for one in sizes.values()] == [2048, 2048, 2025, 40, 12, 2048]
    assert (sizes["long"]["plate"]["width"], sizes["wide"]["plate"]["height"]) == (4999.0, 5000.0)


def test_a_plate_drawn_at_random_is_one_that_files_may_describe() -> None:
    for number in range(1, 30):
        device = Device.model_validate(draw_device(Random(number)))
        assert 1 <= len(device.controls) <= MOST_CONTROLS
    assert draw_words(Random(1)) == draw_words(Random(1))
