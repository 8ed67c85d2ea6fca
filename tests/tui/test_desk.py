"""The desk: edits in memory, undo without end, save with comments, changes from outside."""

from pathlib import Path
from tempfile import TemporaryDirectory

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from profiles.checks.registry import run_checks
from profiles.files.library import load_library
from profiles.files.toml_edit import EditError
from profiles.model import SETTINGS_NAME, DeviceContact
from profiles.tui.bindings import Slot, bind, bound_at, link_of, set_legend, swap, unbind
from profiles.tui.controls import delete, move, renumber
from profiles.tui.desk import Desk
from profiles.tui.remedies import accept
from tests.tui.desks import PROFILE, write_desk

HORN = Slot((), DeviceContact("desk", "horn", "press"))
BELL = Slot((), DeviceContact("desk", "bell", "press"))
SPARE = Slot((), DeviceContact("desk", "spare", "press"))


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return write_desk(tmp_path / "library")


@pytest.fixture
def desk(folder: Path) -> Desk:
    return Desk(load_library(folder))


def link(desk: Desk):  # type: ignore[no-untyped-def]
    return link_of(desk.library, "harbour-desk")


def does(desk: Desk, slot: Slot) -> list[str]:
    return [one.action_id for one in bound_at(link(desk), slot)]


def test_an_edit_shows_at_once_and_writes_nothing(desk: Desk, folder: Path) -> None:
    assert bind(link(desk), HORN, "drop-anchor").apply(desk)

    assert does(desk, HORN) == ["drop-anchor"]
    assert desk.dirty == ("harbour-desk",)
    assert (folder / "bindings.toml").read_text("utf-8") == PROFILE


def test_saving_keeps_comments_and_layout(desk: Desk, folder: Path) -> None:
    bind(link(desk), HORN, "drop-anchor").apply(desk)
    bind(link(desk), SPARE, "sound-horn").apply(desk)

    saved = desk.save()

    assert saved.written == ("harbour-desk",)
    assert desk.dirty == ()
    expected = PROFILE.replace('"sound-horn"   # the big one', '"drop-anchor"   # the big one')
    expected += 'spare = "sound-horn"\n'
    assert (folder / "bindings.toml").read_text("utf-8") == expected


def test_undo_goes_back_over_a_save(desk: Desk, folder: Path) -> None:
    bind(link(desk), HORN, "drop-anchor").apply(desk)
    desk.save()

    step = desk.undo()

    assert step is not None
    assert step.words == "Bind horn to drop-anchor"
    assert does(desk, HORN) == ["sound-horn"]
    assert desk.dirty == ("harbour-desk",)
    desk.save()
    assert (folder / "bindings.toml").read_text("utf-8") == PROFILE


def test_redo_makes_the_change_again_until_another_is_made(desk: Desk) -> None:
    bind(link(desk), HORN, "drop-anchor").apply(desk)
    desk.undo()
    assert desk.redo() is not None
    assert does(desk, HORN) == ["drop-anchor"]

    desk.undo()
    unbind(link(desk), BELL).apply(desk)
    assert desk.redo() is None


def test_an_edit_that_changes_nothing_is_no_step(desk: Desk) -> None:
    assert not bind(link(desk), HORN, "sound-horn").apply(desk)
    assert desk.past == []


def test_an_edit_refused_changes_nothing(desk: Desk) -> None:
    with pytest.raises(EditError, match="would not be sound"):
        desk.edit("Break it", lambda files: files("harbour-desk").set(("profile", "device"), 5))
    assert desk.past == []
    assert desk.dirty == ()


def test_a_trial_leaves_the_desk_alone(desk: Desk) -> None:
    library = desk.trial(unbind(link(desk), HORN).change)

    assert len(link_of(library, "harbour-desk").bound) == 2
    assert len(link(desk).bound) == 3


def test_swapping_moves_what_each_does(desk: Desk) -> None:
    swap(link(desk), HORN, BELL).apply(desk)
    assert (does(desk, HORN), does(desk, BELL)) == (["ring-bell"], ["sound-horn"])

    swap(link(desk), HORN, SPARE).apply(desk)
    assert (does(desk, HORN), does(desk, SPARE)) == ([], ["ring-bell"])


def test_swapping_with_an_unbound_control_keeps_the_comment(desk: Desk) -> None:
    swap(link(desk), HORN, SPARE).apply(desk)
    assert 'spare = "sound-horn"   # the big one' in desk.text("harbour-desk")


def test_a_second_action_stands_beside_the_first(desk: Desk) -> None:
    bind(link(desk), BELL, "take-job", beside=True).apply(desk)
    assert does(desk, BELL) == ["ring-bell", "take-job"]
    assert 'bell = ["ring-bell", "take-job"]' in desk.text("harbour-desk")


