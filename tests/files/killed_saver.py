"""Run by a test: saves a file over and over in a child, kills the child, looks at the file.

Arguments: the file, the number of rounds. Prints one line of JSON: rounds whose file was neither
the old nor the new one, what each kill left beside it, and what is left after one more save.
"""

import json
import os
import random
import signal
import sys
import time
from pathlib import Path

from profiles.files.documents import digest_of
from profiles.files.save import replace_file

VERSIONS = tuple((letter.encode() * 63 + b"\n") * 800 for letter in "ab")


def save_for_ever(path: Path) -> None:
    data = path.read_bytes()
    while True:
        new = VERSIONS[1] if data == VERSIONS[0] else VERSIONS[0]
        replace_file(path, new, digest_of(data))
        data = new


def run_round(path: Path, delay: float) -> bool:
    """Kill a saving child after some seconds; whether the file is whole."""
    child = os.fork()
    if child == 0:
        save_for_ever(path)
    end = time.perf_counter() + delay
    while time.perf_counter() < end:
        pass
    os.kill(child, signal.SIGKILL)
    os.waitpid(child, 0)
    return path.read_bytes() in VERSIONS


def main(name: str, rounds: int) -> None:
    path = Path(name)
    path.write_bytes(VERSIONS[0])
    chance = random.Random(7)
    broken, left = 0, set[str]()
    for _ in range(rounds):
        broken += not run_round(path, chance.uniform(0, 0.012))
        left |= {beside.name for beside in path.parent.iterdir() if beside != path}
    replace_file(path, VERSIONS[0], digest_of(path.read_bytes()))
    at_last = [beside.name for beside in path.parent.iterdir() if beside != path]
    print(json.dumps({"broken": broken, "left": sorted(left), "at_last": at_last}))


if __name__ == "__main__":
    main(sys.argv[1], int(sys.argv[2]))
