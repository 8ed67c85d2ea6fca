"""What an edit means: for other titles, and for the findings of its profile."""

from pathlib import Path
from typing import Any

import pytest

from profiles.checks.registry import run_checks
from profiles.files.library import load_library
from profiles.model import DeviceContact, Library
from profiles.work.copy import WorkingCopy
from profiles.work.edits import Slot, bind, candidates, drop_use, link_of
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


def test_of_two_equal_uses_the_later_is_dropped(tmp_path: Path) -> None:
    copy = WorkingCopy(load_library(write_desk(tmp_path / "library")))
    first: dict[str, Any] = {"action": "sound-horn", "legend": "TOOT"}
    uses: list[str | dict[str, Any]] = [first, "ring-bell", "sound-horn"]
    copy.edit("Bind", lambda files: files("harbour-desk").set_binding("spare", uses))
    drop_use("harbour-desk", "spare", "sound-horn").apply(copy)
    (found,) = [
        uses for key, _, uses in copy.library.profiles["harbour-desk"].entries if key == "spare"
    ]
    assert [(use.action, use.legend) for use in found] == [
        ("sound-horn", "TOOT"),
        ("ring-bell", None),
    ]


def test_binding_what_is_bound_already_keeps_its_legend(tmp_path: Path) -> None:
    copy = WorkingCopy(load_library(write_desk(tmp_path / "library")))
    uses: list[str | dict[str, Any]] = ["ring-bell", {"action": "sound-horn", "legend": "TOOT"}]
    copy.edit("Bind", lambda files: files("harbour-desk").set_binding("spare", uses))
    slot = Slot((), DeviceContact("desk", "spare", "press"))
    bind(link_of(copy.library, "harbour-desk"), slot, "sound-horn").apply(copy)
    (found,) = [
        uses for key, _, uses in copy.library.profiles["harbour-desk"].entries if key == "spare"
    ]
    assert [(use.action, use.legend) for use in found] == [("sound-horn", "TOOT")]
