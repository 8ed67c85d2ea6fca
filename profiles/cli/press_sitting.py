"""A person at a box: asks each step, listens, says what came, until it is done or stopped.

`sit` holds the loop for tests and lessons alike. What was heard is on the disk before anything is
said of it; a full disk, a pulled plug and Ctrl-C lose nothing that was recorded.
"""

from profiles.cli.press_keys import END, Keys
from profiles.cli.press_talk import Talk
from profiles.live.events import LiveError
from profiles.live.lines import AnswerKind
from profiles.live.outcome import name_step
from profiles.live.plan import Step
from profiles.live.prompt import describe_heard, describe_labels
from profiles.live.sitting import Sitting
from profiles.live.words import ask_step

PAUSE = 0.01
"""Seconds between two looks at the box."""

ROOM_TO_HEAR = 16
"""Columns kept beside the words of a step for what is heard."""

ANSWERS: dict[str, AnswerKind] = {
    "enter": "next",
    "n": "next",
    "next": "next",
    "s": "skip",
    "skip": "skip",
    "b": "back",
    "back": "back",
    "left": "back",
    "a": "again",
    "again": "again",
    "x": "stop",
    "escape": "stop",
    "stop": "stop",
    END: "stop",
}
"""What a key or a line answers."""

HELP_KEYS = "Enter: that was all   s: skip   b: back   a: again   x: stop, go on later"
HELP_LINES = "Answers, each on a line: next, skip, back, again, stop (go on later)"


def sit(sitting: Sitting, keys: Keys, talk: Talk) -> None:
    """Do a test to its end or to where the person leaves off; the record is closed then.

    Raises:
        LiveError: where the box cannot be read, or lines are left that cannot be written.
    """
    try:
        _ask_all(sitting, keys, talk)
        _save(sitting, keys, talk)
    finally:
        talk.end()
        sitting.close()


def _ask_all(sitting: Sitting, keys: Keys, talk: Talk) -> None:
    session = sitting.session
    teller = _Teller(sitting, talk)
    sitting.pump()
    if session.phase == "stopped":
        raise LiveError(
            "The box that is plugged in is not the one this record was begun with",
            "Plug that one in, or begin a record of its own with --new",
        )
    while session.phase not in ("finished", "stopped"):
        teller.tell()
        answer = _listen(sitting, keys, talk)
        teller.describe_verdict()
        if answer == "stop":
            return


def _listen(sitting: Sitting, keys: Keys, talk: Talk) -> AnswerKind | None:
    """Wait for a key or for the box, whichever comes first; return what was answered."""
    word = keys.next(PAUSE)
    sitting.pump()
    if word is None:
        return None
    answer = ANSWERS.get(word)
    if answer is None:
        talk.say(HELP_LINES if keys.by_line else HELP_KEYS)
    elif answer != "stop":
        sitting.answer(answer)
    return answer


def _save(sitting: Sitting, keys: Keys, talk: Talk) -> None:
    """Try until all is written, or the person gives up."""
    while sitting.trouble is not None:
        trouble = sitting.trouble
        talk.show(f"{trouble.message}. {trouble.remedy}. Enter: try again   x: give up")
        word = keys.next(PAUSE)
        if word is None:
            continue
        if ANSWERS.get(word) == "stop":
            return
        sitting.pump()


class _Teller:
    """Says what is asked, what is heard, and each verdict once."""

    def __init__(self, sitting: Sitting, talk: Talk) -> None:
        self.sitting, self.session, self.talk = sitting, sitting.session, talk
        self._position = self.session.position
        self._trouble: LiveError | None = None
        self._asked = ""

    def tell(self) -> None:
        """What is asked now, or what stands in the way."""
        self._describe_trouble()
        step = self.session.step
        if self.session.phase == "unplugged":
            self.talk.show("The box is unplugged. Plug it in again: this step is asked once more.")
        elif step is not None:
            self._ask(step)

    def describe_verdict(self) -> None:
        """The verdict on the step that has just ended."""
        before, self._position = self._position, self.session.position
        if before == self._position:
            return
        if self._position < before:
            self.talk.say("back")
            return
        key = self.session.steps[before].key
        for verdict in self.session.verdicts():
            if verdict.step.key == key:
                self.talk.say(f"{verdict.kind:>9}  {name_step(verdict.step)}: {verdict.words}")

    def _ask(self, step: Step) -> None:
        """Ask for a step and show what is heard; words too long for one line stay above it."""
        session = self.session
        at = f"[{session.position + 1}/{len(session.steps)}]"
        words = f"{at} {ask_step(session.blueprint, step)}{describe_labels(session.device, step)}"
        if self.talk.over and len(words) + ROOM_TO_HEAR > self.talk.width:
            if self._asked != words:
                self.talk.say(words)
            self._asked, words = words, at
        heard = describe_heard(session) if self.talk.over else ""
        self.talk.show(f"{words}   {heard}".rstrip())

    def _describe_trouble(self) -> None:
        trouble = self.sitting.trouble
        if trouble is not None and self._trouble is None:
            self.talk.say(f"{trouble.message}. {trouble.remedy}.")
        elif trouble is None and self._trouble is not None:
            self.talk.say("All is written to the disk again.")
        self._trouble = trouble
