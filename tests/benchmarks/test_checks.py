"""How long checking takes: a library of 300 profiles of 60 bindings, against reading its values.

Run with `pytest tests/benchmarks --benchmark-only`; the ratio stands in `extra_info`.
"""

import time
from typing import Any

import pytest

from profiles.checks.registry import run_checks
from profiles.model import Application, Device, Library, Profile

PROFILES = 300
BINDINGS = 60


def device_text() -> str:
    """A device of 60 momentary controls on a matrix of 8 by 8 with a diode each."""
    lines = [
        'format = 1\n[device]\nid = "desk"\nname = "Desk"\n[plate]\nwidth = 500.0\nheight = 400.0\n'
        "[wiring]\nrows = [" + ", ".join(f'"R{n}"' for n in range(8)) + "]\n"
        "columns = [" + ", ".join(f'"C{n}"' for n in range(8)) + "]\n"
        'diodes = "every"\nnumbering = "along-rows"'
    ]
    for n in range(BINDINGS):
        x, y = 40.0 + 50.0 * (n % 9), 30.0 + 50.0 * (n // 9)
        lines.append(
            f'[controls.key-{n}]\nkind = "momentary"\nlabel = "KEY {n}"\nposition = [{x}, {y}]\n'
            f"hole = 16.2\nbody = 18.0\ncrossing = [{n // 8 + 1}, {n % 8 + 1}]"
        )
    return "\n".join(lines)


def application_text(number: int) -> str:
    """An application of 60 actions in ten groups."""
    lines = [f'format = 1\n[application]\nid = "title-{number}"\nname = "Title {number}"']
    lines += [
        f'[actions.act-{n}]\nname = "Action {n} of {number}"\nlegend = "ACT {n}"\n'
        f'group = "group-{n // 6}"\nneed = "want"'
        for n in range(BINDINGS)
    ]
    return "\n".join(lines)


def profile_text(number: int) -> str:
    """A profile of 60 bindings, every tenth with a chord."""
    lines = [
        f'format = 1\n[profile]\nid = "profile-{number}"\napplication = "title-{number % 20}"\n'
        'device = "desk"\n[bindings]'
    ]
    for n in range(BINDINGS):
        key = f'"key-0 + key-{n}"' if n % 10 == 9 else f"key-{n}"
        lines.append(f'{key} = "act-{n}"')
    return "\n".join(lines)


def texts() -> list[tuple[type, str]]:
    """All documents of the library as TOML."""
    return [
        (Device, device_text()),
        *((Application, application_text(n)) for n in range(20)),
        *((Profile, profile_text(n)) for n in range(PROFILES)),
    ]


def read(documents: list[tuple[type, str]]) -> list[Any]:
    """What tomllib and pydantic make of the documents."""
    import tomllib

    return [kind.model_validate(tomllib.loads(text)) for kind, text in documents]  # type: ignore[attr-defined]


@pytest.fixture(scope="module")
def documents() -> list[tuple[type, str]]:
    return texts()


def test_checks_against_reading(benchmark: Any, documents: list[tuple[type, str]]) -> None:
    """All checks on 18,000 bindings; nothing in this library is an error or a warning."""
    read(documents)
    started = time.perf_counter()
    values = read(documents)
    reading = time.perf_counter() - started
    library = Library.of(values)

    result = benchmark.pedantic(run_checks, (library,), rounds=5, warmup_rounds=1)

    benchmark.extra_info["reading_s"] = reading
    benchmark.extra_info["ratio"] = benchmark.stats.stats.min / reading
    assert result.tally("error") == 0
    assert result.tally("warning") == 0
