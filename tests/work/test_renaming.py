"""A document renamed with all that names it, or deleted: one change, undone at once."""

from pathlib import Path

import pytest

from profiles.checks.registry import run_checks
from profiles.files.library import load_library
from profiles.files.save import SaveError
from profiles.files.toml_edit import EditError
from profiles.work.copy import WorkingCopy
from profiles.work.forms import DocumentForm
from profiles.work.renaming import delete_document, rename_document
from tests.work.libraries import copy_example


@pytest.fixture(scope="module")
def harbour(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The bundled harbour, which tests read only."""
    return copy_example("harbour", tmp_path_factory.mktemp("bundled") / "harbour")


@pytest.mark.parametrize(
    ("old", "naming"),
    [
        (
            "helm-desk",
            {"brackwater-bridge", "cobblegate-on-helm-desk", "ninefold-on-helm-desk", "ninefold"},
        ),
        ("brackwater", {"brackwater-bridge"}),
        ("ninefold", {"ninefold-on-helm-desk"}),
        ("cobblegate-on-helm-desk", set()),
    ],
)
def test_all_that_names_a_document_follows_it_and_undo_takes_it_back(
    harbour: Path, old: str, naming: set[str]
) -> None:
    copy = WorkingCopy(load_library(harbour))
    before = copy.library
    edit = rename_document(before, old, "anew")

    assert edit.apply(copy)
    assert {one.partition(" ")[0].strip("`") for one in edit.effects} >= naming
    assert old not in copy.library.documents
    assert copy.library.documents.keys() == before.documents.keys() - {old} | {"anew"}
    assert not any(link.loose for link in copy.library.links)
    assert not run_checks(copy.library).findings
    assert copy.undo()
    assert copy.library.documents == before.documents
    assert copy.dirty == ()
    assert copy.redo()
    assert "anew" in copy.library.documents


def test_a_renamed_document_is_saved_in_a_file_of_its_id_and_found_again(folder: Path) -> None:
    copy = WorkingCopy(load_library(folder))
    rename_document(copy.library, "desk", "bench").apply(copy)
    saved = copy.save()

    assert not saved.failures
    assert not saved.clashes
    files = {path.name for path in folder.glob("*.toml")}
    assert "bench.toml" in files
    again = load_library(folder)
    assert again.problems == ()
    assert again.library.documents.keys() == copy.library.documents.keys()
    assert "# A small desk." in (folder / "bench.toml").read_text("utf-8")
    copy.take_in(again)
    assert copy.dirty == ()
    copy.undo()
    assert not copy.save().failures
    assert load_library(folder).library.documents.keys() >= {"desk"}
    assert not (folder / "bench.toml").exists()


@pytest.mark.parametrize("fails", ["replace_file", "create_file", "remove_file"])
def test_a_renamed_document_has_a_file_whatever_cannot_be_written(
    folder: Path, monkeypatch: pytest.MonkeyPatch, fails: str
) -> None:
    """A full disk takes no new file, but would let the old one go."""
    copy = WorkingCopy(load_library(folder))
    rename_document(copy.library, "desk", "bench").apply(copy)

    def refuse(path: Path, *_: object) -> bytes:
        raise SaveError(f"`{path.name}` cannot be written: no space left on device")

    with monkeypatch.context() as full:
        full.setattr(f"profiles.work.copy.{fails}", refuse)
        assert copy.save().failures
    here = {path.name for path in folder.glob("*.toml")}
    assert ("desk.toml" in here, "bench.toml" in here) == (True, fails == "remove_file")
    assert not copy.save().failures
    assert {path.name for path in folder.glob("*.toml")} == here - {"desk.toml"} | {"bench.toml"}
    assert load_library(folder).library.documents.keys() == copy.library.documents.keys()


def test_a_deleted_document_goes_with_its_file_and_comes_back(folder: Path) -> None:
    copy = WorkingCopy(load_library(folder))
    edit = delete_document(copy.library, "harbour")
    assert "`harbour-desk` names `harbour`, which then leads nowhere" in edit.effects
    assert edit.effects[-1] == "its 5 actions go with it"

    edit.apply(copy)
    copy.save()
    assert "harbour" not in load_library(folder).library.documents
    copy.undo()
    copy.save()
    assert "harbour" in load_library(folder).library.documents


@pytest.mark.parametrize(
    ("old", "new", "words"),
    [
        ("desk", "desk", "`desk` has this id already"),
        ("desk", "harbour", "id `harbour` is taken in this library; choose another"),
        ("desk", "Harbour", "id `Harbour` is taken in this library; choose another"),
        ("dusk", "x", "the library has no document `dusk` that can be used"),
        (
            "desk",
            "a b",
            "`a-b.toml` would not be sound: `device.id` must be letters, digits, `-` and `_` only",
        ),
    ],
)
def test_what_cannot_be_renamed_so_is_told_and_nothing_changes(
    copy: WorkingCopy, old: str, new: str, words: str
) -> None:
    before = copy.library
    with pytest.raises(EditError) as told:
        rename_document(before, old, new).apply(copy)
    assert str(told.value) == words
    assert copy.library is before
    assert copy.dirty == ()


def test_unsaved_work_of_a_renamed_document_is_taken_up_again(tmp_path: Path) -> None:
    loaded = load_library(copy_example("harbour", tmp_path / "harbour"))
    copy, later = WorkingCopy(loaded), WorkingCopy(loaded)
    for old in ("ninefold", "cobblegate", "helm-desk"):
        rename_document(copy.library, old, f"{old}-anew").apply(copy)
    assert later.restore(copy.unsaved()) == ()
    assert later.library.documents == copy.library.documents
    assert {later.path(one).name for one in later.dirty} == {
        copy.path(one).name for one in copy.dirty
    }


def test_a_file_that_is_there_is_not_written_over(copy: WorkingCopy, folder: Path) -> None:
    (folder / "bench.toml").write_text("mine\n", "utf-8")
    with pytest.raises(EditError, match=r"^`bench\.toml` is there already; choose another id$"):
        rename_document(copy.library, "desk", "bench").apply(copy)
    (folder / "bench.toml").unlink()
    rename_document(copy.library, "desk", "bench").apply(copy)
    assert copy.dirty == ("bench", "desk", "harbour-desk", "tramway-desk")


def test_a_renamed_document_is_renamed_back_and_goes_on_in_its_file_whatever_its_name(
    copy: WorkingCopy, folder: Path
) -> None:
    """Before anything is saved; `harbour-desk` is in a file of another name."""
    assert copy.path("harbour-desk").name == "bindings.toml"
    before = copy.library
    rename_document(before, "harbour-desk", "pier").apply(copy)
    rename_document(copy.library, "pier", "harbour-desk").apply(copy)
    assert copy.dirty == ()
    assert copy.library.documents == before.documents
    copy.undo()
    assert "pier" in copy.library.profiles
    assert copy.save().failures == ()
    assert not (folder / "bindings.toml").exists()
    copy.redo()
    assert copy.save().failures == ()
    assert not (folder / "pier.toml").exists()
    assert load_library(folder).library.documents.keys() == before.documents.keys()


def test_the_id_in_a_form_is_changed_everywhere(copy: WorkingCopy) -> None:
    form = DocumentForm.of(copy, "desk")
    form.set(("device", "id"), "bench").apply(copy)
    assert copy.library.profiles["harbour-desk"].device_ids == ("bench",)


def test_a_part_and_its_devices(folder: Path) -> None:
    (folder / "knob.toml").write_text(
        'format = 1\n[part]\nid = "knob"\nkind = "momentary"\nhole = 16.2\n', "utf-8"
    )
    desk = next(path for path in folder.glob("*.toml") if "[device]" in path.read_text("utf-8"))
    text = desk.read_text("utf-8")
    desk.write_text(text.replace('label = "HORN"', 'label = "HORN"\npart = "knob"'), "utf-8")
    copy = WorkingCopy(load_library(folder))
    assert not copy.problems
    rename_document(copy.library, "knob", "cap").apply(copy)
    assert copy.library.devices["desk"].controls["horn"].part == "cap"
    with pytest.raises(EditError):
        delete_document(copy.library, "cap").apply(copy)


def test_a_profile_that_is_named_by_what_it_binds_keeps_its_id(harbour: Path) -> None:
    copy = WorkingCopy(load_library(harbour))
    form = DocumentForm.of(copy, "ninefold-on-helm-desk")
    assert form.set(("profile", "device"), "lookout-box").apply(copy)
    profile = copy.library.profiles["ninefold-on-helm-desk"]
    assert (profile.profile.id, profile.device_ids) == (profile.id, ("lookout-box",))
    assert copy.undo()
    assert copy.dirty == ()


@pytest.mark.parametrize("example", ["harbour", "boatyard"])
def test_no_comment_of_an_example_denies_the_id_that_an_edit_writes(
    tmp_path: Path, example: str
) -> None:
    """The id of a profile that has none is written out where another name would change it."""
    copy = WorkingCopy(load_library(copy_example(example, tmp_path / example)))
    for application in list(copy.library.applications):
        rename_document(copy.library, application, f"{application}-2").apply(copy)
    for profile in copy.library.profiles:
        assert "no id" not in copy.text(profile)
