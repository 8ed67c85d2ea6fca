"""The quiz of `press show`: asks to find what an action is on, measures time and errors."""

import json
import random
from collections.abc import Sequence
from pathlib import Path
from typing import Any

from profiles.cli.exits import Exit, Unusable
from profiles.cli.output import note, show_path, write
from profiles.cli.press_board import open_boards, show_words
from profiles.cli.press_boxes import unusable
from profiles.cli.press_keys import Keys, open_keys
from profiles.cli.press_recordings import choose_new, read_named
from profiles.cli.press_sitting import ANSWERS, PAUSE
from profiles.cli.press_status import StatusLine
from profiles.live.boxes import Chosen
from profiles.live.events import Event, LiveError
from profiles.live.lines import Answer, Entry, Header, Recording, describe_device
from profiles.live.quiz import Quiz, Tally
from profiles.live.recording import Recorder, start_recording
from profiles.live.series import date_now
from profiles.live.showing import attach, describe_application, name_touched
from profiles.model import Link, ResolvedBinding
from profiles.sheets.text_table import render_table
from profiles.text.inert import escape_controls
from profiles.text.prose import count
from profiles.text.version import find_version

HEADINGS = ("Action", "Where", "Found", "Mean time", "Wrong", "Given up")


def run_quiz(
    link: Link,
    which: int | None,
    *,
    lines: bool,
    rounds: int | None,
    seed: int | None,
    recording: Path | None,
    as_json: bool,
) -> Exit:
    """Quiz at the real box until the person stops or the rounds are over, then sum it up.

    Raises:
        Unusable: where there is no box, nothing is bound, or the recording cannot be written.
    """
    if not link.bound:
        raise Unusable(
            f"profile `{escape_controls(link.profile.id)}` binds nothing",
            "Bind some actions first.",
        )
    reader = open_boards(link, which)
    path = recording or choose_new(f"{link.profile.id}-quiz")
    header = _write_header(link, random.randrange(2**31) if seed is None else seed)
    try:
        sitting = _QuizSitting(link, reader, start_recording(path, header), header.seed)
    except LiveError as error:
        reader.close()
        raise unusable(error) from None
    keys = open_keys(lines=lines)
    try:
        sitting.run(keys, StatusLine(by_line=keys.by_line), rounds)
    except LiveError as error:
        raise unusable(error) from None
    finally:
        keys.close()
        sitting.close()
    note(f"note: recorded in {show_path(path)}")
    _tell(link, sitting.quiz.tallies, as_json=as_json)
    return Exit.FINE


def _write_header(link: Link, seed: int) -> Header:
    device = link.devices[0]
    return Header(
        device=device.id,
        description=describe_device(device),
        program=find_version(),
        recording="quiz",
        started=date_now(),
        profile=link.profile.id,
        seed=seed,
    )


class _QuizSitting:
    """A quiz at the real box: what is read is recorded first and counted then."""

    def __init__(self, link: Link, reader: Chosen, recorder: Recorder, seed: int) -> None:
        self.link, self.reader, self.recorder = link, reader, recorder
        self.quiz = Quiz(link, {}, seed)
        self._trouble = ""
        self._shown = ""
        """Where the action was that was given up last."""

    def run(self, keys: Keys, status: StatusLine, rounds: int | None) -> None:
        """Ask until the person stops or so many questions are done with. Raises LiveError."""
        self._poll()
        shown: object = None
        while self.quiz.question is not None:
            if rounds is not None and sum(one.asked for one in self.quiz.tallies) >= rounds:
                return
            state = (self.quiz.question, self.quiz.wrong, self._trouble)
            if state != shown:
                self._ask(keys, status, self.quiz.question)
                shown = (self.quiz.question, self.quiz.wrong, self._trouble)
            word = keys.next(PAUSE)
            before = self.quiz.question
            self._poll()
            if word is not None and self.quiz.question == before:
                self._answer(word, before)

    def close(self) -> None:
        """Let go of box and recording; what could not be written is said."""
        self.reader.close()
        try:
            self.recorder.close()
        except LiveError as error:
            note(f"platebook: {error.message}\n  {error.remedy}.")

    def _ask(self, keys: Keys, status: StatusLine, question: ResolvedBinding) -> None:
        lines = [
            f"Find it: {question.action.name}",
            *self._describe_wrong(),
            self._shown,
            self._trouble,
        ]
        if not keys.by_line:
            lines.append("s: give up, show it   x: stop")
        show_words(status, question.legend, lines)

    def _describe_wrong(self) -> list[str]:
        names = list(dict.fromkeys(bound.action.name for bound in self.quiz.wrong))
        return [f"No, that is: {', '.join(names)}"] if names else []

    def _answer(self, word: str, question: ResolvedBinding) -> None:
        answer = ANSWERS.get(word)
        if answer == "stop":
            self._take(Answer(self.reader.now(), "stop"))
        elif answer in ("skip", "next"):
            self._shown = f"{question.action.name} was on {describe_place(self.link, question)}"
            self._take(Answer(self.reader.now(), "skip"))

    def _poll(self) -> None:
        for event in self.reader.poll():
            self._take(event)

    def _take(self, entry: Entry) -> None:
        try:
            self.recorder.add(entry)
            self._trouble = ""
        except LiveError as trouble:
            self._trouble = f"{trouble.message}. {trouble.remedy}."
        asked = self.quiz.question
        take_entry(self.quiz, self.link, entry)
        if isinstance(entry, Event) and self.quiz.question != asked:
            self._shown = ""


