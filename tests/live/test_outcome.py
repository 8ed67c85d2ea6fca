"""What is told of a test as a whole: what is left over, what was not judged."""

import pytest

from profiles.live.diagnosis import Explanation
from profiles.live.events import Event, FoundBox
from profiles.live.faults import Fault
from profiles.live.lines import Answer
from profiles.live.outcome import sum_up
from profiles.live.recording import read_recording
from profiles.live.report import (
    describe_explanation,
    describe_leftover,
    describe_unjudged,
    print_outcome,
    report_outcome,
)
from profiles.live.session import Session, replay
from profiles.report.data import plain_report
from profiles.report.document import Paragraph
from tests.firmware.test_fields import make_fields_box
from tests.live.bench import RECORDING, helm_desk
from tests.live.simulated import INSTANCE, full_test, make_box


def leftover(*keys: str) -> str:
    return describe_leftover(Explanation((), 1.0, (), keys))


def test_steps_that_are_left_over_are_named() -> None:
    assert leftover() == ""
    assert leftover("rest", "press b12.press") == ("It leaves unexplained: rest and b12.press")
    assert leftover(*(f"press b1{n}.press" for n in range(1, 8))) == (
        "It leaves unexplained: b11.press, b12.press, b13.press, b14.press and 3 steps more"
    )


def test_an_explanation_says_what_it_leaves_over() -> None:
    session = full_test(make_box(4, 5), [Fault("open", (7,))])
    outcome = sum_up([session])
    assert outcome.diagnosis is not None
    sound = outcome.diagnosis.explanations[1]
    assert describe_explanation(session.model, sound) == (
        "The box is as described.",
        "It leaves unexplained: b23.press.",
    )


@pytest.mark.parametrize(
    ("hats", "axes", "said"),
    [
        (0, 0, ""),
        (1, 0, "The box also has 1 hat: recorded, but not judged"),
        (0, 2, "The box also has 2 axes: recorded, but not judged"),
        (1, 1, "The box also has 1 hat and 1 axis: recorded, but not judged"),
    ],
)
def test_hats_and_axes_are_said_not_to_be_judged(hats: int, axes: int, said: str) -> None:
    assert describe_unjudged(FoundBox(1, "Desk", "1209", "0001", hats=hats, axes=axes)) == said
    assert describe_unjudged(None) == ""


def test_hats_and_axes_that_are_described_are_judged() -> None:
    box = FoundBox(1, "Desk", "1209", "0001", hats=3, axes=3)

    said = "The box also has 1 hat: recorded, but not judged"
    assert describe_unjudged(box, make_fields_box()) == said


def test_the_report_and_the_plain_outcome_tell_of_the_box_and_its_hats() -> None:
    session = Session(make_box(2, 2), instance=INSTANCE)
    box = FoundBox(INSTANCE, "Desk", "1209", "0001", buttons=8, hats=2)
    session.take(Event(0.0, INSTANCE, "added", box=box), Answer(1.0, "next"))
    outcome = sum_up([session])
    printed = print_outcome(outcome).report
    assert printed is not None
    (result,) = [one for one in printed.blocks if getattr(one, "title", "") == "Result"]
    assert isinstance(result, Paragraph)
    assert str(result.words).splitlines()[1:] == [
        "Device file: bench, box: Desk, USB 1209:0001. "
        "The box also has 2 hats: recorded, but not judged."
    ]
    assert plain_report(report_outcome(outcome))["box"] == {
        "instance": INSTANCE,
        "name": "Desk",
        "vendor": "1209",
        "product": "0001",
        "serial": "",
        "path": "",
        "buttons": 8,
        "axes": 0,
        "hats": 2,
    }


def test_pulses_of_a_toggle_on_the_wrong_line_are_explained() -> None:
    """The example's columns are exchanged: a toggle that stays down makes another's pulses."""
    outcome = sum_up([replay(helm_desk(), read_recording(RECORDING))])
    told = {one.step.key: (one.kind, one.words) for one in outcome.verdicts}
    assert told["put-on lights.on"] == ("wrong", "heard input 4 instead of input 2")
    assert told["put-off lights.off"] == ("extra", "heard input 32 too")
    assert outcome.explanations[0].unexplained == ()
