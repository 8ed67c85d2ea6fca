"""Two windows on one library: nothing of either is lost, and only the same key asks."""

import random
import re
import shutil
import tomllib
from collections.abc import Callable, Iterator
from functools import partial
from pathlib import Path

import pytest

from profiles.files.library import load_library
from profiles.files.toml_edit import EditError
from profiles.model import (
    SETTINGS_NAME,
    Application,
    Device,
    DeviceContact,
    Finding,
    Library,
    Profile,
    Spot,
)
from profiles.work.controls import move
from profiles.work.copy import WorkingCopy
from profiles.work.edits import Slot, bind, link_of, unbind
from profiles.work.open_files import OpenFiles
from profiles.work.remedies import accept
from tests.work.libraries import DEVICE, EXAMPLES, PROFILE

HORN = Slot((), DeviceContact("desk", "horn", "press"))
BELL = Slot((), DeviceContact("desk", "bell", "press"))
SPARE = Slot((), DeviceContact("desk", "spare", "press"))


def link(copy: WorkingCopy):  # type: ignore[no-untyped-def]
    return link_of(copy.library, "harbour-desk")


def write(folder: Path, old: str, new: str, name: str = "bindings.toml") -> str:
    """Change a file as another program would; returns its new text."""
    path = folder / name
    text = path.read_text("utf-8").replace(old, new)
    path.write_text(text, "utf-8")
    return text


def on_disk(folder: Path, name: str = "bindings.toml") -> str:
    return (folder / name).read_text("utf-8")


def test_what_others_wrote_stays_after_taking_it_and_undoing_that(
    copy: WorkingCopy, folder: Path
) -> None:
    """Edit, changed outside, take theirs, undo, save: theirs is not lost, and mine is asked for."""
    bind(link(copy), HORN, "drop-anchor").apply(copy)
    theirs = write(folder, '"sound-horn"', '"take-job"')
    assert copy.save().clashes == ("harbour-desk",)
    assert copy.settle("harbour-desk", "theirs")
    assert (copy.dirty, copy.text("harbour-desk")) == ((), theirs)

    copy.undo()

    assert 'horn = "drop-anchor"' in copy.text("harbour-desk")
    assert copy.dirty == ("harbour-desk",)
    saved = copy.save()
    assert (saved.written, saved.clashes) == ((), ("harbour-desk",))
    assert on_disk(folder) == theirs


def test_reading_a_file_again_can_be_taken_back_and_loses_nothing(
    copy: WorkingCopy, folder: Path
) -> None:
    unbind(link(copy), BELL).apply(copy)
    write(folder, "the big one", "the small one")
    assert copy.settle("harbour-desk", "disk")
    assert 'bell = "ring-bell"' in copy.text("harbour-desk")

    copy.undo()
    assert copy.save().written == ("harbour-desk",)

    assert on_disk(folder) == PROFILE.replace("the big one", "the small one").replace(
        'bell = "ring-bell"\n', ""
    )


def test_different_keys_are_merged_at_the_save(copy: WorkingCopy, folder: Path) -> None:
    """Theirs with its comments, and my change in it."""
    bind(link(copy), HORN, "drop-anchor").apply(copy)
    write(folder, 'lamp = "deck-light"', 'lamp = "take-job"   # by night\nspare = "ring-bell"')

    saved = copy.save()

    assert (saved.written, saved.merged, saved.clashes) == (
        ("harbour-desk",),
        ("harbour-desk",),
        (),
    )
    expected = PROFILE.replace('"sound-horn"', '"drop-anchor"').replace(
        'lamp = "deck-light"', 'lamp = "take-job"   # by night\nspare = "ring-bell"'
    )
    assert on_disk(folder) == expected
    assert copy.text("harbour-desk") == expected
    assert copy.dirty == ()


def test_after_a_merge_undo_takes_back_only_what_is_mine(copy: WorkingCopy, folder: Path) -> None:
    bind(link(copy), HORN, "drop-anchor").apply(copy)
    theirs = write(folder, 'bell = "ring-bell"', 'bell = "take-job"')
    copy.save()

    copy.undo()
    assert copy.text("harbour-desk") == theirs
    assert copy.save().written == ("harbour-desk",)
    assert on_disk(folder) == theirs

    copy.redo()
    assert copy.text("harbour-desk") == theirs.replace("sound-horn", "drop-anchor")


