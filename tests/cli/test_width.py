"""Reports on a terminal: as wide as it is, and no wider."""

import os
import re
import subprocess
import sys

import click
import pytest
from click.testing import CliRunner

from profiles.cli.group import platebook as main
from profiles.cli.group import walk_commands
from profiles.text.cells import width_of
from tests.cli.conftest import EXAMPLES, ROOT

pty = pytest.importorskip("pty", reason="a terminal as POSIX has it")
HARBOUR = str(EXAMPLES / "harbour")


def run_on_terminal(columns: int, *words: str) -> list[str]:
    """The lines that a command puts on a terminal of so many columns, colours taken out."""
    import termios

    ours, theirs = pty.openpty()
    termios.tcsetwinsize(theirs, (24, columns))  # type: ignore[attr-defined,unused-ignore]
    settings = {name: value for name, value in os.environ.items() if name != "COLUMNS"}
    process = subprocess.Popen(
        [sys.executable, "-m", "profiles", *words, "--library", HARBOUR],
        stdout=theirs,
        cwd=ROOT,
        env=settings,
    )
    os.close(theirs)
    data = b""
    try:
        while piece := os.read(ours, 65536):
            data += piece
    except OSError:  # Linux ends a terminal that nobody writes to any more with an error
        pass
    finally:
        os.close(ours)
    assert process.wait() == 0
    return re.sub(r"\x1b\[[\d;]*m", "", data.decode("utf-8")).splitlines()


@pytest.mark.parametrize(
    "words",
    [
        ("wiring", "show", "helm-desk"),
        ("wiring", "host", "helm-desk"),
        ("compare", "--device", "helm-desk"),
        ("print", "card", "--profile", "brackwater-bridge", "--format", "text"),
        ("print", "parts", "--device", "helm-desk", "--format", "text"),
    ],
    ids=lambda words: " ".join(words[:2]),
)
def test_no_line_of_a_report_is_wider_than_the_terminal(words: tuple[str, ...]) -> None:
    lines = run_on_terminal(80, *words)
    assert len(lines) > 20
    assert [line for line in lines if width_of(line) > 80] == []


GROUPS = ["", *(path for path, one in walk_commands() if isinstance(one.command, click.Group))]


@pytest.mark.parametrize("path", GROUPS)
def test_help_lists_each_command_with_its_whole_sentence_at_80_columns(path: str) -> None:
    """A sentence ends with its full stop, on the line of its command or on one below."""
    shown = CliRunner().invoke(
        main, [*path.split(), "--help"], terminal_width=80, max_content_width=80
    )
    listed = shown.output.partition("Commands:\n")[2]
    sentences = re.split(r"\n  (?=\S)", "\n" + listed.rstrip())[1:]

    assert len(sentences) > 1
    assert [one for one in sentences if not one.endswith(".") or one.endswith("..")] == []
    lines = [line for line in shown.output.splitlines() if " -m pip install " not in line]
    assert [line for line in lines if len(line) > 80] == []


def test_every_option_names_what_it_takes_in_a_word_of_ours() -> None:
    """Not by the type that the library for command lines gives it, such as FLOAT RANGE."""
    taken = {
        (path, option.opts[0]): option.make_metavar(context)
        for path, context in walk_commands()
        for option in context.command.params
        if isinstance(option, click.Option) and not option.is_flag and not option.hidden
    }
    types = re.compile(r"TEXT|INTEGER|FLOAT|RANGE")

    assert len(taken) > 50
    assert [place for place, word in taken.items() if types.search(word)] == []
