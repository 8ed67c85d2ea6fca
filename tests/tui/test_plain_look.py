"""The plate of files read plainly: the same as the model's, or none at all."""

import json
import subprocess
import sys
import tempfile
import threading
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from profiles.files.library import LoadedLibrary, load_library
from profiles.text.inert import escape_controls
from profiles.tui.app import PlatebookApp
from profiles.tui.canvas import draw_whole
from profiles.tui.plain_look import MOST_BYTES, MOST_FOLDERS, PlainLook, look_plainly
from profiles.tui.plate_rows import FirstPlate
from profiles.tui.session import Session
from tests import any_box
from tests.checks.test_any_library import words
from tests.tui.desks import EXAMPLES, SMALL, opened, see_first_plate, seen, settled

SIZES = [(52, 19), (76, 30), (24, 8), (130, 50)]
Content = dict[str, Any]


def looks(folder: Path, profile: str = "", device: str = "") -> tuple[PlainLook | None, Session]:
    """The plain look at a library, and what the screen shows of it once it is read."""
    session = Session(load_library(folder))
    session.return_to(profile, device)
    return look_plainly(folder, profile, device), session


def assert_same(look: PlainLook, session: Session) -> None:
    """Words, places and marks of the plate, and what stands above it."""
    device, view = session.view.device, session.view
    assert device is not None
    assert (look.heading, look.library) == (session.heading, session.library_count)
    for size in SIZES:
        rows, key = look.draw(*size)
        true = draw_whole(device, view.facts, size)
        assert rows == [true.marked_row(y, session.control) for y in range(size[1])]
        assert key == true.key_lines()
        for letters, _ in (cell for row in rows for cell in row):
            assert escape_controls(letters) == letters
    assert look.draw(20, 5) == ((), ())


@pytest.mark.parametrize("profile", ["", "brackwater-bridge", "cobblegate-on-helm-desk"])
def test_the_harbour_looks_as_the_model_has_it(profile: str) -> None:
    """TOML, JSON and YAML side by side; for each device that the profile binds."""
    folder = EXAMPLES / "harbour"
    for device in [""] if not profile else ["helm-desk", "lookout-box"]:
        look, session = looks(folder, profile, device)
        if profile == "cobblegate-on-helm-desk" and device == "lookout-box":
            assert look is None
            continue
        assert look is not None
        assert_same(look, session)


@pytest.mark.parametrize("library", ["boatyard", "faulty", "broken"])
def test_other_examples_look_as_the_model_has_them_or_wait(library: str) -> None:
    look, session = looks(EXAMPLES / library)
    if look is not None:
        assert_same(look, session)


def is_ordinary(control: Content) -> bool:
    return control["kind"] not in ("hat", "axis") and not {"pattern", "axis", "guard"} & {*control}


@st.composite
def libraries(draw: st.DrawFn) -> list[Content]:
    """One or two devices, an application with all actions, and a profile of what is there."""
    boxes = draw(st.lists(any_box.contents(words=words), min_size=1, max_size=2))
    pressed: list[str] = []
    for at, box in enumerate(boxes):
        box["device"]["id"] = f"box-{at}"
        part = box.get("parts", {}).get("same", {})
        if draw(any_box.MOSTLY):
            box["controls"] = {
                key: {**one, "hole": 16.2, "front": draw(any_box.SIZES)}
                for key, one in box["controls"].items()
                if is_ordinary(part | one if "part" in one else one)
                and "concentric_with" not in one
            } or {"horn": {"kind": "momentary", "label": "H", "position": [9, 9], "hole": 7}}
            for one in box["plate"].get("screws", []):
                one["hole"] = 4.3
            for one in box["fixtures"].values():
                one["hole"] = [12.0, 9]
        for key, one in box["controls"].items():
            whole = part | one if "part" in one else one
            contacts = any_box.list_contacts({"ways": 4, **whole})
            places = [f"{key}.{name}" for name in contacts if name != "pull"]
            places += [key] if contacts[0] in ("press", "on") else []
            pressed += [f"box-{at}/{place}" for place in places] if len(boxes) > 1 else places
    names = st.sampled_from(["one", "two", "three"])
    use: st.SearchStrategy[Any] = st.one_of(
        names,
        st.lists(names, min_size=1, max_size=2),
        st.fixed_dictionaries({"action": names}, optional={"legend": words, "note": words}),
    )
    chords = st.lists(
        st.sampled_from(pressed), min_size=1, max_size=2, unique_by=lambda one: one.split(".")[0]
    )
    header = {"application": "ferry", "devices": [one["device"]["id"] for one in boxes]}
    action = st.fixed_dictionaries({"name": words}, optional={"legend": words})
    return [
        *boxes,
        {
            "format": 1,
            "application": {"id": "ferry", "name": draw(words)},
            "actions": {key: draw(action) for key in ("one", "two", "three")},
        },
        {
            "format": 1,
            "profile": header | draw(st.sampled_from([{}, {"id": "all"}, {"name": "All {up}"}])),
            "bindings": draw(st.dictionaries(chords.map(" + ".join), use, max_size=12)),
        },
    ]


@settings(max_examples=60, deadline=None)
@given(libraries())
def test_any_sound_library_looks_as_the_model_has_it_or_waits(contents: list[Content]) -> None:
    """Whatever its words: nothing in them reaches the terminal as more than letters."""
    with tempfile.TemporaryDirectory() as folder:
        for at, content in enumerate(contents):
            Path(folder, f"{at}.json").write_text(json.dumps(content), "utf-8")
        look, session = looks(Path(folder))
    if look is not None and not session.problems:
        assert_same(look, session)


