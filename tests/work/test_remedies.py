"""Findings that one step puts right."""

import shutil
from pathlib import Path

import pytest

from profiles.checks.registry import run_checks
from profiles.files.library import load_library
from profiles.work.copy import WorkingCopy
from profiles.work.fixes import prove
from profiles.work.open_files import OpenFiles
from profiles.work.remedies import find_remedy
from tests.work.libraries import EXAMPLES, write_desk

REMEDIED = {"binding-repeated", "action-bound-often", "contexts-collide", "acceptance-unmatched"}


@pytest.mark.parametrize(
    ("code", "old", "new", "words"),
    [
        ("name-unknown", '"sound-horn"', '"sound-hron"', "Write `sound-horn` for `sound-hron`"),
        ("name-unknown", "horn =", "hron =", "Write `horn` for `hron`"),
        ("must-unbound", "", "", "Bind `trim.press` to `drop-anchor`"),
    ],
)
def test_a_remedy_says_what_it_does(
    tmp_path: Path, code: str, old: str, new: str, words: str
) -> None:
    folder = write_desk(tmp_path / "library")
    path = folder / "bindings.toml"
    path.write_text(path.read_text("utf-8").replace(old, new, 1), "utf-8")
    loaded = load_library(folder)
    finding = next(one for one in run_checks(loaded.library).findings if one.code == code)

    edit = find_remedy(loaded.library, finding)

    assert edit is not None
    assert edit.words == words
    copy = WorkingCopy(loaded)
    edit.apply(copy)
    assert finding not in run_checks(copy.library).findings


def test_a_remedy_makes_its_finding_go(tmp_path: Path) -> None:
    """On the library in which everything is wrong, each remedy that is offered works."""
    shutil.copytree(EXAMPLES / "faulty", tmp_path / "faulty")
    loaded = load_library(tmp_path / "faulty")
    worked = set()
    for finding in run_checks(loaded.library).findings:
        edit = find_remedy(loaded.library, finding)
        if edit is None:
            continue
        copy = WorkingCopy(loaded)
        assert edit.apply(copy), finding
        after = run_checks(copy.library).findings
        left = [(one.code, one.subject) for one in after]
        before = [(one.code, one.subject) for one in run_checks(loaded.library).findings]
        key = (finding.code, finding.subject)
        assert left.count(key) < before.count(key), finding
        worked.add(finding.code)
    assert worked >= REMEDIED


def test_a_change_that_leaves_its_finding_is_no_fix(tmp_path: Path) -> None:
    folder = write_desk(tmp_path / "library")
    path = folder / "bindings.toml"
    path.write_text(path.read_text("utf-8").replace('"sound-horn"', '"sound-hron"', 1), "utf-8")
    loaded = load_library(folder)
    copy, findings = WorkingCopy(loaded), run_checks(loaded.library).findings
    finding = next(one for one in findings if one.code == "name-unknown")
    idle = copy.trial(lambda files: files("desk").set(("device", "name"), "Desk 2"))
    assert prove(finding, idle, findings) is None
    edit = find_remedy(loaded.library, finding)
    assert edit is not None
    after = prove(finding, copy.trial(edit.change), findings)
    assert after is not None
    assert finding not in after


def test_a_respelled_action_keeps_the_legend_that_its_binding_has(tmp_path: Path) -> None:
    folder = write_desk(tmp_path / "library")
    copy = WorkingCopy(load_library(folder))
    use = {"action": "sound-hron", "legend": "TOOT"}
    copy.edit("Bind", lambda files: files("harbour-desk").set_binding("horn", use))
    findings = run_checks(copy.library).findings
    edit = find_remedy(copy.library, next(one for one in findings if one.code == "name-unknown"))
    assert edit is not None
    edit.apply(copy)
    (bound,) = [one for one in copy.library.profiles["harbour-desk"].entries if one[0] == "horn"]
    assert [(use.action, use.legend) for use in bound[2]] == [("sound-horn", "TOOT")]


PAIR = """
[actions.trim-up]
name = "Trim up"
partner = "trim-down"
direction = "increase"

[actions.trim-down]
name = "Trim down"
partner = "trim-up"
direction = "decrease"
"""


@pytest.mark.parametrize("is_elsewhere", [False, True])
def test_the_other_way_gets_the_partner_only_if_that_is_bound_nowhere(
    tmp_path: Path, is_elsewhere: bool
) -> None:
    folder = write_desk(tmp_path / "library")
    (path,) = [one for one in folder.iterdir() if 'id = "harbour"\n' in one.read_text("utf-8")]
    path.write_text(path.read_text("utf-8") + PAIR, "utf-8")
    copy = WorkingCopy(load_library(folder))

    def bind(files: OpenFiles) -> None:
        files("harbour-desk").set_binding("trim.clockwise", "trim-up")
        if is_elsewhere:
            files("harbour-desk").set_binding("spare", "trim-down")

    copy.edit("Bind", bind)
    findings = run_checks(copy.library).findings
    finding = next(one for one in findings if one.code == "rotary-one-way")
    edit = find_remedy(copy.library, finding)
    if is_elsewhere:
        assert edit is None
    else:
        assert edit is not None
        assert edit.words == "Bind `trim.anticlockwise` to `trim-down`"
