"""A command killed at any moment leaves every file as it was, as it was to be, or absent."""

import os
from pathlib import Path

import pytest
from click import Group

from profiles.cli.group import walk_commands
from tests.work.kills import COMMANDS, WITHOUT, kill_commands

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


def test_every_command_is_killed_or_said_to_write_nothing_at_once() -> None:
    """A new command comes into the trial, or into the list of those without, with its reason."""
    words = [path for path, context in walk_commands() if not isinstance(context.command, Group)]
    tried = [
        path
        for path in words
        if any(each[: len(path.split())] == (*path.split(),) for each in COMMANDS.values())
    ]
    assert [path for path in words if path not in tried] == [
        path for path in words if path in WITHOUT
    ]
    assert not {*tried} & WITHOUT.keys()
