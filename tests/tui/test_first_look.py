"""The plate that is kept for the next start: the same as the view's, or none at all."""

import json
from pathlib import Path
from typing import Any

import pytest

from profiles.tui.app import PlatebookApp
from profiles.tui.first_look import Aim, keep_look, recall_look
from profiles.tui.plate_rows import FirstPlate
from tests.tui.desks import SMALL, opened, press, see_first_plate, seen

AIM = Aim("", "", *SMALL)
PLATE = (52, 19)


@pytest.fixture
def store(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """The folder in which things are kept."""
    monkeypatch.setenv("PLATEBOOK_CACHE", str(tmp_path / "kept"))
    return tmp_path / "kept"


async def test_the_second_start_shows_the_plate_before_anything_is_read(
    folder: Path, store: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """All that is above the note line is as the view shows it before the checks."""
    monkeypatch.setattr(PlatebookApp, "_check", lambda _self: None)
    async with opened(folder) as (app, _):
        view = seen(app).splitlines()
        assert not app.screen.query(FirstPlate)
    app.keep_look()
    first = await see_first_plate(folder, monkeypatch)
    assert "[#]" in "\n".join(first)
    assert first[:-2] == view[:-2]


def test_what_is_kept_holds_for_these_files_this_size_and_this_profile(
    folder: Path, store: Path
) -> None:
    """Anything else is a miss."""
    keep_look(folder, AIM, PLATE)
    assert recall_look(folder, AIM)
    assert recall_look(folder, AIM._replace(columns=81)) is None
    assert recall_look(folder, AIM._replace(profile="other")) is None
    file = sorted(folder.rglob("*.toml"))[0]
    text = file.read_text("utf-8")
    file.write_text(f"{text}# one more line\n", "utf-8")
    assert recall_look(folder, AIM) is None
    file.write_text(text, "utf-8")
    assert recall_look(folder, AIM)
    (folder / "new.toml").write_text("format = 1\n", "utf-8")
    assert recall_look(folder, AIM) is None


async def test_what_is_saved_is_what_the_next_start_shows(folder: Path, store: Path) -> None:
    """The plate is kept of the files as they were left."""
    async with opened(folder) as (app, pilot):
        app.keep_look()
        before = recall_look(folder, AIM)
        assert before
        assert "nothing bound" not in before.panel
        await press(app, pilot, "x", "ctrl+s", "q")
    app.keep_look()
    after = recall_look(folder, AIM)
    assert after
    assert "nothing bound" in after.panel


def test_nothing_is_kept_of_a_library_with_problems(folder: Path, store: Path) -> None:
    """Its findings are shown first, not a plate."""
    (folder / "broken.toml").write_text("format = 1\n[device\n", "utf-8")
    keep_look(folder, AIM, PLATE)
    assert not store.exists()


def test_nothing_is_kept_where_it_cannot_be(folder: Path, tmp_path: Path) -> None:
    """Where nothing is to be kept, or nothing is there, that is no fault."""
    keep_look(folder, AIM, PLATE)
    keep_look(tmp_path / "gone", AIM, PLATE)
    assert recall_look(folder, AIM) is None


DAMAGES: dict[str, Any] = {
    "no look": None,
    "no text": [1, ["a", "b"], [], "", []],
    "short": ["heading", ["a", "b"]],
    "one word for the library": ["heading", ["a"], [], "", []],
    "control letters": ["heading", ["a", "b"], [[["\x1b[2J", "legend"]]], "", []],
    "no runs": ["heading", ["a", "b"], [[["abc"]]], "", []],
    "numbers for looks": ["heading", ["a", "b"], [[["abc", 4]]], "", []],
    "no lines": ["heading", ["a", "b"], [], 7, []],
    "a number for a key": ["heading", ["a", "b"], [], "", [3]],
    "a table": {"heading": "a"},
}


def test_a_damaged_entry_is_as_none(folder: Path, store: Path) -> None:
    """Every word of an entry is looked at before it is believed."""
    keep_look(folder, AIM, PLATE)
    (entry,) = store.iterdir()
    whole = entry.read_bytes()
    assert recall_look(folder, AIM)
    for name, damage in DAMAGES.items():
        entry.write_text(json.dumps(json.loads(whole) | {"look": damage}), "ascii")
        assert recall_look(folder, AIM) is None, name
    for data in (b"[" * 9000, whole[:-1], b"", b"[]", b"\xff"):
        entry.write_bytes(data)
        assert recall_look(folder, AIM) is None, data[:9]
