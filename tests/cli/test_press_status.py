"""What a terminal is given: one line written over, large words, and nothing that obeys."""

import io
import sys
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from profiles.cli.press_status import CLEAR, TerminalStatusLine
from tests.cli.conftest import Run
from tests.cli.pressing import Deed, Stage, damaged, stage, write_device
from tests.live.simulated import make_box
from tests.live.virtual import VirtualBox

__all__ = ["stage"]


class Terminal(io.StringIO):
    """A stream that says it is a terminal."""

    encoding = "utf-8"

    def isatty(self) -> bool:
        return True


Open = Callable[[], Terminal]


@pytest.fixture
def open_terminal(monkeypatch: pytest.MonkeyPatch) -> Open:
    """Make stderr a terminal; to be called within the test, where pytest's own capture stands."""

    def call() -> Terminal:
        made = Terminal()
        monkeypatch.setattr(sys, "stderr", made)
        for name, value in (("TERM", "xterm"), ("COLUMNS", "80"), ("LINES", "24")):
            monkeypatch.setenv(name, value)
        return made

    return call


def test_the_changing_line_is_written_over_and_gone_before_a_line_that_stays(
    open_terminal: Open,
) -> None:
    terminal = open_terminal()
    status = TerminalStatusLine(by_line=False)
    status.show_line("one")
    status.show_line("one")
    status.show_line("two")
    status.say("stays")
    assert terminal.getvalue() == f"{CLEAR}one{CLEAR}two{CLEAR}stays\n"


def test_a_line_is_never_wider_than_the_terminal(open_terminal: Open) -> None:
    terminal = open_terminal()
    TerminalStatusLine(by_line=False).show_line("x" * 300)
    assert terminal.getvalue() == CLEAR + "x" * 79


def test_controls_are_shown_and_not_obeyed(open_terminal: Open) -> None:
    terminal = open_terminal()
    status = TerminalStatusLine(by_line=False)
    status.show_line("\x1b[2Ja")
    status.say("\x1b]0;b\x07")
    assert terminal.getvalue() == f"{CLEAR}␛[2Ja{CLEAR}␛]0;b␇\n"


@pytest.mark.parametrize(("by_line", "term"), [(True, "xterm"), (False, "dumb")])
def test_by_lines_and_on_a_dumb_terminal_nothing_is_written_over(
    open_terminal: Open, monkeypatch: pytest.MonkeyPatch, by_line: bool, term: str
) -> None:
    terminal = open_terminal()
    monkeypatch.setenv("TERM", term)
    status = TerminalStatusLine(by_line=by_line)
    status.show_line("one")
    status.show_line("two")
    assert terminal.getvalue() == "one\ntwo\n"


def test_at_a_terminal_what_a_control_does_stands_large(
    platebook: Run, library: Path, stage: Stage, open_terminal: Open
) -> None:
    terminal = open_terminal()

    def script() -> Iterator[Deed]:
        yield from stage.press(virtual, 1)
        yield "x"

    with VirtualBox(8) as virtual:
        stage.put(script()).by_line = False
        platebook("press", "show", "harbour-desk", "--library", library)
    shown = terminal.getvalue().rpartition("\x1b[2J")[2].splitlines()
    assert sum("██" in line for line in shown) >= 5
    assert shown[-2:] == ["HORN: Sound the horn", "x: stop"]
    assert len(shown) <= 24


def test_at_a_terminal_what_is_heard_stands_beside_what_is_asked(
    platebook: Run, tmp_path: Path, stage: Stage, open_terminal: Open
) -> None:
    terminal = open_terminal()
    device = make_box(2, 3)
    write_device(tmp_path / "boxes", device)

    def script() -> Iterator[Deed]:
        yield from stage.do_steps(virtual, damaged(device, virtual=virtual), most=4)
        yield "x"

    with VirtualBox(20) as virtual:
        stage.put(script()).by_line = False
        platebook("press", "test", "bench", "--library", tmp_path / "boxes")
    said = terminal.getvalue()
    assert f"{CLEAR}[2/10] Put b11 on   heard 1{CLEAR}" in said
    asked = "Let go of everything, put latching controls off and selectors to position 1\n"
    assert said.count(asked) == 1
