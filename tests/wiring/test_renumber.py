"""Numbering the matrix another way: what changes, what clashes, what the file needs."""

from typing import Any

from hypothesis import given
from hypothesis import strategies as st

from profiles.model import Contact
from profiles.wiring.circuit import numbering_of
from profiles.wiring.renumber import declare_inputs, renumber
from tests.sheets.workshop import bench, momentary

WIRING = {"rows": ["2", "3"], "columns": ["4", "5"], "numbering": "along-rows"}


def square(**more: Any) -> Any:
    """Four buttons at the crossings of two rows and two columns."""
    controls = {
        f"b{row}{column}": momentary("B", (20.0 * column, 20.0 * row), 9.0, crossing=[row, column])
        for row in (1, 2)
        for column in (1, 2)
    }
    for key, fields in more.items():
        controls.setdefault(key, {}).update(fields)
    return bench(controls=controls, wiring=WIRING)


def test_along_columns_the_corners_stay_and_the_others_change_places() -> None:
    plan = renumber(square(), "along-columns", 1, "counted")

    assert [(str(t), old, new) for t, old, new in plan.changes] == [
        ("b12.press", 2, 3),
        ("b21.press", 3, 2),
    ]
    assert plan.edits == ((("wiring", "numbering"), "along-columns"),)


def test_declared_numbers_of_the_matrix_are_rewritten_where_they_stand() -> None:
    box = square(b12={"input": 2}, b21={"inputs": {"press": 3}})
    plan = renumber(box, "along-columns", 1, "counted")

    assert plan.edits == (
        (("wiring", "numbering"), "along-columns"),
        (("controls", "b12", "input"), 3),
        (("controls", "b21", "inputs", "press"), 2),
    )


def test_pins_of_their_own_keep_their_number_and_may_clash() -> None:
    lone = momentary("LONE", (90.0, 60.0), 9.0, pin="9", input=5)
    plan = renumber(square(lone=lone), "along-rows", 2, "counted")

    assert Contact("lone", "press") not in [change.contact for change in plan.changes]
    assert [(clash.number, [str(t) for t in clash.contacts]) for clash in plan.clashes] == [
        (5, ["lone.press", "b22.press"])
    ]


def test_the_numbering_of_the_file_changes_nothing() -> None:
    plan = renumber(square(), "along-rows", 1, "counted")
    assert plan == ((), (), ())


@given(
    st.sampled_from(["along-rows", "along-columns"]),
    st.integers(1, 50),
    st.sampled_from(["counted", "skipped"]),
)
def test_the_file_so_changed_has_the_numbers_foretold(along: Any, first: int, unused: Any) -> None:
    box = square(b12={"input": 2})
    plan = renumber(box, along, first, unused)

    content = box.plain()
    for path, value in plan.edits:
        table = content
        for key in path[:-1]:
            table = table[key]
        table[path[-1]] = value
    after = numbering_of(type(box).model_validate(content))
    foretold = {**numbering_of(box).numbers, **{t: new for t, _, new in plan.changes}}
    assert dict(after.numbers) == foretold
    assert after.disagreements == ()


def test_declaring_the_numbers_that_the_wiring_gives_changes_and_writes_nothing() -> None:
    assert declare_inputs(square(), "b12", {"press": 2}) == ({}, frozenset(), {})


def test_a_number_declared_already_stays_declared() -> None:
    box = square(b12={"input": 2})
    assert declare_inputs(box, "b12", {"press": 2}) == ({"press": 2}, frozenset(), {})


def test_a_number_that_the_wiring_gives_cannot_be_declared_away() -> None:
    assert declare_inputs(square(), "b12", {"press": 9}) == ({}, frozenset(), {"press": 2})
    declared = square(b12={"input": 5})
    assert declare_inputs(declared, "b12", {"press": 9}) == (
        {"press": 2},
        frozenset(),
        {"press": 2},
    )


def test_a_pin_of_its_own_takes_the_number_declared_and_loses_the_one_left_out() -> None:
    lone = momentary("LONE", (90.0, 60.0), 9.0, pin="9", input=7)
    box = square(lone=lone)
    assert declare_inputs(box, "lone", {"press": 8}) == ({"press": 8}, frozenset({"press"}), {})
    assert declare_inputs(box, "lone", {}) == ({}, frozenset({"press"}), {})
