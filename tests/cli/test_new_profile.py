"""`platebook new profile`: lines of the library at hand, and bindings carried over."""

import tomllib
from pathlib import Path
from typing import Any

import pytest

from profiles.files.write import write_content
from profiles.model import SETTINGS_NAME
from tests.conftest import Run


def put(folder: Path, content: dict[str, Any]) -> None:
    kind = next(key for key in ("device", "application", "profile") if key in content)
    text = write_content({"format": 1, **content}, "toml")
    (folder / f"{content[kind]['id']}.toml").write_text(text, encoding="utf-8")


def device(id_: str, **controls: Any) -> dict[str, Any]:
    kinds = {"hole": 12.2, "kind": "momentary"}
    return {
        "device": {"id": id_, "name": id_},
        "plate": {"width": 200.0, "height": 100.0},
        "controls": {
            key: {**kinds, "position": [30.0 * n, 50.0], "input": n, **one}
            for n, (key, one) in enumerate(controls.items(), 1)
        },
    }


def application(id_: str, **actions: Any) -> dict[str, Any]:
    return {"application": {"id": id_, "name": id_}, "actions": actions}


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A box of four buttons, two applications, and a profile of the first."""
    monkeypatch.chdir(tmp_path)
    monkeypatch.delenv("PLATEBOOK_LIBRARY", raising=False)
    put(
        tmp_path,
        device(
            "box", horn={"label": "HORN"}, b={"label": "BELL"}, c={"label": "C"}, d={"label": "D"}
        ),
    )
    actions = {
        "fog": {"name": "Horn", "need": "must"},
        "ring": {"name": "Ring", "group": "bell"},
        "zoom": {"name": "Zoom"},
        "hold": {"name": "Hold"},
    }
    put(tmp_path, application("ferry", **actions))
    return tmp_path


def bindings_of(folder: Path, profile: str) -> Any:
    return tomllib.loads((folder / f"{profile}.toml").read_text("utf-8"))["bindings"]


def test_it_has_a_line_for_each_contact_and_the_actions_still_to_bind(
    platebook: Run, folder: Path
) -> None:
    """What a label names is bound to it."""
    ran = platebook("new", "profile", "mine")

    assert (ran.code, ran.err) == (0, "edit it, then run `platebook check`\n")
    assert (
        (folder / "mine.toml")
        .read_text("utf-8")
        .endswith(
            """\
[profile]
id = "mine"
name = "Mine"
application = "ferry"
device = "box"

[bindings]
horn = "fog"  # HORN, input 1
# b = ""  # BELL, input 2
# c = ""  # C, input 3
# d = ""  # D, input 4

