"""Many changes of YAML and JSON at once leave what the same changes leave one after the other."""

from typing import Any

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from profiles.files import place_edit
from profiles.files.documents import parse_text
from profiles.files.place_edit import change_many, remove_key, set_value
from profiles.files.places import Format
from profiles.files.toml_edit import EditError
from tests.files.test_place_edit import JSON, YAML
from tests.files.test_toml_many import PLAIN, draw_changes, list_paths

Changes = list[tuple[tuple[str, ...], Any]]


def change_in_turn(text: str, form: Format, changes: Changes) -> str:
    for path, value in changes:
        text = remove_key(text, form, path) if value is None else set_value(text, form, path, value)
    return text


@st.composite
def texts_and_changes(
    draw: st.DrawFn, values: st.SearchStrategy[Any]
) -> tuple[str, Format, Changes]:
    """Changes of keys that are there, and of new ones beside them."""
    form: Format = draw(st.sampled_from(["yaml", "json"]))
    text = YAML if form == "yaml" else JSON
    paths = list_paths(parse_text(text, form))
    return text, form, draw_changes(draw, paths, values)


@settings(max_examples=150)
@given(texts_and_changes(PLAIN))
def test_many_values_set_at_once_leave_the_same_text(
    given_: tuple[str, Format, Changes],
) -> None:
    try:
        expected = change_in_turn(*given_)
    except EditError:
        assume(False)
    assert change_many(*given_) == expected


@settings(max_examples=150)
@given(texts_and_changes(st.one_of(st.none(), PLAIN)))
def test_with_keys_removed_they_say_the_same(given_: tuple[str, Format, Changes]) -> None:
    try:
        expected = change_in_turn(*given_)
    except EditError:
        assume(False)
    form = given_[1]
    changed = change_many(*given_)
    assert parse_text(changed, form) == parse_text(expected, form)
    assert changed.count("#") == expected.count("#")


@pytest.mark.parametrize("form", ["yaml", "json"])
def test_values_new_controls_and_removals_are_made_in_one_pass(
    monkeypatch: pytest.MonkeyPatch, form: Format
) -> None:
    def refuse(*_given: Any) -> str:
        raise AssertionError("one by one")

    monkeypatch.setattr(place_edit, "set_value", refuse)
    monkeypatch.setattr(place_edit, "remove_key", refuse)
    changes: Changes = [
        (("controls", "k3"), {"kind": "momentary", "input": 3}),
        (("controls", "k4"), {"kind": "momentary", "input": 4}),
        (("controls", "horn", "label"), "H"),
        (("controls", "horn", "input"), 9),
        (("device", "name"), "Other"),
    ]
    if form == "json":
        changes.append((("device", "id"), None))
    text = YAML if form == "yaml" else JSON
    content = parse_text(change_many(text, form, changes), form)
    assert list(content["controls"]) == ["horn", "bell", "k3", "k4"]
    assert content["controls"]["k4"] == {"kind": "momentary", "input": 4}
    assert content["controls"]["horn"]["label"] == "H"
    assert content["controls"]["horn"]["input"] == 9
    assert content["device"] == (
        {"name": "Other"} if form == "json" else {"id": "desk", "name": "Other"}
    )


def test_a_change_that_cannot_be_made_is_an_error() -> None:
    with pytest.raises(EditError, match=r"there is no `controls.nobody` to change"):
        change_many(
            JSON,
            "json",
            [(("controls", "horn", "label"), "H"), (("controls", "nobody"), None)],
        )
