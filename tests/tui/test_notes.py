"""Notes, and faults in boxes, are written alike: a capital first, a full stop last, no ids."""

import re
from pathlib import Path

from hypothesis import given
from hypothesis import strategies as st

from profiles import tui
from profiles.tui.naming import COPIED, make_note
from tests.tui.desks import opened, said, settled

ROOM = Path(tui.__file__).parent


@given(st.text())
def test_every_note_begins_with_a_capital_and_ends_a_sentence(text: str) -> None:
    note = make_note(text)
    if not text.strip():
        assert note == ""
        return
    assert note[0] == note[0].upper()[:1] or len(note[0].upper()) > 1
    assert note[-1] in ".?!…:" or COPIED.search(note)
    assert make_note(note) == note


async def test_whatever_is_told_is_made_a_note(folder: Path) -> None:
    async with opened(folder) as (app, pilot):
        app.tell("there is a control `horn` already")
        app.tell("--pitch is missing: `platebook check` names what is wrong")
        await settled(app, pilot)
        assert app.notes[-2:] == [
            "There is a control HORN already.",
            "`pitch` is missing: the Findings view (2) names what is wrong.",
        ]
        assert said(app, "#note") == app.notes[-1]


def test_nothing_is_put_on_the_note_line_or_told_as_a_fault_but_by_way_of_it() -> None:
    """`tell` alone writes the line, and whoever shows a refusal in a box asks `phrase`."""
    for path in ROOM.glob("*.py"):
        text = path.read_text("utf-8")
        assert ("say_for_a_while(f" in text) == (path.name == "frame.py"), path.name
        bare = re.findall(r"\.say\((?:str\(error\)|error\b)[^)]*\)", text)
        assert not bare, (path.name, bare)