def test_a_chord_has_its_held_contact_in_front(desk: Desk) -> None:
    bind(link(desk), Slot((SPARE.acting,), HORN.acting), "drop-anchor").apply(desk)
    assert '"spare + horn" = "drop-anchor"' in desk.text("harbour-desk")
    assert does(desk, HORN) == ["sound-horn"]


def test_a_legend_makes_the_long_form_and_goes_again(desk: Desk) -> None:
    set_legend(link(desk), HORN, "sound-horn", "TOOT").apply(desk)
    assert bound_at(link(desk), HORN)[0].legend == "TOOT"
    assert 'horn = {action = "sound-horn", legend = "TOOT"}' in desk.text("harbour-desk").replace(
        "{ ", "{"
    ).replace(" }", "}")

    set_legend(link(desk), HORN, "sound-horn", " ").apply(desk)
    assert desk.text("harbour-desk") == PROFILE


def test_deleting_a_control_takes_its_bindings_from_every_profile(desk: Desk) -> None:
    delete(desk.library, "desk", "bell").apply(desk)

    assert "bell" not in desk.library.devices["desk"].controls
    assert desk.dirty == ("desk", "harbour-desk", "tramway-desk")
    assert desk.library.links[1].bound == ()

    desk.undo()
    assert not desk.dirty


def test_moving_and_renumbering_change_only_their_lines(desk: Desk, folder: Path) -> None:
    before = (folder / "desk.toml").read_text("utf-8")
    move("desk", "horn", (31.5, 65.0)).apply(desk)
    renumber("desk", desk.library.devices["desk"], "trim", {"clockwise": 9}).apply(desk)

    assert desk.library.devices["desk"].controls["trim"].inputs == {"clockwise": 9}
    assert desk.text("desk").count("\n") == before.count("\n")
    assert "position = [31.5, 65.0]" in desk.text("desk")
    assert "[controls.horn]     # top left" in desk.text("desk")


def test_accepting_makes_the_settings_file(desk: Desk, folder: Path) -> None:
    finding = next(one for one in run_checks(desk.library).findings if one.code == "must-unbound")
    accept(finding, "Not on this desk").apply(desk)
    desk.save()

    text = (folder / SETTINGS_NAME).read_text("utf-8")
    assert text == (
        'format = 1\n\n[[accept]]\ncode = "must-unbound"\n'
        f'subject = "{finding.subject}"\nreason = "Not on this desk"\n'
    )
    again = run_checks(load_library(folder).library)
    assert [one.reason for one in again.accepted] == ["Not on this desk"]


def test_a_file_changed_by_someone_else_is_never_overwritten(desk: Desk, folder: Path) -> None:
    unbind(link(desk), BELL).apply(desk)
    path = folder / "bindings.toml"
    theirs = PROFILE.replace("the big one", "the small one")
    path.write_text(theirs, "utf-8")

    saved = desk.save()

    assert saved.clashes == ("harbour-desk",)
    assert path.read_text("utf-8") == theirs
    lines = desk.difference("harbour-desk")
    assert '-bell = "ring-bell"' in lines
    assert '-horn = "sound-horn"   # the small one' in lines
    assert '+horn = "sound-horn"   # the big one' in lines


def test_keeping_mine_overwrites_only_after_it_was_asked(desk: Desk, folder: Path) -> None:
    unbind(link(desk), BELL).apply(desk)
    (folder / "bindings.toml").write_text(PROFILE + "# theirs\n", "utf-8")
    desk.save()

    desk.keep_mine("harbour-desk")

    assert desk.save().written == ("harbour-desk",)
    assert "theirs" not in (folder / "bindings.toml").read_text("utf-8")


def test_taking_theirs_can_be_taken_back(desk: Desk, folder: Path) -> None:
    unbind(link(desk), BELL).apply(desk)
    mine = desk.text("harbour-desk")
    theirs = PROFILE + "# theirs\n"
    (folder / "bindings.toml").write_text(theirs, "utf-8")

    assert desk.take_theirs("harbour-desk")

    assert desk.dirty == ()
    assert desk.text("harbour-desk") == theirs
    desk.undo()
    assert desk.text("harbour-desk") == mine


def test_changes_from_outside_are_taken_in_and_unsaved_edits_stay(desk: Desk, folder: Path) -> None:
    unbind(link(desk), BELL).apply(desk)
    tram = folder / "tram-bindings.toml"
    tram.write_text(tram.read_text("utf-8") + 'horn = "ring-bell"\n', "utf-8")

    news = desk.take_in(load_library(folder))

    assert (news.taken, news.clashes) == (("tramway-desk",), ())
    assert len(link_of(desk.library, "tramway-desk").bound) == 2
    assert does(desk, BELL) == []


