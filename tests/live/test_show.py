"""What a control does in an application, and the quiz that asks for it."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from profiles.live.events import Event
from profiles.live.lines import Answer, Entry, Header, Recording
from profiles.live.quiz import Quiz, Tally, replay_quiz, weigh
from profiles.live.show import Board, ContactReader
from profiles.model import Application, Device, Library, Link, Profile

DESK = Device.model_validate(
    {
        "format": 1,
        "device": {"id": "desk", "name": "Desk"},
        "plate": {"width": 100.0, "height": 100.0},
        "controls": {
            name: {"kind": kind, "label": name, "position": [10 * at, 10], "hole": 8, "input": at}
            for at, (name, kind) in enumerate(
                [
                    ("horn", "momentary"),
                    ("bell", "momentary"),
                    ("shift", "momentary"),
                    ("lamp", "latching"),
                    ("spare", "momentary"),
                ],
                1,
            )
        },
    }
)
TITLE = Application.model_validate(
    {
        "format": 1,
        "application": {"id": "harbour", "name": "Harbour"},
        "actions": {
            name: {"name": name.replace("-", " ")}
            for name in ("sound-horn", "ring-bell", "fog-signal", "lamp-on", "lamp-off")
        },
    }
)
PROFILE = Profile.model_validate(
    {
        "format": 1,
        "profile": {"application": "harbour", "device": "desk"},
        "bindings": {
            "horn": "sound-horn",
            "bell": "ring-bell",
            "shift + horn": "fog-signal",
            "lamp.on": "lamp-on",
            "lamp.off": "lamp-off",
        },
    }
)


@pytest.fixture
def link() -> Link:
    return Library.of([DESK, TITLE, PROFILE]).links[0]


@pytest.fixture
def board(link: Link) -> Board:
    made = Board(link)
    made.attach(1, DESK)
    return made


def down(number: int, at: float = 0.0, device: int = 1) -> Event:
    return Event(at, device, "down", number)


def up(number: int, at: float = 0.0) -> Event:
    return Event(at, 1, "up", number)


def done(board: Board, event: Event) -> list[str]:
    return [bound.action_id for one in board.take(event) for bound in one.bound]


def test_pressing_a_control_shows_its_action(board: Board) -> None:
    assert done(board, down(1)) == ["sound-horn"]
    assert done(board, up(1)) == []


def test_with_another_held_the_chord_is_shown_and_the_plain_one_beside_it(board: Board) -> None:
    board.take(down(3))
    (one,) = board.take(down(1))
    assert [bound.action_id for bound in one.bound] == ["fog-signal"]
    assert [bound.action_id for bound in one.others] == ["sound-horn"]
    board.take(up(3))
    board.take(up(1))
    assert done(board, down(1)) == ["sound-horn"]


def test_a_latching_control_that_reports_its_state_is_put_off_as_its_input_goes_up(
    board: Board,
) -> None:
    assert done(board, down(4)) == ["lamp-on"]
    assert done(board, up(4)) == ["lamp-off"]


def test_a_lever_whose_off_has_an_input_from_its_wiring_goes_off_by_that_input() -> None:
    """Its `on` going up says nothing yet: the other contact is heard by itself."""
    content = DESK.plain()
    content["wiring"] = {"rows": ["2"], "columns": ["3", "4"], "numbering": "along-rows"}
    lever = {**content["controls"]["lamp"], "crossings": {"on": [1, 1], "off": [1, 2]}}
    lever.pop("input", None)
    content["controls"] = {"lamp": lever}
    reader = ContactReader(Device.model_validate(content))

    assert [one.contact for one in reader.take(down(1))] == ["on"]
    assert reader.take(up(1)) == ()
    assert [one.contact for one in reader.take(down(2))] == ["off"]


def test_a_control_without_a_binding_is_shown_with_nothing(board: Board) -> None:
    (one,) = board.take(down(5))
    assert (str(one.contact), one.bound) == ("desk/spare.press", ())


def test_other_boxes_and_unknown_inputs_show_nothing(board: Board) -> None:
    assert board.take(down(1, device=2)) == ()
    assert board.take(down(99)) == ()


def test_what_is_down_when_the_box_is_plugged_in_is_held(board: Board) -> None:
    board.take(Event(0.0, 1, "added", down=(3,)))
    assert done(board, down(1)) == ["fog-signal"]
    board.take(Event(1.0, 1, "removed"))
    assert board.held == frozenset()


def answer_right(quiz: Quiz, at: float) -> list[Entry]:
    """The events by which a person does what is asked, from now to `at`."""
    asked = quiz.question
    assert asked is not None
    numbers = {"horn": 1, "bell": 2, "shift": 3, "lamp": 4}
    entries: list[Entry] = []
    number = numbers[asked.acting.control]
    if asked.acting.contact == "off":
        entries = [down(number, at - 1.0)]
    entries += [down(numbers[held.control], at - 1.0) for held in asked.held]
    entries.append(up(number, at) if asked.acting.contact == "off" else down(number, at))
    if asked.acting.contact != "on":
        entries.append(up(number, at))
    entries += [up(numbers[held.control], at) for held in asked.held]
    return entries


def test_a_drill_measures_times_and_errors(link: Link) -> None:
    quiz = Quiz(link, {1: DESK}, seed=3)
    asked = quiz.question
    assert asked is not None
    quiz.take(Event(1000.0, 1, "added"))
    quiz.take(down(5, 1500.0), up(5, 1600.0))
    quiz.take(*answer_right(quiz, 2600.0))
    (tally,) = [one for one in quiz.tallies if one.bound == asked]
    assert (tally.times, tally.errors) == ((1600.0,), 1 + (asked.acting.contact == "off"))


def test_holding_what_a_chord_wants_is_no_error(link: Link) -> None:
    seed = next(n for n in range(50) if _question(link, n) == "fog-signal")
    quiz = Quiz(link, {1: DESK}, seed)
    quiz.take(Event(0.0, 1, "added"), down(3, 10.0), down(1, 20.0))
    (tally,) = [one for one in quiz.tallies if one.asked]
    assert (tally.bound.action_id, tally.errors, tally.times) == ("fog-signal", 0, (20.0,))


def _question(link: Link, seed: int) -> str:
    question = Quiz(link, {1: DESK}, seed).question
    return question.action_id if question else ""


def test_giving_up_is_counted_and_the_next_is_another(link: Link) -> None:
    quiz = Quiz(link, {1: DESK})
    before = quiz.question
    quiz.take(Answer(10.0, "skip"))
    assert quiz.question != before
    assert sum(one.given_up for one in quiz.tallies) == 1


def test_a_stopped_drill_asks_and_counts_nothing_more(link: Link) -> None:
    quiz = Quiz(link, {1: DESK})
    quiz.take(Answer(10.0, "stop"), down(5, 20.0), Answer(30.0, "skip"))
    assert quiz.question is None
    assert all(not one.asked and not one.errors for one in quiz.tallies)


def test_a_profile_without_bindings_has_nothing_to_quiz() -> None:
    empty = Profile.model_validate(
        {"format": 1, "profile": {"application": "harbour", "device": "desk"}}
    )
    link = Library.of([DESK, TITLE, empty]).links[0]
    assert Quiz(link, {1: DESK}).question is None


@given(st.integers(0, 1000))
def test_hard_controls_are_asked_more(seed: int) -> None:
    link = Library.of([DESK, TITLE, PROFILE]).links[0]
    bound = link.bound[0]
    easy = Tally(bound, times=(500.0,))
    hard = Tally(bound, times=(500.0,), errors=seed % 5 + 1)
    slow = Tally(bound, times=(500.0 + seed,))
    assert weigh(hard) > weigh(easy)
    assert weigh(slow) >= weigh(easy)
    assert weigh(easy) < weigh(Tally(bound))


def test_a_drill_replays_from_its_recording(link: Link) -> None:
    quiz = Quiz(link, {1: DESK}, seed=9)
    entries: list[Entry] = [Event(0.0, 1, "added")]
    quiz.take(*entries)
    for turn in range(1, 30):
        fresh = answer_right(quiz, 1000.0 * turn)
        quiz.take(*fresh)
        entries += fresh
    header = Header("desk", "ab", "1", recording="quiz", profile=link.profile.id, seed=9)
    again = replay_quiz(link, {1: DESK}, Recording(header, tuple(entries)))
    assert again.tallies == quiz.tallies
    assert sum(len(one.times) for one in again.tallies) >= 29
