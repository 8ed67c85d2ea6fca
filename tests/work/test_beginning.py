"""Documents begun in the working copy: nothing is written before a save, and undo takes them."""

from pathlib import Path

import pytest

from profiles.files.convert import convert_file
from profiles.files.library import load_library
from profiles.files.toml_edit import EditError
from profiles.work.beginning import (
    KINDS,
    AnswerError,
    begin,
    find_next_step,
    list_questions,
)
from profiles.work.copy import WorkingCopy
from tests.work.libraries import copy_example


def answer(copy: WorkingCopy, kind: str, **given: str) -> dict[str, str]:
    return {one.name: one.first for one in list_questions(copy, kind, "desk")} | given  # type: ignore[arg-type]


def test_what_is_begun_is_there_at_once_and_written_by_a_save(
    copy: WorkingCopy, folder: Path
) -> None:
    given = answer(copy, "application", name="Quarry", actions="Horn\nBell")
    assert begin(copy, "application", given) == ("quarry", ())
    assert copy.library.applications["quarry"].name == "Quarry"
    assert copy.dirty == ("quarry",)
    assert not (folder / "quarry.toml").exists()

    assert copy.save().written == ("quarry",)
    assert load_library(folder).library.applications["quarry"].actions.keys() == {"horn", "bell"}


def test_undo_takes_what_was_begun_and_a_save_its_file(copy: WorkingCopy, folder: Path) -> None:
    begin(copy, "part", answer(copy, "part", name="Knob"))
    copy.save()
    step = copy.undo()
    assert step is not None
    assert step.words == "Start knob.toml"
    assert "knob" not in copy.library.documents

    copy.save()
    assert not (folder / "knob.toml").exists()
    copy.redo()
    copy.save()
    assert "knob" in load_library(folder).library.documents


def test_a_file_that_was_changed_since_is_not_removed_with_its_beginning(
    copy: WorkingCopy, folder: Path
) -> None:
    begin(copy, "part", answer(copy, "part", name="Knob"))
    copy.save()
    copy.undo()
    path = folder / "knob.toml"
    path.write_text(path.read_text("utf-8") + "# mine\n", "utf-8")
    assert copy.save().written == ()
    assert path.read_text("utf-8").endswith("# mine\n")


@pytest.mark.parametrize("kind", KINDS)
def test_each_kind_begins_from_few_answers_and_is_sound(
    copy: WorkingCopy, folder: Path, kind: str
) -> None:
    document, _ = begin(copy, kind, answer(copy, kind, name="New one", actions="Horn"))  # type: ignore[arg-type]
    copy.save()
    loaded = load_library(folder)
    assert loaded.problems == ()
    assert loaded.sources[document].kind == kind


@pytest.mark.parametrize("kind", ["device", "application"])
def test_a_copy_keeps_all_but_id_and_name(copy: WorkingCopy, kind: str) -> None:
    like = {"device": "desk", "application": "harbour"}[kind]
    begin(copy, kind, answer(copy, kind, name="Second", like=like))  # type: ignore[arg-type]
    old, new = (copy.library.documents[one].plain() for one in (like, "second"))
    assert new == {**old, kind: {**old[kind], "id": "second", "name": "Second"}}
    assert copy.text("second").count("#") == copy.text(like).count("#")


def test_new_files_go_where_those_of_their_kind_are(tmp_path: Path) -> None:
    """YAML is copied too, as TOML."""
    folder = copy_example("harbour", tmp_path / "harbour")
    copy = WorkingCopy(load_library(folder))
    begin(copy, "profile", answer(copy, "profile", name="Ninth"))
    begin(copy, "application", answer(copy, "application", name="Tenfold", like="ninefold"))
    assert copy.path("ninth") == folder / "profiles" / "ninth.toml"
    assert copy.path("tenfold") == folder / "applications" / "tenfold.toml"
    new, old = (copy.library.applications[one] for one in ("tenfold", "ninefold"))
    assert new.actions == old.actions


def test_what_a_copy_of_yaml_cannot_keep_is_told(tmp_path: Path) -> None:
    """As `platebook convert` tells it; the line by which editors find the schema stays."""
    folder = copy_example("harbour", tmp_path / "harbour")
    copy = WorkingCopy(load_library(folder))
    given = answer(copy, "application", name="Tenfold", like="ninefold")
    _, notes = begin(copy, "application", given)
    assert notes == convert_file(copy.path("ninefold"), "toml").notes
    assert len(notes) == 1
    assert copy.text("tenfold").startswith("#:schema ../../../schemas/application.schema.json\n")


@pytest.mark.parametrize(
    ("kind", "given", "question", "message"),
    [
        ("part", {}, "name", "Give a name of at least one letter."),
        ("part", {"name": "A", "id": "a b"}, "id", "id `a b` is no id: write letters, digits, "
         "`-` and `_`, at most 64"),
        ("part", {"name": "A", "id": "desk"}, "id", "id `desk` is taken in this library; choose "
         "another"),
        ("device", {"name": "A", "grid": "5"}, "grid", "`5` is no grid of 1 to 512 controls. Write "
         "controls in a row, then rows, such as 5x4."),
        ("device", {"name": "A", "rows": "3x!"}, "rows", "`3x!` is no part of a row. Write parts "
         "with commas between, such as 3xpush-16,rotary-7."),
        ("device", {"name": "A", "pitch": "wide"}, "pitch", "`wide` is no pitch in mm. Write it "
         "such as 35, or 35x30."),
        ("application", {"name": "A"}, "actions", "the list names no action. Write one name a "
         "line."),
        ("profile", {"application": ""}, "application", "The library has no application yet; "
         "start one first."),
    ],
)  # fmt: skip
def test_what_cannot_be_used_is_told_of_its_question(
    copy: WorkingCopy, kind: str, given: dict[str, str], question: str, message: str
) -> None:
    with pytest.raises(AnswerError) as caught:
        begin(copy, kind, answer(copy, kind, **given))  # type: ignore[arg-type]
    assert (caught.value.question, str(caught.value)) == (question, message)
    assert copy.past == []


def test_a_file_that_is_there_is_not_written_over(copy: WorkingCopy, folder: Path) -> None:
    (folder / "knob.toml").write_text("mine", "utf-8")
    with pytest.raises(EditError, match=r"`knob.toml` is there already; choose another id"):
        begin(copy, "part", answer(copy, "part", name="Knob"))


def test_what_was_begun_and_not_saved_is_taken_up_again(copy: WorkingCopy, folder: Path) -> None:
    begin(copy, "part", answer(copy, "part", name="Knob"))
    work = copy.unsaved()

    again = WorkingCopy(load_library(folder))
    assert again.restore(work) == ()
    assert again.dirty == ("knob",)
    assert again.text("knob") == copy.text("knob")


def test_the_way_to_a_whole_box_is_told_step_by_step(tmp_path: Path) -> None:
    copy = WorkingCopy(load_library(tmp_path))
    seen = []
    while following := find_next_step(copy.library, "desk"):
        seen.append(following.kind)
        given = answer(copy, following.kind, name=following.kind, actions="Horn", id="")
        begin(copy, following.kind, given | ({"id": "desk"} if len(seen) == 1 else {}))
    assert seen == ["device", "application", "profile"]
