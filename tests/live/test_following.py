"""A test that needs no answers: silence runs out, what failed is asked again, hands may slip."""

from collections.abc import Sequence
from dataclasses import replace

import pytest

from profiles.facts.device import DeviceFacts
from profiles.live.diagnosis import UNNAMED, diagnose
from profiles.live.events import Event
from profiles.live.faults import Fault
from profiles.live.following import recall_step
from profiles.live.large import draw_where, enlarge_step
from profiles.live.lines import Answer
from profiles.live.plan import hold, plan_test
from profiles.live.session import Session
from profiles.model import Contact, Device
from tests.live.hand import Hand, find_step, free_test
from tests.live.held_to import OutsideBox
from tests.live.simulated import INSTANCE, SimulatedBox, make_box


def test_a_sound_box_is_tested_without_a_single_answer_and_asked_nothing_more() -> None:
    session = free_test(make_box(3, 3, diodes=True))

    assert session.phase == "finished"
    assert len(session.tries) == session.planned
    assert {one.kind for one in session.verdicts()} == {"right"}


def test_a_silent_contact_runs_out_of_patience_and_is_asked_again() -> None:
    session = free_test(make_box(3, 3), [Fault("open", (4,))])

    assert [one.step.key for one in session.tries].count("press b22.press") == 2
    assert diagnose(session.model, session.tries).explanations[0].faults == (Fault("open", (4,)),)


def phase_of(session: Session) -> str:
    return session.phase


def test_a_session_thinks_until_it_is_told_what_follows() -> None:
    session = Session(make_box(2, 2), instance=INSTANCE, patience=1000.0)
    session.take(Event(0.0, INSTANCE, "added"))
    for time in range(0, 60_000, 500):
        session.tick(float(time))
        if session.is_waiting:
            session.take(Event(float(time), INSTANCE, "hat", 1, 0))
    assert (phase_of(session), session.step) == ("thinking", None)
    session.take(Event(61_000.0, INSTANCE, "down", 2), Event(61_080.0, INSTANCE, "up", 2))
    assert phase_of(session) == "thinking"
    session.take(Answer(62_000.0, "follow", "press b12.press"))
    assert (phase_of(session), session.step and session.step.key) == ("asking", "press b12.press")
    heard = session.listening()
    assert heard is not None
    assert heard.presses == ()
    session.tick(63_000.0)
    assert phase_of(session) == "thinking"
    session.take(Answer(64_000.0, "follow", ""))
    assert phase_of(session) == "finished"


def test_a_box_that_is_unplugged_while_thought_is_taken_goes_on_thinking() -> None:
    device = make_box(2, 2)
    steps = [one for one in plan_test(device) if one.gesture == "press"][:1]
    session = Session(device, instance=INSTANCE, steps=steps, patience=1000.0)
    session.take(Event(0.0, INSTANCE, "added"))
    session.tick(1000.0)
    assert phase_of(session) == "thinking"
    session.take(Event(1100.0, INSTANCE, "removed"))
    assert phase_of(session) == "unplugged"
    session.take(Event(1200.0, 9, "added"))
    assert phase_of(session) == "thinking"
    session.take(Answer(1300.0, "back"))
    assert phase_of(session) == "asking"


@pytest.mark.parametrize("patience", [0.0, 6000.0])
def test_the_deciding_step_is_asked_heard_and_judged_in_the_same_run(patience: float) -> None:
    """With Enter and hands-free alike: a reversed diode reads like a contact that never closes."""
    device, fault = make_box(3, 3, diodes=True), Fault("diode-reversed", (4,))
    session, box = (
        Session(device, instance=INSTANCE, patience=patience),
        SimulatedBox(device, [fault]),
    )
    Hand(box).begin(session)
    enters = 0
    while (step := find_step(session)) is not None:
        position = session.position
        session.take(*box.perform(step))
        while session.position == position and session.phase == "asking":
            box.time += 7000.0
            session.tick(box.time)
            if not patience and session.position == position:
                session.take(Answer(box.time, "next"))
                enters += 1
    last = session.tries[-1]

    assert (phase_of(session), enters > 0) == ("finished", not patience)
    assert last.step.gesture == "together"
    assert last.step in [verdict.step for verdict in session.verdicts()]
    assert diagnose(session.model, session.tries).explanations[0].faults == (fault,)


def test_every_step_that_may_follow_is_known_again_by_its_key() -> None:
    device = make_box(3, 3, diodes=True)
    model = DeviceFacts(device).model
    held = hold(DeviceFacts(device).rest, [Contact("b12", "press"), Contact("b23", "press")])
    for step in (*plan_test(device, "full"), held):
        assert recall_step(model, plan_test(device), step.key) == step
    for key in ("", "press none.press", "together", "together b12", "together b12.x + b23.press"):
        assert recall_step(model, plan_test(device), key) is None


