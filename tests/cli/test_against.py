"""`platebook check --against FILE` and `platebook new profile --from FILE`."""

import json
from pathlib import Path

import pytest

from tests.cli.conftest import Run, edit

TABLE = """
[settings_file]
format = "ini"
at = "Keys/{action}"
value = "pad{device}.{number}"
actions = { sound-horn = "Horn" }
devices = { desk = "0" }
"""


@pytest.fixture
def own(library: Path) -> Path:
    """The application's own file, which agrees with the profile."""
    path = library / "harbour.toml"
    path.write_text(path.read_text(encoding="utf-8") + TABLE, encoding="utf-8")
    file = library.parent / "keys.ini"
    file.write_text("[Keys]\nHorn = pad0.1\nring-bell = pad0.2\n", encoding="utf-8")
    return file


def test_a_file_that_agrees_ends_with_0(platebook: Run, library: Path, own: Path) -> None:
    before = own.read_bytes()
    ran = platebook("check", library, "--against", own)
    assert (ran.code, ran.err) == (0, "")
    assert ran.out == (
        f"harbour-desk: here and there\nThere is {own}\n\n"
        "state  action          here      there     line\n"
        "-----  --------------  --------  --------  ----\n"
        "same   Sound the horn  Button 1  Button 1     2\n"
        "same   Ring the bell   Button 2  Button 2     3\n\n"
        "2 actions compared, 0 drifted apart.\n"
    )
    assert own.read_bytes() == before


def test_drift_is_told_and_ends_with_1(platebook: Run, library: Path, own: Path) -> None:
    own.write_text("[Keys]\nHorn = pad0.7\nWhistle = pad0.2\nLook = MOUSE\n", encoding="utf-8")
    ran = platebook("check", library, "--against", own, "--json")
    found = json.loads(ran.out)
    assert ran.code == 1
    assert [(one["state"], one["name"]) for one in found["actions"]] == [
        ("other input", "Sound the horn"),
        ("only there", "Whistle"),
        ("only here", "Ring the bell"),
    ]
    assert (found["unread"], found["drifts"]) == (1, True)


def test_a_first_profile_is_made_of_the_file(platebook: Run, library: Path, own: Path) -> None:
    (library / "bindings.toml").unlink()
    own.write_text("[Keys]\nHorn = pad0.2\nWhistle = pad0.1\nring-bell = pad3.1\n", "utf-8")
    ran = platebook("new", "profile", "mine", "--from", own, "--library", library)
    assert ran.code == 0
    assert 'bell = "sound-horn"  # BELL, input 2\n' in (library / "mine.toml").read_text("utf-8")
    assert "note: line 3: `Whistle` is no action of `harbour`\n" in ran.err
    assert "note: line 4: `ring-bell` is bound on another device, `3`\n" in ran.err
    assert platebook("check", library, "--against", own).code == 1


def test_an_application_without_the_table_says_what_to_do(platebook: Run, library: Path) -> None:
    (library.parent / "keys.ini").write_text("", "utf-8")
    ran = platebook("check", library, "--against", "keys.ini", "--profile", "harbour-desk")
    assert (ran.code, ran.out) == (2, "")
    assert ran.err == (
        "platebook: application `harbour` does not say how its settings file is written\n"
        "  Give it a table [settings_file]: `platebook explain settings_file`.\n"
    )


def test_a_file_that_cannot_be_read_is_named(platebook: Run, library: Path, own: Path) -> None:
    edit(library / "harbour.toml", 'format = "ini"', 'format = "xml"')
    own.write_text("<!DOCTYPE a><a/>", "utf-8")
    ran = platebook("check", library, "--against", own)
    assert (ran.code, ran.out) == (2, "")
    assert ran.err.startswith(f"platebook: {own}: the file has a document type")


def test_a_word_for_an_action_that_is_not_there_is_a_problem(
    platebook: Run, library: Path, own: Path
) -> None:
    edit(library / "harbour.toml", "{ sound-horn", "{ sound-hron")
    ran = platebook("check", library)
    assert ran.code == 2
    assert "sound-horn" in ran.out
