"""What is no plain file is refused at once, wherever a path is taken, and stays as it was."""

import os
import shutil
import signal
from pathlib import Path

import pytest

from profiles.api import load, pack
from profiles.live.lines import Header, describe_device, write_line
from profiles.sheets.session_steps import list_steps
from profiles.work.binding_session import BindingSession
from tests.conftest import APPLICATION, DEVICE, PROFILE, Run
from tests.work.special import (
    DEVICES,
    KINDS,
    NEEDS_BOX,
    NO_BOX,
    TAKEN,
    TELLS_FIRST,
    TYPED,
    list_paths,
    name_of,
    read_all,
)

pytestmark = pytest.mark.skipif(os.name != "posix", reason="special files of POSIX")

LONGEST = 60
"""Seconds after which a run that waits for something is ended."""

SETTINGS_FILE = """
[settings_file]
format = 'lines'
line = '{any}"{action}" = {device}/{number}'
"""
PINS = {"input = 1": 'input = 1\npin = "2"', "input = 2": 'input = 2\npin = "3"'}


@pytest.fixture(scope="module")
def sound(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with two libraries, and beside it a sound file of each kind that is read."""
    place = tmp_path_factory.mktemp("sound")
    scene, outside = place / "scene", place / "outside"
    outside.mkdir()
    device = f'{DEVICE}\n[wiring]\nboard = "atmega32u4"\n'
    for old, new in PINS.items():
        device = device.replace(old, new)
    for library in ("boxes", "older"):
        (scene / "libraries" / library).mkdir(parents=True)
        texts = {"desk": device, "harbour": APPLICATION + SETTINGS_FILE, "bindings": PROFILE}
        for name, text in texts.items():
            words = text.replace("HORN", "OLD") if library == "older" else text
            (scene / "libraries" / library / f"{name}.toml").write_text(words, "utf-8")
    loaded = load(scene / "libraries" / "boxes")
    (scene / "sound.zip").write_bytes(pack(loaded, ["harbour-desk"]))
    desk = loaded.library.devices["desk"]
    header = Header(
        device="desk",
        description=describe_device(desk),
        program="0.1.0",
        started="2031-05-04 19:20",
    )
    (scene / "sound.jsonl").write_bytes(write_line(header))
    (scene / "bindings.csv").write_text("binding,action\nhorn,ring-bell\n", "utf-8")
    link = loaded.library.link("harbour-desk")
    BindingSession("harbour-desk", list_steps(link), outside / "sound.json").keep()
    for name in ("sound.zip", "sound.jsonl"):
        shutil.copy(scene / name, outside)
    (outside / "sound.toml").write_text(PROFILE, "utf-8")
    (outside / "sound.txt").write_text('key "sound-horn" = desk0/1\n', "utf-8")
    os.mkfifo(outside / "pipe")
    return place


def test_every_path_is_in_the_trial() -> None:
    assert sorted(list_paths()) == sorted(TYPED)


@pytest.mark.parametrize("typed", TYPED)
def test_what_is_no_plain_file_is_refused_and_left(
    typed: str, sound: Path, platebook: Run, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    monkeypatch.setenv("PLATEBOOK_LIBRARY", "libraries/boxes")
    words = TYPED[typed].split()
    end = next(word for word in words if word.startswith("{}")).removeprefix("{}")
    for kind, make in KINDS.items():
        if kind in TAKEN.get(typed, ()) or (kind in DEVICES and os.getuid()):
            continue
        place = tmp_path / kind
        shutil.copytree(sound, place, copy_function=os.link)
        monkeypatch.chdir(place / "scene")
        name = name_of(kind, end)
        make(name)
        before = read_all(place)
        signal.signal(signal.SIGALRM, signal.default_int_handler)
        signal.alarm(LONGEST)
        ran = platebook(*(word.replace("{}" + end, str(name)) for word in words))
        signal.alarm(0)
        assert ran.code == 2, kind
        assert not ran.out or typed in TELLS_FIRST, kind
        assert ran.err.count("platebook: ") == 1, kind
        named = (name.name, name.parts[0], "outside", *([NO_BOX] if typed in NEEDS_BOX else []))
        assert [words for words in named if words in ran.err], (kind, ran.err)
        assert read_all(place) == before, kind
