"""Bindings go to a spreadsheet and come back."""

import csv
import io
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from profiles.files.bindings_csv import (
    Changes,
    CsvError,
    apply_bindings,
    parse_bindings,
    read_bindings,
    write_bindings,
)
from profiles.files.edit import FileEditor
from profiles.model import Profile
from tests.hostile import NAUGHTY, hostile_texts


def _profile(bindings: dict[str, Any]) -> Profile:
    header = {"application": "harbour", "device": "helm-desk"}
    return Profile.model_validate({"format": 1, "profile": header, "bindings": bindings})


def test_every_action_has_a_row_and_every_cell_is_quoted() -> None:
    bindings = {
        "horn": "sound-horn",
        "shift + horn": ["fog-signal", {"action": "menu-back", "legend": "-5 V", "note": "=1+1"}],
    }
    assert write_bindings(_profile(bindings)) == (
        '"binding","action","legend","short","note"\r\n'
        '"horn","sound-horn","","",""\r\n'
        '"shift + horn","fog-signal","","",""\r\n'
        '"shift + horn","menu-back","\'-5 V","","\'=1+1"\r\n'
    )


@pytest.mark.parametrize(
    ("legend", "cell"),
    [('=1+2";=1+2', '"\'=1+2"";\'=1+2"'), ("=1+2'\" ;,=1+2", '"\'=1+2\'"" ;,=1+2"')],
)
def test_the_worked_examples_of_owasp_are_written_as_there(legend: str, cell: str) -> None:
    """OWASP, CSV Injection: quote the cell, put an apostrophe before it, double its quotes.

    Stricter than there: behind a semicolon an apostrophe too, for readers that split at it.
    """
    written = write_bindings(_profile({"horn": {"action": "a", "legend": legend}}))
    assert f'"horn","a",{cell},""' in written


names = st.from_regex(r"[a-z][a-z0-9-]{0,5}", fullmatch=True)
words = hostile_texts().filter(lambda text: bool(text.strip()) and len(text) <= 400)
long_forms = st.fixed_dictionaries({"action": names}, optional={"legend": words, "note": words})
one_use = st.one_of(names, long_forms)
uses = st.one_of(
    one_use,
    st.lists(one_use, min_size=2, max_size=3, unique_by=lambda use: _action(use)),
)


def _action(use: Any) -> Any:
    return use if isinstance(use, str) else use["action"]


@given(st.dictionaries(names, uses, max_size=4))
def test_bindings_come_back_as_they_went(bindings: dict[str, Any]) -> None:
    before = _profile(bindings)
    after = _profile(dict(parse_bindings(write_bindings(before)).bindings))
    assert [(key, used) for key, _, used in after.entries] == [
        (key, used) for key, _, used in before.entries
    ]


@pytest.mark.parametrize("text", [text for text in NAUGHTY if text.strip() and len(text) <= 400])
def test_hostile_legends_start_no_formula_and_come_back(text: str) -> None:
    written = write_bindings(_profile({"horn": {"action": "a", "legend": text}}))
    cell = next(iter(list(csv.reader(io.StringIO(written, newline="")))[1:]))[2]
    assert not cell.startswith(("=", "+", "-", "@", "\t", "\r", "\n"))
    assert parse_bindings(written).bindings == {"horn": {"action": "a", "legend": text}}


@pytest.mark.parametrize("separator", [",", ";", "\t"])
def test_what_spreadsheets_save_is_read(separator: str, tmp_path: Path) -> None:
    rows = [["Action ", "Binding", "Colour"], ["sound-horn", "horn", "red"], ["", "", ""]]
    path = tmp_path / "b.csv"
    path.write_bytes(b"\xef\xbb\xbf" + "\r\n".join(separator.join(r) for r in rows).encode())
    table = read_bindings(path)
    assert table.bindings == {"horn": "sound-horn"}
    assert table.notes == ("columns not read: `colour`",)


def test_every_bad_row_is_named() -> None:
    text = "\n".join(
        [
            "binding,action,legend",
            "horn,sound-horn,",
            ",menu-back,BACK",
            "bell,,BELL",
            "a..b,x,",
            "bell,no good,",
            f"bell,x,{'y' * 401}",
            "horn , sound-horn,",
        ]
    )
    with pytest.raises(CsvError) as caught:
        parse_bindings(text)
    assert caught.value.problems == (
        "row 3: no `binding`; name a contact such as `horn`",
        "row 4: no `action`; give the id of one, or remove the row",
        "row 5: `a..b` is no contact such as `horn` or `trim.clockwise`",
        "row 6: `action` must be letters, digits, `-` and `_` only",
        "row 7: `legend` has more than 400 letters",
        "row 8: repeats row 2; remove one of the two",
    )


@pytest.mark.parametrize(
    ("text", "problem"),
    [
        (
            "",
            "row 1: no column `binding`; name the columns binding, action, legend, short and note",
        ),
        ("bindings,action\n", "row 1: no column `binding`; rename `bindings`"),
        ("binding,action,action\n", "row 1: column `action` is a duplicate; keep one"),
        ('binding,action\n"a', "the table breaks off: unexpected end of data"),
    ],
)
def test_a_table_that_is_none_is_refused(text: str, problem: str) -> None:
    with pytest.raises(CsvError) as caught:
        parse_bindings(text)
    assert problem in caught.value.problems


PROFILE = """\
format = 1
[profile]
application = "harbour"
device = "helm-desk"
[bindings]
# The loud one.
horn = { action = "sound-horn" } # as ever
"shift + horn" = "fog-signal"
bell = "ring" # small
"""


def test_a_table_changes_only_the_bindings_that_differ(tmp_path: Path) -> None:
    path = tmp_path / "p.toml"
    path.write_text(PROFILE)
    editor = FileEditor.open(path)
    table = parse_bindings(
        "binding;action;legend\nhorn;sound-horn;\nshift+horn;menu-back;'=BACK\nlamp;light;\n"
    )
    assert apply_bindings(editor, table) == Changes(("lamp",), ("shift + horn",), ("bell",))
    assert editor.text == PROFILE.replace(
        '"fog-signal"\nbell = "ring" # small\n',
        '{ action = "menu-back", legend = "=BACK" }\nlamp = "light"\n',
    )
    editor.save()
