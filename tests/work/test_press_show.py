"""A quiz at the real box, driven by hand: what is asked, what counts, what is refused."""

from pathlib import Path

import pytest

from profiles.live.events import Event, FoundBox, LiveError
from profiles.live.lines import Answer, Header
from profiles.live.recording import read_recording, start_recording
from profiles.model import Library, Link
from profiles.work.press import Poster
from profiles.work.press_show import LiveQuiz, LiveShow, begin_quiz, replay_quizzes
from tests.live.test_show import DESK, PROFILE, TITLE, down, up

NUMBERS = {"horn": 1, "bell": 2, "shift": 3, "lamp": 4}
ADDED = Event(0.0, 1, "added", box=FoundBox(1, "Desk"))


class ScriptReader:
    """A reader that says what it is given, once."""

    def __init__(self, *events: Event) -> None:
        self.events = list(events)
        self.is_closed = False

    def devices(self) -> tuple[FoundBox, ...]:
        return (FoundBox(1, "Desk"),)

    def poll(self) -> list[Event]:
        found, self.events = self.events, []
        return found

    def now(self) -> float:
        return 9000.0

    def close(self) -> None:
        self.is_closed = True


@pytest.fixture
def link() -> Link:
    return Library.of([DESK, TITLE, PROFILE]).links[0]


@pytest.fixture
def reader() -> ScriptReader:
    return ScriptReader(ADDED)


@pytest.fixture
def quiz(link: Link, reader: ScriptReader, tmp_path: Path) -> LiveQuiz:
    """Asks for the bell first."""
    for seed in range(50):
        path = tmp_path / f"{seed}.jsonl"
        run = begin_quiz(link, ScriptReader(ADDED), path, rounds=None, seed=seed)
        question = run.quiz.question
        run.close()
        if question is not None and question.action_id == "ring-bell":
            path = tmp_path / "quiz.jsonl"
            return begin_quiz(link, reader, path, rounds=None, seed=seed)
    raise AssertionError("no seed asks for the bell")


def lines_of(shown: tuple[Poster, ...]) -> list[tuple[str, ...]]:
    return [poster.lines for poster in shown]


def test_where_an_action_was_is_told_until_the_next_is_found(
    quiz: LiveQuiz, reader: ScriptReader
) -> None:
    quiz.answer("skip")
    ((_, told),) = lines_of(quiz.pump())
    assert told == "ring bell was on bell"
    asked = quiz.quiz.question
    assert asked is not None
    reader.events = [down(NUMBERS[asked.acting.control]), up(NUMBERS[asked.acting.control])]
    reader.events = [down(NUMBERS[one.control]) for one in asked.held] + reader.events
    if asked.acting.contact == "off":
        reader.events = [down(4), up(4)]
    (found,) = lines_of(quiz.pump())
    assert told not in found


def test_an_answer_that_comes_with_the_right_press_gives_nothing_up(
    quiz: LiveQuiz, reader: ScriptReader
) -> None:
    reader.events = [down(2)]
    quiz.answer("skip")
    (tally,) = [one for one in quiz.quiz.tallies if one.asked]
    assert (tally.bound.action_id, tally.given_up, len(tally.times)) == ("ring-bell", 0, 1)


def test_all_that_counts_is_in_the_recording(
    quiz: LiveQuiz, reader: ScriptReader, tmp_path: Path, link: Link
) -> None:
    reader.events = [down(5), up(5), down(2)]
    quiz.pump()
    quiz.answer("skip")
    quiz.answer("stop")
    quiz.close()
    assert reader.is_closed
    assert not quiz.is_live
    kinds = [one.kind for one in read_recording(tmp_path / "quiz.jsonl", "quiz").entries]
    assert kinds == ["added", "down", "up", "down", "skip", "stop"]
    (again,) = replay_quizzes(link, [tmp_path / "quiz.jsonl"])
    assert again.tallies == quiz.quiz.tallies


def test_a_quiz_of_another_profile_is_refused(link: Link, tmp_path: Path) -> None:
    path = tmp_path / "quiz.jsonl"
    header = Header("desk", "ab", "1", recording="quiz", profile="tramway-desk")
    recorder = start_recording(path, header)
    recorder.add(Answer(1.0, "stop"))
    recorder.close()
    with pytest.raises(LiveError) as caught:
        replay_quizzes(link, [path])
    assert caught.value.message == (
        f"{path} is of profile `tramway-desk`, not of `{link.profile.id}`"
    )


def test_a_recording_that_is_there_is_kept_and_the_box_let_go_of(
    link: Link, reader: ScriptReader, tmp_path: Path
) -> None:
    path = tmp_path / "quiz.jsonl"
    path.write_text("mine", encoding="utf-8")
    with pytest.raises(LiveError, match="exists already"):
        begin_quiz(link, reader, path, rounds=None, seed=1)
    assert (path.read_text(encoding="utf-8"), reader.is_closed) == ("mine", True)


def test_another_profile_takes_over_the_boxes_that_are_there(
    link: Link, reader: ScriptReader
) -> None:
    show = LiveShow(link, reader)
    show.pump()
    show.take_link(link)
    reader.events = [down(2)]
    assert show.pump() == (Poster("ring bell", ("bell: ring bell",)),)
    show.close()
    assert reader.is_closed
    assert show.pump() == ()
