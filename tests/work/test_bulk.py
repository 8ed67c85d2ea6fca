"""Many controls changed at once: where they go, what a copy keeps, how a path is numbered."""

from pathlib import Path

import pytest

from profiles.files.library import load_library
from profiles.files.toml_edit import EditError
from profiles.model import Device
from profiles.plate.spacing import recommended
from profiles.work.bulk import (
    add_grid,
    delete_all,
    duplicate,
    number_inputs,
    number_labels,
    order_controls,
    shift,
    usual_step,
)
from profiles.work.controls import renumber
from profiles.work.copy import WorkingCopy
from profiles.work.edits import Edit
from tests.work.libraries import DEVICE, copy_example


def desk(copy: WorkingCopy) -> Device:
    return copy.library.devices["desk"]


def make(copy: WorkingCopy, edit: Edit) -> Device:
    assert edit.apply(copy)
    return desk(copy)


def test_controls_are_moved_together_and_taken_back_as_one(copy: WorkingCopy) -> None:
    before = desk(copy)
    after = make(copy, shift(before, ["horn", "lamp"], 2.5, -1.0))
    assert after.controls["horn"].position == (32.5, 64.0)
    assert after.controls["lamp"].position == (32.5, 24.0)
    assert after.controls["bell"] == before.controls["bell"]
    copy.undo()
    assert copy.text("desk") == DEVICE


def test_knobs_on_one_axis_move_once(tmp_path: Path) -> None:
    loaded = load_library(copy_example("boatyard", tmp_path / "boatyard"))
    copy = WorkingCopy(loaded)
    device = next(
        one
        for one in loaded.library.devices.values()
        if any(control.concentric_with for control in one.controls.values())
    )
    inner = next(key for key, one in device.controls.items() if one.concentric_with)
    outer = str(device.controls[inner].concentric_with)
    assert shift(device, [inner, outer], 1.0, 0.0).apply(copy)
    x, y = device.controls[outer].position
    after = copy.library.devices[device.id].controls
    assert after[outer].position == after[inner].position == (x + 1.0, y)


def test_copies_stand_in_rows_and_share_no_number_or_wire(copy: WorkingCopy) -> None:
    after = make(copy, duplicate(desk(copy), ["bell"], 2, 2, (22.0, 21.0)))
    new = {key: one for key, one in after.controls.items() if key.startswith("bell-")}
    assert {key: (one.label, one.position) for key, one in new.items()} == {
        "bell-2": ("BELL 2", (102.0, 65.0)),
        "bell-3": ("BELL 3", (80.0, 44.0)),
        "bell-4": ("BELL 4", (102.0, 44.0)),
    }
    for one in new.values():
        assert (one.hole, one.front) == (16.2, 18.0)
        assert (one.input_by_contact, one.wired_contacts) == ({}, frozenset())


def test_copies_outside_the_plate_are_refused(copy: WorkingCopy) -> None:
    with pytest.raises(EditError, match="180, 65 lies outside the plate of 160 x 90 mm"):
        duplicate(desk(copy), ["bell"], 2, 1, (100.0, 10.0))
    with pytest.raises(EditError, match="Give at least two places, such as 2x1"):
        duplicate(desk(copy), ["bell"], 1, 1, (10.0, 10.0))


def test_a_step_leaves_the_gap_that_is_advised(copy: WorkingCopy) -> None:
    """Edge to edge: the distance that the published table advises for two push-buttons."""
    gap = recommended("momentary", "momentary").distance
    step = usual_step(copy.library, desk(copy), ["horn"])
    assert 0 <= step[0] - 18.0 - gap < 0.5
    assert usual_step(copy.library, desk(copy), ["horn", "bell"])[0] == step[0] + 50.0


