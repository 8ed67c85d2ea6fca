"""Fixes: the finding goes, nothing as bad comes, nothing else is touched."""

import random
import re
import shutil
from collections import Counter
from pathlib import Path
from tempfile import TemporaryDirectory

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from profiles.checks.codes import CODES
from profiles.checks.registry import run_checks
from profiles.files.library import load_library
from profiles.model import SEVERITIES, Finding
from profiles.work.copy import WorkingCopy
from profiles.work.fixes import offer_fixes
from profiles.work.remedies import REMEDIES, find_remedy
from tests.work.libraries import APPLICATION, DEVICE, EXAMPLES, PROFILE, copy_example, write_desk

PLACE = re.compile(r"\b\d+\b")


def findings_on_disk(folder: Path) -> list[Finding]:
    loaded = load_library(folder)
    return [*loaded.problems, *run_checks(loaded.library).findings]


def names(findings: list[Finding]) -> Counter[tuple[str, str]]:
    """What sets findings apart, but for places in lists."""
    return Counter((one.code, PLACE.sub("", one.subject)) for one in findings)


def fix_all(folder: Path) -> list[str]:
    """Make every fix, each on its own and saved, and hold it to the law; returns their words."""
    copy = WorkingCopy(load_library(folder))
    before = findings_on_disk(folder)
    words = []
    for fix in offer_fixes(copy):
        assert fix.edit.apply(copy)
        assert copy.save().failures == ()
        after = findings_on_disk(folder)
        old, new = names(before), names(after)
        (gone,) = names([fix.finding])
        assert new[gone] < old[gone], fix.finding
        came = new - old
        rank = SEVERITIES.index(fix.finding.severity)
        bad = [
            one
            for one in after
            if names([one]).keys() & came.keys() and SEVERITIES.index(one.severity) <= rank
        ]
        # What is wrong in a document shows only once its file can be used.
        assert bad == [] or fix.finding.place is not None, fix.finding
        before = after
        words.append(fix.edit.words)
    return words


def comments(folder: Path) -> Counter[str]:
    texts = [path.read_text("utf-8") for path in folder.rglob("*.toml")]
    return Counter(one for text in texts for one in re.findall(r"#.*", text))


def test_every_remedied_code_is_one_that_checks_report() -> None:
    assert REMEDIES.keys() <= CODES.keys()


def test_the_faulty_library_is_put_right_where_nothing_is_to_guess(tmp_path: Path) -> None:
    folder = copy_example("faulty", tmp_path / "faulty")
    before = comments(folder)
    assert fix_all(folder) == [
        "Write `river` in `actions.ring.contexts.0`",
        "Write `linux-joydev` in `application.interface`",
        "Write `atmega32u4` in `wiring.board`",
        "Write `number-gap` in `severity.number-gapp`",
        "Set `second` to input 3, as its wiring gives it",
        "Let `close` name `open` as its partner",
        "Swap `second.clockwise` and `second.anticlockwise`",
        "Unbind `whistle` from `bell`",
        "Unbind `hum` from `drum`",
        "Unbind `toll` from `horn`",
        "Bind `drum` to `cast-off`",
        "Remove an acceptance",
    ]
    (lost,) = before - comments(folder)
    assert lost == "# action-bound-often: `hum` takes one input", "it went with its line"


CASES = {
    "a control misspelt in a key": ("bindings", "bell =", "bel =", "Write `bell` for `bel`"),
    "an action misspelt": (
        "bindings",
        '"ring-bell"',
        '"ring-bel"',
        "Write `ring-bell` for `ring-bel`",
    ),
    "one of two actions misspelt": (
        "bindings",
        '"ring-bell"',
        '["ring-bel", { action = "ring-bell", legend = "J" }]',
        "Write `ring-bell` for `ring-bel`",
    ),
    "a held control misspelt in a chord": (
        "bindings",
        "bell =",
        '"trm.press + bell" =',
        "Write `trim` for `trm`",
    ),
    "a contact misspelt": ("bindings", "bell =", '"trim.pres" =', "Write `press` for `pres`"),
    "an application misspelt whose actions are all bound": (
        "tram-bindings",
        'application = "tramway"',
        'application = "tramwya"',
        "Write `tramway` for `tramwya`",
    ),
    "an application misspelt that hides an error": (
        "bindings",
        'application = "harbour"',
        'application = "harbor"',
        None,
    ),
    "a device misspelt": (
        "bindings",
        'device = "desk"',
        'device = "dsek"',
        "Write `desk` for `dsek`",
    ),
    "a key misspelt": ("desk", 'label = "BELL"', 'lable = "BELL"', "Write `label` for `lable`"),
    "two keys misspelt": (
        "desk",
        'label = "BELL"\nposition',
        'lable = "BELL"\npositon',
        "Write `label` for `lable`, `position` for `positon`",
    ),
    "a kind misspelt": ("desk", 'kind = "latching"', 'kind = "laching"', "Write `latching`"),
    "a table misspelt": ("desk", "[plate]", "[plat]", "Write `plate` for `plat`"),
    "a key misspelt and another missing": (
        "desk",
        'label = "BELL"\nposition = [80.0, 65.0]',
        'lable = "BELL"',
        None,
    ),
    "a context misspelt": (
        "harbour",
        'contexts = ["sea"]',
        'contexts = ["see"]',
        "Write `sea` in `actions.drop-anchor.contexts.0`",
    ),
    "an input that its wiring contradicts": (
        "desk",
        'columns = ["2", "3"]',
        'columns = ["2", "3"]\nnumbering = "along-columns"',
        "Set `bell` to input 3, as its wiring gives it",
    ),
}