def test_long_silence_waits_for_a_sound() -> None:
    session = Session(make_box(4, 4), instance=INSTANCE, patience=1000.0)
    session.take(Event(0.0, INSTANCE, "added"))
    for time in range(0, 60_000, 500):
        session.tick(float(time))
    assert session.is_waiting
    place = session.position
    session.take(Event(60_000.0, INSTANCE, "down", 1), Event(60_080.0, INSTANCE, "up", 1))
    assert not session.is_waiting
    session.tick(64_000.0)
    assert session.position == place + 1


@pytest.mark.parametrize("seed", [5, 6, 7])
def test_three_mistakes_of_a_hand_give_no_alarm(seed: int) -> None:
    session = free_test(make_box(3, 4, diodes=True), mistakes=3, seed=seed)
    assert diagnose(session.model, session.tries).is_sound


def slip_up(
    device: Device, *skipped: str, left_on: int = 0, faults: Sequence[Fault] = ()
) -> Session:
    """A hand that skips steps once, and leaves a toggle on so many times."""
    session = Session(device, "full", instance=INSTANCE, patience=6000.0)
    box = SimulatedBox(device, faults)
    hand = Hand(box)
    hand.begin(session)
    while (step := find_step(session)) is not None:
        position = session.position
        slip = "skip" if step.key in skipped and position < session.planned else ""
        if step.key == "put-off b11.off" and left_on > 0:
            slip, left_on = "left on", left_on - 1
        session.take(*hand.do(step, slip))
        while session.position == position and session.phase == "asking":
            box.time += 500.0
            session.tick(box.time)
    return session


def test_a_toggle_that_was_left_on_is_asked_for_before_it_is_called_stuck() -> None:
    """Every step after it hears the toggle too, and others were skipped besides."""
    device = make_box(3, 3, diodes=True)
    skipped = ["together b12.press + b21.press + b11.on", "press b32.press"]
    session = slip_up(device, *skipped, left_on=1)

    assert session.tries[session.planned].step.key == "put-off b11.off"
    assert diagnose(session.model, session.tries).is_sound


@pytest.mark.parametrize("often", [1, 9])
def test_a_toggle_that_was_left_on_is_not_accused(often: int) -> None:
    session = slip_up(make_box(3, 3, diodes=True), left_on=often)

    assert session.tries[-1].ended == ({1} if often > 1 else frozenset())
    assert diagnose(session.model, session.tries).is_sound


def test_a_step_that_was_skipped_beside_a_fault_is_asked_again() -> None:
    """Many odd steps are the dead row's, and one more fault would account for the one skipped."""
    dead = (Fault("dead", (2,)),)
    session = slip_up(make_box(4, 4), "press b14.press", faults=dead)

    assert [one.step.key for one in session.tries].count("press b14.press") == 2
    assert diagnose(session.model, session.tries).explanations[0].faults == dead


def test_a_press_that_was_skipped_does_not_turn_a_button_that_latches_round() -> None:
    """It counts from press to press; nothing heard is no press."""
    latches = (Fault("latches", (4,)),)
    skipped = "together b12.press + b21.press + b22.press"
    session = slip_up(make_box(3, 3, diodes=True), skipped, faults=latches)

    assert skipped in [one.step.key for one in session.tries]
    assert diagnose(session.model, session.tries).explanations[0].faults == latches


def test_another_finger_on_a_button_that_latches_turns_it_round() -> None:
    device, latches = make_box(3, 3, diodes=True), (Fault("latches", (4,)),)
    session, box = Session(device, "full", instance=INSTANCE), SimulatedBox(device, latches)
    Hand(box).begin(session)
    stray = Contact("b22", "press")
    while (step := session.step) is not None:
        is_stray = step.key == "press b31.press"
        frames = (step.frames[0], step.frames[1] | {stray}, step.frames[2]) if is_stray else ()
        session.take(*box.perform(replace(step, frames=frames) if is_stray else step))
        session.tick(box.time)
        if session.step == step:
            session.take(Answer(box.time, "next"))

    best = diagnose(session.model, session.tries).explanations[0]
    assert (best.faults, best.unexplained) == (latches, ("press b31.press",))


def test_a_fault_that_no_list_has_is_never_called_as_described() -> None:
    device = make_box(3, 4, diodes=True)
    session = free_test(device, box=OutsideBox(device, "echo", 3))
    found = diagnose(session.model, session.tries)

    assert len(found.odd) >= 3
    assert not found.is_sound
    assert UNNAMED in found.explanations[0].faults or found.explanations[0].unexplained == ()


def test_what_is_asked_is_told_in_few_words_with_a_picture_of_where() -> None:
    device = make_box(2, 2)
    told = [enlarge_step(device, step) for step in plan_test(device)]

    assert told == [
        "hands off",
        "B11 on",
        "B11 off",
        "B12",
        "B21",
        "turn TRIM clockwise",
        "turn TRIM anticlockwise",
        "TRIM",
    ]
    picture = draw_where(device, ["b12"])
    assert sum(line.count("O") for line in picture) == 1
    assert sum(line.count(".") for line in picture) == 3
