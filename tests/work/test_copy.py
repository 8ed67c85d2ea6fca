"""The copy: edits in memory, undo without end, save with comments, changes from outside."""

import tomllib
from pathlib import Path
from tempfile import TemporaryDirectory

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from profiles.checks.registry import run_checks
from profiles.files.library import load_library
from profiles.files.save import replace_file
from profiles.files.toml_edit import EditError
from profiles.model import SETTINGS_NAME, DeviceContact, Spot
from profiles.work.controls import delete, move, renumber
from profiles.work.copy import WorkingCopy
from profiles.work.edits import Slot, bind, bound_at, link_of, set_legend, swap, unbind
from profiles.work.fixes import list_unsaved
from profiles.work.remedies import accept
from tests.work.libraries import PROFILE, write_desk

HORN = Slot((), DeviceContact("desk", "horn", "press"))
BELL = Slot((), DeviceContact("desk", "bell", "press"))
SPARE = Slot((), DeviceContact("desk", "spare", "press"))


def link(copy: WorkingCopy):  # type: ignore[no-untyped-def]
    return link_of(copy.library, "harbour-desk")


def does(copy: WorkingCopy, slot: Slot) -> list[str]:
    return [one.action_id for one in bound_at(link(copy), slot)]


def test_an_edit_shows_at_once_and_writes_nothing(copy: WorkingCopy, folder: Path) -> None:
    assert bind(link(copy), HORN, "drop-anchor").apply(copy)

    assert does(copy, HORN) == ["drop-anchor"]
    assert copy.dirty == ("harbour-desk",)
    assert (folder / "bindings.toml").read_text("utf-8") == PROFILE


def test_saving_keeps_comments_and_layout(copy: WorkingCopy, folder: Path) -> None:
    bind(link(copy), HORN, "drop-anchor").apply(copy)
    bind(link(copy), SPARE, "sound-horn").apply(copy)

    saved = copy.save()

    assert saved.written == ("harbour-desk",)
    assert copy.dirty == ()
    expected = PROFILE.replace('"sound-horn"   # the big one', '"drop-anchor"   # the big one')
    expected += 'spare = "sound-horn"\n'
    assert (folder / "bindings.toml").read_text("utf-8") == expected


def test_undo_goes_back_over_a_save(copy: WorkingCopy, folder: Path) -> None:
    bind(link(copy), HORN, "drop-anchor").apply(copy)
    copy.save()

    step = copy.undo()

    assert step is not None
    assert step.words == "Bind `horn` to `drop-anchor`"
    assert does(copy, HORN) == ["sound-horn"]
    assert copy.dirty == ("harbour-desk",)
    copy.save()
    assert (folder / "bindings.toml").read_text("utf-8") == PROFILE


def test_redo_makes_the_change_again_until_another_is_made(copy: WorkingCopy) -> None:
    bind(link(copy), HORN, "drop-anchor").apply(copy)
    copy.undo()
    assert copy.redo() is not None
    assert does(copy, HORN) == ["drop-anchor"]

    copy.undo()
    unbind(link(copy), BELL).apply(copy)
    assert copy.redo() is None


def test_an_edit_that_changes_nothing_is_no_step(copy: WorkingCopy) -> None:
    assert not bind(link(copy), HORN, "sound-horn").apply(copy)
    assert copy.past == []


def test_an_edit_refused_changes_nothing(copy: WorkingCopy) -> None:
    with pytest.raises(EditError, match="would not be sound"):
        copy.edit("Break it", lambda files: files("harbour-desk").set(("profile", "device"), 5))
    assert copy.past == []
    assert copy.dirty == ()


def test_a_trial_leaves_the_desk_alone(copy: WorkingCopy) -> None:
    library = copy.trial(unbind(link(copy), HORN).change).library

    assert len(link_of(library, "harbour-desk").bound) == 2
    assert len(link(copy).bound) == 3


def test_swapping_moves_what_each_does(copy: WorkingCopy) -> None:
    swap(link(copy), HORN, BELL).apply(copy)
    assert (does(copy, HORN), does(copy, BELL)) == (["ring-bell"], ["sound-horn"])

    swap(link(copy), HORN, SPARE).apply(copy)
    assert (does(copy, HORN), does(copy, SPARE)) == ([], ["ring-bell"])


def test_swapping_with_an_unbound_control_keeps_the_comment(copy: WorkingCopy) -> None:
    swap(link(copy), HORN, SPARE).apply(copy)
    assert 'spare = "sound-horn"   # the big one' in copy.text("harbour-desk")


