"""A person at a box: asks each step, listens, says what came, until it is done or stopped.

`sit` holds the loop for tests and lessons alike. What was heard is on the disk before anything is
said of it; a full disk, a pulled plug and Ctrl-C lose nothing that was recorded.
"""

from profiles.cli.press_keys import END, Keys
from profiles.cli.press_status import StatusLine
from profiles.live.events import LiveError
from profiles.live.lines import AnswerKind
from profiles.live.outcome import name_step
from profiles.live.plan import Step
from profiles.live.prompt import describe_heard, describe_labels
from profiles.live.sitting import LiveTest
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

HELP_KEYS = "Enter: that was all   s: skip   b: back   a: again   x: stop, resume later"
HELP_LINES = "Answers, each on a line: next, skip, back, again, stop (resume later)"


def sit(sitting: LiveTest, keys: Keys, status: StatusLine) -> None:
    """Do a test to its end or to where the person leaves off; the recording is closed then.

    Raises:
        LiveError: where the box cannot be read, or lines are left that cannot be written.
    """
    try:
        _ask_all(sitting, keys, status)
        _save(sitting, keys, status)
    finally:
        status.end()
        sitting.close()


def _ask_all(sitting: LiveTest, keys: Keys, status: StatusLine) -> None:
    session = sitting.session
    teller = _Teller(sitting, status)
    sitting.pump()
    if session.phase == "stopped":
        raise LiveError(
            "The box that is plugged in is not the one this recording was started with",
            "Plug that one in, or start a new recording with --new",
        )
    while session.phase not in ("finished", "stopped"):
        teller.tell()
        answer = _listen(sitting, keys, status)
        teller.describe_verdict()
        if answer == "stop":
            return


def _listen(sitting: LiveTest, keys: Keys, status: StatusLine) -> AnswerKind | None:
    """Wait for a key or for the box, whichever comes first; return what was answered."""
    word = keys.next(PAUSE)
    sitting.pump()
    if word is None:
        return None
    answer = ANSWERS.get(word)
    if answer is None:
        status.say(HELP_LINES if keys.by_line else HELP_KEYS)
    elif answer != "stop":
        sitting.answer(answer)
    return answer


def _save(sitting: LiveTest, keys: Keys, status: StatusLine) -> None:
    """Try until all is written, or the person gives up."""
    while sitting.trouble is not None:
        trouble = sitting.trouble
        status.show(f"{trouble.message}. {trouble.remedy}. Enter: try again   x: give up")
        word = keys.next(PAUSE)
        if word is None:
            continue
        if ANSWERS.get(word) == "stop":
            return
        sitting.pump()


class _Teller:
    """Says what is asked, what is heard, and each verdict once."""

    def __init__(self, sitting: LiveTest, status: StatusLine) -> None:
        self.sitting, self.session, self.status = sitting, sitting.session, status
        self._position = self.session.position
        self._trouble: LiveError | None = None
        self._asked = ""

    def tell(self) -> None:
        """What is asked now, or what stands in the way."""
        self._describe_trouble()
        step = self.session.step
        if self.session.phase == "unplugged":
            self.status.show(
                "The box is unplugged. Plug it in again: this step is asked once more."
            )
        elif step is not None:
            self._ask(step)

    def describe_verdict(self) -> None:
        """The verdict on the step that has just ended."""
        before, self._position = self._position, self.session.position
        if before == self._position:
            return
        if self._position < before:
            self.status.say("back")
            return
        key = self.session.steps[before].key
        for verdict in self.session.verdicts():
            if verdict.step.key == key:
                self.status.say(f"{verdict.kind:>9}  {name_step(verdict.step)}: {verdict.words}")

    def _ask(self, step: Step) -> None:
        """Ask for a step and show what is heard; words too long for one line stay above it."""
        session = self.session
        at = f"[{session.position + 1}/{len(session.steps)}]"
        words = f"{at} {ask_step(session.model, step)}{describe_labels(session.device, step)}"
        if self.status.over and len(words) + ROOM_TO_HEAR > self.status.width:
            if self._asked != words:
                self.status.say(words)
            self._asked, words = words, at
        heard = describe_heard(session) if self.status.over else ""
        self.status.show(f"{words}   {heard}".rstrip())

    def _describe_trouble(self) -> None:
        trouble = self.sitting.trouble
        if trouble is not None and self._trouble is None:
            self.status.say(f"{trouble.message}. {trouble.remedy}.")
        elif trouble is None and self._trouble is not None:
            self.status.say("All is written to the disk again.")
        self._trouble = trouble
