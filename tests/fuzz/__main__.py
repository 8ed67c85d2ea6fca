"""Read torn files for some minutes: `python -m tests.fuzz --minutes 30`.

Cases are read by a child process of its own for each few hundred, so that a crash or the memory of
one is told of it alone. `--monsters` reads files of a megabyte instead, each command within a
second. Whatever fails is kept in a folder, to be read again by `--again`; `--seed` makes the same
cases again. `tests.fuzz.guided` lets the lines of the program that a case reaches choose the next
ones.
"""

import argparse
import json
import os
import subprocess
import sys
import tempfile
import time
from pathlib import Path
from random import Random, SystemRandom

from tests.fuzz.monsters import monsters
from tests.fuzz.targets import TARGETS, Case, make_torn, peak_memory, run_case

BATCH = 200
"""Cases of one child."""

LONGEST = 600
"""Seconds by the clock that a child may take, however busy the machine."""


def read_batch(name: str, seed: int, batch: int, kept: Path) -> None:
    """Read a batch of torn files; prints how many, the slowest, the memory, and each fault."""
    random, slowest = Random(f"{name} {seed} {batch}"), 0.0
    for _ in range(BATCH):
        case, started = make_torn(name, random), time.process_time()
        keep_fault(name, case, run_case(name, case), kept)
        slowest = max(slowest, time.process_time() - started)
    print(json.dumps({"cases": BATCH, "slowest": slowest, "memory": peak_memory()}))


def read_monsters(name: str, kept: Path) -> None:
    """Read every monster of a kind, each within a second."""
    slowest, cases = 0.0, 0
    for case in monsters(name):
        started = time.process_time()
        keep_fault(name, case, run_case(name, case, 1.0), kept)
        slowest, cases = max(slowest, time.process_time() - started), cases + 1
    print(json.dumps({"cases": cases, "slowest": slowest, "memory": peak_memory()}))


def keep_fault(name: str, case: Case, fault: str, kept: Path) -> None:
    """Keep a case that failed, and say what went wrong with it."""
    if fault:
        number = len(list(kept.iterdir()))
        path = kept / f"{name.replace(' ', '-')}-{number}.{case.suffix.lstrip('.') or 'bin'}"
        path.write_bytes(case.data)
        print(json.dumps({"fault": fault, "file": path.name}), flush=True)


def run_child(words: list[str], kept: Path) -> tuple[list[dict[str, object]], str]:
    """What a child said, line by line, and how it ended where that was not as it should."""
    command = [sys.executable, "-m", "tests.fuzz", *words, "--kept", str(kept)]
    settings = {**os.environ, "PLATEBOOK_CACHE": ""}
    try:
        done = subprocess.run(
            command, capture_output=True, text=True, timeout=LONGEST, check=False, env=settings
        )
    except subprocess.TimeoutExpired:
        return [], f"no end after {LONGEST} s"
    lines = [json.loads(line) for line in done.stdout.splitlines() if line.startswith("{")]
    return (
        lines,
        "" if done.returncode == 0 else f"exit code {done.returncode}: {done.stderr[-400:]}",
    )


def soak(names: list[str], minutes: float, seed: int, kept: Path, *, large: bool) -> int:
    """Read files of each kind in turn; prints a table; returns how many things went wrong."""
    told = {name: {"cases": 0, "slowest": 0.0, "memory": 0.0} for name in names}
    until, batch, wrong = time.monotonic() + minutes * 60, 0, 0
    while batch == 0 or (time.monotonic() < until and not large):
        for name in names:
            words = ["--only", name, "--seed", str(seed), "--batch", str(batch)]
            if large:
                words = ["--only", name, "--batch", "-1"]
            lines, end = run_child(words, kept)
            for line in lines:
                if "fault" in line:
                    wrong += 1
                    print(f"{name}: {line['file']}: {line['fault']}", flush=True)
                for key in told[name].keys() & line.keys():
                    figure = float(str(line[key]))
                    told[name][key] = (
                        told[name][key] + figure if key == "cases" else max(told[name][key], figure)
                    )
            if end:
                wrong += 1
                print(f"{name}: batch {batch}: {end}", flush=True)
            if time.monotonic() > until and batch and not large:
                break
        batch += 1
    for name, row in told.items():
        print(f"{name:16}{row['cases']:8.0f} cases{row['slowest']:8.2f} s{row['memory']:8.0f} MB")
    print(f"{wrong} went wrong" + (f"; the files are in {kept}" if wrong else ""))
    return wrong


def main() -> None:
    """Read the command line."""
    parser = argparse.ArgumentParser(prog="python -m tests.fuzz", description=__doc__)
    add = parser.add_argument
    add("--minutes", type=float, default=5.0, help="by the clock")
    add("--seed", type=int, help="a number that chooses the cases; a new one each time if none")
    add("--only", action="append", choices=sorted(TARGETS), help="this kind of file")
    add("--monsters", action="store_true", help="files of a megabyte instead")
    add("--again", type=Path, help="read this one file again, as the kind of --only")
    add("--kept", type=Path, help="where the files that failed go")
    add("--batch", type=int, help=argparse.SUPPRESS)
    given = parser.parse_args()
    kept = given.kept or Path(tempfile.mkdtemp(prefix="failed-"))
    names = given.only or list(TARGETS)
    seed = SystemRandom().randrange(10**6) if given.seed is None else given.seed
    if given.again is not None:
        known = [seed.suffix for seed in TARGETS[names[0]].seeds()]
        suffix = next((one for one in known if one.lstrip(".") == given.again.suffix[1:]), "")
        print(run_case(names[0], Case(suffix, given.again.read_bytes())) or "fine")
    elif given.batch is None:
        print(f"--seed {seed}", flush=True)
        sys.exit(1 if soak(names, given.minutes, seed, kept, large=given.monsters) else 0)
    elif given.batch < 0:
        read_monsters(names[0], kept)
    else:
        read_batch(names[0], seed, given.batch, kept)


if __name__ == "__main__":
    main()
