"""Forms made of the published schemas: every key is on some line, and a shown value reads back."""

from collections.abc import Iterator
from typing import Any

import pytest

from profiles.files.form import (
    ABSENT,
    convert_value,
    find_branches,
    find_growth,
    list_first_rows,
    list_rows,
    look_up,
    read_typed,
    say_key,
    show_value,
)
from profiles.files.keys import list_keys
from profiles.files.toml_edit import same_content
from tests.files.documents import read_examples

KINDS = ("device", "application", "profile", "board", "part", "settings")

DOCUMENTS = read_examples()


def walk(kind: str, path: tuple[Any, ...], shown: tuple[str, ...]) -> Iterator[tuple[str, ...]]:
    """Every line of a form of a document that has nothing yet, by its path with * for names."""
    for row in list_rows(kind, {}, path):
        here = (*shown, str(row.key))
        yield here
        if row.holds_rows or any(one.get("type") in ("object", "array") for one in row.branches):
            yield from walk(kind, row.path, here)
    growth = find_growth(kind, {}, path)
    if growth == "name" and path:
        yield from walk(kind, (*path, "new"), (*shown, "*"))
    elif growth == "member":
        yield from walk(kind, (*path, 0), shown)


@pytest.mark.parametrize("kind", KINDS)
def test_every_key_of_every_kind_of_file_has_a_line(kind: str) -> None:
    """The keys are those that the schemas publish, as `explain` and the manual list them."""
    lines = {".".join(path) for path in walk(kind, (), ())}
    keys = {key.path for key in list_keys() if key.kind == kind}
    assert keys - lines == set()


def rows_of(kind: str, content: Any, path: tuple[Any, ...] = ()) -> Iterator[Any]:
    """Every line of a document, all the way down."""
    for row in list_rows(kind, content, path):
        yield row
        if row.is_there and row.holds_rows:
            yield from rows_of(kind, content, row.path)


@pytest.mark.parametrize(("kind", "content"), DOCUMENTS)
def test_a_value_that_is_shown_reads_back_as_the_same(kind: str, content: dict[str, Any]) -> None:
    seen = 0
    for row in rows_of(kind, content):
        if row.is_there and not row.holds_rows and isinstance(row.value, str | int | float | list):
            again = read_typed(row.branches, show_value(row.value))
            assert again == row.value, row.path
            seen += 1
    assert seen


@pytest.mark.parametrize(("kind", "content"), DOCUMENTS)
def test_every_key_that_a_file_has_is_on_a_line_once(kind: str, content: dict[str, Any]) -> None:
    paths = [row.path for row in rows_of(kind, content) if row.is_there]
    assert len(paths) == len(set(paths))

    def leaves(value: Any, path: tuple[Any, ...]) -> Iterator[tuple[Any, ...]]:
        pairs: Any = value.items() if isinstance(value, dict) else enumerate(value)
        for key, one in pairs:
            yield (*path, key)
            if isinstance(one, dict) or (
                isinstance(one, list) and any(isinstance(m, dict | list) for m in one)
            ):
                yield from leaves(one, (*path, key))

    assert set(paths) == set(leaves(content, ()))


DEVICE = {
    "controls": {
        "horn": {"kind": "momentary", "label": "HORN", "hole": 16.2},
        "dial": {"kind": "selector"},
        "spare": {"part": "push"},
    }
}


def test_a_control_has_the_lines_of_its_kind() -> None:
    def keys(control: str) -> set[Any]:
        return {row.key for row in list_rows("device", DEVICE, ("controls", control))}

    assert "positions" in keys("dial") - keys("horn")
    assert {"input", "crossing"} <= keys("horn") - keys("dial")
    assert {"positions", "input", "kind", "part"} <= keys("spare")


def test_another_kind_can_be_chosen_for_a_control() -> None:
    row = list_rows("device", DEVICE, ("controls", "horn"))[0]
    assert (row.key, row.choices) == (
        "kind",
        ("momentary", "latching", "rotary", "selector", "hat", "axis"),
    )


def test_a_new_entry_begins_with_what_it_must_have() -> None:
    first = [row.key for row in list_first_rows("device", DEVICE, ("controls", "dial"))]
    assert first == ["label", "kind", "position", "hole", "positions", "part", "concentric_with"]


