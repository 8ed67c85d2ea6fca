"""Controls and actions go to a spreadsheet and come back."""

import csv
import io
import re
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from profiles.files.bindings_csv import Changes, parse_bindings, write_bindings
from profiles.files.csv_rows import SEPARATORS, CsvError
from profiles.files.edit import FileEditor
from profiles.files.members_csv import apply_members, write_members
from profiles.files.toml_edit import write_key, write_value
from profiles.model import Application, Device, Profile
from tests.hostile import hostile_texts

HEADS: dict[str, dict[str, Any]] = {
    "device": {
        "format": 1,
        "device": {"id": "desk", "name": "Desk"},
        "plate": {"width": 300.0, "height": 200.0},
        "parts": {"push": {"kind": "momentary", "hole": 16.2}},
    },
    "application": {"format": 1, "application": {"id": "ferry", "name": "Ferry"}},
}


def editor_of(kind: str, members: dict[str, Any]) -> FileEditor:
    holder = "controls" if kind == "device" else "actions"
    lines = [f"{write_key(key)} = {write_value(one)}" for key, one in HEADS[kind].items()]
    lines += [f"[{holder}]"]
    lines += [f"{write_key(key)} = {write_value(one)}" for key, one in members.items()]
    return FileEditor(Path(f"{kind}.toml"), "\n".join(lines).encode())


names = st.from_regex(r"[a-z][a-z0-9-]{0,5}", fullmatch=True)
words = hostile_texts().filter(lambda text: bool(text.strip()) and len(text) <= 200)
lengths = st.integers(1, 9999).map(lambda tenths: tenths / 10)
tables = st.one_of(
    st.builds(lambda across: {"diameter": across, "across_flats": across * 0.9}, lengths),
    st.builds(lambda across: {"length": across * 2, "width": across, "angle": 30.0}, lengths),
)
sizes = st.one_of(lengths, st.lists(lengths, min_size=2, max_size=2))
places = st.lists(lengths, min_size=2, max_size=2)
numbers = st.integers(1, 60)
common = {
    "front": sizes,
    "rotation": st.integers(-359, 359).map(float),
    "label_at": places,
    "label_place": st.sampled_from(["above", "below"]),
    "note": words,
    "unit_price": st.sampled_from(["1.25", "0.5"]),
    "led": st.fixed_dictionaries(
        {"forward_voltage": lengths.map(lambda v: v % 50 + 1), "current": lengths},
        optional={"lit": st.just("low"), "driver": st.just(False), "colour": st.just("red")},
    ),
}
needed = {"label": words, "position": places}
controls = st.one_of(
    st.fixed_dictionaries(
        {**needed, "kind": st.just("momentary"), "hole": sizes},
        optional={**common, "crossing": st.lists(numbers, min_size=2, max_size=2)},
    ),
    st.fixed_dictionaries(
        {**needed, "part": st.just("push")},
        optional={**common, "input": numbers, "pin": st.sampled_from(["3", "A0"])},
    ),
    st.fixed_dictionaries(
        {**needed, "kind": st.just("rotary"), "hole": st.one_of(sizes, tables)},
        optional={
            **common,
            "detents": numbers,
            "inputs": st.dictionaries(st.sampled_from(["clockwise", "press"]), numbers, min_size=1),
            "labels": st.dictionaries(st.sampled_from(["clockwise", "press"]), words, min_size=1),
        },
    ),
)
actions = st.fixed_dictionaries(
    {"name": words},
    optional={
        "legend": words,
        "group": names,
        "behaviour": st.sampled_from(["pulse", "held"]),
        "need": st.sampled_from(["must", "may"]),
        "contexts": st.lists(names, min_size=1, max_size=3, unique=True),
        "note": words,
    },
)


def save_as(text: str, separator: str, is_short: bool, has_mark: bool) -> str:
    """A table as another program saves it: other separators, fewer quotes, rows that break off."""
    file = io.StringIO(newline="")
    writer = csv.writer(file, delimiter=separator)
    for row in csv.reader(io.StringIO(text, newline="")):
        while is_short and len(row) > 1 and not row[-1]:
            row.pop()
        writer.writerow(row)
    return ("\ufeff" if has_mark else "") + file.getvalue()


def bring_back(text: str, separator: str, is_short: bool, has_mark: bool) -> str:
    saved = save_as(text, separator, is_short, has_mark).encode()
    return saved.decode("utf-8-sig")


as_saved = (st.sampled_from(SEPARATORS), st.booleans(), st.booleans())


@settings(deadline=None)
@given(st.dictionaries(names, controls, min_size=1, max_size=3), *as_saved)
def test_controls_come_back_as_they_went(
    members: dict[str, Any], separator: str, is_short: bool, has_mark: bool
) -> None:
    text = editor_of("device", members).text
    table = bring_back(
        write_members({"controls": members}, "device"), separator, is_short, has_mark
    )
    same, fresh = editor_of("device", members), editor_of("device", {})

    assert apply_members(same, table, "device")[0] == Changes((), (), ())
    assert same.text == text
    apply_members(fresh, table, "device")
    assert isinstance(fresh.validate(), Device)
    assert fresh.validate() == same.validate()


