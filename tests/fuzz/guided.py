"""Files that reach new lines of the program: `python -m tests.fuzz.guided "list" 60`.

Runs for so many seconds, or until a file is not read as it should be; `atheris` must be installed
(`pip install atheris`). The file that failed is left in the current folder, as `crash-...`; its
first byte chooses the suffix among those of its kind.
"""

import importlib
import os
import sys
import tempfile
from pathlib import Path

atheris = importlib.import_module("atheris")
with atheris.instrument_imports(include=["profiles"]):
    from tests.fuzz.targets import TARGETS, Case, run_case


def main(name: str, seconds: int) -> None:
    """Read files of one kind."""
    seeds = TARGETS[name].seeds()
    suffixes = list(dict.fromkeys(seed.suffix for seed in seeds))
    os.environ["PLATEBOOK_CACHE"] = ""

    def read(data: bytes) -> None:
        if data:
            fault = run_case(name, Case(suffixes[data[0] % len(suffixes)], data[1:]))
            if fault:
                raise RuntimeError(fault)

    with tempfile.TemporaryDirectory() as corpus:
        for number, seed in enumerate(seeds):
            first = bytes([suffixes.index(seed.suffix)])
            (Path(corpus) / str(number)).write_bytes(first + seed.data[:40_000])
        options = (f"-max_total_time={seconds}", "-max_len=65536", "-rss_limit_mb=0")
        atheris.Setup([sys.argv[0], *options, corpus], read)
        atheris.Fuzz()


if __name__ == "__main__":
    main(sys.argv[1], int(sys.argv[2]))