@pytest.mark.parametrize(
    ("path", "growth"),
    [
        ((), ""),
        (("controls",), "name"),
        (("controls", "horn"), ""),
        (("controls", "horn", "inputs"), "name"),
        (("plate", "screws"), "member"),
        (("extras",), "member"),
        (("plate", "width"), ""),
    ],
)
def test_what_can_be_added_where(path: tuple[Any, ...], growth: str) -> None:
    assert find_growth("device", DEVICE, path) == growth


@pytest.mark.parametrize(
    ("path", "typed", "value"),
    [
        (("controls", "horn", "hole"), "16", 16.0),
        (("controls", "horn", "hole"), "19 x 13.5", [19, 13.5]),
        (("controls", "horn", "hole"), "19, 13", [19.0, 13.0]),
        (("controls", "horn", "hole"), "{ diameter = 3.0 }", {"diameter": 3.0}),
        (("controls", "horn", "hole"), "wide", ["wide"]),
        (("controls", "horn", "input"), "7", 7),
        (("extras", 0, "quantity"), "5", 5),
        (("extras", 0, "unit_price"), "1.5", 1.5),
        (("controls", "horn", "label"), "7", "7"),
        (("controls", "horn", "label"), " A, B ", " A, B "),
        (("wiring", "rows"), "A0, A1", ["A0", "A1"]),
        (("wiring", "diodes"), "every", "every"),
        (("wiring", "diodes"), "horn, bell", ["horn", "bell"]),
        (("wiring", "diodes"), "horn", ["horn"]),
        (("controls", "horn", "rotation"), "inf", "inf"),
    ],
)
def test_what_is_typed_is_of_the_type_that_the_key_takes(
    path: tuple[Any, ...], typed: str, value: Any
) -> None:
    assert same_content(read_typed(find_branches("device", DEVICE, path), typed), value)


def test_a_binding_takes_its_other_forms() -> None:
    branches = find_branches("profile", {}, ("bindings", "horn"))
    assert convert_value("toot", "table", branches) == {"action": "toot"}
    assert convert_value("toot", "list", branches) == ["toot"]
    assert convert_value([{"action": "toot", "note": "a"}], "table", branches) == {
        "action": "toot",
        "note": "a",
    }
    assert convert_value({"action": "toot"}, "text", branches) == "toot"


def test_an_empty_list_opens_as_one_that_is_not_there() -> None:
    """Members of lists of tables are added in a form of their own, others typed in one line."""
    content: dict[str, Any] = {"plate": {"screws": []}, "wiring": {"rows": []}}
    for path, opens in ((("plate", "screws"), True), (("wiring", "rows"), False)):
        for one in (content, {}):
            rows = {row.path: row for row in list_rows("device", one, path[:1])}
            assert rows[path].holds_rows is opens


@pytest.mark.parametrize("marks", [["1,5", "2"], ["", "2"], [" 1 ", "2"], ["[1]", "{2}"], ["1"]])
def test_words_with_commas_or_spaces_stay_words_in_a_list(marks: list[str]) -> None:
    content = {"controls": {"lever": {"kind": "axis", "scale": {"marks": marks}}}}
    branches = find_branches("device", content, ("controls", "lever", "scale", "marks"))
    assert same_content(read_typed(branches, show_value(marks)), marks)


def test_actions_whose_ids_are_numbers_stay_ids_in_a_list() -> None:
    branches = find_branches("profile", {}, ("bindings", "horn"))
    assert same_content(read_typed(branches, "42, toot, 0"), ["42", "toot", "0"])


def test_what_no_file_may_have_is_absent() -> None:
    assert look_up(DEVICE, ("controls", "nobody", "hole")) is ABSENT
    assert find_branches("device", DEVICE, ("nothing", "here")) == ()


def test_the_help_of_an_entry_is_that_of_the_kind_it_is_of() -> None:
    """Of a control whose part says the kind, that it does, not that it springs back."""
    content = {"controls": {"a": {"part": "toggle", "label": "A"}, "b": {"kind": "rotary"}}}
    helped = {row.key: row.help for row in list_rows("device", content, ("controls",))}
    assert helped["a"] == "A control whose part says of what kind it is."
    assert helped["b"].startswith("An incremental encoder")


def test_keys_are_said_in_words() -> None:
    assert [*map(say_key, ("label_place", "usb_current", "leds", "price_per_kg", "name"))] == [
        "label place",
        "USB current",
        "LEDs",
        "price per kg",
        "name",
    ]
