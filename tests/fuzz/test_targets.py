"""What the soak itself must do: read sound files of each kind, and tell what goes wrong."""

import json
from math import inf
from pathlib import Path
from random import Random

import pytest

from profiles.files.keys import list_keys
from profiles.live.lines import RECORDING_KINDS
from tests.fuzz import targets
from tests.fuzz.monsters import monsters
from tests.fuzz.targets import TARGETS, Case, Target, make_torn, run_case
from tests.fuzz.tear import known_contents, list_tables

TORN = 5


@pytest.mark.parametrize("name", TARGETS)
def test_sound_and_torn_files_of_each_kind_are_read(name: str) -> None:
    """Unlimited by time and memory, which `python -m tests.fuzz` alone measures."""
    random = Random(name)
    cases = [TARGETS[name].seeds()[0], *(make_torn(name, random) for _ in range(TORN))]
    assert [run_case(name, case, 600.0, inf) for case in cases] == [""] * (TORN + 1)


@pytest.mark.parametrize("name", TARGETS)
def test_deep_nesting_is_read_or_refused_in_each_kind(name: str) -> None:
    suffixes = dict.fromkeys(seed.suffix for seed in TARGETS[name].seeds())
    cases = [Case(suffix, unit * 100_000) for suffix in suffixes for unit in (b"[", b'{"a":')]
    assert [run_case(name, case, 600.0, inf) for case in cases] == [""] * len(cases)


def _end_badly(_case: Case, _folder: Path) -> None:
    raise ZeroDivisionError("by zero")


def _never_end(_case: Case, _folder: Path) -> None:
    while True:
        pass


@pytest.mark.parametrize(
    ("read", "fault"),
    [
        (_end_badly, "ZeroDivisionError: by zero"),
        (_never_end, "took over 0 s"),
    ],
)
def test_what_goes_wrong_is_told(
    monkeypatch: pytest.MonkeyPatch, read: targets.Reader, fault: str
) -> None:
    monkeypatch.setitem(TARGETS, "document", Target(list, read))
    assert run_case("document", Case(".toml", b""), seconds=0.01) == fault


def test_a_traceback_is_a_fault(monkeypatch: pytest.MonkeyPatch) -> None:
    def fail(_words: list[str]) -> int:
        print("an internal fault")
        return 3

    monkeypatch.setattr(targets, "run", fail)
    assert run_case("document", Case(".toml", b""), seconds=600.0) == (
        "exit code 3 of check: an internal fault\n"
    )


def test_letters_that_move_the_cursor_are_a_fault(monkeypatch: pytest.MonkeyPatch) -> None:
    def move(_words: list[str]) -> int:
        print("fine\x1b[2J")
        return 0

    monkeypatch.setattr(targets, "run", move)
    found = run_case("document", Case(".toml", b""), seconds=600.0)
    assert found == "check printed the control letter '\\x1b'"


def test_monsters_are_about_a_megabyte_each() -> None:
    sizes = [len(case.data) for case in monsters("rules")]
    assert len(sizes) > 50
    assert all(400_000 < size < 1_400_000 for size in sizes)


def test_what_is_torn_has_every_key_of_the_schemas() -> None:
    found = {
        (kind, key)
        for kind, contents in known_contents().items()
        for content in contents
        for table in list_tables(content)
        for key in table
    }
    names = {(one.kind, one.path.rpartition(".")[2]) for one in list_keys()}
    assert {each for each in names if each[1] != "*"} <= found


@pytest.mark.parametrize("kind", RECORDING_KINDS)
def test_recordings_of_every_kind_are_torn(kind: str) -> None:
    headers = [json.loads(seed.data.split(b"\n")[0]) for seed in TARGETS["recording"].seeds()]
    assert [one["recording"] for one in headers].count(kind) == 1