def test_a_second_action_stands_beside_the_first(copy: WorkingCopy) -> None:
    bind(link(copy), BELL, "take-job", beside=True).apply(copy)
    assert does(copy, BELL) == ["ring-bell", "take-job"]
    assert 'bell = ["ring-bell", "take-job"]' in copy.text("harbour-desk")


def test_a_chord_has_its_held_contact_in_front(copy: WorkingCopy) -> None:
    bind(link(copy), Slot((SPARE.acting,), HORN.acting), "drop-anchor").apply(copy)
    assert '"spare + horn" = "drop-anchor"' in copy.text("harbour-desk")
    assert does(copy, HORN) == ["sound-horn"]


def test_a_legend_makes_the_long_form_and_goes_again(copy: WorkingCopy) -> None:
    set_legend(link(copy), HORN, "sound-horn", "TOOT").apply(copy)
    assert bound_at(link(copy), HORN)[0].legend == "TOOT"
    assert 'horn = {action = "sound-horn", legend = "TOOT"}' in copy.text("harbour-desk").replace(
        "{ ", "{"
    ).replace(" }", "}")

    set_legend(link(copy), HORN, "sound-horn", " ").apply(copy)
    assert copy.text("harbour-desk") == PROFILE


def test_deleting_a_control_takes_its_bindings_from_every_profile(copy: WorkingCopy) -> None:
    delete(copy.library, "desk", "bell").apply(copy)

    assert "bell" not in copy.library.devices["desk"].controls
    assert copy.dirty == ("desk", "harbour-desk", "tramway-desk")
    assert copy.library.links[1].bound == ()

    copy.undo()
    assert not copy.dirty


def test_moving_and_renumbering_change_only_their_lines(copy: WorkingCopy, folder: Path) -> None:
    before = (folder / "desk.toml").read_text("utf-8")
    move("desk", "horn", (31.5, 65.0)).apply(copy)
    renumber(copy.library, "desk", "trim", {"clockwise": 9}).apply(copy)

    assert copy.library.devices["desk"].controls["trim"].inputs == {"clockwise": 9}
    assert copy.text("desk").count("\n") == before.count("\n")
    assert "position = [31.5, 65.0]" in copy.text("desk")
    assert "[controls.horn]     # top left" in copy.text("desk")


def test_accepting_makes_the_settings_file(copy: WorkingCopy, folder: Path) -> None:
    finding = next(one for one in run_checks(copy.library).findings if one.code == "must-unbound")
    accept(finding, "Not on this desk").apply(copy)
    copy.save()

    text = (folder / SETTINGS_NAME).read_text("utf-8")
    assert text == (
        'format = 1\n\n[[accept]]\ncode = "must-unbound"\n'
        f'subject = "{finding.subject}"\nreason = "Not on this desk"\n'
    )
    again = run_checks(load_library(folder).library)
    assert [one.reason for one in again.accepted] == ["Not on this desk"]


def test_a_file_changed_by_someone_else_is_never_overwritten(
    copy: WorkingCopy, folder: Path
) -> None:
    unbind(link(copy), BELL).apply(copy)
    path = folder / "bindings.toml"
    theirs = PROFILE.replace("the big one", "the small one").replace('"ring-bell"', '"take-job"')
    path.write_text(theirs, "utf-8")

    saved = copy.save()

    assert saved.clashes == ("harbour-desk",)
    assert path.read_text("utf-8") == theirs
    lines = list_unsaved(copy, "harbour-desk")
    assert '-bell = "take-job"' in lines
    assert '-horn = "sound-horn"   # the small one' in lines
    assert '+horn = "sound-horn"   # the big one' in lines


def test_keeping_mine_overwrites_only_after_it_was_asked(copy: WorkingCopy, folder: Path) -> None:
    unbind(link(copy), BELL).apply(copy)
    (folder / "bindings.toml").write_text(
        PROFILE.replace('"ring-bell"', '"take-job"   # theirs'), "utf-8"
    )
    copy.save()

    copy.settle("harbour-desk", "mine")

    assert copy.save().written == ("harbour-desk",)
    assert "theirs" not in (folder / "bindings.toml").read_text("utf-8")


def test_taking_theirs_can_be_taken_back(copy: WorkingCopy, folder: Path) -> None:
    unbind(link(copy), BELL).apply(copy)
    mine = copy.text("harbour-desk")
    theirs = PROFILE.replace('"ring-bell"', '"take-job"') + "# theirs\n"
    (folder / "bindings.toml").write_text(theirs, "utf-8")

    assert copy.settle("harbour-desk", "theirs")

    assert copy.dirty == ()
    assert copy.text("harbour-desk") == theirs
    copy.undo()
    assert copy.text("harbour-desk") == mine


