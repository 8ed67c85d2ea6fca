"""The plate of files read plainly: the same as the model's, or none at all."""

import json
import subprocess
import sys
import tempfile
import threading
from pathlib import Path
from typing import Any, Literal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from profiles.files.convert import convert_file
from profiles.files.library import LoadedLibrary, load_library
from profiles.files.walk import find_files
from profiles.text.inert import escape_controls
from profiles.tui.app import PlatebookApp
from profiles.tui.canvas import draw_whole
from profiles.tui.plain_look import (
    MOST_BYTES,
    MOST_FOLDERS,
    MOST_IN_VIEW,
    PlainLook,
    look_plainly,
)
from profiles.tui.plate_rows import FirstPlate
from profiles.tui.session import Session
from tests import any_box
from tests.checks.test_any_library import words
from tests.tui.desks import EXAMPLES, SMALL, copy_example, opened, see_first_plate, seen, settled

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


@pytest.mark.parametrize("library", ["harbour", "boatyard"])
@pytest.mark.parametrize("form", ["", "toml", "yaml", "json"])
def test_examples_look_as_the_model_has_them(
    tmp_path: Path, library: str, form: Literal["", "toml", "yaml", "json"]
) -> None:
    """As they are, TOML, JSON and YAML side by side, and all in one format; every profile, for
    each device that it binds."""
    folder = copy_example(library, tmp_path / library)
    for path in find_files(folder) if form else ():
        if path.name != "platebook.toml":
            text = convert_file(path, form).text if form else ""
            path.unlink()
            path.with_suffix(f".{form}").write_text(text, "utf-8")
    profiles = load_library(folder).library.profiles.items()
    places = [(key, device) for key, one in profiles for device in one.device_ids]
    assert len(places) == {"harbour": 4, "boatyard": 2}[library]
    for place in [("", ""), *places]:
        look, session = looks(folder, *place)
        assert look is not None
        assert_same(look, session)


def test_a_device_that_a_profile_does_not_bind_waits() -> None:
    assert look_plainly(EXAMPLES / "harbour", "cobblegate-on-helm-desk", "lookout-box") is None


@pytest.mark.parametrize("device", ["", "desk"])
def test_a_box_without_a_profile_shows_its_labels(folder: Path, device: str) -> None:
    """The first device, or the one last looked at."""
    for path in folder.glob("*bindings.toml"):
        path.unlink()
    text = (folder / "desk.toml").read_text("utf-8")
    (folder / "zebra.toml").write_text(text.replace('"desk"', '"a-desk"'), "utf-8")
    look, session = looks(folder, "", device)
    assert look is not None
    assert session.device_id == (device or "a-desk")
    assert_same(look, session)


@pytest.mark.parametrize("library", ["faulty", "broken"])
def test_other_examples_look_as_the_model_has_them_or_wait(library: str) -> None:
    look, session = looks(EXAMPLES / library)
    if look is not None:
        assert_same(look, session)


@st.composite
def libraries(draw: st.DrawFn) -> list[Content]:
    """One or two devices, an application with all actions, and a profile of what is there."""
    boxes = draw(st.lists(any_box.contents(words=words), min_size=1, max_size=2))
    pressed: list[str] = []
    for at, box in enumerate(boxes):
        box["device"]["id"] = f"box-{at}"
        part = box.get("parts", {}).get("same", {})
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


WRONG: list[Any] = [
    *[
        None,
        True,
        -1,
        0,
        48,
        360,
        1e9,
        0.001,
        "",
        "x",
        "axis",
        "hat",
        [],
        [1],
        [0, 0],
        [5000, 5000],
    ],
    *[{}, {"diameter": 5, "countersink": {}}, {"diameter": 5, "keyway": [1, 1]}],
    *[{"length": 3, "width": 2, "angle": 361}, {"width": 3, "height": 2, "corner_radius": 1}],
    *[{"marks": ["A", "B"], "angle": 0}, {"marks": ["A", "B"], "stroke": 5000}],
]
KEYS = [
    *["hole", "front", "guard", "scale", "rotation", "concentric_with", "label_at", "head", "ways"],
    *["pattern", "label_place", "legend", "first_angle", "positions", "corner_radius", "screws"],
    *["viewing_distance", "label_height", "engravings"],
]


def list_places(content: Any) -> list[tuple[Any, Any]]:
    """Every table and list with each of its keys; of a table also those that it could have."""
    if not isinstance(content, dict | list):
        return []
    keys = [*content, *KEYS] if isinstance(content, dict) else [*range(len(content))]
    inner = content.values() if isinstance(content, dict) else content
    below = [place for one in inner for place in list_places(one)]
    return [*((content, key) for key in keys), *below]