@settings(deadline=None)
@given(st.dictionaries(names, actions, min_size=1, max_size=3), *as_saved)
def test_actions_come_back_as_they_went(
    members: dict[str, Any], separator: str, is_short: bool, has_mark: bool
) -> None:
    table = bring_back(
        write_members({"actions": members}, "application"), separator, is_short, has_mark
    )
    same, fresh = editor_of("application", members), editor_of("application", {})

    assert apply_members(same, table, "application")[0] == Changes((), (), ())
    apply_members(fresh, table, "application")
    assert isinstance(fresh.validate(), Application)
    assert fresh.validate() == same.validate()


FORMULA_STARTS = ("=", "+", "-", "@")


@settings(deadline=None)
@given(words, words)
def test_no_reader_finds_a_formula_whichever_separator_it_splits_at(one: str, other: str) -> None:
    """OWASP, CSV Injection: no cell begins with = + - @, blanks before it or not.

    The readers of this test split at each separator that the importer accepts, the last one with no
    heed to quotes.
    """
    action = {"name": f"x;{one}", "note": f"{other}\t{one}"}
    binding = {"action": "a", "legend": f"{other};{one};y", "note": f"x\t{other}"}
    profile = Profile.model_validate(
        {
            "format": 1,
            "profile": {"application": "ferry", "device": "desk"},
            "bindings": {"horn": binding},
        }
    )
    tables = write_bindings(profile), write_members({"actions": {"a": action}}, "application")
    for table in tables:
        for separator in SEPARATORS:
            for row in csv.reader(io.StringIO(table, newline=""), delimiter=separator):
                assert not [cell for cell in row if cell.lstrip().startswith(FORMULA_STARTS)]
        for cell in re.split(r"[;|\t\n]", table):
            assert not cell.lstrip(' "').startswith(FORMULA_STARTS)
    assert parse_bindings(tables[0]).bindings == {"horn": binding}
    fresh = editor_of("application", {})
    apply_members(fresh, tables[1], "application")
    assert fresh.content["actions"] == {"a": action}


FILE = """\
format = 1
[application]
id = "ferry"
name = "Ferry"
[actions]
# The loud one.
horn = { name = "Horn", need = "must" } # as ever
bell = { name = "Bell" }
gear = { name = "Gear" } # down here
"""


def test_only_what_differs_is_changed_and_comments_stay() -> None:
    editor = FileEditor(Path("ferry.toml"), FILE.encode())
    table = "Action;Name;Need;Colour\nhorn;Horn;\ngear;Gears;may;red\nlamp;'=Lamp\n"

    changes, notes = apply_members(editor, table, "application")
    assert changes == Changes(("lamp",), ("horn", "gear"), ("bell",))
    assert notes == ("columns not read: `colour`",)
    assert editor.text == FILE.replace(', need = "must"', "").replace(
        'bell = { name = "Bell" }\ngear = { name = "Gear" } # down here\n',
        'gear = { name = "Gears", need = "may" } # down here\nlamp = { name = "=Lamp" }\n',
    )


@pytest.mark.parametrize("separator", [";", "\t"])
@pytest.mark.parametrize("typed", ["16.2", "16.20", " 16.2 mm", "16,2"])
def test_numbers_are_read_as_people_and_spreadsheets_write_them(typed: str, separator: str) -> None:
    editor = editor_of("device", {})
    table = f"control;label;kind;x;y;hole;crossing\na;5;momentary;20;30,5;{typed};1, 2\n"
    apply_members(editor, table.replace(";", separator), "device")

    assert editor.content["controls"] == {
        "a": {
            "label": "5",
            "kind": "momentary",
            "hole": 16.2,
            "crossing": [1, 2],
            "position": [20, 30.5],
        }
    }


def test_every_bad_row_is_named() -> None:
    with pytest.raises(CsvError) as caught:
        apply_members(editor_of("application", {}), "action,name\n,Horn\na,A\na,B\n", "application")
    assert caught.value.problems == (
        "row 2: no `action`; give its id",
        "row 4: repeats row 3; remove one of the two",
    )
    table = "control,label,kind,x,y,hole\na,A,momentary,1,2,wide\nb,B,momentary,9,9\n"
    with pytest.raises(CsvError) as caught:
        apply_members(editor_of("device", {}), table, "device")
    assert caught.value.problems == (
        "row 2: `controls.a.hole` is `wide`, not a number, a list or a table",
        "row 3: `controls.b` has no `hole`",
    )
    table = "control,label,kind,x,y,hole\na,A,momentary,1,low,7\n"
    with pytest.raises(CsvError) as caught:
        apply_members(editor_of("device", {}), table, "device")
    assert caught.value.problems == ("row 2: `controls.a.y` is `low`, not a number",)
    with pytest.raises(CsvError) as caught:
        apply_members(editor_of("device", {}), "controll,label\n", "device")
    assert caught.value.problems == ("row 1: no column `control`; rename `controll`",)