def test_undo_brings_a_line_back_with_its_comment_after_a_merge(
    copy: WorkingCopy, folder: Path
) -> None:
    unbind(link(copy), HORN).apply(copy)
    theirs = write(folder, 'lamp = "deck-light"', 'lamp = "take-job"')
    copy.save()
    assert "the big one" not in on_disk(folder)

    copy.undo()
    copy.save()

    assert on_disk(folder) == theirs


def test_the_same_key_asks_and_names_both_values(copy: WorkingCopy, folder: Path) -> None:
    bind(link(copy), HORN, "drop-anchor").apply(copy)
    theirs = write(folder, '"sound-horn"', '"take-job"')

    assert copy.save().clashes == ("harbour-desk",)

    assert on_disk(folder) == theirs
    assert copy.describe_clash("harbour-desk") == [
        'bindings.horn: here "drop-anchor", on disk "take-job"'
    ]


@pytest.mark.parametrize("mine_wins", [True, False])
def test_a_decided_clash_keeps_everything_else_of_both(
    copy: WorkingCopy, folder: Path, mine_wins: bool
) -> None:
    bind(link(copy), HORN, "drop-anchor").apply(copy)
    unbind(link(copy), BELL).apply(copy)
    theirs = write(folder, '"sound-horn"', '"take-job"')
    theirs = write(folder, 'lamp = "deck-light"', "# no lamp")
    assert copy.save().clashes == ("harbour-desk",)

    copy.settle("harbour-desk", "mine" if mine_wins else "theirs")

    assert copy.save().written == ("harbour-desk",)
    expected = theirs.replace('bell = "ring-bell"\n', "")
    expected = expected.replace("take-job", "drop-anchor" if mine_wins else "take-job")
    assert on_disk(folder) == expected


def test_a_deleted_file_is_reported_as_deleted(copy: WorkingCopy, folder: Path) -> None:
    unbind(link(copy), HORN).apply(copy)
    (folder / "tram-bindings.toml").unlink()
    (folder / "bindings.toml").unlink()

    news = copy.take_in(load_library(folder))

    assert (news.taken, news.deleted, news.clashes) == (
        (),
        ("tramway-desk",),
        ("harbour-desk",),
    )
    assert copy.describe_clash("harbour-desk") == ["The file was deleted on disk."]
    assert set(copy.library.profiles) == {"harbour-desk"}


def test_a_deleted_file_that_was_never_edited_is_named_so(copy: WorkingCopy, folder: Path) -> None:
    (folder / "bindings.toml").unlink()
    with pytest.raises(EditError, match=r"^`bindings\.toml` was deleted on disk$"):
        copy.edit("Add", lambda files: files("harbour-desk").set_binding("spare", "take-job"))


def test_a_file_deleted_after_a_save_goes_and_undo_asks(copy: WorkingCopy, folder: Path) -> None:
    unbind(link(copy), HORN).apply(copy)
    copy.save()
    (folder / "bindings.toml").unlink()

    news = copy.take_in(load_library(folder))

    assert (news.deleted, copy.dirty) == (("harbour-desk",), ())
    assert "harbour-desk" not in copy.library.profiles
    copy.undo()
    assert copy.save().clashes == ("harbour-desk",)
    assert not (folder / "bindings.toml").exists()


def test_a_deleted_file_comes_back_only_when_mine_is_kept(copy: WorkingCopy, folder: Path) -> None:
    unbind(link(copy), HORN).apply(copy)
    (folder / "bindings.toml").unlink()
    assert copy.save().clashes == ("harbour-desk",)

    copy.settle("harbour-desk", "theirs")
    assert copy.dirty == ()
    assert "harbour-desk" not in copy.library.profiles
    with pytest.raises(EditError, match=r"`bindings\.toml` was deleted on disk"):
        copy.edit("Add", lambda files: files("harbour-desk").set_binding("spare", "take-job"))

    copy.undo()
    copy.settle("harbour-desk", "mine")
    assert copy.save().written == ("harbour-desk",)
    assert on_disk(folder) == PROFILE.replace('horn = "sound-horn"   # the big one\n', "")


