"""What `new` writes beside the lines of a profile stays true; what others wrote is not touched."""

from pathlib import Path

import pytest

from profiles.files.library import load_library
from profiles.model import DeviceContact
from profiles.work.beginning import begin, list_questions
from profiles.work.bulk import number_labels
from profiles.work.controls import change_fields, delete, fields_of, renumber
from profiles.work.copy import WorkingCopy
from profiles.work.edits import Slot, bind, link_of, swap, unbind
from profiles.work.forms import DocumentForm
from profiles.work.renaming import rename_document
from tests.work.libraries import write_desk

LINES = """[bindings]
horn = "sound-horn"  # HORN, input 1
# bell = ""  # BELL, input 2
"""


@pytest.fixture
def copy(tmp_path: Path) -> WorkingCopy:
    """A desk with a profile begun for it; the horn is bound."""
    folder = write_desk(tmp_path / "library")
    path = folder / "harbour.toml"
    text = path.read_text("utf-8")
    path.write_text("".join(one for one in text.splitlines(True) if one[:6] != "legend"), "utf-8")
    copy = WorkingCopy(load_library(tmp_path / "library"))
    answers = {one.name: one.first for one in list_questions(copy, "profile", "desk")}
    begin(copy, "profile", answers | {"id": "mine", "application": "harbour"})
    link = link_of(copy.library, "mine")
    bind(link, slot(copy, "horn"), "sound-horn").apply(copy)
    assert LINES in copy.text("mine")
    return copy


def slot(copy: WorkingCopy, control: str) -> Slot:
    (device,) = link_of(copy.library, "mine").devices
    return Slot((), DeviceContact(device.id, control, device.controls[control].contacts[0]))


def test_labels_and_numbers_are_true_after_they_changed_and_after_undo(copy: WorkingCopy) -> None:
    """Of bound and of unbound contacts, however the change was made."""
    before = copy.text("mine")
    fields = fields_of(copy.library.devices["desk"], "horn")
    change_fields(copy.library, "desk", "horn", fields | {"label": "SIREN"}).apply(copy)
    assert set(copy.past[-1].touched) == {"desk", "mine"}
    renumber(copy.library, "desk", "bell", {"press": 12}).apply(copy)
    assert 'horn = "sound-horn"  # SIREN, input 1\n# bell = ""  # BELL, input 12' in copy.text(
        "mine"
    )
    number_labels(copy.library.devices["desk"], ["bell", "horn"], 7, "B#").apply(copy)
    assert 'horn = "sound-horn"  # B8, input 1\n# bell = ""  # B7, input 12' in copy.text("mine")
    DocumentForm.of(copy, "desk").set(("controls", "bell", "label"), "GONG").apply(copy)
    assert '# bell = ""  # GONG, input 12' in copy.text("mine")
    for _ in range(4):
        copy.undo()
    assert copy.text("mine") == before


def test_a_control_of_another_id_or_none_keeps_no_line_of_its_own(copy: WorkingCopy) -> None:
    fields = fields_of(copy.library.devices["desk"], "bell")
    change_fields(copy.library, "desk", "bell", fields | {"id": "gong"}).apply(copy)
    assert '# gong = ""  # BELL, input 2' in copy.text("mine")
    rename_document(copy.library, "desk", "bench").apply(copy)
    assert LINES.replace("bell", "gong") in copy.text("mine")
    delete(copy.library, "bench", "gong").apply(copy)
    assert "BELL" not in copy.text("mine")
    assert "gong" not in copy.text("mine")


def test_a_line_that_changes_its_contact_says_which_it_is_now(copy: WorkingCopy) -> None:
    """And the line kept ready for that one is kept for the other."""
    swap(link_of(copy.library, "mine"), slot(copy, "horn"), slot(copy, "bell")).apply(copy)
    moved = LINES.replace(
        'horn = "sound-horn"  # HORN, input 1', 'bell = "sound-horn"  # BELL, input 2'
    )
    ready = '# bell = ""  # BELL, input 2', '# horn = ""  # HORN, input 1'
    assert moved.replace(*ready) in copy.text("mine")
    swap(link_of(copy.library, "mine"), slot(copy, "bell"), slot(copy, "horn")).apply(copy)
    assert LINES in copy.text("mine")


def test_the_list_of_what_is_still_to_bind_is_true_after_any_change(copy: WorkingCopy) -> None:
    line = "#   ring-bell: Ring the bell (may, pulse, signals)\n"
    assert line in copy.text("mine")
    assert "#   sound-horn" not in copy.text("mine")
    unbind(link_of(copy.library, "mine"), slot(copy, "horn")).apply(copy)
    assert "# Still to bind:\n#   sound-horn: Sound the horn (must" in copy.text("mine")
    form = DocumentForm.of(copy, "harbour")
    form.rename(("actions", "ring-bell"), "strike").apply(copy)
    assert "#   strike: Ring the bell (may, pulse, signals)\n" in copy.text("mine")
    DocumentForm.of(copy, "harbour").set(("actions", "strike", "need"), "must").apply(copy)
    assert "#   strike: Ring the bell (must, pulse, signals)\n" in copy.text("mine")
    DocumentForm.of(copy, "harbour").remove(("actions", "strike")).apply(copy)
    assert "strike" not in copy.text("mine")


@pytest.mark.parametrize(
    ("ours", "theirs"),
    [
        ("# HORN, input 1", "# HORN, input 1, the big one"),
        ("# HORN, input 1", "# the big one"),
        ('"sound-horn"  #', '"sound-horn"   #'),
        ("# Still to bind:", "# Still to bind: first these"),
        ("#   ring-bell: Ring", "#   ring-bell: one day: Ring"),
    ],
)
def test_what_others_wrote_is_not_touched(copy: WorkingCopy, ours: str, theirs: str) -> None:
    copy.save()
    path = copy.path("mine")
    path.write_text(path.read_text("utf-8").replace(ours, theirs), "utf-8")
    again = WorkingCopy(load_library(copy.loaded.folder))
    number_labels(again.library.devices["desk"], ["horn"], 1, "B#").apply(again)
    DocumentForm.of(again, "harbour").set(("actions", "ring-bell", "need"), "must").apply(again)
    assert theirs in again.text("mine")


def test_a_line_within_a_text_is_no_comment(copy: WorkingCopy) -> None:
    """Of several lines (TOML 1.0.0, String), it looks like one."""
    copy.save()
    path, line = copy.path("mine"), 'bell = "x"  # BELL, input 2'
    text = path.read_text("utf-8")
    path.write_text(text.replace("[bindings]", f'note = """\n{line}\n"""\n[bindings]'), "utf-8")
    again = WorkingCopy(load_library(copy.loaded.folder))
    assert again.problems == ()
    number_labels(again.library.devices["desk"], ["bell"], 1, "B#").apply(again)
    assert line in again.text("mine")
