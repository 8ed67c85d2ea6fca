"""The steps of a press test."""

from profiles.facts.device import DeviceFacts
from profiles.live.plan import plan_test
from profiles.live.words import ask_step
from tests.live.simulated import make_box


def test_steps_follow_the_plate_and_name_what_to_do() -> None:
    device = make_box(2, 3)
    asked = [ask_step(DeviceFacts(device).model, step) for step in plan_test(device, detents=12)]
    assert asked == [
        "Let go of everything, put latching controls off and selectors to position 1",
        "Put b11 on",
        "Put b11 off",
        "Press and release b12",
        "Press and release b13",
        "Press and release b21",
        "Press and release b22",
        "Turn trim clockwise by 12 detents",
        "Turn trim anticlockwise by 12 detents",
        "Press and release trim (push it, do not turn)",
    ]


def test_a_full_test_tries_every_diode_once() -> None:
    device = make_box(4, 6, diodes=True)
    together = [step for step in plan_test(device, "full") if step.gesture == "together"]
    pressed = [step.contact for step in together]
    assert len(pressed) == len(set(pressed)) == 24
    assert all(len(step.held) == 2 for step in together)


def test_two_contacts_share_one_hold() -> None:
    device = make_box(4, 4, diodes=True)
    together = [step for step in plan_test(device, "full") if step.gesture == "together"]
    assert len({step.held for step in together}) == len(together) // 2


def test_without_diodes_a_full_test_is_the_short_one() -> None:
    device = make_box(4, 6)
    assert plan_test(device, "full") == plan_test(device, "short")


def test_holding_names_what_stays_put_first() -> None:
    device = make_box(2, 2, diodes=True, rotary=True)
    asked = [
        ask_step(DeviceFacts(device).model, step)
        for step in plan_test(device, "full")
        if step.gesture == "together"
    ]
    assert asked == [
        "Put b11 on, hold trim, press b12, then let go and put b11 off",
        "Put b11 on, hold trim, press b21, then let go and put b11 off",
        "Put b11 on, hold b12 and b21, then let go and put b11 off",
        "Hold b12 and b21, press trim, then let go of all",
    ]


def test_every_step_has_its_own_key() -> None:
    keys = [step.key for step in plan_test(make_box(8, 8, diodes=True), "full")]
    assert len(keys) == len(set(keys))


def test_contacts_without_a_number_are_asked_only_to_learn() -> None:
    device = make_box(2, 3)
    short, every = plan_test(device), plan_test(device, every=True)
    bare = device.model_copy(
        update={"wiring": device.wiring.model_copy(update={"numbering": None})}
    )
    assert [step.key for step in plan_test(bare)] == ["rest"]
    assert [step.key for step in plan_test(bare, every=True)] == [step.key for step in every]
    assert short == every
