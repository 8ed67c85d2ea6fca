"""The screen in a real terminal, held by tmux: it opens, acts, saves, and leaves in order."""

import os
import re
import shlex
import signal
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from profiles.work.recovery import PREFIX
from tests.needs import need_program
from tests.tui.desks import PROFILE, write_desk

ROOT = Path(__file__).resolve().parents[2]


class Terminal:
    """A terminal of its own in a tmux server of its own."""

    def __init__(self, folder: Path, columns: int, rows: int) -> None:
        self.tmux = [need_program("tmux"), "-S", str(folder / "tmux"), "-f", os.devnull]
        size = ["-x", str(columns), "-y", str(rows)]
        shell = ["env", "-u", "COLUMNS", "-u", "LINES", "PS1=ready$ ", "sh"]
        self.run("new-session", "-d", *size, "-c", str(ROOT), *shell)

    def run(self, *words: str) -> str:
        """Give tmux a command."""
        done = subprocess.run(
            [*self.tmux, *words], capture_output=True, text=True, check=True, timeout=20
        )
        return done.stdout

    def keys(self, *keys: str) -> None:
        """Press keys."""
        self.run("send-keys", *keys)

    def seen(self) -> str:
        """What the terminal shows, lines that it broke joined again."""
        return self.run("capture-pane", "-p", "-J")

    def wait(self, what: Callable[[str], bool]) -> str:
        """Look until something is seen."""
        until = time.monotonic() + 60
        while time.monotonic() < until:
            text = self.seen()
            if what(text):
                return text
            time.sleep(0.05)
        raise AssertionError(f"never seen:\n{self.seen()}")

    def find(self, words: str) -> tuple[int, int]:
        """Column and row of the first words like these that the terminal shows, from 0."""
        rows = self.run("capture-pane", "-p").splitlines()
        return next((line.index(words), at) for at, line in enumerate(rows) if words in line)

    def mouse(self, button: int, *spots: tuple[int, int]) -> None:
        """Press a button, move, let go, as terminals report it (xterm control sequences, SGR
        mouse mode 1006: 16 more with Ctrl, 32 more while it moves)."""
        codes = [button, *[button + 32] * len(spots[1:])]
        for code, (column, row) in zip(codes, spots, strict=True):
            self.run("send-keys", "-l", f"\x1b[<{code};{column + 1};{row + 1}M")
        column, row = spots[-1]
        self.run("send-keys", "-l", f"\x1b[<{button};{column + 1};{row + 1}m")

    def is_sane(self) -> bool:
        """Whether the usual screen is back, the cursor shows and the mouse is let go."""
        state = self.run(
            "display-message", "-p", "#{alternate_on} #{cursor_flag} #{mouse_any_flag}"
        )
        return state.split() == ["0", "1", "0"]

    def close(self) -> None:
        """End this tmux server."""
        self.run("kill-server")


@pytest.fixture
def terminal(tmp_path: Path) -> Iterator[Terminal]:
    found = Terminal(tmp_path, 80, 24)
    yield found
    found.close()


def test_an_evening_in_a_real_terminal(terminal: Terminal, tmp_path: Path) -> None:
    """Open, unbind, resize, save, leave: the file is right and the shell is back in order."""
    folder = write_desk(tmp_path / "library")
    command = f"{sys.executable} -m profiles open {shlex.quote(str(folder))}; echo ended $?"
    terminal.keys(command, "Enter")
    terminal.wait(lambda text: "▸(#)◂" in text and "1 E, " in text)
    terminal.keys("x")
    terminal.wait(lambda text: "1 unsaved" in text)
    terminal.run("resize-window", "-x", "120", "-y", "40")
    terminal.wait(lambda text: len(text.rstrip().splitlines()) > 30)
    terminal.keys("C-s")
    terminal.wait(lambda text: "Saved Harbour on the desk" in text)
    terminal.keys("q")
    terminal.wait(lambda text: "ended 0" in text)
    assert terminal.is_sane()
    line = 'horn = "sound-horn"   # the big one\n'
    assert (folder / "bindings.toml").read_text("utf-8") == PROFILE.replace(line, "")
    assert list(folder.glob(f"{PREFIX}*")) == []


