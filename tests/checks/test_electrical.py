"""The matrix: places, numbers and ghosting."""

import json

import numpy as np
import pytest

from profiles.model import Device, Related, Spot
from tests.checks.build import application, device, find, profile, told
from tests.wiring.nodal import read_networks

MATRIX = '[wiring]\nrows = ["A0", "A1"]\ncolumns = ["2", "3"]\n'


def corners(kinds: list[str], diodes: str = "[]") -> Device:
    """Four controls at the corners of a rectangle: one [1, 1], two [1, 2], three, four [2, 2]."""
    names = ("one", "two", "three", "four")
    text = f"{MATRIX}diodes = {diodes}\n"
    for place, (name, kind) in enumerate(zip(names, kinds, strict=True)):
        crossing = [place // 2 + 1, place % 2 + 1]
        text += f'[controls.{name}]\nkind = "{kind}"\ncrossing = {crossing}\n'
    return device(text)


def test_a_declared_number_that_the_wiring_contradicts_is_an_error() -> None:
    """Along rows of two columns, row 2 column 1 is the third crossing."""
    box = device(f'{MATRIX}numbering = "along-rows"\n[controls.horn]\ncrossing = [2, 1]\ninput = 4')

    (found,) = find("number-disagrees", box)

    assert found.message == "`horn` declares input 4, but its wiring gives 3"
    assert found.remedy == "Set `horn` to 3, or correct its place"
    assert found.spot == Spot("desk", ("controls", "horn", "input"))
    there = Spot("desk", ("controls", "horn", "crossing"))
    assert found.related == (Related("gives 3", there),)


def square(numbers: list[int]) -> Device:
    """Four controls by rows at the crossings of the matrix, with these declared numbers."""
    text = f'{MATRIX}numbering = "along-rows"\n'
    for place, number in enumerate(numbers):
        crossing = [place // 2 + 1, place % 2 + 1]
        text += f"[controls.k{place}]\ncrossing = {crossing}\ninput = {number}\n"
    return device(text)


def test_numbers_that_agree_another_way_say_which() -> None:
    """By columns row 1, column 2 is the third; counted from 5 all are four higher."""
    by_columns = find("number-disagrees", square([11, 13, 12, 14]))
    from_five = find("number-disagrees", square([5, 6, 7, 8]))

    assert {one.remedy for one in by_columns} == {
        'Set wiring.numbering to "along-columns" and wiring.first_input to 11: '
        "then every declared number agrees"
    }
    assert {one.remedy for one in from_five} == {
        "Set wiring.first_input to 5: then every declared number agrees"
    }
    assert (len(by_columns), len(from_five)) == (4, 4)


def test_numbers_that_agree_in_no_way_are_told_one_by_one() -> None:
    found = find("number-disagrees", square([4, 3, 2, 1]))

    assert [one.remedy for one in found] == [
        "Set `k0` to 1, or correct its place",
        "Set `k1` to 2, or correct its place",
        "Set `k2` to 3, or correct its place",
        "Set `k3` to 4, or correct its place",
    ]


def test_numbers_that_agree_or_are_left_to_the_wiring_are_silent() -> None:
    box = device(
        f'{MATRIX}numbering = "along-columns"\n[controls.horn]\ncrossing = [2, 1]\ninput = 2\n'
        "[controls.bell]\ncrossing = [1, 2]"
    )

    assert find("number-disagrees", box) == []


def test_without_a_numbering_declared_numbers_are_free() -> None:
    box = device(f"{MATRIX}[controls.horn]\ncrossing = [2, 1]\ninput = 9")

    assert find("number-disagrees", box) == []


def test_a_crossing_beyond_the_lines_is_an_error() -> None:
    box = device(f"{MATRIX}[controls.horn]\ncrossing = [3, 1]")

    assert told("crossing-outside", box) == [
        (
            "`horn` sits at row 3, column 1 of 2 by 2",
            "Correct the crossing, or add the line",
            "desk:controls.horn.crossing",
        )
    ]


def test_two_contacts_at_one_crossing_are_an_error() -> None:
    box = device(
        f'{MATRIX}[controls.horn]\ncrossing = [1, 1]\n[controls.trim]\nkind = "rotary"\n'
        "crossings = { press = [1, 1] }"
    )

    (found,) = find("crossing-shared", box)

    assert found.message == "`horn` and `trim.press` share row 1, column 1"
    assert found.remedy == "Move `trim.press` to a free crossing"
    assert found.spot == Spot("desk", ("controls", "trim", "crossings", "press"))
    there = Spot("desk", ("controls", "horn", "crossing"))
    assert found.related == (Related("`horn` sits there", there),)


def test_a_diode_for_no_contact_of_the_matrix_is_an_error() -> None:
    box = device(
        '[wiring]\nrows = ["A0"]\ncolumns = ["2"]\ndiodes = ["horn", "bel", "free"]\n'
        "[controls.horn]\ncrossing = [1, 1]\n[controls.bell]\n[controls.free]\ninput = 1"
    )

    assert told("diode-without-crossing", box) == [
        ("`bel` has a diode, but no crossing", "Write `bell`", "desk:wiring.diodes.1"),
        (
            "`free` has a diode, but no crossing",
            "Give it a crossing, or remove it",
            "desk:wiring.diodes.2",
        ),
    ]


def test_contacts_in_their_places_are_silent() -> None:
    box = corners(["momentary"] * 4, '["one", "two.press"]')

    for code in ("crossing-outside", "crossing-shared", "diode-without-crossing"):
        assert find(code, box) == []


def test_three_corners_show_the_fourth() -> None:
    """Two levers on and one press: Keyboard Matrix Help (2000), ghosting."""
    box = corners(["latching", "momentary", "latching", "momentary"])

    (found,) = find("state-ghosting", box)

    assert found.message == (
        "`two` appears pressed (ghosting) while `one`, `three` and `four` are closed; "
        "1 more contact affected"
    )
    assert found.remedy == "Add a diode at `one` and `three`"
    assert found.spot == Spot("desk", ("wiring", "diodes"))
    assert [one.message for one in found.related] == [
        "`two` appears pressed (ghosting) while `one`, `three` and `four` are closed",
        "`four` appears pressed (ghosting) while `three`, `one` and `two` are closed",
    ]


def test_a_diode_at_every_contact_removes_ghosting() -> None:
    """The same source: one diode in series with each switch removes both effects."""
    assert find("state-ghosting", corners(["latching"] * 4, '"every"')) == []


def test_push_buttons_alone_are_not_told_of_what_fingers_could_do() -> None:
    """Three at once is no press that the box must bear, unless a profile binds it."""
    assert find("state-ghosting", corners(["momentary"] * 4)) == []


def test_a_chord_of_three_corners_is_an_error_in_its_profile() -> None:
    box = corners(["momentary"] * 4)
    play = profile('[bindings]\n"one + two + three" = "act"')

    assert told("chord-ghosting", box, application("[actions.act]"), play) == [
        (
            "`four` appears pressed (ghosting) while `three`, `one` and `two` are closed",
            "Add a diode at `one`",
            'play:bindings."one + two + three" desk',
        )
    ]


def test_the_diode_told_makes_the_chord_safe() -> None:
    box = corners(["momentary"] * 4, '["one"]')
    play = profile('[bindings]\n"one + two + three" = "act"')

    assert find("chord-ghosting", box, application("[actions.act]"), play) == []


def test_a_chord_of_two_is_safe_without_diodes() -> None:
    box = corners(["momentary"] * 4)
    play = profile('[bindings]\n"one + four" = "act"')

    assert find("chord-ghosting", box, application("[actions.act]"), play) == []


def test_a_remedy_of_many_diodes_counts_them() -> None:
    """Sixteen levers without a diode: nobody reads a list of that length."""
    lines = ", ".join(f'"P{n}"' for n in range(4)), ", ".join(f'"Q{n}"' for n in range(4))
    text = f"[wiring]\nrows = [{lines[0]}]\ncolumns = [{lines[1]}]\n"
    for n in range(16):
        text += f'[controls.c{n}]\nkind = "latching"\ncrossing = [{n // 4 + 1}, {n % 4 + 1}]\n'

    (found,) = find("state-ghosting", device(text))

    assert found.remedy == "Add a diode at every contact; 16 of 16 need one"
    assert found.message == (
        "`c1` appears pressed (ghosting) while `c0`, `c4` and `c5` are closed; "
        "15 more contacts affected"
    )
    assert len(found.related) == 12


HELD = "".join(
    f'[actions.{name}]\nbehaviour = "{how}"\n'
    for name, how in (("talk", "held"), ("brake", "held"), ("act", "pulse"))
)


def test_two_held_actions_and_one_more_press_that_make_ghosting_are_an_error() -> None:
    """Three corners of a rectangle without diodes close the fourth."""
    play = profile('[bindings]\none = "talk"\ntwo = "brake"\nthree = "act"')
    (found,) = find("held-ghosting", corners(["momentary"] * 4), application(HELD), play)

    assert found.severity == "error"
    assert found.message == (
        "`four` appears pressed (ghosting) while `three`, `one` and `two` are closed"
    )


@pytest.mark.parametrize("mask", range(16))
def test_held_ghosting_is_found_where_nodal_analysis_reads_a_fourth_contact(mask: int) -> None:
    """With a diode at every choice of the four corners."""
    names = [name for bit, name in enumerate(("one", "two", "three", "four")) if mask >> bit & 1]
    box = corners(["momentary"] * 4, json.dumps(names))
    diodes = np.array([[[mask & 1, mask >> 1 & 1], [mask >> 2 & 1, mask >> 3 & 1]]], dtype=bool)
    closed = np.array([[[True, True], [True, False]]])
    if box.wiring.driven == "rows":
        read = read_networks(closed, diodes)
    else:
        turn = (0, 2, 1)
        read = read_networks(closed.transpose(turn), diodes.transpose(turn)).transpose(turn)
    play = profile('[bindings]\none = "talk"\ntwo = "brake"\nthree = "act"')

    assert bool(find("held-ghosting", box, application(HELD), play)) == bool(read[0, 1, 1])


def test_held_actions_of_different_contexts_are_never_held_together() -> None:
    play = profile('[bindings]\none = "talk"\ntwo = "brake"\nthree = "act"')
    apart = HELD.replace("[actions.brake]\n", '[actions.brake]\ncontexts = ["port"]\n').replace(
        "[actions.talk]\n", '[actions.talk]\ncontexts = ["sea"]\n'
    )
    assert find("held-ghosting", corners(["momentary"] * 4), application(apart), play) == []


def test_one_held_action_with_a_toggle_and_one_more_press_is_found_too() -> None:
    box = corners(["momentary", "latching", "momentary", "momentary"])
    play = profile('[bindings]\none = "talk"\nthree = "act"')

    (found,) = find("held-ghosting", box, application(HELD), play)
    assert found.subject.startswith("play:bindings.three")


def test_a_plain_press_beside_no_held_action_is_silent() -> None:
    play = profile('[bindings]\none = "act"')

    assert find("held-ghosting", corners(["momentary"] * 4), application(HELD), play) == []
