"""Unsaved work kept beside the library, and changes from outside noticed."""

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

from profiles.work.recovery import PREFIX, Keeper, Watch, discard, find_leftovers


def test_work_is_kept_while_unsaved_and_cleared_after(tmp_path: Path) -> None:
    keeper = Keeper(tmp_path)
    assert keeper.keep({"desk": ("text", "ab")})
    assert keeper.path.exists()
    assert find_leftovers(tmp_path) == ()  # this process still runs

    assert keeper.keep({})
    assert not keeper.path.exists()


def test_work_of_a_process_that_has_ended_is_offered(tmp_path: Path) -> None:
    ended = subprocess.run(
        [sys.executable, "-c", "import os; print(os.getpid())"],
        capture_output=True,
        text=True,
        check=True,
    )
    path = tmp_path / f"{PREFIX}{ended.stdout.strip()}.json"
    path.write_text(json.dumps({"format": 1, "work": {"desk": ["text", "ab"]}}), "utf-8")

    (leftover,) = find_leftovers(tmp_path)

    assert leftover.work == {"desk": ("text", "ab")}
    discard(leftover)
    assert find_leftovers(tmp_path) == ()


DEEP = f'{{"format": 1, "work": {100_000 * "["}{100_000 * "]"}}}'


@pytest.mark.parametrize(
    "text", ["", "{", "[]", '{"format": 1, "work": {"a": 1}}', "null", DEEP], ids=lambda t: t[:20]
)
def test_a_torn_recovery_file_is_no_offer(tmp_path: Path, text: str) -> None:
    (tmp_path / f"{PREFIX}x.json").write_text(text, "utf-8")
    assert find_leftovers(tmp_path) == ()


def test_a_folder_that_takes_no_file_is_told(tmp_path: Path) -> None:
    assert not Keeper(tmp_path / "not there").keep({"desk": ("text", "ab")})


def test_the_watch_sees_files_come_change_and_go(tmp_path: Path) -> None:
    path = tmp_path / "desk.toml"
    watch = Watch(tmp_path)
    assert not watch.look()
    path.write_text("format = 1\n", "utf-8")
    assert watch.look()
    os.utime(path, ns=(1, 1))
    assert watch.look()
    path.unlink()
    assert watch.look()
    assert not watch.look()
