"""A command killed at any moment leaves every file as it was, as it was to be, or absent."""

import os
from pathlib import Path

import pytest

from tests.work.kills import kill_commands

pytestmark = pytest.mark.skipif(os.name != "posix", reason="forks and kills of POSIX")


QUICK = ("print strip", "firmware avr", "schema", "new device", "convert --csv")


@pytest.mark.long
def test_a_command_killed_while_it_writes_leaves_no_half_file(tmp_path: Path) -> None:
    """A share of what `python -m tests.work.kills` does to every command that writes.

    A kill whose hidden file the next run does not clear away has a problem.
    """
    kills = kill_commands(30, tmp_path, QUICK)
    assert [kill for kill in kills if kill.problems] == []
    assert [kill.was_killed for kill in kills] == 30 * [True]
    assert {kill.command for kill in kills if kill.leftovers} == {*QUICK}
