"""Long sessions: after many edits and checks the screen says what a fresh `check` says.

All of it: every finding, its message, remedy and place, in the same order; of each profile alone
what a check says of a library that holds nothing else.
"""

import json
import random
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

from profiles.checks.registry import run_checks
from profiles.files.form import read_typed
from profiles.files.library import load_library
from profiles.files.places import KeyPath
from profiles.files.toml_edit import EditError
from profiles.model import Device, DeviceContact, Finding
from profiles.tui.session import Session
from profiles.work import bulk, controls, edits
from profiles.work.arranging import arrange_controls, read_steps
from profiles.work.forms import DocumentForm
from profiles.work.judge import check_alone
from profiles.work.remedies import accept, find_remedy
from profiles.work.renaming import rename_document
from tests.tui.desks import copy_example

EDITS, SAVES = 24, 3

Make = Callable[[random.Random, Session], edits.Edit | None]


def choose_device(chance: random.Random, session: Session) -> Device:
    return chance.choice([one for one in session.library.devices.values() if one.controls])


def choose_control(chance: random.Random, session: Session) -> tuple[Device, str]:
    device = choose_device(chance, session)
    return device, chance.choice([*device.controls])


def choose_slot(chance: random.Random, device: Device, held: int) -> edits.Slot:
    names = [DeviceContact(device.id, key, one) for key, value in device.controls.items()
             for one in value.contacts]  # fmt: skip
    *first, last = chance.sample(names, min(held + 1, len(names)))
    return edits.Slot(tuple(first), last)


def bind(chance: random.Random, session: Session) -> edits.Edit | None:
    link = edits.link_of(session.library, chance.choice([*session.library.profiles]))
    if not link.devices or link.application is None:
        return None
    slot = choose_slot(chance, chance.choice(link.devices), chance.choice((0, 0, 1)))
    action = chance.choice([*link.application.actions, "nothing-known"])
    return edits.bind(link, slot, action, beside=chance.random() < 0.3)


def unbind(chance: random.Random, session: Session) -> edits.Edit | None:
    link = edits.link_of(session.library, chance.choice([*session.library.profiles]))
    if not link.bound:
        return None
    one = chance.choice(link.bound)
    if chance.random() < 0.5:
        return edits.set_legend(link, edits.Slot(one.held, one.acting), one.action_id, "A LONG ONE")
    return edits.unbind(link, edits.Slot(one.held, one.acting))


def swap(chance: random.Random, session: Session) -> edits.Edit | None:
    link = edits.link_of(session.library, chance.choice([*session.library.profiles]))
    if not link.devices:
        return None
    device = chance.choice(link.devices)
    return edits.swap_controls(
        link, choose_slot(chance, device, 0).acting, choose_slot(chance, device, 0).acting
    )


def move(chance: random.Random, session: Session) -> edits.Edit:
    """Anywhere, over others and over the edge too."""
    device, control = choose_control(chance, session)
    at = chance.uniform(-5, device.plate.width + 5), chance.uniform(-5, device.plate.height + 5)
    return controls.move(device.id, control, at)


def arrange(chance: random.Random, session: Session) -> edits.Edit:
    device, _ = choose_control(chance, session)
    some = chance.sample([*device.controls], min(4, len(device.controls)))
    steps = read_steps(None, ["rows"], ["rows"], None, [], "2,1")
    return arrange_controls(device, some, (), steps)[0]


def number(chance: random.Random, session: Session) -> edits.Edit:
    device, _ = choose_control(chance, session)
    some = chance.sample([*device.controls], min(3, len(device.controls)))
    if chance.random() < 0.5:
        return bulk.number_labels(device, some, chance.randint(1, 9), "B#")
    return bulk.number_inputs(session.library, device, some, chance.randint(1, 140))


def relabel(chance: random.Random, session: Session) -> edits.Edit:
    device, control = choose_control(chance, session)
    found = controls.fields_of(device, control)
    found |= {"label": chance.choice(["HORN", "A MUCH LONGER LABEL", "{up}", found["label"]])}
    found |= {"id": chance.choice([control, control, f"{control}-{chance.randint(1, 99)}"])}
    found |= {"front": chance.choice([found["front"], "9", "40", "19 x 13"])}
    return controls.change_fields(session.library, device.id, control, found)


