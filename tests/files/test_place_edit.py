"""YAML and JSON changed in place: what is meant comes out, and every other byte stays."""

from typing import Any

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from profiles.files.documents import parse_text
from profiles.files.place_edit import append_table, remove_key, rename_key, set_value
from profiles.files.places import Format
from profiles.files.toml_edit import EditError, same_content, with_value, without
from profiles.files.write import write_content
from tests.files.documents import read_examples

YAML = """\
# A desk.
format: 1
device:
  id: desk   # short
  name: "Desk"
wiring:
  rows: [A0, A1]   # two
  columns:
  - '2'
  - '3'
controls:
  # the big one
  horn:
    kind: momentary
    label: HORN  # loud
    position: [30.0, 65.0]
  bell: {kind: momentary, label: BELL}
extras:
  - name: Cable   # red
    count: 2
  - name: Glue
"""

JSON = """\
{
  "format": 1,
  "device": { "id": "desk", "name": "Desk" },
  "wiring": {
    "rows": ["A0", "A1"],
    "columns": []
  },
  "controls": {
    "horn": {"kind": "momentary", "label": "HORN"},
    "bell": {}
  }
}
"""


@pytest.mark.parametrize(
    ("path", "value", "old", "new"),
    [
        (("device", "name"), "Big: desk", '"Desk"', "'Big: desk'"),
        (("device", "id"), "other", "desk   # short", "other   # short"),
        (("wiring", "rows"), ["A0", "A1", "7"], "[A0, A1]", '[A0, A1, "7"]'),
        (("wiring", "columns"), ["2", "3", "on"], "- '3'\n", "- '3'\n  - 'on'\n"),
        (("wiring", "columns", 0), "4", "- '2'\n", '- "4"\n'),
        (("wiring", "columns"), [], "columns:\n  - '2'\n  - '3'", "columns: []"),
        (("wiring", "driven"), "rows", "  - '3'\n", "  - '3'\n  driven: rows\n"),
        (("controls", "horn", "front"), 18.0, "65.0]\n", "65.0]\n    front: 18.0\n"),
        (("controls", "bell", "hole"), [1.5, 2.0], "BELL}", "BELL, hole: [1.5, 2.0]}"),
        (
            ("controls", "gong"),
            {"label": "GONG", "position": [1.0, 2.0]},
            "label: BELL}\n",
            "label: BELL}\n  gong:\n    label: GONG\n    position: [1.0, 2.0]\n",
        ),
        (("extras", 0, "price"), 2.5, "    count: 2\n", "    count: 2\n    price: 2.5\n"),
        (("parts", "knob", "hole"), 7.2, "Glue\n", "Glue\nparts:\n  knob:\n    hole: 7.2\n"),
        (("controls", "horn"), {"kind": "latching", "label": "HORN", "position": [30.0, 65.0]},
         "kind: momentary\n", "kind: latching\n"),
    ],
)  # fmt: skip
def test_a_value_of_yaml_is_set_as_its_neighbours_are_written(
    path: Any, value: Any, old: str, new: str
) -> None:
    assert set_value(YAML, "yaml", path, value) == YAML.replace(old, new, 1)


@pytest.mark.parametrize(
    ("path", "old", "new"),
    [
        (("device", "id"), "  id: desk   # short\n", ""),
        (("controls", "horn", "label"), "    label: HORN  # loud\n", ""),
        (("controls", "bell", "kind"), "{kind: momentary, label", "{label"),
        (("controls", "bell", "label"), ", label: BELL", ""),
        (("wiring", "columns", 1), "  - '3'\n", ""),
        (("extras", 1), "  - name: Glue\n", ""),
        (("extras", 0, "name"), "name: Cable   # red\n    count", "count"),
        (("extras", 1, "name"), "- name: Glue", "- {}"),
        (("wiring", "rows", 0), "[A0, A1]", "[A1]"),
    ],
)
def test_a_key_of_yaml_is_removed_with_its_line(path: Any, old: str, new: str) -> None:
    assert remove_key(YAML, "yaml", path) == YAML.replace(old, new, 1)


def test_a_table_is_appended_to_a_list_of_yaml() -> None:
    after = append_table(YAML, "yaml", ("extras",), {"name": "Tape", "count": 1})
    assert after == YAML + "  - {name: Tape, count: 1}\n"


def test_a_key_of_yaml_is_renamed_with_all_that_is_below_it() -> None:
    after = rename_key(YAML, "yaml", ("controls", "horn"), "yes")
    assert after == YAML.replace("  horn:\n", "  'yes':\n")


