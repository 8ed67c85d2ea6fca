"""`platebook convert`: equal content in other formats, bindings to a spreadsheet and back."""

import json
import tomllib
from pathlib import Path

import pytest
import yaml

from tests.cli.conftest import EXAMPLES, Run, edit
from tests.conftest import DEVICE
from tests.thread.inert import assert_inert


def test_content_is_equal_in_every_format(platebook: Run, library: Path) -> None:
    path = library / "bindings.toml"
    content = tomllib.loads(path.read_text(encoding="utf-8"))
    assert yaml.safe_load(platebook("convert", path, "--to", "yaml").out) == content
    assert json.loads(platebook("convert", path, "--to", "json").out) == content
    assert tomllib.loads(platebook("convert", path, "--to", "toml").out) == content


def test_comments_that_are_lost_are_told(platebook: Run, library: Path) -> None:
    edit(library / "bindings.toml", "[bindings]", "[bindings] # all of them")
    ran = platebook("convert", library / "bindings.toml", "--to", "yaml")
    assert ran.err == "warning: bindings.toml: 1 comment is not carried over\n"


def test_a_file_that_is_not_written_loses_no_comments(platebook: Run, library: Path) -> None:
    edit(library / "bindings.toml", "[bindings]", "[bindings] # all of them")
    taken = Path("taken.yaml")
    taken.write_text("mine\n", encoding="utf-8")
    ran = platebook("convert", library / "bindings.toml", "--to", "yaml", "-o", taken)
    assert ran.code == 2
    assert "comment" not in ran.err
    assert taken.read_text(encoding="utf-8") == "mine\n"


def test_bindings_come_back_from_a_spreadsheet_with_comments_kept(
    platebook: Run, library: Path
) -> None:
    path = library / "bindings.toml"
    edit(path, "[bindings]", "[bindings] # mine")
    before = path.read_text(encoding="utf-8")
    assert platebook("convert", path, "--csv", "-o", "table.csv").code == 0
    assert platebook("convert", "table.csv", "--csv", "--into", path).out == "nothing changed\n"
    assert path.read_text(encoding="utf-8") == before
    edit(Path("table.csv"), '"bell","ring-bell"', '"bell","sound-horn"')
    ran = platebook("convert", "table.csv", "--csv", "--into", path)
    assert ran.out == "changed: 1 binding: `bell`\n"
    assert path.read_text(encoding="utf-8") == before.replace(
        'bell = "ring-bell"', 'bell = "sound-horn"'
    )


def test_cells_never_start_a_formula(platebook: Run, library: Path) -> None:
    # OWASP, CSV Injection: a cell must not begin with = + - @ tab or carriage return.
    edit(library / "bindings.toml", '"sound-horn"', '{ action = "sound-horn", legend = "=1+2" }')
    out = platebook("convert", library / "bindings.toml", "--csv").out
    assert '"\'=1+2"' in out
    assert '"=1+2"' not in out


@pytest.mark.parametrize(
    ("words", "message"),
    [
        ([], "platebook: choose either --to FORMAT or --csv\n"),
        (["--to", "yaml", "--csv"], "platebook: choose either --to FORMAT or --csv\n"),
        (["--to", "yaml", "--into", "x.toml"], "platebook: --into goes with --csv\n"),
    ],
)
def test_a_wrong_call_says_what_is_wanted(
    platebook: Run, library: Path, words: list[str], message: str
) -> None:
    ran = platebook("convert", library / "bindings.toml", *words)
    assert ran.code == 2
    assert ran.err.startswith(message)


def test_a_broken_file_is_named_with_its_place(platebook: Run, tmp_path: Path) -> None:
    (tmp_path / "bad.json").write_text('{"format": 1,\n oops}', encoding="utf-8")
    ran = platebook("convert", "bad.json", "--to", "toml")
    assert ran.code == 2
    assert ran.err.startswith("platebook: bad.json:2:2: JSON stops here")


def test_an_output_that_is_there_is_left_as_it_is(platebook: Run, library: Path) -> None:
    target = library / "desk.toml"
    before = target.read_bytes()
    ran = platebook("convert", library / "bindings.toml", "--to", "toml", "-o", target)
    assert ran.code == 2
    assert target.read_bytes() == before


def test_a_copy_beside_the_original_is_pointed_out(platebook: Run, library: Path) -> None:
    path = library / "desk.toml"
    ran = platebook("convert", path, "--to", "json", "-o", library / "desk.json")
    assert ran.code == 0
    assert ran.err == f"note: keep one of the two in a library: {path} has the same id\n"
    assert platebook("convert", path, "--to", "json", "-o", "desk.json").err == ""


def test_a_missing_file_is_named_once(platebook: Run) -> None:
    ran = platebook("convert", "nope.toml", "--to", "json")
    assert (ran.code, ran.err) == (
        2,
        "platebook: there is no file `nope.toml`\n  Check the name.\n",
    )


def test_a_table_without_a_profile_to_go_into_is_a_wrong_call(platebook: Run) -> None:
    ran = platebook("convert", "table.csv", "--csv")
    assert ran.code == 2
    assert ran.err.startswith("platebook: --csv --into FILE.toml brings a CSV file in\n")