# Still to bind:
#   ring: Ring (may, pulse, bell)
#   zoom: Zoom (may, pulse)
#   hold: Hold (may, pulse)
"""
        )
    )
    assert platebook("check").code == 0


def test_like_carries_all_over_to_a_second_revision(platebook: Run, folder: Path) -> None:
    """By id, by label, and by place, chords too; what has no counterpart is named."""
    bindings = {
        "horn": "fog",
        "b": {"action": "ring", "legend": "DING"},
        "c": "zoom",
        "horn + b": "hold",
        "d": "hold",
    }
    header = {"id": "mine", "application": "ferry", "device": "box"}
    put(folder, {"profile": header, "bindings": bindings})
    put(
        folder,
        device(
            "box-2",
            horn={"label": "H"},
            bell={"label": "Bell", "position": [150.0, 20.0], "input": 2},
            third={"label": "T", "position": [92.0, 52.0], "input": 3},
        ),
    )
    ran = platebook("new", "profile", "new", "--like", "mine", "--device", "box-2")

    assert (ran.code, ran.err) == (
        0,
        "note: not carried over from `mine`: `d`\nedit it, then run `platebook check`\n",
    )
    assert bindings_of(folder, "new") == {
        "horn": "fog",
        "bell": {"action": "ring", "legend": "DING"},
        "third": "zoom",
        "horn + bell": "hold",
    }


def test_like_carries_over_to_another_application_by_id_words_and_group(
    platebook: Run, folder: Path
) -> None:
    header = {"id": "mine", "application": "ferry", "device": "box"}
    bindings = {"horn": "fog", "b": "ring", "c": "zoom", "d": "hold"}
    put(folder, {"profile": header, "bindings": bindings})
    put(
        folder,
        application(
            "tug",
            whistle={"name": "HORN"},
            bell={"name": "Strike", "group": "bell"},
            zoom={"name": "Look closer"},
            other={"name": "Other"},
        ),
    )
    ran = platebook("new", "profile", "new", "--like", "mine", "--application", "tug")

    assert ran.err.startswith("note: not carried over from `mine`: `d`\n")
    assert bindings_of(folder, "new") == {"horn": "whistle", "b": "bell", "c": "zoom"}


def test_an_unknown_profile_to_carry_from_is_refused(platebook: Run, folder: Path) -> None:
    ran = platebook("new", "profile", "new", "--like", "mien")

    assert (ran.code, ran.err) == (
        2,
        "platebook: the library has no profile `mien`\n  Start one: `platebook new profile ID`.\n",
    )
    assert SETTINGS_NAME not in {path.name for path in folder.iterdir()}


def test_both_profiles_are_shown_side_by_side_and_nothing_is_written(
    platebook: Run, folder: Path
) -> None:
    header = {"id": "mine", "application": "ferry", "device": "box"}
    put(folder, {"profile": header, "bindings": {"b": "ring", "c": "zoom"}})
    put(folder, device("box-2", bell={"label": "Bell"}))
    before = sorted(folder.iterdir())
    ran = platebook("new", "profile", "new", "--like", "mine", "--device", "box-2", "--show")

    assert (ran.code, ran.err) == (0, "nothing is written; without --show the profile is\n")
    assert ran.out == (
        "Side by side\nmine, on box-2 for ferry\n\n"
        "there  does there  here  does here  found by\n"
        "-----  ----------  ----  ---------  ----------------------------------------\n"
        "b      Ring        bell  Ring       contact: same label; action: same id\n"
        "c      Zoom        –     Zoom       contact: no such contact; action: same id\n\n"
        "1 of 2 bindings would be carried over.\n"
    ).replace("----------------------------------------\n", "-" * 41 + "\n")
    assert sorted(folder.iterdir()) == before


def test_a_strangers_profile_comes_from_another_folder_onto_ones_own_box(
    platebook: Run, folder: Path
) -> None:
    """Their device and application have ids of ours, and are others: words and parts count."""
    theirs = folder / "theirs"
    theirs.mkdir()
    knob = {"parts": {"knob-9": {"kind": "momentary", "hole": 7.0, "front": 12.0}}}
    put(theirs, {**device("box", hooter={"label": "horn"}), **knob})
    text = (theirs / "box.toml").read_text("utf-8")
    other = '\n[controls.k]\nlabel = "KNOB"\npart = "knob-9"\nposition = [90.0, 50.0]\ninput = 2\n'
    (theirs / "box.toml").write_text(text + other, "utf-8")
    actions = {"fog": {"name": "Defog"}, "ping": {"name": "RING"}}
    put(theirs, application("ferry", **actions))
    header = {"id": "hers", "application": "ferry", "device": "box"}
    put(theirs, {"profile": header, "bindings": {"hooter": "ping", "k": "fog"}})
    home = folder / "home"
    home.mkdir()
    for name in ("box", "ferry"):
        (folder / f"{name}.toml").rename(home / f"{name}.toml")
    mine = (
        (home / "box.toml")
        .read_text("utf-8")
        .replace('label = "D"', 'label = "D"\npart = "knob-9"')
    )
    mine = mine.replace('part = "knob-9"', 'part = "knob-9"', 1)
    (home / "box.toml").write_text(
        mine + '\n[parts.knob-9]\nkind = "momentary"\nhole = 7.0\nfront = 12.0\n', "utf-8"
    )
    words = ("new", "profile", "new", "--like", "hers", "--of", "theirs", "--library", "home")
    shown = platebook(*words, "--show")
    assert shown.code == 0, shown.err
    assert "contact: same label; action: same name" in shown.out
    assert "contact: same part; action: same id, other name" in shown.out
    assert platebook(*words).code == 0
    assert bindings_of(home, "new") == {"horn": "ring", "d": "fog"}


def test_show_goes_with_like(platebook: Run, folder: Path) -> None:
    ran = platebook("new", "profile", "new", "--show")
    assert (ran.code, ran.out) == (2, "")
    assert "--of and --show go with --like" in ran.err


def test_a_place_that_another_control_found_by_its_id_takes_nothing_else(
    platebook: Run, folder: Path
) -> None:
    """Two boxes onto one: what stands in a place on the other box is not what is there here."""
    put(folder, device("side", left={"label": "L"}, right={"label": "R"}, far={"label": "F"}))
    uses = {"box/horn": "fog", "box/b": "ring", "side/left": "zoom", "side/far": "hold"}
    header = {"id": "both", "application": "ferry", "devices": ["box", "side"]}
    put(folder, {"profile": header, "bindings": uses})
    ran = platebook("new", "profile", "new", "--like", "both", "--device", "box")
    assert (ran.code, ran.err) == (
        0,
        "note: not carried over from `both`: `side/left`\nedit it, then run `platebook check`\n",
    )
    assert bindings_of(folder, "new") == {"horn": "fog", "b": "ring", "c": "hold"}


def test_two_controls_near_one_place_are_both_left_out(platebook: Run, folder: Path) -> None:
    near = {"left": {"position": [80.0, 50.0]}, "right": {"position": [100.0, 50.0]}}
    labels = {key: {"label": key, **one} for key, one in near.items()}
    put(folder, device("side", **labels))
    header = {"id": "theirs", "application": "ferry", "device": "side"}
    put(folder, {"profile": header, "bindings": {"left": "zoom", "right": "hold"}})
    ran = platebook("new", "profile", "new", "--like", "theirs", "--device", "box")
    assert ran.err.startswith("note: not carried over from `theirs`: `left` and `right`\n")


def test_a_settings_file_that_binds_nothing_is_told(platebook: Run, folder: Path) -> None:
    table = {"format": "lines", "line": "{action} = {number}"}
    put(folder, {**application("ferry", fog={"name": "Fog"}), "settings_file": table})
    Path("theirs.txt").write_text("", "utf-8")
    ran = platebook("new", "profile", "new", "--from", "theirs.txt")
    assert (ran.code, ran.err) == (
        0,
        "note: no binding in the file is written as [settings_file] of `ferry` says\n"
        "edit it, then run `platebook check`\n",
    )
