"""What an edit means: for other titles, and for the findings of its profile."""

from pathlib import Path

import pytest

from profiles.checks.registry import run_checks
from profiles.files.library import load_library
from profiles.model import Library
from profiles.work.edits import candidates, link_of
from profiles.work.judge import narrowed
from tests.work.libraries import write_desk


@pytest.fixture
def library(tmp_path: Path) -> Library:
    return load_library(write_desk(tmp_path / "library")).library


def test_narrowing_keeps_the_findings_of_the_profile(library: Library) -> None:
    """What is told first about one profile is what the whole run tells about it."""
    whole = [one for one in run_checks(library).findings if one.code == "must-unbound"]
    part = run_checks(narrowed(library, "harbour-desk")).findings
    assert [one for one in part if one.code == "must-unbound"] == whole


def test_copying_prefers_the_same_id_then_the_same_group(library: Library) -> None:
    harbour, tramway = link_of(library, "harbour-desk"), link_of(library, "tramway-desk")
    horn, bell, _ = harbour.bound
    assert candidates(bell, tramway)[0] == "ring-bell"
    same, alike = candidates(horn, tramway)
    assert same is None
    assert set(alike) == {"ring-bell", "whistle"}