def test_rows_of_a_part_are_added_around_a_middle_with_pasted_labels(copy: WorkingCopy) -> None:
    edit = add_grid(
        copy.library, desk(copy), "push-12", (3, 1), (20.0, 20.0), (80.0, 45.0), "Fore\nAft"
    )
    after = make(copy, edit)
    new = [(key, one.label, one.position) for key, one in after.controls.items()][-3:]
    assert new == [
        ("fore", "Fore", (60.0, 45.0)),
        ("aft", "Aft", (80.0, 45.0)),
        ("c9", "9", (100.0, 45.0)),
    ]
    assert after.controls["aft"].hole == 12.2
    assert "[parts.push-12]" in copy.text("desk")


def test_a_path_numbers_inputs_in_its_order(copy: WorkingCopy) -> None:
    """All contacts of a control one after another; what it means for profiles is told."""
    edit = number_inputs(copy.library, desk(copy), ["spare", "trim", "horn"], 11)
    assert edit.words == "Number 3 controls from 11 to 15"
    assert any(one.startswith("`harbour-desk`: bind 1 action again") for one in edit.effects)
    numbers = make(copy, edit).declared_inputs
    assert [
        numbers[key]
        for key in (
            ("spare", "press"),
            ("trim", "clockwise"),
            ("trim", "anticlockwise"),
            ("trim", "press"),
            ("horn", "press"),
        )
    ] == [11, 12, 13, 14, 15]


def test_a_path_passes_over_what_takes_no_number(tmp_path: Path) -> None:
    """A lever is an axis to the host (HID Usage Tables 1.12, 4: Generic Desktop), not a button."""
    copy = WorkingCopy(load_library(copy_example("boatyard", tmp_path / "boatyard")))
    device = copy.library.devices["winch-house"]
    edit = number_inputs(copy.library, device, ["rudder", "bell"], 90)
    assert edit.words == "Number `bell` from 90 to 90"
    with pytest.raises(EditError, match=r"^nothing here takes an input number: the host meets it"):
        number_inputs(copy.library, device, ["rudder"], 90)
    with pytest.raises(EditError, match=r"`controls\.rudder` has `input`, but an axis is"):
        renumber(copy.library, "winch-house", "rudder", {"axis": 90}).apply(copy)
    with pytest.raises(EditError, match=r"would not be sound: `controls\.bell\..* 65535"):
        number_inputs(copy.library, device, ["bell"], 99_999).apply(copy)


def test_a_path_numbers_labels(copy: WorkingCopy) -> None:
    after = make(copy, number_labels(desk(copy), ["bell", "horn"], 3, "B#"))
    assert (after.controls["bell"].label, after.controls["horn"].label) == ("B3", "B4")
    after = make(copy, number_labels(desk(copy), ["bell"], 7, "KEY"))
    assert after.controls["bell"].label == "KEY 7"


def test_paths_go_in_rows_or_in_columns_or_as_marked(copy: WorkingCopy) -> None:
    keys = ["trim", "bell", "lamp", "horn"]
    assert order_controls(desk(copy), keys, "as marked") == tuple(keys)
    assert order_controls(desk(copy), keys, "in rows") == ("horn", "bell", "lamp", "trim")
    assert order_controls(desk(copy), keys, "in columns") == ("horn", "lamp", "bell", "trim")


def test_controls_go_with_the_bindings_that_need_any_of_them(copy: WorkingCopy) -> None:
    edit = delete_all(copy.library, desk(copy), ["horn", "bell"])
    assert [one for one in edit.effects if one.startswith("`harbour-desk`")] == [
        "`harbour-desk` loses `sound-horn`",
        "`harbour-desk` loses `ring-bell`",
    ]
    after = make(copy, edit)
    assert {"horn", "bell"}.isdisjoint(after.controls)
    assert not {"horn", "bell"} & {
        who.control
        for link in copy.library.profiles_of("desk")
        for bound in link.bound
        for who in (*bound.held, bound.acting)
    }


def test_bindings_go_however_often_the_deletion_was_tried_before(copy: WorkingCopy) -> None:
    edit = delete_all(copy.library, desk(copy), ["horn", "bell"])
    shown = copy.trial(edit.change).texts["harbour-desk"][1]
    make(copy, edit)
    assert copy.text("harbour-desk") == shown
    assert '"sound-horn"' not in shown
    assert '"ring-bell"' not in shown