def test_an_empty_profile_lists_every_contact_and_every_action(
    platebook: Run, library: Path
) -> None:
    path = library / "bindings.toml"
    text = path.read_text(encoding="utf-8")
    path.write_text(text[: text.index("[bindings]")] + "[bindings]\n", encoding="utf-8")
    table = platebook("convert", path, "--csv")

    assert table.err == ""
    assert table.out.replace("\r\n", "\n") == (
        '"binding","action","legend","short","note","label","input","name"\n'
        '"horn","","","","","HORN","1",""\n'
        '"bell","","","","","BELL","2",""\n'
        '"","sound-horn","","","","","","Sound the horn"\n'
        '"","ring-bell","","","","","","Ring the bell"\n'
    )
    Path("t.csv").write_text(table.out.replace('"horn",""', '"horn","sound-horn"'), "utf-8")
    ran = platebook("convert", "t.csv", "--csv", "--into", path)
    assert (ran.out, ran.err) == (
        "new: 1 binding: `horn`\n",
        "note: 1 row without an action\nnote: 2 rows without a contact\n",
    )
    assert platebook("convert", path, "--csv").out.splitlines()[1:3] == [
        '"horn","sound-horn","","","","HORN","1","Sound the horn"',
        '"bell","","","","","BELL","2",""',
    ]


def test_controls_and_actions_come_back_from_a_spreadsheet(platebook: Run, library: Path) -> None:
    for name, old, new, told in (
        ("desk.toml", '"HORN"', '"LOUD"', "changed: 1 control: `horn`\n"),
        ("harbour.toml", '"Sound the horn"', '"Blow"', "changed: 1 action: `sound-horn`\n"),
    ):
        path, before = library / name, (library / name).read_text(encoding="utf-8")
        table = platebook("convert", path, "--csv").out
        Path("t.csv").write_text(table, "utf-8")
        assert platebook("convert", "t.csv", "--csv", "--into", path).out == "nothing changed\n"
        Path("t.csv").write_text(table.replace(old, new), "utf-8")
        assert platebook("convert", "t.csv", "--csv", "--into", path).out == told
        assert path.read_text(encoding="utf-8") == before.replace(old, new)


def test_a_board_is_no_table(platebook: Run, library: Path) -> None:
    platebook("new", "board", "tiny", "--library", library)
    ran = platebook("convert", library / "tiny.toml", "--csv")
    assert (ran.code, ran.err) == (
        2,
        f"platebook: {library / 'tiny.toml'} holds a board, which is no table\n"
        "  Name a file with bindings, controls or actions.\n",
    )


def test_the_library_of_the_environment_serves_a_file_in_a_folder_of_it(
    platebook: Run, monkeypatch: pytest.MonkeyPatch
) -> None:
    profile = EXAMPLES / "harbour" / "profiles" / "cobblegate-on-helm-desk.toml"
    named = platebook("convert", profile, "--csv", "--library", EXAMPLES / "harbour")
    assert "name the library" in platebook("convert", profile, "--csv").err
    monkeypatch.setenv("PLATEBOOK_LIBRARY", str(EXAMPLES / "harbour"))
    assert platebook("convert", profile, "--csv") == named


def test_the_library_that_is_named_goes_before_that_of_the_environment(
    platebook: Run, monkeypatch: pytest.MonkeyPatch
) -> None:
    profile = EXAMPLES / "harbour" / "profiles" / "cobblegate-on-helm-desk.toml"
    named = platebook("convert", profile, "--csv", "--library", EXAMPLES / "harbour")
    monkeypatch.setenv("PLATEBOOK_LIBRARY", "nowhere")
    assert platebook("convert", profile, "--csv", "--library", EXAMPLES / "harbour") == named


def test_without_its_library_a_profile_is_a_table_of_its_bindings(
    platebook: Run, library: Path, tmp_path: Path
) -> None:
    alone = tmp_path / "elsewhere"
    alone.mkdir()
    (alone / "p.toml").write_text((library / "bindings.toml").read_text("utf-8"), "utf-8")
    ran = platebook("convert", alone / "p.toml", "--csv")
    assert ran.out.startswith('"binding","action","legend","short","note"\r\n')
    assert ran.err == (
        "note: name the library with --library DIR for labels, numbers and what is not bound\n"
    )


def test_what_a_table_names_that_is_not_there_and_labels_typed_into_it_are_told(
    platebook: Run, library: Path
) -> None:
    path = library / "bindings.toml"
    Path("t.csv").write_text(
        "binding;action;label\nhorn;sound-hron;HORN\nbel;ring-bell;\nbell;ring-bell;CHIME\n",
        encoding="utf-8",
    )
    ran = platebook("convert", "t.csv", "--csv", "--into", path)

    assert (ran.code, ran.out) == (0, "new: 1 binding: `bel`\nchanged: 1 binding: `horn`\n")
    assert ran.err == (
        "note: no action `sound-hron`; did you mean `sound-horn`?\n"
        "note: no control `bel`; did you mean `bell`?\n"
        "note: labels are the device's, and not read from this table: `CHIME` for `bell`\n"
    )


@pytest.mark.parametrize("form", [["--csv"], ["--to", "yaml"], ["--to", "json"], ["--to", "toml"]])
def test_a_file_shown_on_a_terminal_moves_no_cursor(
    platebook: Run, monkeypatch: pytest.MonkeyPatch, form: list[str]
) -> None:
    """CWE-150; for a reader that is no terminal the same text goes out as it is."""
    text = DEVICE.replace('label = "HORN"', 'label = "A\\u001b]0;own\\u0007\\u202ebc"')
    Path("desk.toml").write_text(text, "utf-8")
    monkeypatch.setattr("profiles.cli.output.is_terminal", lambda: True)
    ran = platebook("convert", "desk.toml", *form)
    assert ran.code == 0
    assert_inert(ran.out)
    assert "own" in ran.out