def take_entry(quiz: Quiz, link: Link, entry: Entry) -> None:
    """Give a quiz one entry; a box that is plugged in becomes part of it."""
    if isinstance(entry, Event):
        attach(quiz.board, link, entry)
    quiz.take(entry)


def sum_up_quizzes(link: Link, paths: Sequence[Path], *, as_json: bool) -> Exit:
    """Replay recordings of quizzes and sum them up together.

    Raises:
        Unusable: where one cannot be read or is of another profile.
    """
    quizzes = [_replay(link, path, read_named(path, "quiz")) for path in paths]
    together = [_add_up(tallies) for tallies in zip(*(one.tallies for one in quizzes), strict=True)]
    _tell(link, together, as_json=as_json)
    return Exit.FINE


def _replay(link: Link, path: Path, recording: Recording) -> Quiz:
    if recording.header.profile != link.profile.id:
        raise Unusable(
            f"{show_path(path)} is of profile `{escape_controls(recording.header.profile)}`, "
            f"not of `{escape_controls(link.profile.id)}`",
            "Name that profile.",
        )
    quiz = Quiz(link, {}, recording.header.seed)
    for entry in recording.entries:
        take_entry(quiz, link, entry)
    return quiz


def _add_up(tallies: Sequence[Tally]) -> Tally:
    return Tally(
        tallies[0].bound,
        tuple(time for one in tallies for time in one.times),
        sum(one.errors for one in tallies),
        sum(one.given_up for one in tallies),
    )


def describe_place(link: Link, bound: ResolvedBinding) -> str:
    """Where a binding is: its contacts, those held first."""
    names = [name_touched(link, one) for one in (*bound.held, bound.acting)]
    return " + ".join(names)


def _tell(link: Link, tallies: Sequence[Tally], *, as_json: bool) -> None:
    asked = [one for one in tallies if one.asked or one.errors]
    if as_json:
        plain = [_plain(link, one) for one in asked]
        write(json.dumps({"format": 1, "profile": link.profile.id, "actions": plain}, indent=2))
    elif not asked:
        write(f"{describe_application(link)}: nothing was asked")
    else:
        write(render_quiz(link, asked))


def render_quiz(link: Link, tallies: Sequence[Tally]) -> str:
    """The measurements of a quiz, the slowest and most mistaken first."""
    ordered = sorted(tallies, key=lambda one: (-(one.errors + one.given_up), -(one.mean or 0.0)))
    found = sum(len(one.times) for one in tallies)
    errors = sum(one.errors for one in tallies)
    wrong = count(errors, "wrong press", "wrong presses")
    head = f"{describe_application(link)}: {count(found, 'action')} found, {wrong}"
    return (
        f"{escape_controls(head)}\n\n{render_table(HEADINGS, [_row(link, one) for one in ordered])}"
    )


def _row(link: Link, one: Tally) -> tuple[str, ...]:
    mean = "" if one.mean is None else f"{one.mean / 1000:.1f} s"
    place = describe_place(link, one.bound)
    counts = (str(one.errors), str(one.given_up))
    return (one.bound.action.name, place, str(len(one.times)), mean, *counts)


def _plain(link: Link, one: Tally) -> dict[str, Any]:
    return {
        "action": one.bound.action_id,
        "key": one.bound.key,
        "where": describe_place(link, one.bound),
        "times": list(one.times),
        "mean": one.mean,
        "errors": one.errors,
        "given_up": one.given_up,
    }