def test_a_file_broken_outside_is_told_and_not_merged(copy: WorkingCopy, folder: Path) -> None:
    unbind(link(copy), BELL).apply(copy)
    broken = write(folder, "[profile]", "[profile")

    assert copy.save().clashes == ("harbour-desk",)

    assert on_disk(folder) == broken
    (line,) = copy.describe_clash("harbour-desk")
    assert line.startswith("The file on disk cannot be used: ")
    with pytest.raises(EditError):
        copy.settle("harbour-desk", "theirs")
    copy.settle("harbour-desk", "mine")
    copy.save()
    assert on_disk(folder) == PROFILE.replace('bell = "ring-bell"\n', "")


def test_a_file_broken_and_mended_outside_is_merged_then(copy: WorkingCopy, folder: Path) -> None:
    unbind(link(copy), BELL).apply(copy)
    write(folder, "[profile]", "[profile")
    assert copy.take_in(load_library(folder)).clashes == ("harbour-desk",)
    write(folder, "[profile", "[profile]")
    write(folder, "the big one", "the small one")

    assert copy.take_in(load_library(folder)).merged == ("harbour-desk",)

    assert copy.save().written == ("harbour-desk",)
    assert 'bell = "ring-bell"' not in on_disk(folder)
    assert "the small one" in on_disk(folder)


def test_a_change_from_outside_is_merged_into_unsaved_edits(
    copy: WorkingCopy, folder: Path
) -> None:
    unbind(link(copy), BELL).apply(copy)
    write(folder, 'lamp = "deck-light"', 'lamp = "take-job"')

    news = copy.take_in(load_library(folder))

    assert (news.taken, news.merged, news.clashes) == ((), ("harbour-desk",), ())
    assert 'lamp = "take-job"' in copy.text("harbour-desk")
    assert 'bell = "ring-bell"' not in copy.text("harbour-desk")
    copy.undo()
    assert copy.text("harbour-desk") == on_disk(folder)
    assert copy.dirty == ()


def test_unsaved_work_is_merged_with_what_was_changed_since(
    copy: WorkingCopy, folder: Path
) -> None:
    unbind(link(copy), BELL).apply(copy)
    work = copy.unsaved()
    write(folder, "the big one", "the small one")

    later = WorkingCopy(load_library(folder))
    assert later.restore(work) == ()

    assert later.dirty == ("harbour-desk",)
    assert later.save().written == ("harbour-desk",)
    assert 'bell = "ring-bell"' not in on_disk(folder)
    assert "the small one" in on_disk(folder)


def test_unsaved_work_on_a_key_changed_since_asks(copy: WorkingCopy, folder: Path) -> None:
    unbind(link(copy), BELL).apply(copy)
    work = copy.unsaved()
    theirs = write(folder, '"ring-bell"', '"take-job"')

    later = WorkingCopy(load_library(folder))
    later.restore(work)

    assert later.save().clashes == ("harbour-desk",)
    assert later.describe_clash("harbour-desk") == [
        'bindings.bell: here nothing, on disk "take-job"'
    ]
    assert on_disk(folder) == theirs


def test_two_windows_that_each_accept_a_finding_keep_both(folder: Path) -> None:
    """Also where neither had a settings file before."""
    windows = [WorkingCopy(load_library(folder)) for _ in range(2)]
    for number, window in enumerate(windows):
        finding = Finding(f"code-{number}", "note", "m", "r", Spot("desk"))
        accept(finding, f"reason {number}").apply(window)

    assert [window.save().failures for window in windows] == [(), ()]

    text = on_disk(folder, SETTINGS_NAME)
    assert text.count("[[accept]]") == 2
    assert 'reason = "reason 0"' in text
    assert 'reason = "reason 1"' in text


