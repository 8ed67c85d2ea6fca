"""Rotaries bound one way, crosswise or to strangers; steps whose partners disagree."""

from profiles.model import Related, Spot
from tests.checks.build import application, device, find, profile, told

BOX = device(
    """
    [controls.shift]
    input = 1
    [controls.trim]
    kind = "rotary"
    inputs = { clockwise = 2, anticlockwise = 3 }
    """
)
APPLICATION = application(
    """
    [actions.up]
    behaviour = "step"
    direction = "increase"
    partner = "down"
    [actions.down]
    behaviour = "step"
    direction = "decrease"
    partner = "up"
    [actions.open]
    behaviour = "step"
    partner = "close"
    [actions.close]
    behaviour = "step"
    partner = "open"
    [actions.next]
    [actions.back]
    """
)
RIGHT = '"trim.clockwise" = "up"\n"trim.anticlockwise" = "down"\n'


def test_a_rotary_bound_one_way_is_a_warning() -> None:
    play = profile('[bindings]\n"trim.clockwise" = "up"')

    assert told("rotary-one-way", BOX, APPLICATION, play) == [
        (
            "`trim` is bound clockwise only",
            "Bind its anticlockwise contact too",
            'play:bindings."trim.clockwise"',
        )
    ]


def test_each_chord_of_a_rotary_is_a_turn_of_its_own() -> None:
    play = profile(f'[bindings]\n{RIGHT}"shift + trim.anticlockwise" = "back"')

    assert told("rotary-one-way", BOX, APPLICATION, play) == [
        (
            "`shift + trim` is bound anticlockwise only",
            "Bind its clockwise contact too",
            'play:bindings."shift + trim.anticlockwise"',
        )
    ]


def test_clockwise_to_decrease_is_a_warning() -> None:
    """Clockwise to increase: NUREG-0700 Rev.2, 3.1.1-16; MIL-STD-1472E, 5.4.1.2.1."""
    play = profile('[bindings]\n"trim.clockwise" = "down"\n"trim.anticlockwise" = "up"')

    (found,) = find("rotary-reversed", BOX, APPLICATION, play)

    assert found.message == "`trim` decreases clockwise with `down`"
    assert found.remedy == "Swap `down` and `up`"
    assert Spot("play", ("bindings", "trim.clockwise")) == found.spot
    there = Spot("play", ("bindings", "trim.anticlockwise"))
    assert (Related("turns it with `up`", there),) == found.related


def test_one_direction_given_is_enough_to_see_a_crossing() -> None:
    """The partner of an increase decreases, whether it says so or not."""
    half = application(
        '[actions.up]\nbehaviour = "step"\ndirection = "increase"\npartner = "down"\n'
        '[actions.down]\nbehaviour = "step"\npartner = "up"'
    )
    play = profile('[bindings]\n"trim.clockwise" = "down"\n"trim.anticlockwise" = "up"')

    assert len(find("rotary-reversed", BOX, half, play)) == 1


def test_strangers_on_the_two_directions_are_a_warning() -> None:
    play = profile('[bindings]\n"trim.clockwise" = "up"\n"trim.anticlockwise" = "close"')

    assert told("rotary-mismatched", BOX, APPLICATION, play) == [
        (
            "`trim` steps `up` against `close`",
            "Bind `down` with its partner",
            'play:bindings."trim.clockwise" up',
        )
    ]


def test_a_right_rotary_is_silent() -> None:
    play = profile(f"[bindings]\n{RIGHT}")
    plain = profile('[bindings]\n"trim.clockwise" = "next"\n"trim.anticlockwise" = "back"')

    for one in (play, plain):
        for code in ("rotary-one-way", "rotary-reversed", "rotary-mismatched"):
            assert find(code, BOX, APPLICATION, one) == []


def test_partners_without_directions_may_sit_either_way() -> None:
    play = profile('[bindings]\n"trim.clockwise" = "close"\n"trim.anticlockwise" = "open"')

    assert find("rotary-reversed", BOX, APPLICATION, play) == []


def test_an_unknown_partner_is_an_error_with_a_suggestion() -> None:
    one = application('[actions.up]\nbehaviour = "step"\npartner = "dwon"\n[actions.down]')

    assert told("partner-unknown", one) == [
        (
            "`up` names partner `dwon`, which is no other action",
            "Write `down`",
            "harbour:actions.up.partner",
        )
    ]


def test_a_step_is_not_its_own_partner() -> None:
    one = application('[actions.up]\nbehaviour = "step"\npartner = "up"')

    assert told("partner-unknown", one) == [
        (
            "`up` names partner `up`, which is no other action",
            "Describe `up`, or name another partner",
            "harbour:actions.up.partner",
        )
    ]


def test_a_partner_that_names_another_is_a_warning() -> None:
    one = application(
        '[actions.up]\npartner = "down"\n[actions.down]\npartner = "left"\n'
        '[actions.left]\npartner = "down"'
    )

    assert told("partner-one-sided", one) == [
        (
            "`up` names `down`, which names `left`",
            "Let `down` name `up`",
            "harbour:actions.up.partner",
        )
    ]


def test_partners_that_step_the_same_way_are_told_once() -> None:
    one = application(
        '[actions.up]\ndirection = "increase"\npartner = "down"\n'
        '[actions.down]\ndirection = "increase"\npartner = "up"'
    )

    assert told("partner-same-way", one) == [
        ("`down` and `up` both increase", "Correct one direction", "harbour:actions.down.partner")
    ]


def test_partners_that_agree_are_silent() -> None:
    for code in ("partner-unknown", "partner-one-sided", "partner-same-way"):
        assert find(code, APPLICATION) == []