def test_changes_from_outside_are_taken_in_and_unsaved_edits_stay(
    copy: WorkingCopy, folder: Path
) -> None:
    unbind(link(copy), BELL).apply(copy)
    tram = folder / "tram-bindings.toml"
    tram.write_text(tram.read_text("utf-8") + 'horn = "ring-bell"\n', "utf-8")

    news = copy.take_in(load_library(folder))

    assert (news.taken, news.clashes) == (("tramway-desk",), ())
    assert len(link_of(copy.library, "tramway-desk").bound) == 2
    assert does(copy, BELL) == []


def test_a_change_from_outside_to_an_edited_file_clashes(copy: WorkingCopy, folder: Path) -> None:
    unbind(link(copy), BELL).apply(copy)
    (folder / "bindings.toml").write_text(PROFILE.replace("ring-bell", "take-job"), "utf-8")

    news = copy.take_in(load_library(folder))

    assert (news.taken, news.clashes) == ((), ("harbour-desk",))
    assert does(copy, BELL) == []


def test_own_saves_are_no_news(copy: WorkingCopy, folder: Path) -> None:
    unbind(link(copy), BELL).apply(copy)
    copy.save()
    news = copy.take_in(load_library(folder))
    assert (news.taken, news.clashes) == ((), ())


def test_an_old_state_after_taking_in_is_still_an_edit(copy: WorkingCopy, folder: Path) -> None:
    unbind(link(copy), BELL).apply(copy)
    copy.save()
    path = folder / "bindings.toml"
    path.write_text(path.read_text("utf-8") + "# theirs\n", "utf-8")
    copy.take_in(load_library(folder))
    assert copy.text("harbour-desk").endswith("# theirs\n")

    copy.undo()
    assert copy.undo() is None  # what came from outside is no step of mine

    assert copy.text("harbour-desk") == PROFILE + "# theirs\n"
    assert copy.dirty == ("harbour-desk",)


def test_files_of_other_formats_are_changed_in_place_and_merged_too(tmp_path: Path) -> None:
    folder = write_desk(tmp_path / "library")
    (folder / "bindings.toml").unlink()
    path = folder / "bindings.yaml"
    text = (
        "format: 1\nprofile:\n  id: harbour-desk\n  application: harbour\n  device: desk\n"
        "bindings:\n  horn: sound-horn  # the big one\n  bell: ring-bell\n"
    )
    path.write_text(text, "utf-8")
    copy = WorkingCopy(load_library(folder))
    unbind(link(copy), BELL).apply(copy)
    theirs = text.replace("device: desk\n", "device: desk\n  name: Mine\n")
    path.write_text(theirs, "utf-8")

    assert copy.save().merged == ("harbour-desk",)
    assert path.read_text("utf-8") == theirs.replace("  bell: ring-bell\n", "")
    place = copy.locate(Spot("harbour-desk", ("bindings", "horn")))
    assert place is not None
    assert place.line == 8


def test_unsaved_work_is_taken_up_again(copy: WorkingCopy, folder: Path) -> None:
    unbind(link(copy), BELL).apply(copy)
    work = copy.unsaved()

    later = WorkingCopy(load_library(folder))
    assert later.restore(work) == ()

    assert later.text("harbour-desk") == copy.text("harbour-desk")
    assert later.save().written == ("harbour-desk",)


def test_unsaved_work_on_a_file_changed_since_clashes_at_the_save(
    copy: WorkingCopy, folder: Path
) -> None:
    unbind(link(copy), BELL).apply(copy)
    work = copy.unsaved()
    (folder / "bindings.toml").write_text(PROFILE.replace("ring-bell", "take-job"), "utf-8")

    later = WorkingCopy(load_library(folder))
    later.restore(work)

    assert later.save().clashes == ("harbour-desk",)


def test_a_place_is_that_of_the_text_on_the_screen(copy: WorkingCopy) -> None:
    finding = next(one for one in run_checks(copy.library).findings if one.code == "must-unbound")
    bind(link(copy), SPARE, "take-job").apply(copy)
    place = copy.locate(finding.spot._replace(path=("bindings", "spare")))
    assert place is not None
    assert place.line == PROFILE.count("\n") + 1


@settings(max_examples=25, deadline=None)
@given(st.data())
def test_undo_returns_to_the_start_from_anywhere(data: st.DataObject) -> None:
    """Whatever is done, in whatever order, all of it can be taken back and made again."""
    with TemporaryDirectory() as place:
        copy = WorkingCopy(load_library(write_desk(Path(place) / "library")))
        edit_at_random(copy, data)