def test_a_control_given_another_id_keeps_what_was_changed_in_it(folder: Path) -> None:
    mine, theirs = (WorkingCopy(load_library(folder)) for _ in range(2))
    mine.edit("Rename", lambda files: files("desk").rename_control("horn", "hooter"))
    move("desk", "horn", (33.0, 60.0)).apply(theirs)

    assert (theirs.save().written, mine.save().written) == (("desk",), ("desk",))

    assert on_disk(folder, "desk.toml") == DEVICE.replace(
        "[controls.horn]", "[controls.hooter]"
    ).replace("[30.0, 65.0]", "[33.0, 60.0]", 1)


Change = Callable[[WorkingCopy], object]


def possible_changes(window: WorkingCopy, rng: random.Random) -> dict[str, Change]:
    """Changes by the key they touch, each with a value of its own."""
    found: dict[str, Change] = {}
    for document in window.loaded.sources:
        for path, value in possible_values(window.library, document, rng):
            found[f"{document} {path}"] = partial(
                set_key, document=document, path=path, value=value
            )
    for number in range(5):
        finding = Finding(f"code-{number}", "note", "m", "r", Spot("x"))
        found[f"accept {number}"] = accept(finding, f"reason {number}").apply
    return found


def possible_values(
    library: Library, document: str, rng: random.Random
) -> Iterator[tuple[tuple[str, ...], object]]:
    """Keys of a document and values to give them; None removes one."""
    word = f"w{rng.randrange(10**6)}"
    value = library.documents.get(document)
    if isinstance(value, Device):
        yield ("device", "name"), word
        for name in value.controls:
            yield ("controls", name, "label"), f"{word} {name}"
            yield ("controls", name, "hole"), rng.randrange(40, 200) / 8
            yield ("controls", name, "position"), [rng.randrange(99) + 0.5, 7.25]
        for number in range(3):
            new = {"kind": "momentary", "label": word, "position": [1.0, 2.0], "hole": 3.5}
            yield ("controls", f"{word}-{number}"), new
    elif isinstance(value, Application):
        for name in value.actions:
            yield ("actions", name, "name"), f"{word} {name}"
    elif isinstance(value, Profile):
        yield ("profile", "name"), word
        application = library.applications.get(value.profile.application)
        known = sorted(application.actions) if application else ["x"]
        for key, _, _ in value.entries:
            yield ("bindings", key), rng.choice([None, *known])


def set_key(window: WorkingCopy, document: str, path: tuple[str, ...], value: object) -> None:
    """Give a key a value; None removes it."""

    def change(files: OpenFiles) -> None:
        files(document).set(path, value) if value is not None else files(document).remove(path)

    window.edit("Change", change)


def files_of(folder: Path) -> dict[str, str]:
    return {path.name: path.read_text("utf-8") for path in sorted(folder.rglob("*.toml"))}


def plain(text: str) -> dict[str, object]:
    """The content of a file, its list of acceptances in any order."""
    content = tomllib.loads(text)
    if "accept" in content:
        content["accept"] = sorted(content["accept"], key=str)
    return content


@pytest.mark.parametrize("seed", range(100))
def test_two_windows_that_change_different_keys_lose_nothing(tmp_path: Path, seed: int) -> None:
    """What one window would have written that made all the changes, comments included."""
    rng = random.Random(seed)
    source = EXAMPLES / rng.choice(["harbour", "faulty"])
    shared, alone = (Path(shutil.copytree(source, tmp_path / name)) for name in ("two", "one"))
    both = WorkingCopy(load_library(alone))
    changes = possible_changes(both, rng)
    keys = rng.sample(sorted(changes), 8)
    windows = [WorkingCopy(load_library(shared)) for _ in range(2)]
    for at, key in enumerate(keys):
        changes[key](windows[at % 2])
        changes[key](both)

    saved = [window.save() for window in windows]
    both.save()

    assert [(one.clashes, one.failures) for one in saved] == [((), ()), ((), ())]
    merged, wanted = files_of(shared), files_of(alone)
    assert merged.keys() == wanted.keys()
    for name, text in merged.items():
        assert plain(text) == plain(wanted[name]), name
        assert sorted(COMMENT.findall(text)) == sorted(COMMENT.findall(wanted[name])), name


COMMENT = re.compile(r"#.*")