@pytest.mark.parametrize("case", CASES)
def test_what_is_put_right_and_what_is_left_to_a_person(tmp_path: Path, case: str) -> None:
    file, old, new, words = CASES[case]
    folder = write_desk(tmp_path / "library")
    path = folder / f"{file}.toml"
    sound = path.read_text("utf-8")
    assert old in sound
    path.write_text(sound.replace(old, new, 1), "utf-8")

    offered = [fix.edit.words for fix in offer_fixes(WorkingCopy(load_library(folder)))]
    made = fix_all(folder)

    if words is None:
        assert [one for one in (*offered, *made) if not one.startswith("Bind ")] == []
    else:
        assert (offered[0], made[0]) == (words, words)


@pytest.mark.parametrize("case", ["an action misspelt", "a key misspelt", "a device misspelt"])
def test_a_typo_put_right_gives_the_file_back_to_the_letter(tmp_path: Path, case: str) -> None:
    file, old, new, _ = CASES[case]
    folder = write_desk(tmp_path / "library")
    path = folder / f"{file}.toml"
    sound = path.read_bytes()
    path.write_bytes(sound.replace(old.encode(), new.encode(), 1))
    copy = WorkingCopy(load_library(folder))
    next(offer_fixes(copy)).edit.apply(copy)
    copy.save()
    assert path.read_bytes() == sound


def test_an_action_written_with_a_legend_keeps_it(tmp_path: Path) -> None:
    folder = write_desk(tmp_path / "library")
    path = folder / "bindings.toml"
    path.write_text(
        PROFILE.replace('"ring-bell"', '["take-jb", { action = "ring-bell", legend = "R" }]')
    )
    copy = WorkingCopy(load_library(folder))
    edit = next(
        find_remedy(copy.library, one)
        for one in run_checks(copy.library).findings
        if one.code == "name-unknown"
    )
    assert edit is not None
    edit.apply(copy)
    copy.save()
    assert '["take-job", {action = "ring-bell", legend = "R"}]' in re.sub(
        r"\{ | \}", lambda match: match[0].strip(), path.read_text()
    )


def test_a_fix_declined_is_not_offered_again_and_others_are(tmp_path: Path) -> None:
    folder = copy_example("faulty", tmp_path / "faulty")
    copy = WorkingCopy(load_library(folder))
    seen: list[str] = []
    for number, fix in enumerate(offer_fixes(copy)):
        seen.append(fix.edit.words)
        if number % 2:
            fix.edit.apply(copy)
    assert len(seen) == len(set(seen))
    assert len(seen) > 8


def test_a_duplicate_acceptance_goes_and_a_misspelt_subject_is_corrected(tmp_path: Path) -> None:
    folder = write_desk(tmp_path / "library")
    entry = '[[accept]]\ncode = "contact-idle"\nsubject = "desk:controls.spare"\nreason = "later"\n'
    (folder / "platebook.toml").write_text(f"format = 1\n\n{entry}\n{entry}")
    assert "Remove an acceptance" in fix_all(folder)
    assert (folder / "platebook.toml").read_text() == f"format = 1\n\n{entry}"

    typo = entry.replace("spare", "sapre")
    (folder / "platebook.toml").write_text(f"format = 1\n\n# Why.\n{typo}")
    assert fix_all(folder) == ["Accept `desk:controls.spare`"]
    assert (folder / "platebook.toml").read_text() == f"format = 1\n\n# Why.\n{entry}"


def test_a_file_in_yaml_is_fixed_too(tmp_path: Path) -> None:
    folder = write_desk(tmp_path / "library")
    (folder / "bindings.toml").unlink()
    text = (
        "format: 1\nprofile:\n  id: harbour-desk\n  application: harbour\n  device: desk\n"
        "bindings:\n  horn: sound-horn  # the big one\n  bel: ring-bell\n  lamp: deck-light\n"
        "  spare: drop-anchor\n"
    )
    (folder / "bindings.yaml").write_text(text)
    assert fix_all(folder) != []
    assert (folder / "bindings.yaml").read_text() == text.replace("  bel:", "  bell:")


@pytest.mark.long
@settings(max_examples=60, deadline=None)
@given(st.integers(0, 10**9))
def test_whatever_is_misspelt_a_fix_keeps_the_law(seed: int) -> None:
    """A word of a bundled library with two letters swapped: the law, and comments stay."""
    chance = random.Random(seed)
    with TemporaryDirectory() as place:
        folder = Path(
            shutil.copytree(EXAMPLES / chance.choice(["faulty", "harbour"]), f"{place}/x")
        )
        for _ in range(chance.randint(1, 3)):
            path = chance.choice(sorted(folder.rglob("*.toml")))
            text = path.read_text("utf-8")
            words = list(re.finditer(r"(?m)^(?!#).*?([a-z-]{4,})", text))
            start, end = chance.choice(words).span(1)
            at = chance.randrange(start, end - 1)
            path.write_text(text[:at] + text[at + 1] + text[at] + text[at + 2 :], "utf-8")
        before = comments(folder)
        lines = sum(path.read_text("utf-8").count("\n") for path in folder.rglob("*.toml"))
        fix_all(folder)
        after = sum(path.read_text("utf-8").count("\n") for path in folder.rglob("*.toml"))
        lost = sum((before - comments(folder)).values())
        assert lost <= max(lines - after, 0) + 1


def test_the_names_of_the_small_library_are_as_the_cases_say() -> None:
    assert 'label = "BELL"' in DEVICE
    assert "drop-anchor" in APPLICATION
