"""A quiz: asks to find what an action is on, measures time and errors, asks the hard ones more.

A `Quiz` takes events and answers like a press test and is as free of input and output; the seed
decides the order, so a recording replays to the same quiz. How often a binding is asked grows with
its errors and with its time, and shrinks once it was asked: `weigh` says how.
"""

import random
from collections.abc import Mapping
from dataclasses import dataclass, replace

from profiles.live.lines import Answer, Entry, Recording
from profiles.live.show import Board
from profiles.model import Device, DeviceContact, Link, ResolvedBinding

SLOW = 3000.0
"""Time to find a control, ms, that counts like one error."""


@dataclass(frozen=True, slots=True)
class Tally:
    """How one binding went: times found, ms each, wrong controls touched, times given up."""

    bound: ResolvedBinding
    times: tuple[float, ...] = ()
    errors: int = 0
    given_up: int = 0

    @property
    def asked(self) -> int:
        """How often it was asked and done with."""
        return len(self.times) + self.given_up

    @property
    def mean(self) -> float | None:
        """Mean time to find it, ms."""
        return sum(self.times) / len(self.times) if self.times else None


def weigh(tally: Tally) -> float:
    """How likely a binding is asked next: 1 when new; errors and time raise it."""
    slowness = (tally.mean or 0.0) / SLOW
    trouble = 1.0 + 2.0 * (tally.errors + tally.given_up) + slowness
    return trouble / (1.0 + tally.asked)


class Quiz:
    """One quiz over the bindings of a profile."""

    def __init__(self, link: Link, boxes: Mapping[int, Device], seed: int = 0) -> None:
        self.board = Board(link)
        for instance, device in boxes.items():
            self.board.attach(instance, device)
        self.tallies = [Tally(bound) for bound in link.bound]
        self.time = 0.0
        self.stopped = not self.tallies
        self.wrong: tuple[ResolvedBinding, ...] = ()
        self._chance = random.Random(seed)
        self._at = 0
        self._since: float | None = None
        self._ask()

    @property
    def question(self) -> ResolvedBinding | None:
        """The binding to find now; any control that does the same counts."""
        return None if self.stopped else self.tallies[self._at].bound

    def take(self, *entries: Entry) -> None:
        """Events and answers, in the order in which they happened."""
        for entry in entries:
            self.time = max(self.time, entry.time)
            if self._since is None:
                self._since = self.time
            if not isinstance(entry, Answer):
                for touched in self.board.take(entry):
                    self._judge(touched.contact, touched.bound)
            elif entry.kind == "stop":
                self.stopped = True
            elif entry.kind in ("next", "skip") and not self.stopped:
                tally = self.tallies[self._at]
                self.tallies[self._at] = replace(tally, given_up=tally.given_up + 1)
                self._ask()

    def _judge(self, contact: DeviceContact, bound: tuple[ResolvedBinding, ...]) -> None:
        """Count what a contact did as found, as wrong, or as one that may have to be held."""
        question = self.question
        if question is None:
            return
        tally = self.tallies[self._at]
        if any(found.action_id == question.action_id for found in bound):
            took = self.time - (self._since or 0.0)
            self.tallies[self._at] = replace(tally, times=(*tally.times, took))
            self.wrong = ()
            self._ask()
            return
        same = [each.bound for each in self.tallies if each.bound.action_id == question.action_id]
        if not any(contact in binding.held for binding in same):
            self.tallies[self._at] = replace(tally, errors=tally.errors + 1)
            self.wrong = bound

    def _ask(self) -> None:
        """Choose the next; never the same twice in a row where there is another."""
        if self.stopped:
            return
        last = self._at if any(tally.asked for tally in self.tallies) else -1
        weights = [0.0 if at == last else weigh(tally) for at, tally in enumerate(self.tallies)]
        if sum(weights) > 0:
            self._at = self._chance.choices(range(len(weights)), weights)[0]
        self._since = self.time if self._since is not None else None


def replay_quiz(link: Link, boxes: Mapping[int, Device], recording: Recording) -> Quiz:
    """The quiz that a recording leads to."""
    quiz = Quiz(link, boxes, recording.header.seed)
    quiz.take(*recording.entries)
    return quiz
