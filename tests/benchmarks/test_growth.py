"""Twice as much in a library takes about twice as long, whatever it is that a library has much of.

Each case is checked and its findings written out at one size and at the double; a linear run
doubles (2), a quadratic one quadruples (4). Both sides are measured in one run, turn by turn, with
the garbage of what ran before collected first. How much else lives in the process does not matter:
beside six million objects of others the ratio of `bindings` is 2.0, as it is alone.
"""

from collections.abc import Callable
from gc import collect
from pathlib import Path
from random import Random

import pytest
from pytest_benchmark.fixture import BenchmarkFixture

from profiles.api import check, load
from profiles.cli.findings import report_findings
from profiles.model import SETTINGS_NAME
from profiles.report.terminal import render_text
from profiles.work.changes import find_changes
from profiles.work.printing import make_request, make_sheets
from tests.benchmarks.test_wiring import time_best

LINEAR = 2.8
"""Times as long for twice as much: two, and room for noise and logarithms."""

ROUNDS = 3


def write_device(folder: Path, controls: int, hole: float = 16.2) -> None:
    """Write a device of momentary controls on a square grid."""
    side = int(controls**0.5) + 1
    lines = ['format = 1\n[device]\nid = "desk"\nname = "Desk"\n[plate]']
    lines.append(f"width = {40 + 45 * side}\nheight = {40 + 45 * side}")
    for n in range(controls):
        x, y = 40.0 + 45.0 * (n % side), 40.0 + 45.0 * (n // side)
        lines.append(
            f'[controls.key-{n}]\nkind = "momentary"\nlabel = "K{n}"\nposition = [{x}, {y}]\n'
            f"hole = {hole}\nfront = 18.0\ninput = {n + 1}"
        )
    (folder / "desk.toml").write_text("\n".join(lines), "utf-8")


def write_unknown_actions(folder: Path, size: int) -> None:
    """Bind words that are near to no action, against 500 actions."""
    random = Random(size)

    def word() -> str:
        halves = ("".join(random.choices("etaoinshrdlucm", k=random.randint(3, 8))) for _ in "ab")
        return "-".join(halves)

    lines = ['format = 1\n[application]\nid = "harbour"\nname = "Harbour"']
    lines += [f'[actions.{each}]\nname = "{each}"' for each in {word() for _ in range(500)}]
    (folder / "harbour.toml").write_text("\n".join(lines), "utf-8")
    write_device(folder, size // 10)
    lines = ['format = 1\n[profile]\napplication = "harbour"\ndevice = "desk"\n[bindings]']
    lines += [
        f"key-{n} = [" + ", ".join(f'"{word()}"' for _ in range(10)) + "]"
        for n in range(size // 10)
    ]
    (folder / "profile.toml").write_text("\n".join(lines), "utf-8")


def write_acceptances(folder: Path, size: int) -> None:
    """Accept the findings of every second control, the others by a subject with a typo."""
    write_device(folder, 200, hole=19.0)
    lines = ["format = 1"]
    for n in range(size):
        subject = f"desk:controls.key-{n}.{'hole' if n % 2 else 'hol'}"
        lines.append(f'[[accept]]\ncode = "hole-beyond-front"\nsubject = "{subject}"')
        lines.append('reason = "The washer covers it"')
    (folder / SETTINGS_NAME).write_text("\n".join(lines), "utf-8")


def write_screws(folder: Path, size: int) -> None:
    """Screws closer than their holes are wide, across a plate with controls."""
    write_device(folder, 400)
    text = (folder / "desk.toml").read_text("utf-8")
    screws = ", ".join(
        f"{{ position = [{8 + n % 100 * 9}, {8 + n // 100 * 3}], hole = 3.2 }}" for n in range(size)
    )
    (folder / "desk.toml").write_text(text.replace("[plate]", f"[plate]\nscrews = [{screws}]"))


CASES: dict[str, tuple[Callable[[Path, int], None], int]] = {
    "bindings to unknown actions": (write_unknown_actions, 4000),
    "acceptances": (write_acceptances, 3000),
    "screws": (write_screws, 2500),
    "controls": (write_device, 1024),
}


def check_and_show(folder: Path) -> str:
    loaded = load(folder)
    return render_text(report_findings(check(loaded).findings, loaded.excerpt))


def print_drill(folder: Path) -> int:
    made = make_sheets(load(folder).library, make_request("drill", device="desk"), ("pdf",))
    return len(made[0].data["pdf"])


def print_legend(folder: Path) -> int:
    request = make_request("legend", device="desk", labels="fixed")
    return len(make_sheets(load(folder).library, request, ("pdf",))[0].data["pdf"])


def find_all_changes(folder: Path) -> int:
    """Every label is another."""
    before = load(folder).library
    text = (folder / "desk.toml").read_text("utf-8")
    (folder / "desk.toml").write_text(text.replace('label = "K', 'label = "L'), "utf-8")
    after = load(folder).library
    (folder / "desk.toml").write_text(text, "utf-8")
    return len(find_changes(before, after).sheets)


def assert_linear(
    run: Callable[[Path], object],
    write: Callable[[Path, int], None],
    size: int,
    place: Path,
    benchmark: BenchmarkFixture,
) -> None:
    times = dict.fromkeys((size, 2 * size), float("inf"))
    for each in times:
        (place / str(each)).mkdir()
        write(place / str(each), each)
    # Turn by turn, so that a busy moment of the machine does not fall on one size alone.
    for _ in range(ROUNDS):
        for each in times:
            folder = place / str(each)
            collect()
            times[each] = min(times[each], time_best(lambda: run(folder), rounds=1))  # noqa: B023
    benchmark(run, folder)
    benchmark.extra_info["seconds by size"] = {n: round(took, 2) for n, took in times.items()}
    ratio = times[2 * size] / times[size]
    benchmark.extra_info["times as long for twice as much"] = round(ratio, 2)
    assert ratio < LINEAR


@pytest.mark.benchmark(min_rounds=1, max_time=0.1)
@pytest.mark.parametrize("case", CASES)
def test_twice_as_much_takes_about_twice_as_long(
    case: str, tmp_path: Path, benchmark: BenchmarkFixture
) -> None:
    assert_linear(check_and_show, *CASES[case], tmp_path, benchmark)


@pytest.mark.benchmark(min_rounds=1, max_time=0.1)
@pytest.mark.parametrize("run", [print_drill, print_legend, find_all_changes])
def test_a_plate_of_twice_as_many_controls_prints_in_about_twice_the_time(
    run: Callable[[Path], object], tmp_path: Path, benchmark: BenchmarkFixture
) -> None:
    """Plates of 1.5 and 2.1 m, over some hundred parts that are joined."""
    assert_linear(run, write_device, 1024, tmp_path, benchmark)
