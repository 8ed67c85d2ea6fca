"""A binding's key split at its dot is told as one slip, whatever the format."""

import json
from pathlib import Path

import pytest

from profiles.files.library import load_library
from profiles.model import Finding

HEAD = 'format = 1\n[profile]\napplication = "a"\ndevice = "d"\n'


def problems_of(folder: Path, name: str, text: str) -> tuple[Finding, ...]:
    (folder / name).write_text(text, encoding="utf-8")
    return load_library(folder).problems


def say(problem: Finding) -> tuple[str, str, str]:
    return (problem.code, problem.message, problem.remedy)


SLIP = (
    "wrong-value",
    "key `trim.clockwise` in `bindings` is split at its dot",
    'Write it in quotes, as one key: `"trim.clockwise"`',
)


def test_a_key_without_quotes_is_one_slip_in_toml(tmp_path: Path) -> None:
    text = HEAD + '[bindings]\nhorn = "sound"\ntrim.clockwise = "up"\n'
    (found,) = problems_of(tmp_path, "p.toml", text)
    assert say(found) == SLIP
    assert found.place is not None
    assert (found.place.line, found.place.column) == (7, 6)


def test_an_indented_contact_is_the_same_slip_in_yaml(tmp_path: Path) -> None:
    text = (
        "format: 1\nprofile: {application: a, device: d}\n"
        "bindings:\n  trim:\n    clockwise: up\n    anticlockwise: {action: down}\n"
    )
    first, second = problems_of(tmp_path, "p.yaml", text)
    assert say(first) == SLIP
    assert second.message == "key `trim.anticlockwise` in `bindings` is split at its dot"
    assert [(one.place.line, one.place.column) for one in (first, second) if one.place] == [
        (5, 5),
        (6, 5),
    ]


@pytest.mark.parametrize("inner", [{}, {"action": 3}, {"legend": "x"}, {"action": "up", "on": 1}])
def test_a_long_form_with_faults_of_its_own_is_no_slip(
    tmp_path: Path, inner: dict[str, object]
) -> None:
    document = {
        "format": 1,
        "profile": {"application": "a", "device": "d"},
        "bindings": {"trim": inner},
    }
    found = problems_of(tmp_path, "p.json", json.dumps(document))
    assert found
    assert not any("split" in one.message for one in found)


def test_other_problems_of_the_file_are_told_beside_it(tmp_path: Path) -> None:
    text = HEAD + 'devise = "d"\n[bindings]\ntrim.clockwise = "up"\nhorn = 3\n'
    assert {one.message for one in problems_of(tmp_path, "p.toml", text)} == {
        "unknown key `devise` in `profile`",
        SLIP[1],
        "`bindings.horn` is 3, not text, a table or a list",
    }