def edit_at_random(copy: WorkingCopy, data: st.DataObject) -> None:
    start = {name: copy.text(name) for name in ("desk", "harbour-desk")}
    slots, actions = (HORN, BELL, SPARE), ("sound-horn", "ring-bell", "take-job")
    for _ in range(data.draw(st.integers(1, 8))):
        slot, other = data.draw(st.sampled_from(slots)), data.draw(st.sampled_from(slots))
        edits = [
            bind(link(copy), slot, data.draw(st.sampled_from(actions))),
            unbind(link(copy), slot),
            swap(link(copy), slot, other),
            move("desk", "horn", (data.draw(st.integers(10, 90)), 20.0)),
        ]
        try:
            data.draw(st.sampled_from(edits)).apply(copy)
        except EditError:
            continue
    end = {name: copy.text(name) for name in start}
    while copy.undo():
        pass
    assert {name: copy.text(name) for name in start} == start
    assert copy.dirty == ()
    while copy.redo():
        pass
    assert {name: copy.text(name) for name in start} == end


def test_an_edit_does_not_give_a_document_another_id(copy: WorkingCopy, folder: Path) -> None:
    """Its profiles would name a device that is not there."""
    before = copy.text("desk")
    with pytest.raises(EditError) as caught:
        copy.edit("Rename", lambda files: files("desk").set(("device", "id"), "bench"))
    assert str(caught.value) == "`desk` would get another id; change that by hand"
    assert (copy.text("desk"), copy.dirty) == (before, ())


def test_a_file_that_changes_at_the_moment_of_the_save_is_merged_all_the_same(
    copy: WorkingCopy, folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Between the last look at it and the writing."""
    path, once = folder / "bindings.toml", [True]
    copy.edit("Bind", lambda files: files("harbour-desk").set_binding("spare", "drop-anchor"))

    def write_late(path: Path, data: bytes, digest: bytes) -> bytes:
        if once and once.pop():
            text = path.read_text("utf-8")
            path.write_text(text.replace('"sound-horn"', '"take-job"'), "utf-8")
        return replace_file(path, data, digest)

    monkeypatch.setattr("profiles.work.copy.replace_file", write_late)
    saved = copy.save()
    assert (saved.written, saved.merged, saved.clashes) == (
        ("harbour-desk",),
        ("harbour-desk",),
        (),
    )
    bindings = tomllib.loads(path.read_text("utf-8"))["bindings"]
    assert (bindings["horn"], bindings["spare"]) == ("take-job", "drop-anchor")


def test_a_save_that_fails_leaves_the_file_whole(
    copy: WorkingCopy, folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    before = (folder / "bindings.toml").read_bytes()
    copy.edit("Bind", lambda files: files("harbour-desk").set_binding("spare", "drop-anchor"))

    def fail(handle: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("os.fsync", fail)
    saved = copy.save()
    assert saved.written == ()
    assert saved.failures == ("`bindings.toml` cannot be written: no space left on device",)
    assert [path for path in folder.iterdir() if path.name.startswith(".")] == []
    assert (folder / "bindings.toml").read_bytes() == before
    assert copy.dirty == ("harbour-desk",)


def test_a_part_changed_changes_the_devices_that_name_it(folder: Path) -> None:
    """At once, without touching their files; undo takes both back, and what cannot be is told."""
    (folder / "knob.toml").write_text(
        'format = 1\n[part]\nid = "knob"\nkind = "momentary"\nhole = 9.0\n', "utf-8"
    )
    path = folder / "desk.toml"
    text = path.read_text("utf-8").replace(
        'kind = "momentary"\nlabel = "BELL"\nposition = [80.0, 65.0]\nhole = 16.2\nfront = 18.0',
        'part = "knob"\nlabel = "BELL"\nposition = [80.0, 65.0]',
    )
    path.write_text(text, "utf-8")
    copy = WorkingCopy(load_library(folder))

    def change(key: str, value: object) -> bool:
        return copy.edit("Change", lambda files: files("knob").set(("part", key), value))

    assert copy.library.devices["desk"].controls["bell"].hole == 9.0
    assert change("hole", 8.0)
    assert copy.library.devices["desk"].controls["bell"].hole == 8.0
    assert copy.dirty == ("knob",)
    assert [*copy.trial(lambda files: files("knob").set(("part", "hole"), 7.0)).texts] == ["knob"]
    with pytest.raises(EditError, match=r"`desk.toml` would not be sound: "):
        change("kind", "rotary")
    copy.undo()
    assert copy.library.devices["desk"].controls["bell"].hole == 9.0
    assert not copy.dirty
