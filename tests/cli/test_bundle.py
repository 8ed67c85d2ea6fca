"""`platebook bundle`: made of a library, shown, and unpacked beside it."""

import json
from pathlib import Path

import pytest

from profiles.files.bundle import Bundle, write_bundle
from tests.cli.conftest import EXAMPLES, Run
from tests.conftest import DEVICE

HARBOUR = EXAMPLES / "harbour"


def test_a_profile_goes_with_all_it_needs_and_is_sound_there(platebook: Run) -> None:
    ran = platebook("bundle", "make", "brackwater-bridge", "--library", HARBOUR)
    assert (ran.code, ran.out) == (0, "brackwater-bridge.zip\n")
    ran = platebook("bundle", "unpack", "brackwater-bridge.zip", "theirs")
    assert ran.code == 0
    assert ran.out.splitlines() == [
        "theirs/applications/brackwater.toml",
        "theirs/devices/helm-desk.toml",
        "theirs/devices/lookout-box.toml",
        "theirs/profiles/brackwater-bridge.toml",
    ]
    assert platebook("check", "theirs").code == 0
    mine = (HARBOUR / "devices" / "helm-desk.toml").read_bytes()
    assert Path("theirs/devices/helm-desk.toml").read_bytes() == mine


def test_parts_and_boards_of_the_library_and_recordings_go_along(
    platebook: Run, library: Path
) -> None:
    for kind, id_ in (("part", "knob"), ("board", "mine")):
        assert platebook("new", kind, id_, "--library", library).code == 0
    desk = library / "desk.toml"
    text = desk.read_text("utf-8").replace('kind = "momentary"\nlabel = "HORN"', 'label = "HORN"')
    text = text.replace('label = "HORN"', 'label = "HORN"\npart = "knob"')
    desk.write_text(text.replace("[plate]", '[wiring]\nboard = "mine"\n\n[plate]'), "utf-8")
    recording = HARBOUR / "recordings" / "helm-desk-press.jsonl"
    words = ("--library", library, "--recording", recording, "-o", "b.zip")
    ran = platebook("bundle", "make", "harbour-desk", *words)
    assert ran.code == 0, ran.err
    found = json.loads(platebook("bundle", "show", "b.zip", "--json").out)
    assert [one["file"] for one in found["files"]] == [
        "applications/harbour.toml",
        "boards/mine.toml",
        "devices/desk.toml",
        "parts/knob.toml",
        "profiles/harbour-desk.toml",
        "recordings/helm-desk-press.jsonl",
    ]


def test_a_library_with_the_same_ids_keeps_its_own(platebook: Run, library: Path) -> None:
    platebook("bundle", "make", "harbour-desk", "--library", library)
    ran = platebook(
        *("bundle", "unpack", "harbour-desk.zip", library / "theirs", "--library", library)
    )
    assert (ran.code, ran.out) == (2, "")
    assert ran.err.startswith(
        "platebook: the library has ids of the bundle already: "
        "`desk`, `harbour` and `harbour-desk`\n"
    )
    assert not (library / "theirs").exists()


def test_a_file_that_is_no_bundle_is_refused(platebook: Run, library: Path) -> None:
    Path("b.zip").write_bytes(b"PK nothing")
    ran = platebook("bundle", "unpack", "b.zip", "theirs")
    assert (ran.code, ran.out) == (2, "")
    assert ran.err == (
        "platebook: b.zip: the file is no bundle, or it is damaged\n  Ask for it again.\n"
    )
    assert not Path("theirs").exists()


def test_a_bundle_with_a_file_that_cannot_be_used_is_refused(platebook: Run) -> None:
    Path("b.zip").write_bytes(write_bundle(Bundle((), {"devices/a.toml": b"format = 1\n[device]"})))
    ran = platebook("bundle", "unpack", "b.zip", "theirs")
    assert (ran.code, ran.out) == (2, "")
    assert not Path("theirs").exists()


def test_a_profile_that_lacks_its_device_is_not_packed(platebook: Run, library: Path) -> None:
    (library / "desk.toml").unlink()
    ran = platebook("bundle", "make", "harbour-desk", "--library", library)
    assert (ran.code, ran.out) == (2, "")
    assert not Path("harbour-desk.zip").exists()


