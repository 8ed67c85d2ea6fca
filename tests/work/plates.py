"""Random plates within what files may describe: `python -m tests.work.plates --minutes 10`.

Each plate is drawn from its number: any size up to the largest, few controls or as many as may be,
side by side or over each other, with short or long labels, screws, words of its own and holes of
every shape; then one sheet of it in one format, with options of its own. A child makes it with an
end to its address space and to its seconds. Every plate prints or is refused within the budget of
`tests.work.limits`; prints each that does not, and ends with 1.
"""

import argparse
import json
import sys
import tempfile
import time
from collections.abc import Sequence
from pathlib import Path
from random import Random
from typing import Any

from profiles.model.device import MOST_CONTROLS
from profiles.sheets.requests import SHEETS
from tests.work.large import WORDS
from tests.work.limits import BOX, Ran, find_faults, run

LARGEST = 5000.0
"""Longest side of a plate, mm."""

HOLES: tuple[Any, ...] = (
    *(3.2, 7.0, 16.2, 22.5, [19.2, 12.9]),
    {"diameter": 12.0, "across_flats": 11.0},
    {"diameter": 22.3, "keyway": [3.2, 1.8]},
    {"diameter": 3.4, "countersink": {"diameter": 6.6, "angle": 90.0}},
    {"width": 20.0, "height": 10.0, "corner_radius": 2.0},
    {"length": 30.0, "width": 4.0},
)
"""A hole of each shape."""

OPTIONS: dict[str, tuple[tuple[str, ...], ...]] = {
    "legend": ((), ("--colours",), ("--rear",), ("--bleed", "3"), ("--paper", "a5")),
    "strip": ((), ("--tape", "12", "--pages", "tape"), ("--paper", "a5")),
    "drill": ((), ("--rear",), ("--overlap", "25"), ("--paper", "a5")),
    "coupon": ((), ("--step", "0.02", "--above", "1")),
    "plate": ((), ("--words", "raised"), ("--words", "inlaid")),
    "cut": ((), ("--letters", "strokes"), ("--rear",)),
    "wiring": ((), ("--paper", "a3")),
    "parts": ((), ("--density", "1.2")),
}
"""Options of the sheets of a plate that change what there is to draw."""


def draw_device(random: Random) -> dict[str, Any]:
    """A device drawn at random: about as many small ones as large ones."""
    width, height = (round(10 ** random.uniform(1.0, 3.699), 1) for _ in "wh")
    count = round(MOST_CONTROLS ** random.random())
    crowd = random.choice((1.0, 1.0, 0.3))
    long = random.choice((1, 1, 4, 12))
    holes = random.sample(HOLES, random.randint(1, len(HOLES)))

    def place() -> list[float]:
        return [round(random.random() * side * crowd, 2) for side in (width, height)]

    def words(most: int) -> str:
        return " ".join(random.choices(WORDS, k=random.randint(1, most)))

    controls: dict[str, Any] = {}
    for number in range(count):
        hole = random.choice(holes)
        if isinstance(hole, float) and random.random() < 0.3:
            hole = round(hole * random.uniform(0.5, 1.5), 2)
        controls[f"key-{number}"] = {
            "kind": "momentary",
            "label": words(long),
            "position": place(),
            "hole": hole,
            "input": number + 1,
        }
    plate: dict[str, Any] = {"width": width, "height": height}
    if random.random() < 0.3:
        plate["screws"] = [
            {"position": place(), "hole": 3.4, "head": 6.5} for _ in range(random.randint(1, 300))
        ]
    if random.random() < 0.3:
        plate["engravings"] = [
            {"text": words(12), "position": place(), "height": random.choice((3.5, 20.0, 200.0))}
            for _ in range(random.randint(1, 100))
        ]
    head = {"id": "box", "name": "Box", "report": {"buttons": count}}
    return {"format": 1, "device": head, "plate": plate, "controls": controls}


def draw_words(random: Random) -> list[str]:
    """The words of a command that makes a sheet of the device."""
    sheet = random.choice(sorted(OPTIONS))
    form = random.choice(SHEETS[sheet].formats)
    return ["print", sheet, *BOX, "--format", form, *random.choice(OPTIONS[sheet])]


def try_plate(number: int) -> tuple[list[str], dict[str, Any], Ran, list[str]]:
    """Draw a plate and make a sheet of it; the words, the device, what it took, what was wrong."""
    random = Random(number)
    device, words = draw_device(random), draw_words(random)
    with tempfile.TemporaryDirectory() as place:
        folder = Path(place)
        (folder / "mine").mkdir()
        (folder / "mine" / "box.json").write_text(json.dumps(device), "utf-8")
        ran = run(words, folder)
    return words, device, ran, list(find_faults(words[1], ran))


def main(given: Sequence[str] | None = None) -> int:
    reader = argparse.ArgumentParser(prog="python -m tests.work.plates", description=__doc__)
    reader.add_argument("--minutes", type=float, default=5.0)
    reader.add_argument("--first", type=int, default=1, help="the number of the first plate")
    reader.add_argument("--only", type=int, help="try this one alone")
    asked = reader.parse_args(given)
    until, number, wrong = time.monotonic() + 60 * asked.minutes, asked.only or asked.first, 0
    refused, slowest, most = 0, 0.0, 0.0
    first = number
    while True:
        words, device, ran, faults = try_plate(number)
        refused += ran.code == 2
        slowest, most = max(slowest, ran.seconds), max(most, ran.megabytes)
        if faults:
            wrong += 1
            plate, count = device["plate"], len(device["controls"])
            size = f"{plate['width']:g} x {plate['height']:g} mm, {count} controls"
            print(f"plate {number}: {size}, {' '.join(words[1:2] + words[8:])}", flush=True)
            print(*(f"  {fault}" for fault in faults), sep="\n", flush=True)
        number += 1
        if asked.only or time.monotonic() > until:
            break
    print(f"{number - first} plates, {refused} refused, {wrong} problems")
    print(f"at most {slowest:.1f} s and {most:.0f} MB")
    return 1 if wrong else 0


if __name__ == "__main__":
    sys.exit(main())
