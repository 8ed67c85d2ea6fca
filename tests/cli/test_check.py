"""`platebook check`: what it prints, in which form, and how it ends."""

import json
import os
from pathlib import Path

import pytest
from jsonschema import Draft202012Validator

from tests.cli.conftest import Run, edit


def test_a_sound_library_has_nothing_to_report(platebook: Run, library: Path) -> None:
    ran = platebook("check", library)
    assert (ran.code, ran.out, ran.err) == (0, "Nothing found.\n", "")


def test_a_finding_shows_its_line_and_the_span(platebook: Run, library: Path) -> None:
    edit(library / "bindings.toml", 'horn = "sound-horn"', 'hrn = "sound-horn"')
    ran = platebook("check", library)
    assert ran.code == 1
    assert (
        f"{library.as_posix()}/bindings.toml\n"
        "  9:1 error: `hrn` is no control of `desk` [name-unknown]\n"
        '     9 | hrn = "sound-horn"\n'
        "       | ^^^^^^^^^^^^^^^^^^\n"
    ) in ran.out


def test_the_library_is_the_option_then_the_environment_then_here(
    platebook: Run, library: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    assert platebook("check", "--library", library).out == "Nothing found.\n"
    monkeypatch.setenv("PLATEBOOK_LIBRARY", str(library))
    assert platebook("check").out == "Nothing found.\n"
    monkeypatch.delenv("PLATEBOOK_LIBRARY")
    monkeypatch.chdir(library)
    assert platebook("check").out == "Nothing found.\n"


def test_a_folder_that_is_not_there_is_unusable(platebook: Run) -> None:
    ran = platebook("check", "nowhere")
    assert (ran.code, ran.out) == (2, "")
    assert ran.err == (
        "platebook: LIBRARY names `nowhere`, which is no folder; "
        "name the folder that holds your files\n"
    )
    assert "--library names `nowhere`" in platebook("check", "--library", "nowhere").err


def test_an_unusable_library_speaks_json_too(platebook: Run, library: Path) -> None:
    (library / "broken.toml").write_text("format = 1\n[device\n", encoding="utf-8")
    ran = platebook("check", library, "--json", "--fail-on", "never")
    document = json.loads(ran.out)
    assert ran.code == 2
    first = document["findings"][0]
    assert (first["code"], first["severity"]) == ("broken-syntax", "error")
    assert (first["file"], first["line"]) == (f"{library.as_posix()}/broken.toml", 2)
    assert platebook("check", library, "--sarif", "--fail-on", "never").code == 2


def test_a_changed_severity_and_an_acceptance_without_finding_are_told(
    platebook: Run, library: Path
) -> None:
    edit(library / "bindings.toml", 'horn = "sound-horn"', "")
    (library / "platebook.toml").write_text(
        "format = 1\n[severity]\nmust-unbound = 'note'\ncontact-idle = 'off'\n"
        "[[accept]]\ncode = 'must-unbound'\nsubject = 'nowhere'\nreason = 'has a pedal'\n",
        encoding="utf-8",
    )
    document = json.loads(platebook("check", library, "--json").out)
    severities = {one["code"]: one["severity"] for one in document["findings"]}
    assert severities["must-unbound"] == "note"
    assert severities["acceptance-unmatched"] == "warning"
    assert "contact-idle" not in severities
    assert platebook("check", library).code == 0


def test_a_broken_file_ends_with_2_and_the_rest_is_still_checked(
    platebook: Run, library: Path
) -> None:
    (library / "broken.toml").write_text("format = 1\n[device\n", encoding="utf-8")
    edit(library / "bindings.toml", 'horn = "sound-horn"', "")
    ran = platebook("check", library)
    assert ran.code == 2
    assert "[broken-syntax]" in ran.out
    assert "[must-unbound]" in ran.out


@pytest.mark.parametrize(
    ("fail_on", "code"), [("error", 0), ("warning", 0), ("note", 1), ("never", 0)]
)
def test_fail_on_decides_the_exit_code(
    platebook: Run, library: Path, fail_on: str, code: int
) -> None:
    edit(library / "bindings.toml", 'bell = "ring-bell"', "")
    assert platebook("check", library, "--fail-on", fail_on).code == code


def test_json_has_the_promised_shape(platebook: Run, library: Path) -> None:
    edit(library / "bindings.toml", 'horn = "sound-horn"', 'hrn = "sound-horn"')
    document = json.loads(platebook("check", library, "--json").out)
    assert list(document) == ["format", "findings", "counts"]
    assert document["format"] == 1
    loose = next(one for one in document["findings"] if one["code"] == "name-unknown")
    assert list(loose) == [
        "code",
        "severity",
        "message",
        "remedy",
        "file",
        "line",
        "column",
        "subject",
        "related",
    ]
    assert (loose["severity"], loose["line"], loose["column"]) == ("error", 9, 1)
    assert loose["file"] == f"{library.as_posix()}/bindings.toml"
    assert loose["subject"] == "harbour-desk:bindings.hrn hrn"
    severities = [one["severity"] for one in document["findings"]]
    for severity in ("error", "warning", "note"):
        assert document["counts"][severity] == severities.count(severity)


SARIF_PARTS = {
    "type": "object",
    "required": ["version", "runs"],  # SARIF 2.1.0, 3.13
    "properties": {
        "version": {"const": "2.1.0"},  # 3.13.2
        "runs": {
            "type": "array",
            "items": {
                "type": "object",
                "required": ["tool"],  # 3.14.6
                "properties": {
                    "tool": {
                        "required": ["driver"],  # 3.18.2
                        "properties": {"driver": {"required": ["name"]}},  # 3.19.8
                    },
                    "columnKind": {"enum": ["utf16CodeUnits", "unicodeCodePoints"]},  # 3.14.17
                    "results": {
                        "type": "array",
                        "items": {
                            "type": "object",
                            "required": ["message"],  # 3.27.11
                            "properties": {
                                "level": {"enum": ["none", "note", "warning", "error"]},  # 3.27.10
                                "ruleIndex": {"type": "integer", "minimum": -1},  # 3.27.6
                                "locations": {"items": {"$ref": "#/$defs/location"}},
                                "relatedLocations": {"items": {"$ref": "#/$defs/location"}},
                            },
                        },
                    },
                },
            },
        },
    },
    "$defs": {
        "location": {
            "required": ["physicalLocation"],
            "properties": {
                "physicalLocation": {
                    "required": ["artifactLocation"],  # 3.29.2
                    "properties": {
                        "artifactLocation": {"required": ["uri"]},  # 3.4
                        "region": {  # 3.30.5 to 3.30.8
                            "properties": {
                                "startLine": {"type": "integer", "minimum": 1},
                                "startColumn": {"type": "integer", "minimum": 1},
                                "endColumn": {"type": "integer", "minimum": 1},
                            }
                        },
                    },
                }
            },
        }
    },
}
"""What SARIF 2.1.0 (OASIS, 27 March 2020) asks of the parts that are written, by its sections."""


def test_sarif_has_the_parts_that_the_standard_asks_for(platebook: Run, library: Path) -> None:
    edit(library / "bindings.toml", 'horn = "sound-horn"', 'hrn = "sound-horn"')
    document = json.loads(platebook("check", library, "--sarif").out)
    Draft202012Validator(SARIF_PARTS).validate(document)
    run = document["runs"][0]
    rules = [rule["id"] for rule in run["tool"]["driver"]["rules"]]
    loose = next(one for one in run["results"] if one["ruleId"] == "name-unknown")
    assert rules[loose["ruleIndex"]] == "name-unknown"
    place = loose["locations"][0]["physicalLocation"]
    assert place == {
        "artifactLocation": {"uri": "bindings.toml", "uriBaseId": "LIBRARY"},
        "region": {"startLine": 9, "startColumn": 1, "endColumn": 19},
    }
    assert run["originalUriBaseIds"]["LIBRARY"]["uri"] == library.resolve().as_uri() + "/"


@pytest.mark.skipif(os.name == "nt", reason="links need a right of their own there")
def test_sarif_names_a_link_that_leads_in_a_circle(platebook: Run, library: Path) -> None:
    (library / "round.toml").symlink_to("round.toml")
    (result,) = json.loads(platebook("check", library, "--sarif").out)["runs"][0]["results"]
    assert result["message"]["text"].startswith("link `round.toml` leads in a circle")
    place = result["locations"][0]["physicalLocation"]
    assert place == {"artifactLocation": {"uri": "round.toml", "uriBaseId": "LIBRARY"}}


def test_an_accepted_finding_is_told_but_does_not_fail(platebook: Run, library: Path) -> None:
    edit(library / "bindings.toml", 'horn = "sound-horn"', "")
    found = json.loads(platebook("check", library, "--json").out)["findings"]
    unbound = next(one for one in found if one["code"] == "must-unbound")
    (library / "platebook.toml").write_text(
        "format = 1\n[[accept]]\ncode = 'must-unbound'\n"
        f"subject = '{unbound['subject']}'\nreason = 'has a pedal'\n",
        encoding="utf-8",
    )
    ran = platebook("check", library)
    assert ran.code == 0
    assert "must-unbound" not in ran.out
    assert ran.err == "note: 1 finding accepted in the settings\n"


def test_colour_comes_only_where_it_is_wanted(
    platebook: Run, library: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    edit(library / "bindings.toml", 'horn = "sound-horn"', "")
    assert "\x1b[" not in platebook("check", library).out
    monkeypatch.setenv("FORCE_COLOR", "1")
    assert "\x1b[" in platebook("check", library).out
    monkeypatch.setenv("NO_COLOR", "1")
    assert "\x1b[" not in platebook("check", library).out


def test_hostile_text_is_inert_in_the_terminal(platebook: Run, library: Path) -> None:
    # Terminal strings as in the Big List of Naughty Strings (CWE-150).
    edit(library / "desk.toml", 'label = "BELL"', 'label = "HORN\\u001b]52;c;aGk=\\u0007\\u202e"')
    edit(library / "harbour.toml", 'legend = "BELL"', 'legend = "\\u001b[8mHORN"')
    ran = platebook("check", library)
    for letter in "\x1b\x07\u202e":
        assert letter not in ran.out + ran.err


def test_a_folder_without_a_document_is_unusable(platebook: Run, tmp_path: Path) -> None:
    (tmp_path / "far" / "away").mkdir(parents=True)
    ran = platebook("check", "far/away")
    assert (ran.code, ran.out) == (2, "")
    assert ran.err == (
        "platebook: far/away holds no device, application, profile, board or part\n"
        "  Start one: `platebook new device ID`\n"
    )


def test_what_was_nearly_a_library_is_named(platebook: Run, tmp_path: Path) -> None:
    text = 'format = 1\n[device]\nid = "helm"\n'
    (tmp_path / "boxes" / ".kept").mkdir(parents=True)
    for name in (
        "helm.toml.txt",
        "helm.tml",
        "notes.md",
        ".kept/helm.toml",
        "platebook.toml",
        "../beside/helm.toml",
    ):
        path = tmp_path / "boxes" / name
        path.parent.mkdir(exist_ok=True)
        path.write_text(
            "format = 1\n"
            if name == "platebook.toml"
            else text[: 9 if name == "notes.md" else None]
        )
    ran = platebook("check", "boxes")
    assert (ran.code, ran.out) == (2, "")
    assert ran.err == (
        "platebook: boxes holds no device, application, profile, board or part\n"
        "  `.kept/helm.toml` is in a hidden folder: move it out\n"
        "  `helm.tml` reads like a document: give its name the ending `.toml`\n"
        "  `helm.toml.txt` ends with `.txt`: rename it to `helm.toml`\n"
        "  `beside` holds documents: run `platebook check beside`\n"
    )


def test_schemas_beside_a_folder_are_no_documents(platebook: Run, tmp_path: Path) -> None:
    (tmp_path / "boxes").mkdir()
    assert platebook("schema", "schemas").code == 0
    ran = platebook("check", "boxes")
    assert ran.err == (
        "platebook: boxes holds no device, application, profile, board or part\n"
        "  Start one: `platebook new device ID`\n"
    )


BUSY = """\
format = 1
[device]
id = "busy"
name = "Busy"
[plate]
width = 300.0
height = 60.0
[controls]
"""


@pytest.fixture
def busy(library: Path) -> Path:
    """The library with a box of six buttons, of which a profile binds one and a half."""
    rows = [
        f'k{n} = {{ kind = "momentary", label = "K{n}", hole = 12.2, '
        f"position = [{30 + 40 * n}, 30], input = {n + 1} }}"
        for n in range(6)
    ]
    (library / "busy.toml").write_text(BUSY + "\n".join(rows) + "\n", encoding="utf-8")
    text = (library / "bindings.toml").read_text(encoding="utf-8")
    text = text.replace('"harbour-desk"', '"busy-one"').replace('"desk"', '"busy"')
    text = text.replace("horn =", "k0 =").replace('bell = "ring-bell"', 'k9 = "ring-bell"')
    (library / "busy-one.toml").write_text(text, encoding="utf-8")
    return library


def test_errors_come_first_and_many_notes_of_a_kind_share_a_line(
    platebook: Run, busy: Path
) -> None:
    ran = platebook("check", busy)

    assert (ran.code, ran.err) == (1, "")
    assert ran.out.replace(f"{busy.as_posix()}/", "") == (
        "busy-one.toml\n"
        "  10:1 error: `k9` is no control of `busy` [name-unknown]\n"
        '    10 | k9 = "ring-bell"\n'
        "       | ^^^^^^^^^^^^^^^^\n"
        "      remedy: Write `k0`\n"
        "      subject: busy-one:bindings.k9 k9\n\n"
        "busy.toml\n"
        "  note: 5 controls of `busy` do nothing in any profile [contact-idle]\n"
        "      k1, k2, k3, k4, k5\n"
        "      remedy: Bind them in a profile, or accept them as spare; "
        "`platebook check --each` lists them\n\n"
        "Found 1 error, 5 notes: 5 contact-idle, 1 name-unknown.\n"
    )
    each = platebook("check", busy, "--each").out
    assert each.count("[contact-idle]") == 5


def test_what_one_profile_leaves_unused_is_one_line_for_each_device(
    platebook: Run, busy: Path
) -> None:
    text = (busy / "busy-one.toml").read_text(encoding="utf-8")
    edit(busy / "busy-one.toml", "k9 =", "k1 =")
    text = text.replace('"busy-one"', '"busy-two"').partition("[bindings]")[0] + "[bindings]\n"
    binds = [f'k{n} = "{("sound-horn", "ring-bell")[n % 2]}"\n' for n in range(6)]
    (busy / "busy-two.toml").write_text(text + "".join(binds), encoding="utf-8")
    out = platebook("check", busy, "--code", "contact-unused").out

    assert out.replace(f"{busy.as_posix()}/", "") == (
        "busy-one.toml\n"
        "  note: 4 controls of `busy` do nothing in this profile [contact-unused]\n"
        "      k2, k3, k4, k5\n"
        "      remedy: Bind them, or accept that they are unused here; "
        "`platebook check --each` lists them\n\n"
        "Found 4 notes.\n"
    )


def test_filters_narrow_what_is_told_and_the_exit_code(platebook: Run, busy: Path) -> None:
    def codes(*words: str) -> tuple[int, list[str], str]:
        ran = platebook("check", busy, "--json", *words)
        found = [one["code"] for one in json.loads(ran.out)["findings"]]
        return int(ran.code), sorted(set(found)), ran.err

    hidden = "note: {} hidden by the filters\n"
    assert codes() == (1, ["contact-idle", "name-unknown"], "")
    assert codes("--severity", "error") == (1, ["name-unknown"], hidden.format("5 more findings"))
    assert codes("--code", "contact-idle") == (
        0,
        ["contact-idle"],
        hidden.format("1 more finding"),
    )
    assert codes("--device", "busy")[:2] == (0, ["contact-idle"])
    assert codes("--device", "desk")[:2] == (0, [])
    assert codes("--profile", "busy-one")[:2] == (1, ["name-unknown"])
    assert codes("--profile", "harbour-desk", "--severity", "note")[:2] == (0, [])


@pytest.mark.parametrize(
    ("words", "message"),
    [
        (
            ("--code", "contact-idel"),
            "no finding has the code `contact-idel`\n  Did you mean `contact-idle`?",
        ),
        (("--device", "bussy"), "the library has no device `bussy`\n  Did you mean `busy`?"),
        (
            ("--profile", "busy"),
            "the library has no profile `busy`\n  It has `busy-one` or `harbour-desk`.",
        ),
    ],
)
def test_a_filter_that_leads_nowhere_is_refused(
    platebook: Run, busy: Path, words: tuple[str, str], message: str
) -> None:
    ran = platebook("check", busy, *words)
    assert (ran.code, ran.out, ran.err) == (2, "", f"platebook: {message}\n")


def test_what_is_wrong_with_a_file_is_never_filtered(platebook: Run, busy: Path) -> None:
    edit(busy / "busy-one.toml", "format = 1", "format = ")
    ran = platebook("check", busy, "--device", "desk")
    assert ran.code == 2
    assert "[broken-syntax]" in ran.out


def test_the_summary_counts_each_kind(platebook: Run, busy: Path) -> None:
    assert platebook("check", busy, "--summary").out == (
        "findings  severity  code\n"
        "--------  --------  ------------\n"
        "       1  error     name-unknown\n"
        "       5  note      contact-idle\n\n"
        "Found 1 error, 5 notes.\n"
    )


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("--summary", "--json"), "--summary is text, and does not go with --json"),
        (
            ("--against", "x.ini", "--code", "no-such"),
            "--against goes with none of --summary, --each, --code, --device and --severity",
        ),
    ],
)
def test_options_that_would_be_passed_over_are_refused(
    platebook: Run, busy: Path, words: tuple[str, ...], said: str
) -> None:
    ran = platebook("check", busy, *words)
    assert (ran.code, said in ran.err) == (2, True)
