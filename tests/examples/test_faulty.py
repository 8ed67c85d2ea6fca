"""The library that is wrong on purpose: every finding once, and each where its file says so."""

import re
from collections import Counter
from functools import cache
from pathlib import Path

import pytest

from profiles.checks.codes import CODES, FAMILIES
from profiles.checks.registry import run_checks
from profiles.files.library import LoadedLibrary, load_library
from profiles.model import Finding

EXAMPLES = Path(__file__).parents[2] / "example_profiles"
FAULTY = EXAMPLES / "faulty"
BROKEN = EXAMPLES / "broken"

FILE_CODES = tuple(FAMILIES["files"])
CHECK_CODES = tuple(CODES)

NOT_BUNDLED = {"unreadable-file", "too-large", "more-problems"}
"""Shown by no file: a link to nothing, a file above 2 MB, one with over a hundred problems."""


@cache
def faulty() -> LoadedLibrary:
    return load_library(FAULTY)


@cache
def found() -> tuple[Finding, ...]:
    return tuple(faulty().located(one) for one in run_checks(faulty().library).findings)


@cache
def broken() -> tuple[Finding, ...]:
    return load_library(BROKEN).problems


def test_files_of_the_faulty_library_are_all_readable() -> None:
    assert faulty().problems == ()
    assert faulty().notes == ()


@pytest.mark.parametrize("code", CHECK_CODES)
def test_faulty_library_shows_the_finding_once(code: str) -> None:
    """A new check fails here until `example_profiles/faulty` shows what it finds."""
    shown = [f"{one.subject}: {one.message}" for one in found() if one.code == code]

    assert len(shown) == 1, shown


def test_faulty_library_shows_nothing_else() -> None:
    assert Counter(one.code for one in found()) == Counter(CHECK_CODES)


@pytest.mark.parametrize("code", CHECK_CODES)
def test_file_with_the_fault_says_so(code: str) -> None:
    """Whoever opens the file that a finding points at reads there what it is."""
    place = next(one.place for one in found() if one.code == code)

    assert place is not None
    assert place.line is not None
    assert code in faulty().paths[place.file].read_text("utf-8")


def test_no_file_claims_a_finding_it_does_not_have() -> None:
    """Words in comments that look like codes are codes of findings in that file."""
    for path in sorted(FAULTY.rglob("*.toml")):
        claimed = {word for word in words_of_comments(path) if word in CODES}
        shown = {
            one.code
            for one in found()
            for place in (one.place, *(other.place for other in one.related))
            if place is not None and Path(place.file).name == path.name
        }
        assert claimed <= shown, path.name


def words_of_comments(path: Path) -> set[str]:
    comments = re.findall(r"#([^\n]*)", path.read_text("utf-8"))
    return set(re.findall(r"[a-z]+(?:-[a-z0-9]+)+", "\n".join(comments)))


@pytest.mark.parametrize("code", [code for code in FILE_CODES if code not in NOT_BUNDLED])
def test_broken_folder_shows_the_problem_once(code: str) -> None:
    """A new problem of files fails here until `example_profiles/broken` shows it."""
    shown = [one.message for one in broken() if one.code == code]

    assert len(shown) == 1, shown


def test_broken_folder_shows_nothing_else() -> None:
    assert {one.code for one in broken()} == set(FILE_CODES) - NOT_BUNDLED
