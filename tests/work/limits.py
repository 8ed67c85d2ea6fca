"""Every command at the stated limits; run as `python -m tests.work.limits [LIBRARY...] [-c WORDS]`.

Each command runs in a child of its own over each library of `tests.work.large`, sheets once for
every format. It must come to its end, or refuse, within `SECONDS` of the processor and `MEGABYTES`;
a command that makes many sheets has the seconds for each. Prints a table; ends with 1 where a
command took more, or came to another end than by doing or refusing it.
"""

import argparse
import json
import os
import re
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import NamedTuple

from profiles.sheets.requests import SHEETS
from tests.work.large import DEVICES, OTHERS, write, write_recording

SECONDS = 5.0
"""Of the processor, start of the program included."""

MEGABYTES = 500.0
"""Of memory at the highest, of 1,000 kB."""

GIVEN_UP = 20
"""Seconds of the processor after which a child is stopped."""

BOX = ("--library", "mine", "--device", "box", "--no-date", "-o", "out/")
LIBRARY = ("--library", "mine")
SHEET = ("--library", "mine", "--no-date")

RUNS: dict[str, tuple[str, ...]] = {
    **{
        f"print {sheet} {form}": (
            *("print", sheet, *BOX, "--format", form),
            *(("--profile", "pro") if kind.takes == (1, 1) else ()),
        )
        for sheet, kind in SHEETS.items()
        for form in kind.formats
        if sheet not in ("ruler", "comparison")
    },
    "print legend bleed": ("print", "legend", *BOX, "--bleed", "3"),
    "print legend colours": ("print", "legend", *BOX, "--colours", "--profile", "pro"),
    "print strip tape": ("print", "strip", *BOX, "--tape", "12", "--pages", "tape"),
    "print plate words 3mf": (
        *("print", "plate", *BOX, "--format", "3mf", "--words", "inlaid", "--labels", "fixed"),
    ),
    "print cut strokes": ("print", "cut", *BOX, "--format", "dxf", "--letters", "strokes"),
    "print drill a3": ("print", "drill", *BOX, "--paper", "a3"),
    **{f"compare {form}": ("compare", *BOX, "--format", form) for form in SHEETS["card"].formats},
    "print all": ("print", "all", "out", *SHEET),
    "changes": ("changes", "older", *LIBRARY, "--no-date"),
    "changes --print": ("changes", "older", *SHEET, "--print", "out"),
    "changes --labels": ("changes", "older", *SHEET, "--labels", "out"),
    "check": ("check", "mine"),
    "check --json": ("check", "mine", "--json", "--each"),
    "check --fix": ("check", "mine", "--fix", "--yes"),
    "handover": ("handover", "box", *SHEET, "-o", "box.html"),
    "handover pdf": ("handover", "box", *SHEET, "-o", "box.pdf", "--format", "pdf"),
    "bundle make": ("bundle", "make", "pro", *LIBRARY, "-o", "pro.zip"),
    "bundle show": ("bundle", "show", "pro.zip"),
    "bundle unpack": ("bundle", "unpack", "pro.zip", "theirs", "--library", "none"),
    "boards": ("boards", "board", "--device", "box", *LIBRARY),
    "arrange": ("arrange", "box", *LIBRARY, "--shift", "1,0", "--write"),
    "arrange grid": ("arrange", "box", *LIBRARY, "--align", "rows", "--spread", "rows"),
    "wiring show": ("wiring", "show", "box", *LIBRARY),
    "wiring host": ("wiring", "host", "box", *LIBRARY),
    "wiring descriptor": ("wiring", "descriptor", "box", *LIBRARY),
    "wiring plan": ("wiring", "plan", "box", *LIBRARY),
    "wiring plan --rewire": ("wiring", "plan", "box", *LIBRARY, "--rewire", "--renumber"),
    "wiring renumber": ("wiring", "renumber", "box", *LIBRARY, "--along", "columns", "--write"),
    "firmware avr": ("firmware", "box", *LIBRARY, "--for", "avr", "-o", "out"),
    "firmware python": ("firmware", "box", *LIBRARY, "--for", "python", "-o", "out"),
    "suggest": ("suggest", "spare", *LIBRARY, "--may"),
    "session --list": ("session", "pro", *LIBRARY, "--list"),
    "session --sheet": ("session", "pro", *SHEET, "--sheet", "steps.pdf"),
    "convert": ("convert", "mine/box.json", "--to", "toml", "-o", "other.toml"),
    "convert yaml": ("convert", "mine/box.json", "--to", "yaml", "-o", "other.yaml"),
    "convert --csv": ("convert", "mine/pro.json", *LIBRARY, "--csv", "-o", "table.csv"),
    "convert --into": (*("convert", "table.csv", *LIBRARY, "--csv", "--into", "mine/pro.json"),),
    "schema --verify": ("schema", "mine", "--verify"),
    "new profile": ("new", "profile", "like", *LIBRARY, "--like", "pro", "--device", "box"),
    "new application": ("new", "application", "other", *LIBRARY, "--like", "app"),
    "new device": ("new", "device", "grid", *LIBRARY, "--grid", "20x20", "--board", "board"),
    "new device, too many": ("new", "device", "huge", *LIBRARY, "--grid", "45x45"),
    "press test": ("press", "test", "box", *LIBRARY, "--from", "press.jsonl"),
    "press test --report": (
        *("press", "test", "box", *LIBRARY, "--from", "press.jsonl", "--every"),
        *("--report", "out/press.pdf"),
    ),
    "press learn": ("press", "learn", "box", *LIBRARY, "--from", "press.jsonl"),
    "press measurements": ("press", "measurements", "press.jsonl", *LIBRARY, "--svg", "out/p.svg"),
    "rename": ("rename", "box", "tower", *LIBRARY),
    "delete": ("delete", "box", *LIBRARY),
}
"""Every command that reads a library, by a short name; in this order, one after another."""

