"""A control's id, label, hole and front typed anew, what it means for profiles shown first."""

from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from profiles.files.library import load_library
from profiles.model import Library
from profiles.work.controls import (
    LARGEST,
    change_fields,
    check_fields,
    fields_of,
    read_size,
    show_size,
)
from profiles.work.copy import WorkingCopy
from profiles.work.edits import link_of
from tests.tui.desks import (
    DEVICE,
    LARGE,
    PROFILE,
    SMALL,
    copy_example,
    opened,
    press,
    seen,
    type_words,
)

SIDE = st.integers(1, int(LARGEST * 10)).map(lambda tenths: tenths / 10)


@given(st.one_of(SIDE, st.tuples(SIDE, SIDE)))
def test_a_size_reads_as_it_is_shown(size: float | tuple[float, float]) -> None:
    assert read_size(show_size(size)) == size


@pytest.mark.parametrize("typed", ["", "x", "12 x", "0", "-3", "1 x 2 x 3", "nan", "inf", "1e9"])
def test_what_is_no_size_is_refused(typed: str) -> None:
    with pytest.raises(ValueError, match="is no size in mm"):
        read_size(typed)


def test_what_is_typed_wrongly_is_said(folder: Path) -> None:
    device = load_library(folder).library.devices["desk"]
    right = fields_of(device, "horn")
    assert right == {"id": "horn", "label": "HORN", "hole": "16.2", "front": "18"}
    assert check_fields(device, "horn", right) is None
    assert check_fields(device, "horn", right | {"front": ""}) is None
    wrong = {"id": "bell", "label": " ", "hole": "wide", "front": "1 x"}
    assert [check_fields(device, "horn", right | {key: wrong[key]}) for key in wrong] == [
        "There is a control bell already.",
        "Give an id (letters, digits, hyphens) and a label.",
        "Write the hole in millimetres, such as 16.2 or 19 x 13.",
        "Write the front in millimetres, such as 16.2 or 19 x 13.",
    ]


def all_bound(library: Library, device: str, old: str, new: str) -> list[tuple[object, ...]]:
    """Everything that every profile binds, `old` named as `new`."""
    return [
        (
            profile,
            one.action_id,
            [
                contact._replace(control=new)
                if (contact.device, contact.control) == (device, old)
                else contact
                for contact in (*one.held, one.acting)
            ],
        )
        for profile in library.profiles
        for one in link_of(library, profile).bound
    ]


def test_another_id_leaves_every_binding_what_it_was(tmp_path: Path) -> None:
    """Chords, contacts, several devices: of any control of the bundled box that is in TOML."""
    loaded = load_library(copy_example("harbour", tmp_path / "harbour"))
    read_only = {key for key, one in loaded.sources.items() if one.format != "toml"}
    tried = 0
    for key, device in loaded.library.devices.items():
        for control in device.controls:
            copy = WorkingCopy(loaded)
            typed = fields_of(device, control) | {"id": "quite-new"}
            edit = change_fields(copy.library, key, control, typed)
            uses = any(
                (c.device, c.control) == (key, control)
                for profile in read_only & set(loaded.library.profiles)
                for one in link_of(loaded.library, profile).bound
                for c in (*one.held, one.acting)
            )
            if uses:
                continue
            before = all_bound(copy.library, key, control, "quite-new")
            assert edit.apply(copy)
            assert all_bound(copy.library, key, control, "quite-new") == before
            assert list(copy.library.devices[key].controls) == [
                "quite-new" if one == control else one for one in device.controls
            ]
            tried += 1
    assert tried > 5


@pytest.mark.parametrize("size", [SMALL, LARGE])
async def test_a_control_gets_another_id_after_its_effect_is_shown(
    folder: Path, size: tuple[int, int]
) -> None:
    """The keys that are rewritten are named before; comments stay; undo brings all back."""
    async with opened(folder, size) as (app, pilot):
        await press(app, pilot, "6", "e", "ctrl+u")
        await type_words(app, pilot, "hooter")
        await press(app, pilot, "enter")
        text = seen(app)
        assert "Change id `horn` to id `hooter`?" in text
        assert "Harbour on the desk has HORN rewritten" in text
        assert "No finding appears or disappears." in text
        await press(app, pilot, "y")
        copy = app.session.copy
        assert app.session.control == "hooter"
        assert copy.text("harbour-desk") == PROFILE.replace("horn =", "hooter =", 1)
        assert copy.text("desk") == DEVICE.replace("[controls.horn]", "[controls.hooter]")
        await press(app, pilot, "ctrl+z")
        assert copy.dirty == ()


async def test_a_diode_list_follows_the_new_id(folder: Path) -> None:
    path = folder / "desk.toml"
    path.write_text(DEVICE.replace("[wiring]", '[wiring]\ndiodes = ["horn", "lamp.on"]'), "utf-8")
    async with opened(folder) as (app, pilot):
        await press(app, pilot, "6", "down", "e", "ctrl+u")
        await type_words(app, pilot, "lantern")
        await press(app, pilot, "enter", "y")
        assert 'diodes = ["horn", "lantern.on"]' in app.session.copy.text("desk")


async def test_label_hole_and_front_are_typed(folder: Path) -> None:
    """A hole of two sides is written as a list; an emptied front goes; what it clashes is shown."""
    async with opened(folder, LARGE) as (app, pilot):
        await press(app, pilot, "6", "e", "tab", "ctrl+u")
        await type_words(app, pilot, "BIG HORN")
        await press(app, pilot, "tab", "ctrl+u")
        await type_words(app, pilot, "90 x 13.5")
        await press(app, pilot, "tab", "ctrl+u", "enter")
        text = seen(app)
        assert "Change label, hole and front of HORN?" in text
        assert "+ error: " in text
        await press(app, pilot, "y")
        control = app.session.library.devices["desk"].controls["horn"]
        assert (control.label, control.hole, control.front) == ("BIG HORN", (90.0, 13.5), None)


async def test_an_id_that_cannot_be_is_refused_before(folder: Path) -> None:
    async with opened(folder, (120, 40)) as (app, pilot):
        await press(app, pilot, "6", "e", "ctrl+u")
        await type_words(app, pilot, "big horn")
        await press(app, pilot, "enter")
        assert "This cannot be done: `desk.toml` would not be sound" in seen(app)
        await press(app, pilot, "y")
        assert "Not done: " in seen(app)
        assert app.session.copy.dirty == ()