def test_what_was_packed_and_unpacked_is_told_as_json(platebook: Run) -> None:
    words = ("--library", HARBOUR, "-o", "b.zip", "--json")
    holds = [
        "applications/brackwater.toml",
        "devices/helm-desk.toml",
        "devices/lookout-box.toml",
        "profiles/brackwater-bridge.toml",
    ]
    made = json.loads(platebook("bundle", "make", "brackwater-bridge", *words).out)
    profiles = ["brackwater-bridge"]
    assert sorted(made.pop("holds")) == holds
    assert made == {"format": 1, "files": ["b.zip"], "profiles": profiles}
    got = json.loads(platebook("bundle", "unpack", "b.zip", "theirs", "--json").out)
    files = [f"theirs/{name}" for name in holds]
    assert got == {"format": 1, "profiles": profiles, "files": files}


def test_a_folder_that_is_there_is_named_as_such(platebook: Run, library: Path) -> None:
    platebook("bundle", "make", "harbour-desk", "--library", library)
    Path("theirs").mkdir()
    ran = platebook("bundle", "unpack", "harbour-desk.zip", "theirs")
    assert (ran.code, ran.out, ran.err) == (
        *(2, ""),
        "platebook: `theirs` is there already, and a bundle is never unpacked over anything\n"
        "  Name a folder that is not there.\n",
    )


@pytest.mark.parametrize(
    ("recording", "error"),
    [
        ("nope.jsonl", "there is no file `nope.jsonl`\n  Check the name.\n"),
        (
            "notes.txt",
            "`notes.txt` is no recording\n  Name a .jsonl file that a press test has written.\n",
        ),
    ],
)
def test_what_is_no_recording_is_not_packed(
    platebook: Run, library: Path, recording: str, error: str
) -> None:
    Path("notes.txt").write_text("notes", "utf-8")
    words = ("--library", library, "--recording", recording)
    ran = platebook("bundle", "make", "harbour-desk", *words)
    assert (ran.code, ran.out, ran.err) == (2, "", f"platebook: {error}")


def test_two_recordings_of_one_name_are_not_packed(platebook: Run, library: Path) -> None:
    recording = HARBOUR / "recordings" / "helm-desk-press.jsonl"
    words = ("--library", library, "--recording", recording, "--recording", recording)
    ran = platebook("bundle", "make", "harbour-desk", *words)
    assert (ran.code, ran.out, ran.err) == (
        *(2, ""),
        "platebook: two recordings would be `recordings/helm-desk-press.jsonl` in the bundle\n"
        "  Give one of them another name.\n",
    )


def test_what_only_ends_like_a_recording_is_not_packed(platebook: Run, library: Path) -> None:
    Path("diary.jsonl").write_text("Dear diary\n", "utf-8")
    words = ("bundle", "make", "harbour-desk", "--library", library, "--recording", "diary.jsonl")
    ran = platebook(*words)
    assert (ran.code, ran.out, ran.err) == (
        *(2, ""),
        "platebook: diary.jsonl is damaged: line 1: is no JSON\n"
        "  Use an undamaged copy, or test the box again.\n",
    )
    assert not Path("harbour-desk.zip").exists()


def test_a_bundle_that_names_profiles_it_does_not_hold_is_refused(platebook: Run) -> None:
    Path("b.zip").write_bytes(write_bundle(Bundle(("a", "\x1b[31m"), {})))
    for words in (("show", "b.zip"), ("unpack", "b.zip", "theirs")):
        ran = platebook("bundle", *words)
        assert (ran.code, ran.out, ran.err) == (
            *(2, ""),
            "platebook: b.zip: the bundle says that it holds `a` and `␛[31m`, and does not\n"
            "  Ask for it again.\n",
        )
    assert not Path("theirs").exists()


def test_problems_within_a_bundle_are_told_by_their_names_there(platebook: Run) -> None:
    files = {f"devices/{name}.toml": DEVICE.encode() for name in ("one", "two")}
    Path("b.zip").write_bytes(write_bundle(Bundle((), files)))
    ran = platebook("bundle", "show", "b.zip")
    assert ran.code == 2
    assert "\n\ndevices/two.toml\n" in ran.err
    assert "(devices/one.toml:4:1)" in ran.err


def test_a_folder_given_as_a_bundle_is_named(platebook: Run) -> None:
    ran = platebook("bundle", "show", ".")
    assert (ran.code, ran.out, ran.err) == (
        *(2, ""),
        "platebook: `.` is a folder, not a file\n  Name a file inside the folder.\n",
    )
