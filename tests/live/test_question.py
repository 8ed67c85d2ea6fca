"""The one measurement that decides between explanations left over."""

import pytest

from profiles.live.diagnosis import diagnose
from profiles.live.faults import Fault
from profiles.live.question import Question, best_question
from profiles.live.session import Session
from tests.live.simulated import INSTANCE, SimulatedBox, make_box, run_test


def ask(fault: Fault, *, diodes: bool) -> Question | None:
    device = make_box(4, 4, diodes=diodes)
    session = run_test(Session(device, instance=INSTANCE), SimulatedBox(device, [fault]))
    return best_question(session.model, diagnose(session.model, session.observations))


def outcomes(question: Question | None) -> dict[str, tuple[tuple[Fault, ...], ...]]:
    assert question is not None
    return {one.words: one.faults for one in question.outcomes}


def test_a_contact_that_never_closes_and_a_reversed_diode_are_told_apart_by_holding() -> None:
    question = ask(Fault("open", (6,)), diodes=True)
    assert question is not None
    assert question.words == "Hold b13 and b24, press b23, then let go of all"
    assert outcomes(question) == {
        "inputs 3 and 8": ((Fault("open", (6,)),),),
        "inputs 3, 4 and 8": ((Fault("diode-reversed", (6,)),),),
        "inputs 3, 7 and 8": ((),),
    }


def test_where_pressing_cannot_decide_a_meter_does() -> None:
    question = ask(Fault("stuck", (5,)), diodes=False)
    assert question is not None
    assert question.words == (
        "Unplug the box and unsolder one end of b22.press; "
        "measure between row 2 (pin A1) and column 2 (pin 3)"
    )
    assert outcomes(question) == {
        "no connection": ((Fault("stuck", (5,)),),),
        "a connection either way round": ((Fault("bridged", (1, 5)),),),
    }


def test_nothing_is_asked_of_a_faultless_box() -> None:
    device = make_box(3, 3)
    session = run_test(Session(device, instance=INSTANCE), SimulatedBox(device))
    diagnosis = diagnose(session.model, session.observations)
    assert best_question(session.model, diagnosis) is None


@pytest.mark.parametrize("diodes", [False, True])
@pytest.mark.parametrize(
    "fault",
    [
        Fault("stuck", (5,)),
        Fault("bridged", (0, 5)),
        Fault("open", (6,)),
        Fault("bounces", (6,)),
        Fault("dead", (1,)),
    ],
)
def test_each_outcome_leaves_less_than_all(fault: Fault, diodes: bool) -> None:
    question = ask(fault, diodes=diodes)
    if question is None:
        return
    left = [len(one.faults) for one in question.outcomes]
    assert len(left) > 1
    assert 0 < question.gain <= len(left)