def test_a_change_from_outside_to_an_edited_file_clashes(desk: Desk, folder: Path) -> None:
    unbind(link(desk), BELL).apply(desk)
    (folder / "bindings.toml").write_text(PROFILE + "# theirs\n", "utf-8")

    news = desk.take_in(load_library(folder))

    assert (news.taken, news.clashes) == ((), ("harbour-desk",))
    assert does(desk, BELL) == []


def test_own_saves_are_no_news(desk: Desk, folder: Path) -> None:
    unbind(link(desk), BELL).apply(desk)
    desk.save()
    news = desk.take_in(load_library(folder))
    assert (news.taken, news.clashes) == ((), ())


def test_an_old_state_after_taking_in_is_still_an_edit(desk: Desk, folder: Path) -> None:
    unbind(link(desk), BELL).apply(desk)
    desk.save()
    path = folder / "bindings.toml"
    path.write_text(path.read_text("utf-8") + "# theirs\n", "utf-8")
    desk.take_in(load_library(folder))
    assert desk.text("harbour-desk").endswith("# theirs\n")

    desk.undo()
    desk.undo()

    assert desk.text("harbour-desk") == PROFILE
    assert desk.dirty == ("harbour-desk",)


def test_files_of_other_formats_are_read_only_and_say_so(tmp_path: Path) -> None:
    folder = write_desk(tmp_path / "library")
    (folder / "bindings.toml").unlink()
    (folder / "bindings.yaml").write_text(
        "format: 1\nprofile:\n  id: harbour-desk\n  application: harbour\n  device: desk\n"
        "bindings:\n  horn: sound-horn\n",
        "utf-8",
    )
    desk = Desk(load_library(folder))

    assert desk.why_read_only("harbour-desk") == (
        "bindings.yaml is YAML, and only TOML is changed in place. Read-only here; "
        "`platebook convert bindings.yaml --to toml` makes it editable."
    )
    with pytest.raises(EditError, match="convert it to TOML first"):
        unbind(link(desk), HORN).apply(desk)


def test_unsaved_work_is_taken_up_again(desk: Desk, folder: Path) -> None:
    unbind(link(desk), BELL).apply(desk)
    work = desk.unsaved()

    later = Desk(load_library(folder))
    assert later.restore(work) == ()

    assert later.text("harbour-desk") == desk.text("harbour-desk")
    assert later.save().written == ("harbour-desk",)


def test_unsaved_work_on_a_file_changed_since_clashes_at_the_save(desk: Desk, folder: Path) -> None:
    unbind(link(desk), BELL).apply(desk)
    work = desk.unsaved()
    (folder / "bindings.toml").write_text(PROFILE + "# theirs\n", "utf-8")

    later = Desk(load_library(folder))
    later.restore(work)

    assert later.save().clashes == ("harbour-desk",)


def test_a_place_is_that_of_the_text_on_the_screen(desk: Desk) -> None:
    finding = next(one for one in run_checks(desk.library).findings if one.code == "must-unbound")
    bind(link(desk), SPARE, "take-job").apply(desk)
    place = desk.locate(finding.spot._replace(path=("bindings", "spare")))
    assert place is not None
    assert place.line == PROFILE.count("\n") + 1


@settings(max_examples=25, deadline=None)
@given(st.data())
def test_undo_returns_to_the_start_from_anywhere(data: st.DataObject) -> None:
    """Whatever is done, in whatever order, all of it can be taken back and made again."""
    with TemporaryDirectory() as place:
        desk = Desk(load_library(write_desk(Path(place) / "library")))
        edit_at_random(desk, data)


def edit_at_random(desk: Desk, data: st.DataObject) -> None:
    start = {name: desk.text(name) for name in ("desk", "harbour-desk")}
    slots, actions = (HORN, BELL, SPARE), ("sound-horn", "ring-bell", "take-job")
    for _ in range(data.draw(st.integers(1, 8))):
        slot, other = data.draw(st.sampled_from(slots)), data.draw(st.sampled_from(slots))
        edits = [
            bind(link(desk), slot, data.draw(st.sampled_from(actions))),
            unbind(link(desk), slot),
            swap(link(desk), slot, other),
            move("desk", "horn", (data.draw(st.integers(10, 90)), 20.0)),
        ]
        try:
            data.draw(st.sampled_from(edits)).apply(desk)
        except EditError:
            continue
    end = {name: desk.text(name) for name in start}
    while desk.undo():
        pass
    assert {name: desk.text(name) for name in start} == start
    assert desk.dirty == ()
    while desk.redo():
        pass
    assert {name: desk.text(name) for name in start} == end
