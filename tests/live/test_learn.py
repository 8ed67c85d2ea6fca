"""Input numbers learnt by pressing."""

from profiles.live.events import Event
from profiles.live.evidence import Observation, Press
from profiles.live.learn import Change, learn_inputs
from profiles.live.lines import Answer
from profiles.live.plan import plan_test
from profiles.live.session import Session
from profiles.model import Contact, Device
from tests.live.simulated import INSTANCE, SimulatedBox, make_box, run_test


def bare_device() -> Device:
    """One control of each kind, some with numbers."""
    common = {"label": "X", "hole": 10.0}
    numbers = {"position-1": 7, "position-2": 8}
    return Device.model_validate(
        {
            "format": 1,
            "device": {"id": "bare", "name": "Bare"},
            "plate": {"width": 100.0, "height": 100.0},
            "controls": {
                "horn": {"kind": "momentary", "position": [10, 50], **common, "input": 1},
                "bell": {"kind": "momentary", "position": [30, 50], **common},
                "lamp": {"kind": "latching", "position": [50, 50], **common, "inputs": {"on": 3}},
                "trim": {"kind": "rotary", "position": [70, 50], **common},
                "mode": {
                    "kind": "selector",
                    "positions": 2,
                    "position": [90, 50],
                    **common,
                    "inputs": numbers,
                },
            },
        }
    )


def observe(device: Device, key: str, *numbers: int) -> Observation:
    (step,) = [one for one in plan_test(device, every=True) if one.key == key]
    return Observation(step, presses=tuple(Press(number, 1.0, 2.0) for number in numbers))


def test_numbers_go_where_the_device_file_has_them() -> None:
    device = bare_device()
    lesson = learn_inputs(
        device,
        [
            observe(device, "press horn.press", 21),
            observe(device, "press bell.press", 22),
            observe(device, "turn trim.clockwise", 24, 24, 25, 24),
            observe(device, "press trim.press", 26),
        ],
    )
    assert lesson.changes == (
        Change(Contact("horn", "press"), 1, 21, ("controls", "horn", "input")),
        Change(Contact("bell", "press"), None, 22, ("controls", "bell", "input")),
        Change(Contact("trim", "clockwise"), None, 24, ("controls", "trim", "inputs", "clockwise")),
        Change(Contact("trim", "press"), None, 26, ("controls", "trim", "inputs", "press")),
    )


def test_a_control_that_needs_inputs_gets_no_input_beside_them() -> None:
    """Where `inputs` are given, or another contact of the control is learnt as well."""
    content = bare_device().plain()
    content["controls"]["lamp"] |= {"reports": "edges", "inputs": {"off": 4}}
    device = Device.model_validate(content)
    lesson = learn_inputs(device, [observe(device, "put-on lamp.on", 30)])
    assert [one.path for one in lesson.changes] == [("controls", "lamp", "inputs", "on")]
    content["controls"]["lamp"] |= {"input": 3, "inputs": {}}
    device = Device.model_validate(content)
    on, off = observe(device, "put-on lamp.on", 30), observe(device, "put-off lamp.off", 31)
    assert [one.path for one in learn_inputs(device, [on]).changes] == [
        ("controls", "lamp", "input")
    ]
    assert [one.path for one in learn_inputs(device, [on, off]).changes] == [
        ("controls", "lamp", "inputs", "on"),
        ("controls", "lamp", "inputs", "off"),
    ]


def test_a_number_that_is_right_is_not_changed() -> None:
    device = bare_device()
    lesson = learn_inputs(device, [observe(device, "press horn.press", 1)])
    assert (lesson.changes, lesson.right) == ((), (Contact("horn", "press"),))


def test_what_is_unclear_is_left_and_said() -> None:
    device = bare_device()
    lesson = learn_inputs(
        device,
        [observe(device, "press horn.press"), observe(device, "press bell.press", 4, 5)],
    )
    assert lesson.changes == ()
    assert lesson.open == (
        (Contact("horn", "press"), "nothing was heard"),
        (Contact("bell", "press"), "inputs 4 and 5 were heard at once"),
    )


def test_two_contacts_on_one_number_are_said() -> None:
    device = bare_device()
    lesson = learn_inputs(device, [observe(device, "press bell.press", 1)])
    assert lesson.clashes == ((1, (Contact("horn", "press"), Contact("bell", "press"))),)


def test_states_teach_by_what_stays_down() -> None:
    device = bare_device()
    session = Session(device, instance=1, steps=plan_test(device, every=True))
    session.take(Event(0.0, 1, "added", down=(17,)), Answer(1.0, "next"))
    while session.step is not None and session.step.gesture not in ("put-on", "select"):
        session.take(Answer(1.0, "skip"))
    session.take(Event(10.0, 1, "down", 30))
    session.tick(1000.0)
    session.take(Event(2000.0, 1, "up", 30))
    session.tick(3000.0)
    while session.step is not None and session.step.gesture != "select":
        session.take(Answer(9000.0, "skip"))
    session.take(Event(9001.0, 1, "up", 17), Event(9002.0, 1, "down", 18))
    session.tick(12_000.0)
    session.take(Event(13_000.0, 1, "up", 18), Event(13_001.0, 1, "down", 17))
    session.tick(20_000.0)
    lesson = learn_inputs(device, session.observations)
    assert {str(one.contact): one.new for one in lesson.changes} == {
        "lamp.on": 30,
        "mode.position-2": 18,
        "mode.position-1": 17,
    }


def test_a_box_numbered_otherwise_teaches_every_number_it_has() -> None:
    device = make_box(3, 4)
    other = device.model_copy(
        update={"wiring": device.wiring.model_copy(update={"numbering": "along-columns"})}
    )
    steps = plan_test(other, every=True)
    session = run_test(Session(other, instance=INSTANCE, steps=steps), SimulatedBox(device))
    lesson = learn_inputs(other, session.observations)
    taught = {str(one.contact): one.new for one in lesson.changes}
    assert taught["b12.press"] == 2
    assert taught["b21.press"] == 5
    assert lesson.right == (
        Contact("b11", "on"),
        Contact("trim", "clockwise"),
        Contact("trim", "anticlockwise"),
        Contact("trim", "press"),
    )