MANY = ("print all", "changes --print")
"""Commands that make many sheets."""

WITHOUT = {
    **dict.fromkeys(("explain", "demo", "print ruler"), "reads no library of yours"),
    **dict.fromkeys(("new board", "new part"), "reads nothing but ids"),
    "print comparison": "is `compare`",
    **dict.fromkeys(("press list", "press show"), "needs a box"),
    "open": "is measured by tests/benchmarks",
}
"""Commands that are not among these, and why."""


class Ran(NamedTuple):
    """What a command took: seconds of the processor, megabytes, its end, and what it said last."""

    code: int
    seconds: float
    megabytes: float
    words: str


_BETWEEN = """
import json, os, resource, sys
seconds, taken, *words = sys.argv[1:]
resource.setrlimit(resource.RLIMIT_CPU, (int(seconds), int(seconds)))
child = os.spawnv(os.P_NOWAIT, sys.executable, [sys.executable, "-m", "profiles", *words])
_, status, used = os.wait4(child, 0)
told = os.waitstatus_to_exitcode(status), used.ru_utime + used.ru_stime, used.ru_maxrss
with open(taken, "w", encoding="ascii") as file:
    json.dump(told, file)
"""
"""A small process that starts a command: the memory of whoever starts it is counted to it, even
where that is another program by then (Linux, `setmax_mm_hiwater_rss` in fs/exec.c)."""


def run(words: Sequence[str], folder: Path) -> Ran:
    """Run a command in a child, stopped after `GIVEN_UP` seconds."""
    taken, err = folder / "taken.json", folder / "stderr"
    command = [sys.executable, "-c", _BETWEEN, str(GIVEN_UP), str(taken), *words]
    settings = os.environ | {"PLATEBOOK_CACHE": ""}
    with (folder / "stdout").open("wb") as stdout, err.open("wb") as stderr:
        subprocess.run(command, stdout=stdout, stderr=stderr, cwd=folder, env=settings, check=True)
    code, seconds, kilobytes = json.loads(taken.read_bytes())
    return Ran(code, seconds, kilobytes * 1.024e-3, err.read_text("utf-8", "replace"))


def count_sheets(words: str) -> int:
    """How many sheets a command said that it made, one at least."""
    return max(1, len(re.findall(r"(?m)^(?:skipped: )?(?:\d+/\d+|printed) ", words)))


def find_faults(name: str, ran: Ran) -> Iterator[str]:
    """What is wrong with how a command ended."""
    allowed = SECONDS * (count_sheets(ran.words) if name in MANY else 1)
    if ran.code not in (0, 1, 2) or "Traceback" in ran.words:
        yield f"ends with {ran.code}: {ran.words[-300:]}"
    if ran.seconds > allowed:
        yield f"takes {ran.seconds:.1f} s, more than {allowed:.0f} s"
    if ran.megabytes > MEGABYTES:
        yield f"takes {ran.megabytes:.0f} MB, more than {MEGABYTES:.0f} MB"


def try_library(name: str, only: str) -> Iterator[str]:
    """Run every command over a library; prints a line for each, yields what was wrong."""
    with tempfile.TemporaryDirectory() as place:
        folder = Path(place)
        write(name, folder / "kept")
        write(name, folder / "older", before=True)
        write_recording(name, folder / "press.jsonl")
        (folder / "none").mkdir()
        for command, words in RUNS.items():
            if only not in command:
                continue
            shutil.rmtree(folder / "mine", ignore_errors=True)
            shutil.rmtree(folder / "out", ignore_errors=True)
            shutil.copytree(folder / "kept", folder / "mine")
            ran = run(words, folder)
            faults = list(find_faults(command, ran))
            last = ran.words.strip().splitlines()[-1:] if ran.code == 2 else []
            print(
                f"{name:10} {command:24} {ran.seconds:6.1f} s {ran.megabytes:5.0f} MB {ran.code:3}",
                *(["<<<"] if faults else []),
                *(line[:110] for line in last),
                flush=True,
            )
            yield from (f"{name}, {command}: {fault}" for fault in faults)


def main() -> int:
    reader = argparse.ArgumentParser(prog="python -m tests.work.limits", description=__doc__)
    reader.add_argument("libraries", nargs="*", choices=[[], *DEVICES, *OTHERS])
    reader.add_argument("-c", "--command", default="", help="only commands with these words")
    asked = reader.parse_args()
    names = asked.libraries or [*DEVICES, *OTHERS]
    problems = [problem for name in names for problem in try_library(name, asked.command)]
    print("\n".join([f"{len(problems)} problems", *problems]))
    return 1 if problems else 0


if __name__ == "__main__":
    sys.exit(main())
