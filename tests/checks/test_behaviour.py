"""Controls bound to actions of another nature, and controls caught while binding."""

import pytest

from profiles.model import Device, Related, Spot
from tests.checks.build import application, device, find, profile, told

APPLICATION = application(
    """
    [application]
    catches_held = false
    [actions.toggle]
    [actions.other]
    [actions.talk]
    behaviour = "held"
    [actions.lights]
    behaviour = "follows"
    [actions.up]
    behaviour = "step"
    """
)


def lever(extra: str = "") -> Device:
    return device(f'[controls.gear]\nkind = "latching"\ninputs = {{ on = 1, off = 2 }}\n{extra}')


def test_a_latching_control_on_a_pulse_is_a_warning() -> None:
    play = profile('[bindings]\ngear = "toggle"')

    (found,) = find("latching-on-pulse", lever(), APPLICATION, play)

    assert found.message == "`gear` latches, but `toggle` acts once per press"
    assert found.remedy == "Let the control report edges, or bind both its contacts"
    assert Spot("play", ("bindings", "gear")) == found.spot
    there = Spot("desk", ("controls", "gear"))
    assert (Related("a latching control", there),) == found.related


def test_a_latching_control_on_a_step_is_a_warning_too() -> None:
    play = profile('[bindings]\ngear = "up"')

    assert len(find("latching-on-pulse", lever(), APPLICATION, play)) == 1


@pytest.mark.parametrize(
    ("extra", "bindings"),
    [
        ('reports = "edges"', 'gear = "toggle"'),
        ("", 'gear = "toggle"\n"gear.off" = "other"'),
        ("", 'gear = "lights"'),
        ("", 'gear = "talk"'),
    ],
)
def test_edges_both_contacts_and_states_suit_a_latching_control(extra: str, bindings: str) -> None:
    play = profile(f"[bindings]\n{bindings}")

    assert find("latching-on-pulse", lever(extra), APPLICATION, play) == []


def test_a_button_on_an_action_that_follows_is_a_warning() -> None:
    box = device("[controls.horn]\ninput = 1")
    play = profile('[bindings]\nhorn = "lights"')

    assert told("momentary-on-follows", box, APPLICATION, play) == [
        (
            "`horn` springs back, but `lights` follows its state",
            "Bind a latching control, or an action that acts once per press",
            "play:bindings.horn lights",
        )
    ]


def test_a_button_on_a_pulse_or_held_action_is_silent() -> None:
    box = device("[controls.horn]\ninput = 1\n[controls.bell]\ninput = 2")
    play = profile('[bindings]\nhorn = "toggle"\nbell = "talk"')

    assert find("momentary-on-follows", box, APPLICATION, play) == []


def test_edges_on_an_action_that_follows_are_a_warning() -> None:
    play = profile('[bindings]\ngear = "lights"')

    assert told("pulse-on-held", lever('reports = "edges"'), APPLICATION, play) == [
        (
            "`gear` only pulses, but `lights` needs it to last",
            "Let the control report its state",
            "play:bindings.gear lights",
        )
    ]


def test_a_detent_on_a_held_action_is_a_warning() -> None:
    box = device('[controls.trim]\nkind = "rotary"\ninputs = { clockwise = 1, anticlockwise = 2 }')
    play = profile('[bindings]\n"trim.clockwise" = "talk"\n"trim.anticlockwise" = "toggle"')

    assert told("pulse-on-held", box, APPLICATION, play) == [
        (
            "`trim.clockwise` only pulses, but `talk` needs it to last",
            "Bind an action that acts once per press",
            'play:bindings."trim.clockwise" talk',
        )
    ]


def test_a_position_may_pulse_or_last() -> None:
    """Each position has an input of its own, so arriving at it is one press."""
    box = device(
        '[controls.mode]\nkind = "selector"\npositions = 2\n'
        "inputs = { position-1 = 1, position-2 = 2 }"
    )
    play = profile('[bindings]\n"mode.position-1" = "toggle"\n"mode.position-2" = "lights"')

    assert find("latching-on-pulse", box, APPLICATION, play) == []
    assert find("pulse-on-held", box, APPLICATION, play) == []


def test_controls_that_stay_down_are_told_where_the_application_catches_them() -> None:
    catching = application("[actions.lights]\nbehaviour = 'follows'")
    play = profile('[bindings]\ngear = "lights"')

    (found,) = find("held-while-binding", lever(), catching, play)

    assert found.message == "`harbour` may catch `gear` while binding"
    assert found.remedy == "Put latching controls off first, or let them report edges"
    assert found.subject == "play:profile desk"
    assert (Related("stays down", Spot("desk", ("controls", "gear"))),) == found.related


def test_edge_reporters_and_buttons_are_never_caught() -> None:
    catching = application("[actions.toggle]")
    play = profile('[bindings]\ngear = "toggle"')

    assert find("held-while-binding", lever('reports = "edges"'), catching, play) == []


def test_an_application_that_waits_for_a_fresh_press_catches_nothing() -> None:
    play = profile('[bindings]\ngear = "lights"')

    assert find("held-while-binding", lever(), APPLICATION, play) == []
