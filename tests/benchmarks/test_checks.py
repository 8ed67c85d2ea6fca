"""Checking a library of 300 profiles of 60 bindings costs little more than reading it does.

The device is wired as a matrix, a tenth of the bindings are chords, actions have groups: every
family of checks has work to do. Both sides are measured in one run, turn by turn.
"""

import tomllib
from pathlib import Path
from typing import Any

import pytest

from profiles.api import check, load
from profiles.checks.registry import run_checks
from profiles.files.validate import KINDS
from profiles.model import Library
from tests.benchmarks.test_load import measure_ratio

PROFILES = 300
TITLES = 20
BINDINGS = 60


def device_text() -> str:
    """A device of 61 momentary controls on a matrix of 8 by 8 with a diode each."""
    lines = [
        'format = 1\n[device]\nid = "desk"\nname = "Desk"\n[plate]\nwidth = 500.0\nheight = 400.0\n'
        "[wiring]\nrows = [" + ", ".join(f'"R{n}"' for n in range(8)) + "]\n"
        "columns = [" + ", ".join(f'"C{n}"' for n in range(8)) + "]\n"
        'diodes = "every"\nnumbering = "along-rows"'
    ]
    for n in range(BINDINGS + 1):
        x, y = 40.0 + 50.0 * (n % 9), 30.0 + 50.0 * (n // 9)
        lines.append(
            f'[controls.key-{n}]\nkind = "momentary"\nlabel = "KEY {n}"\nposition = [{x}, {y}]\n'
            f"hole = 16.2\nfront = 18.0\ncrossing = [{n // 8 + 1}, {n % 8 + 1}]"
        )
    return "\n".join(lines)


def application_text(number: int) -> str:
    """An application of 60 actions in ten groups."""
    lines = [f'format = 1\n[application]\nid = "title-{number}"\nname = "Title {number}"']
    lines += [
        f'[actions.act-{n}]\nname = "Action {n} of {number}"\nlegend = "ACT {n}"\n'
        f'group = "group-{n // 6}"\nneed = "want"'
        for n in range(1, BINDINGS + 1)
    ]
    return "\n".join(lines)


def profile_text(number: int) -> str:
    """A profile of 60 bindings; every tenth with the first key held, which does nothing alone."""
    lines = [
        f'format = 1\n[profile]\nid = "profile-{number}"\napplication = "title-{number % TITLES}"\n'
        'device = "desk"\n[bindings]'
    ]
    for n in range(1, BINDINGS + 1):
        key = f'"key-0 + key-{n}"' if n % 10 == 9 else f"key-{n}"
        lines.append(f'{key} = "act-{n}"')
    return "\n".join(lines)


def write_library(folder: Path) -> None:
    """Write the device, twenty applications and all profiles."""
    (folder / "desk.toml").write_text(device_text(), encoding="utf-8")
    for number in range(TITLES):
        path = folder / f"title-{number}.toml"
        path.write_text(application_text(number), encoding="utf-8")
    for number in range(PROFILES):
        path = folder / f"profile-{number}.toml"
        path.write_text(profile_text(number), encoding="utf-8")


def read_plainly(folder: Path) -> None:
    """Tomllib and the validating library on the same bytes, and nothing else."""
    for path in folder.glob("*.toml"):
        content = tomllib.loads(path.read_bytes().decode())
        model = next(model for kind, model in KINDS.items() if kind in content)
        model.model_validate(content)


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("library")
    write_library(folder)
    return folder


def test_loading_and_checking_takes_at_most_three_times_plain_reading(
    folder: Path, benchmark: Any
) -> None:
    """All is right in this library, so every check looks at everything."""
    checked = benchmark.pedantic(lambda: check(load(folder)), rounds=3, warmup_rounds=1)

    assert checked.findings == ()
    ratio = measure_ratio(lambda: check(load(folder)), lambda: read_plainly(folder))
    benchmark.extra_info["ratio to tomllib and pydantic"] = round(ratio, 2)
    assert ratio < 3


def test_checks_alone(folder: Path, benchmark: Any) -> None:
    """What linking and checking 18,000 bindings takes, once all is read."""
    values = load(folder).library

    def run() -> int:
        library = Library(values.devices, values.applications, values.profiles)
        return len(run_checks(library).findings)

    assert benchmark.pedantic(run, rounds=5, warmup_rounds=1) == 0