def grow(chance: random.Random, session: Session) -> edits.Edit:
    device, control = choose_control(chance, session)
    way = chance.random()
    if way < 0.4:
        return controls.delete(session.library, device.id, control)
    if way < 0.7:
        return bulk.duplicate(device, [control], 2, 1, (30.0, 30.0))
    fields = controls.starting_fields(device, "latching", "NEW", 40.0, 30.0)
    return controls.add(device.id, f"new-{chance.randint(1, 999)}", fields)


def fill(chance: random.Random, session: Session) -> edits.Edit | None:
    """Any key of any form, with a value of its choices, a number, or without one."""
    form = DocumentForm.of(session.copy, chance.choice([*session.library.documents]))
    path: KeyPath = ()
    while rows := form.rows(path):
        row = chance.choice(rows)
        if row.key in ("id", "format"):
            return None
        if not row.holds_rows or not row.is_there:
            break
        path = row.path
    else:
        return None
    if row.is_there and not row.needed and chance.random() < 0.3:
        return form.remove(row.path)
    names = [*row.choices, *form.names(row.path), f"{chance.randint(1, 60)}", "2.5"]
    return form.set(row.path, read_typed(row.branches, chance.choice(names)))


def put_right(chance: random.Random, session: Session) -> edits.Edit | None:
    """What the screen offers for a finding; or it is accepted."""
    if not session.library_findings:
        return None
    finding = chance.choice(session.library_findings)
    if chance.random() < 0.2:
        return accept(finding, "as it is")
    return find_remedy(session.library, finding)


def rename(chance: random.Random, session: Session) -> edits.Edit:
    old = chance.choice([*session.library.documents])
    return rename_document(session.library, old, f"{old.split('-')[0]}-{chance.randint(1, 99)}")


MAKERS: tuple[Make, ...] = (
    *(bind, bind, unbind, swap, move, move, arrange, number, relabel, grow, fill, fill),
    *(put_right, rename),
)

Told = dict[str, object]


def tell(session: Session, finding: Finding) -> Told:
    """A finding as `check --json` tells it, by what the screen knows."""
    place = session.copy.place_of(finding)
    return {
        "code": finding.code,
        "severity": finding.severity,
        "message": finding.message,
        "remedy": finding.remedy,
        "subject": finding.subject,
        "file": Path(place.file).name if place else None,
        "line": place.line if place else None,
        "column": place.column if place else None,
        "related": [(one.message, str(one.spot)) for one in finding.related],
    }


def told_afresh(folder: Path) -> list[Told]:
    """What a new process says of the files as they are saved."""
    command = [sys.executable, "-m", "profiles", "check", str(folder), "--json"]
    ran = subprocess.run(
        command, capture_output=True, text=True, check=False, env={"PLATEBOOK_CACHE": ""}
    )
    found = json.loads(ran.stdout)["findings"]
    for one in found:
        one["file"] = one["file"] and Path(one["file"]).name
        one["related"] = [(other["message"], other["subject"]) for other in one["related"]]
    return list(found)


@pytest.mark.long
@pytest.mark.parametrize("chunk", range(6))
def test_the_screen_says_after_many_edits_what_a_fresh_check_says(
    tmp_path: Path, chunk: int
) -> None:
    chance, folder = random.Random(chunk), tmp_path / "library"
    copy_example(("harbour", "boatyard", "faulty")[chunk % 3], folder)
    session, made = Session(load_library(folder)), 0
    for _ in range(SAVES):
        for _ in range(EDITS // SAVES):
            made += _edit(chance, session)
            session.take_library_result(session.library, run_checks(session.library))
            profile = chance.choice([*session.library.profiles, ""])
            check_alone(session.library, profile, session.device_id)
        saved = session.copy.save()
        assert not saved.failures + saved.clashes
        here = [tell(session, finding) for finding in session.all_findings]
        assert here == told_afresh(folder)
    assert made > EDITS // 2


def _edit(chance: random.Random, session: Session) -> bool:
    """Make any change, or take some back; returns whether one was made."""
    if chance.random() < 0.1:
        for _ in range(chance.randint(1, 3)):
            session.copy.undo()
        for _ in range(chance.randint(0, 2)):
            session.copy.redo()
        session.settle()
        return False
    for _ in range(20):
        try:
            edit = chance.choice(MAKERS)(chance, session)
            if edit is not None and session.apply(edit):
                return True
        except EditError:
            continue
    return False
