"""Many changes at once leave the text that the same changes leave one after the other."""

import tomllib
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from profiles.files import toml_many
from profiles.files.toml_edit import EditError, remove_key, set_value
from profiles.files.toml_many import change_many
from tests.conftest import APPLICATION, DEVICE, EXAMPLES, PROFILE

TEXTS = [
    DEVICE,
    APPLICATION,
    PROFILE,
    DEVICE.replace("\n", "\r\n"),
    DEVICE.rstrip("\n"),
    "# top\na.b = 1 # one\na.c = { d = 1, e = [1, 2] }\n\n[t] # t\n  x = 1\n[[l]]\ny = 1\n",
    (EXAMPLES / "harbour" / "devices" / "lookout-box.toml").read_text("utf-8"),
]


def change_in_turn(text: str, changes: list[tuple[tuple[str, ...], Any]]) -> str:
    for path, value in changes:
        text = remove_key(text, path) if value is None else set_value(text, path, value)
    return text


def list_paths(content: Any, path: tuple[str, ...] = ()) -> list[tuple[str, ...]]:
    found = []
    for key, value in content.items() if isinstance(content, dict) else ():
        found += [(*path, key), *list_paths(value, (*path, key))]
    return found


def draw_changes(
    draw: st.DrawFn, paths: list[tuple[str, ...]], values: st.SearchStrategy[Any]
) -> list[tuple[tuple[str, ...], Any]]:
    """Changes of keys that are there and of new ones beside them, none below another."""
    changes: dict[tuple[str, ...], Any] = {}
    for _ in range(draw(st.integers(1, 12))):
        path = draw(st.sampled_from(paths))
        if draw(st.booleans()):
            path = (*path[:-1], f"new-{draw(st.integers(0, 9))}")
        if not any(path[: len(one)] == one or one[: len(path)] == path for one in changes):
            value = draw(values)
            changes[path] = value if value is not None or path in paths else 1
    return list(changes.items())


@st.composite
def texts_and_changes(
    draw: st.DrawFn, values: st.SearchStrategy[Any]
) -> tuple[str, list[tuple[tuple[str, ...], Any]]]:
    """Changes of keys that are there, of new ones beside them and of new tables."""
    text = draw(st.sampled_from(TEXTS))
    paths = list_paths(tomllib.loads(text))
    return text, draw_changes(draw, paths, values)


PLAIN = st.one_of(
    st.integers(-9, 9),
    st.text('a\u00e4"\\\n#=', max_size=4),
    st.lists(st.integers(0, 3), max_size=3),
)


@settings(max_examples=150)
@given(texts_and_changes(PLAIN))
def test_many_values_set_at_once_leave_the_same_text(
    given_: tuple[str, list[tuple[tuple[str, ...], Any]]],
) -> None:
    assert change_many(*given_) == change_in_turn(*given_)


@settings(max_examples=150)
@given(texts_and_changes(st.one_of(st.none(), PLAIN, st.just({"kind": "momentary", "input": 3}))))
def test_with_tables_made_and_keys_removed_they_say_the_same(
    given_: tuple[str, list[tuple[tuple[str, ...], Any]]],
) -> None:
    changed, expected = change_many(*given_), change_in_turn(*given_)
    assert tomllib.loads(changed) == tomllib.loads(expected)
    assert {line for line in changed.splitlines() if line.startswith("#")} == {
        line for line in expected.splitlines() if line.startswith("#")
    }


def test_new_controls_values_and_removals_are_made_in_one_pass(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    def refuse(*_given: Any) -> str:
        raise AssertionError("one by one")

    monkeypatch.setattr(toml_many, "set_value", refuse)
    monkeypatch.setattr(toml_many, "remove_key", refuse)
    new = [(("controls", f"k{n}"), {"kind": "momentary", "input": n}) for n in (3, 4)]
    changes: list[tuple[tuple[str, ...], Any]] = [
        *new,
        (("controls", "horn", "label"), "H"),
        (("controls", "horn", "note"), "loud"),
        (("controls", "bell", "input"), None),
        (("plate", "width"), 130.0),
    ]
    changed = change_many(DEVICE, changes)
    assert changed == DEVICE.replace('"HORN"', '"H"').replace(
        "input = 1\n", 'input = 1\nnote = "loud"\n'
    ).replace("input = 2\n", "").replace("width = 120.0", "width = 130.0") + (
        '\n[controls.k3]\nkind = "momentary"\ninput = 3\n'
        '\n[controls.k4]\nkind = "momentary"\ninput = 4\n'
    )
    assert (
        change_many(DEVICE, [(("controls", "bell"), None)])
        == change_in_turn(DEVICE, []).partition("\n[controls.bell]")[0]
    )


def test_a_last_line_without_an_end_is_no_reason_for_many_readings(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    def refuse(*_: Any) -> str:
        raise AssertionError("one change was made by itself")

    monkeypatch.setattr(toml_many, "set_value", refuse)
    text = DEVICE.rstrip("\n")
    changed = change_many(text, [(("controls", "k3"), {"kind": "momentary", "input": 3})])
    assert changed == text + '\n\n[controls.k3]\nkind = "momentary"\ninput = 3'


def test_a_change_that_cannot_be_made_is_an_error() -> None:
    with pytest.raises(EditError, match=r"there is no `controls.nobody` to change"):
        change_many(DEVICE, [(("controls", "horn", "label"), "H"), (("controls", "nobody"), None)])
