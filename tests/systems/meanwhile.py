"""Two runs in children, the second begun in the middle of the first."""

import itertools
import os
import select
import sys
import tempfile
from collections.abc import Callable
from pathlib import Path
from typing import BinaryIO, NamedTuple

WRITING = (
    *("tempfile.mkstemp", "os.mkdir", "os.rename", "os.link", "os.remove", "os.chmod"),
    *("os.chown", "os.truncate", "os.rmdir", "os.symlink"),
)
"""What the interpreter tells of before it changes a folder or a file; opening is beside these."""


class Told(NamedTuple):
    """How a run ended: its exit code and what it put on stderr."""

    code: int
    words: str


class Running(NamedTuple):
    """A run in a child, and the file that has what it puts on stderr."""

    child: int
    said: BinaryIO

    def finish(self) -> Told:
        """Wait for its end."""
        with self.said:
            _, status = os.waitpid(self.child, 0)
            self.said.seek(0)
            words = self.said.read().decode("utf-8", "replace")
        return Told(os.waitstatus_to_exitcode(status), words)


def begin(folder: Path, deed: Callable[[], int]) -> Running:
    """Do something in a child, in a folder; what it returns is the exit code."""
    said = tempfile.TemporaryFile()  # noqa: SIM115  `finish` closes it
    child = os.fork()
    if child:
        return Running(child, said)
    code = 70
    try:
        sys.dont_write_bytecode = True
        os.chdir(folder)
        nothing = os.open(os.devnull, os.O_RDWR)
        for stream, target in enumerate((nothing, nothing, said.fileno())):
            os.dup2(target, stream)
        sys.stdout, sys.stderr = (os.fdopen(stream, "w") for stream in (1, 2))  # not pytest's
        code = deed()
        sys.stderr.flush()
    finally:
        os._exit(code)


def is_change(event: str, arguments: tuple[object, ...]) -> bool:
    """Whether what the interpreter tells of changes a folder or a file."""
    return event in WRITING or (event == "open" and bool({*"wxa"} & {*str(arguments[1])}))


def run_both(
    folder: Path, first: Callable[[], int], second: Callable[[], int], event: int
) -> tuple[Told, Told]:
    """Do two things, the second where the first is about to make its change of this number, from 0.

    The first goes on when the second has ended, or has to wait for it.
    """
    (may, go), (end, alive) = os.pipe(), os.pipe()

    def wait() -> int:
        os.close(end)
        os.read(may, 1)
        return second()

    theirs = begin(folder, wait)
    os.close(alive)
    changes = itertools.count()

    def listen(name: str, arguments: tuple[object, ...]) -> None:
        if is_change(name, arguments) and next(changes) == event:
            os.write(go, b".")
            while not select.select([end], [], [], 0.01)[0] and not is_waiting(theirs.child):
                pass

    def go_on() -> int:
        sys.addaudithook(listen)
        return first()

    mine = begin(folder, go_on).finish()
    os.write(go, b".")
    found = mine, theirs.finish()
    for handle in (may, go, end):
        os.close(handle)
    return found


def is_waiting(process: int) -> bool:
    """Whether a process waits for a lock that another has (proc(5), `/proc/locks`)."""
    lines = Path("/proc/locks").read_text("ascii").splitlines()
    return any(" -> " in line and f" {process} " in line for line in lines)