def test_a_small_desk_has_a_plain_look(folder: Path) -> None:
    look, session = looks(folder)
    assert look is not None
    assert_same(look, session)


ODD = {
    "an unknown key": ("desk", "front = 18.0", "frnt = 18.0"),
    "text for a number": ("desk", "front = 18.0", 'front = "18"'),
    "truth for a number": ("desk", "front = 18.0", "front = true"),
    "no place": ("desk", "position = [30.0, 65.0]", ""),
    "a place of one number": ("desk", "[30.0, 65.0]", "[30.0]"),
    "a plate without end": ("desk", "width = 160.0", "width = inf"),
    "a plate of nothing": ("desk", "width = 160.0", "width = 0"),
    "a hole as a table": ("desk", "hole = 16.2", "hole = { diameter = 16.2 }"),
    "a kind for the model": ("desk", 'kind = "latching"', 'kind = "hat"'),
    "an unknown sign": ("desk", '"HORN"', '"{hron}"'),
    "a blank label": ("desk", '"HORN"', '" "'),
    "a part that is nowhere": ("desk", 'label = "HORN"', 'label = "HORN"\npart = "none"'),
    "a contact of another kind": ("desk", "press = 7", "push = 7"),
    "an id twice": ("tramway", 'id = "tramway"', 'id = "Harbour"'),
    "an action that is nowhere": ("bindings", '"ring-bell"', '"ring-bel"'),
    "a contact that is nowhere": ("bindings", "bell =", "bel ="),
    "no application": ("bindings", 'application = "harbour"', 'application = "harbor"'),
    "no device": ("bindings", 'device = "desk"', 'device = "dusk"'),
    "devices twice": ("bindings", 'device = "desk"', 'device = "desk"\ndevices = ["desk"]'),
    "another format": ("bindings", "format = 1", "format = 2"),
    "no text": ("bindings", "[bindings]", "[bindings"),
    "a whole book": ("bindings", "[bindings]", "#" * MOST_BYTES + "\n[bindings]"),
}


@pytest.mark.parametrize("what", ODD)
def test_what_is_not_ordinary_waits_for_the_model(folder: Path, what: str) -> None:
    """A fault anywhere in view, or more than is worth it, gives no plate before the true one."""
    name, old, new = ODD[what]
    text = (folder / f"{name}.toml").read_text("utf-8")
    assert old in text
    (folder / f"{name}.toml").write_text(text.replace(old, new, 1), "utf-8")
    assert look_plainly(folder, "", "") is None


def test_a_whole_disk_waits(folder: Path) -> None:
    """Hidden folders, which no library is in, count for nothing."""
    for number in range(MOST_FOLDERS):
        (folder / ".hidden" / f"{number}").mkdir(parents=True)
    assert look_plainly(folder, "", "")
    for number in range(MOST_FOLDERS):
        (folder / "seen" / f"{number}").mkdir(parents=True)
    assert look_plainly(folder, "", "") is None


def test_links_and_folders_that_are_not_there_wait(folder: Path, tmp_path: Path) -> None:
    assert look_plainly(tmp_path / "gone", "", "") is None
    (folder / "more.toml").symlink_to(folder / "desk.toml")
    assert look_plainly(folder, "", "") is None


async def test_the_first_start_shows_the_plate_before_the_model_is_read(
    folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Left of the words beside it, and above the note line, all is as the view shows it."""
    monkeypatch.setattr(PlatebookApp, "_check", lambda _self: None)
    async with opened(folder) as (app, _):
        view = seen(app).splitlines()
    first = await see_first_plate(folder, monkeypatch)
    assert "[#]" in "\n".join(first)
    assert first[:2] == view[:2]
    assert [line[:52] for line in first[2:-2]] == [line[:52] for line in view[2:-2]]
    assert "Reading …" in first[3][52:]
    assert "Reading library …" in first[-2]


@pytest.mark.parametrize("is_sound", [True, False])
async def test_keys_pressed_on_the_first_plate_act_once_it_is_read(
    folder: Path, monkeypatch: pytest.MonkeyPatch, *, is_sound: bool
) -> None:
    """Unless there are problems in files, which are shown in its place."""
    read = threading.Event()

    def load_late(root: Path) -> LoadedLibrary:
        read.wait(60)
        return load_library(root)

    monkeypatch.setattr("profiles.files.library.load_library", load_late)
    if not is_sound:
        (folder / "tramway.toml").write_text('format = 1\napplication = { id = "tramway" }\n')
    app = PlatebookApp(folder, watch=False)
    async with app.run_test(size=SMALL) as pilot:
        await pilot.press("x", "right", "x")
        assert app.screen.query(FirstPlate)
        read.set()
        await settled(app, pilot)
        assert ("2 unsaved" in seen(app) or "1 unsaved" in seen(app)) == is_sound
        if is_sound:
            bindings = app.session.library.profiles["harbour-desk"].bindings
            assert list(bindings) == ["lamp"]


def test_the_plain_look_loads_no_model() -> None:
    script = (
        "import sys; from pathlib import Path; from profiles.tui.plain_look import look_plainly; "
        f"assert look_plainly(Path({str(EXAMPLES / 'harbour')!r}), '', '').draw(76, 20); "
        "print(*sys.modules)"
    )
    done = subprocess.run(
        [sys.executable, "-c", script], capture_output=True, text=True, check=True
    )
    loaded = {name.partition(".")[0] for name in done.stdout.split()}
    assert "profiles" in loaded
    assert not loaded & {"pydantic", "pydantic_core", "yaml"}
    assert "profiles.model" not in done.stdout.split()