def test_a_comment_inside_is_never_lost() -> None:
    text = "format: 1\nrows: [a,  # first\n  b]\nlist:\n  - a  # one\n  - b\n"
    with pytest.raises(EditError, match="`list` cannot be changed safely"):
        set_value(text, "yaml", ("list",), ["c"])
    with pytest.raises(EditError, match=r"`rows.1` cannot be changed safely"):
        remove_key(text, "yaml", ("rows", 1))


@pytest.mark.parametrize(
    ("path", "value", "old", "new"),
    [
        (("device", "name"), 'A "b"', '"Desk"', '"A \\"b\\""'),
        (("device", "note"), "x", '"Desk" }', '"Desk", "note": "x" }'),
        (("wiring", "columns"), ["2"], "[]", '["2"]'),
        (("controls", "bell", "label"), "BELL", '"bell": {}', '"bell": {"label": "BELL"}'),
        (("wiring", "driven"), "rows", '"columns": []', '"columns": [],\n    "driven": "rows"'),
        (("controls", "gong"), {"a": 1}, '"bell": {}', '"bell": {},\n    "gong": {"a": 1}'),
        (("plate", "width"), 9.5, "  }\n}", '  },\n  "plate": {"width": 9.5}\n}'),
    ],
)
def test_a_value_of_json_is_set_as_its_neighbours_are_written(
    path: Any, value: Any, old: str, new: str
) -> None:
    assert set_value(JSON, "json", path, value) == JSON.replace(old, new, 1)


def test_keys_of_json_are_removed_and_renamed() -> None:
    assert remove_key(JSON, "json", ("controls", "horn")) == JSON.replace(
        '"horn": {"kind": "momentary", "label": "HORN"},\n    ', ""
    )
    assert remove_key(JSON, "json", ("wiring", "columns")) == JSON.replace(
        ',\n    "columns": []', ""
    )
    assert rename_key(JSON, "json", ("controls", "bell"), "gong") == JSON.replace("bell", "gong")


def test_what_cannot_be_done_says_why() -> None:
    for form, text in (("yaml", YAML), ("json", JSON)):
        with pytest.raises(EditError, match=r"there is no `controls.nobody` to change"):
            remove_key(text, form, ("controls", "nobody"))  # type: ignore[arg-type]
        with pytest.raises(EditError, match="there is a key `bell` already"):
            rename_key(text, form, ("controls", "horn"), "bell")  # type: ignore[arg-type]
        with pytest.raises(EditError, match="a member of a list has no name to change"):
            rename_key(text, form, ("wiring", "rows", 0), "bell")  # type: ignore[arg-type]


def test_line_ends_of_the_file_are_used() -> None:
    text = YAML.replace("\n", "\r\n")
    after = set_value(text, "yaml", ("device", "note"), "x")
    assert after == text.replace('"Desk"\r\n', '"Desk"\r\n  note: x\r\n')


CONTENTS = [content for _, content in read_examples()]

WORDS = st.one_of(
    st.sampled_from(["on", "no", "1", "1.5", "null", "a: b", "- x", "#", "", "'", '"', "{", "é☃"]),
    st.text(max_size=12),
)
VALUES = st.recursive(
    st.one_of(WORDS, st.booleans(), st.integers(-999, 999), st.floats(-999, 999)),
    lambda inner: st.one_of(
        st.lists(inner, max_size=3), st.dictionaries(WORDS.filter(bool), inner, max_size=3)
    ),
    max_leaves=5,
)


@given(st.data(), st.sampled_from(["yaml", "json"]))
def test_any_change_of_any_document_comes_out_as_meant_or_not_at_all(
    data: st.DataObject, form: Format
) -> None:
    """Several changes, one after another; lines that hold nothing of them stay."""
    content = data.draw(st.sampled_from(CONTENTS))
    text = write_content(content, form)
    content = parse_text(text, form)
    for _ in range(3):
        path: list[Any] = []
        here: Any = content
        while isinstance(here, dict | list) and here and (not path or data.draw(st.booleans())):
            keys = list(here) if isinstance(here, dict) else list(range(len(here)))
            path.append(data.draw(st.sampled_from(keys)))
            here = here[path[-1]]
        act = data.draw(st.sampled_from(["set", "add", "remove"]))
        try:
            if act == "remove":
                assume(len(path) > 1)
                text, wanted = (
                    remove_key(text, form, tuple(path)),
                    without(content, tuple(path)),
                )
            else:
                value = data.draw(VALUES)
                if act == "add" and isinstance(here, dict):
                    path.append(data.draw(WORDS.filter(bool)))
                text, wanted = (
                    set_value(text, form, tuple(path), value),
                    with_value(content, tuple(path), value),
                )
        except EditError:
            assert act != "set" or not isinstance(value, int | float)  # a number always fits
            continue
        content = parse_text(text, form)
        assert same_content(content, wanted)