def test_the_mouse_works_in_a_real_terminal(terminal: Terminal, tmp_path: Path) -> None:
    """From the first click on: choose, mark, move by dragging, take back, list, close, leave."""
    folder = write_desk(tmp_path / "library")
    command = f"{sys.executable} -m profiles open {shlex.quote(str(folder))}; echo ended $?"
    terminal.keys(command, "Enter")
    terminal.wait(lambda text: "▸(#)◂" in text and "1 E, " in text)
    terminal.mouse(0, terminal.find("6 Device"))
    terminal.wait(lambda text: "[6 Device]" in text and "▸(#)◂" in text)
    column, row = terminal.find("(.)")
    terminal.mouse(16, (column + 1, row))
    terminal.wait(lambda text: "1 control marked:" in text and "▸(.)◂" in text)
    terminal.mouse(0, (column + 1, row), (column, row), (column - 3, row))
    terminal.wait(lambda text: "1 unsaved" in text and "Move SPARE to" in text)
    terminal.mouse(0, terminal.find("u Undo"))
    terminal.wait(lambda text: "Taken back" in text and "1 unsaved" not in text)
    terminal.mouse(2, (column + 1, row))
    terminal.wait(lambda text: "Device: what can be done" in text)
    terminal.mouse(0, (0, 12))
    terminal.wait(lambda text: "what can be done" not in text)
    terminal.keys("q")
    terminal.wait(lambda text: "ended 0" in text)
    assert terminal.is_sane()


def test_a_screen_that_is_ended_from_outside_leaves_its_work(
    terminal: Terminal, tmp_path: Path
) -> None:
    """Nothing is saved, nothing is lost, the shell is in order; the next screen offers the work."""
    folder = write_desk(tmp_path / "library")
    command = f"{sys.executable} -m profiles open {shlex.quote(str(folder))}; echo ended $?"
    terminal.keys(command, "Enter")
    terminal.wait(lambda text: "▸(#)◂" in text)
    terminal.keys("x")
    terminal.wait(lambda text: "1 unsaved" in text and any(folder.glob(f"{PREFIX}*.json")))
    (kept,) = folder.glob(f"{PREFIX}*.json")
    os.kill(int(kept.name.removeprefix(PREFIX).removesuffix(".json")), signal.SIGTERM)
    terminal.wait(lambda text: "ended 143" in text)
    assert terminal.is_sane()
    assert (folder / "bindings.toml").read_text("utf-8") == PROFILE
    terminal.keys("clear", "Enter")
    terminal.keys(command, "Enter")
    terminal.wait(lambda text: "Unsaved work was found" in text)
    terminal.keys("t")
    terminal.wait(lambda text: "1 unsaved" in text)


CRASH = """
from profiles.cli.main import main
from profiles.tui import plate_pane

def fail(pane):
    raise RuntimeError("on purpose")

plate_pane.PlatePane.action_swap = fail
main()
"""


@pytest.mark.parametrize("wanted", [False, True])
def test_a_fault_of_its_own_leaves_the_terminal_sane(
    terminal: Terminal, tmp_path: Path, wanted: bool
) -> None:
    """The shell is back, the last words say where unsaved work is and how to report the fault.

    Where in the code it happened stands there only where it is asked for.
    """
    folder = write_desk(tmp_path / "library")
    (tmp_path / "crash.py").write_text(CRASH, "utf-8")
    words = shlex.join([sys.executable, str(tmp_path / "crash.py"), "open", str(folder)])
    asked = "PLATEBOOK_TRACEBACK=1" if wanted else "PLATEBOOK_TRACEBACK="
    terminal.keys(f"{asked} PYTHONPATH=. {words}; echo ended $?", "Enter")
    terminal.wait(lambda text: "▸(#)◂" in text)
    terminal.keys("x")
    terminal.wait(lambda text: "1 unsaved" in text)
    terminal.keys("w")
    text = terminal.wait(lambda text: re.search(r"^ended \d", text, re.MULTILINE) is not None)
    words = " ".join(text.split())
    if wanted:
        assert 'crash.py", line 6, in fail raise RuntimeError("on purpose")' in words
    else:
        assert "ended by a fault of its own" in words
        assert "offered by the next `platebook open`" in words
        assert "internal fault, RuntimeError (on purpose)" in words
        assert "PLATEBOOK_TRACEBACK=1 set, and report" in words
        assert "ended 3" in words
        assert "line 6" not in words
    assert terminal.is_sane()
    assert len(list(folder.glob(f"{PREFIX}*"))) == 1


def test_without_a_terminal_the_screen_says_what_to_use_instead(tmp_path: Path) -> None:
    done = subprocess.run(
        [sys.executable, "-m", "profiles", "open", str(write_desk(tmp_path / "library"))],
        cwd=ROOT,
        stdin=subprocess.DEVNULL,
        capture_output=True,
        text=True,
        check=False,
        timeout=60,
    )
    assert done.returncode == 2
    assert done.stderr == (
        "platebook: the screen needs a terminal of its own\n"
        "  Without one use `platebook check`, `suggest`, `print`; all write plain text.\n"
    )