@settings(max_examples=80, deadline=None)
@given(libraries(), st.data())
def test_what_is_wrong_in_a_file_never_ends_the_screen(
    contents: list[Content], data: st.DataObject
) -> None:
    """Files with a fault are drawn as far as they can be, or wait."""
    for _ in range(data.draw(st.integers(1, 2))):
        holder, key = data.draw(st.sampled_from(list_places(contents)))
        holder[key] = data.draw(st.sampled_from(WRONG))
    with tempfile.TemporaryDirectory() as folder:
        for at, content in enumerate(contents):
            Path(folder, f"{at}.json").write_text(json.dumps(content), "utf-8")
        look = look_plainly(Path(folder), "", "")
    if look is not None:
        for size in SIZES:
            rows, _ = look.draw(*size)
            assert len(rows) in (0, size[1])


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
    "a slanting slot": (
        "desk",
        "hole = 16.2\nfront = 18.0",
        "hole = { length = 30, width = 4, angle = 45 }",
    ),
    "a slot wider than long": ("desk", "hole = 16.2", "hole = { length = 4, width = 5 }"),
    "a hole of one side": ("desk", "hole = 16.2", "hole = { width = 16.2 }"),
    "a hole of no size": ("desk", "hole = 16.2", "hole = { diameter = 0 }"),
    "a key wider than its hole": ("desk", "= 16.2", "= { diameter = 16.2, keyway = [17, 1] }"),
    "a flat beyond its hole": ("desk", "= 16.2", "= { diameter = 16.2, across_flats = 17 }"),
    "a cone of no size": ("desk", "= 16.2", "= { diameter = 16.2, countersink = {} }"),
    "one number for all ways": ("desk", 'kind = "latching"', 'kind = "hat"'),
    "the axis of none": ("desk", "front = 18.0", 'front = 18.0\nconcentric_with = "none"'),
    "a scale of no length": ("desk", "front = 18.0", "front = 18.0\nscale = { marks = ['', ''] }"),
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
    "a long file": ("bindings", "[bindings]", "#" * MOST_IN_VIEW + "\n[bindings]"),
    "a long file of another title": (
        "tramway",
        "format = 1\n",
        '"format" = 1\n' + "#" * (MOST_BYTES // 10),
    ),
    "a whole book": ("tramway", "format = 1\n", "format = 1\n" + "#" * MOST_BYTES),
}


@pytest.mark.parametrize("what", ODD)
def test_what_is_not_ordinary_waits_for_the_model(folder: Path, what: str) -> None:
    """A fault anywhere in view, or more than is worth it, gives no plate before the true one."""
    name, old, new = ODD[what]
    text = (folder / f"{name}.toml").read_text("utf-8")
    assert old in text
    (folder / f"{name}.toml").write_text(text.replace(old, new, 1), "utf-8")
    assert look_plainly(folder, "", "") is None


HEADS = {
    "toml": [
        'name = "{name}"\nid = "{id}" # here\n',
        "id = '{id}'\nname = \"{name}\"\n",
        '"id" = "{id}"\nname = "{name}"\n',
        'name = """{name}\nid = "wrong"\n"""\nid = "{id}"\n',
    ],
    "yaml": ["  name: {name}\n  id: {id} # here\n", '  id: "{id}"\n  name: {name}\n'],
}


@pytest.mark.parametrize(("form", "head"), [(key, one) for key in HEADS for one in HEADS[key]])
def test_ids_are_found_however_they_are_written(
    folder: Path, form: Literal["toml", "yaml"], head: str
) -> None:
    """Of a file whose first lines have another form than most, all is read."""
    for name in ("harbour", "tramway"):
        path = folder / f"{name}.toml"
        text = convert_file(path, form).text
        was = {
            "toml": f'id = "{name}"\nname = "{name.title()}"\n',
            "yaml": f"  id: {name}\n  name: {name.title()}\n",
        }[form]
        assert was in text
        path.unlink()
        new = head.format(id=name, name=name.title())
        path.with_suffix(f".{form}").write_text(text.replace(was, new, 1), "utf-8")
    for profile in ("harbour-desk", "tramway-desk"):
        look, session = looks(folder, profile, "desk")
        assert look is not None
        assert_same(look, session)


def test_many_long_files_out_of_view_hold_nothing_up(folder: Path) -> None:
    """They are not read beyond their first lines."""
    text = (folder / "tramway.toml").read_text("utf-8")
    for number in range(9):
        more = f"\n[actions.{'a' * MOST_IN_VIEW}\n"
        (folder / f"{number}.toml").write_text(text.replace("tramway", f"t-{number}") + more)
    assert look_plainly(folder, "", "")


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
