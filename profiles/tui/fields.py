"""A dialog of several questions: words, choices, pasted lists; help and faults beside them."""

from collections.abc import Callable, Sequence
from typing import ClassVar, TypeVar

from textual.app import ComposeResult
from textual.binding import BindingType
from textual.containers import Horizontal, Vertical, VerticalScroll
from textual.events import DescendantFocus, Paste
from textual.widget import Widget
from textual.widgets import Input, Select, TextArea

from profiles.files.toml_edit import EditError
from profiles.tui.dialogs import Dialog, make_buttons
from profiles.tui.frame import MARK, Line, plain
from profiles.work.beginning import Question

T = TypeVar("T")


class OneLine(Input):
    """A line to type in; a list that is pasted into it goes where lists are asked for."""

    def on_paste(self, event: Paste) -> None:
        """Hand a pasted list on."""
        dialog = self.screen
        if isinstance(dialog, Fields) and dialog.take_list(event.text):
            event.stop()
            event.prevent_default()


class Fields(Dialog[T]):
    """Ask all questions at once; `act` takes the answers, and what it refuses keeps it open."""

    BINDINGS: ClassVar[list[BindingType]] = [("ctrl+s,f5", "submit", "Done")]

    def __init__(
        self, title: str, questions: Sequence[Question], act: Callable[[dict[str, str]], T]
    ) -> None:
        super().__init__()
        self._title, self._questions, self._act = title, tuple(questions), act

    def compose(self) -> ComposeResult:
        """Title, one row a question, what helps with the one in hand, and the ways out."""
        with Vertical(id="box") as box:
            box.border_title = plain(self._title)
            with VerticalScroll(id="rows", can_focus=False):
                for number, question in enumerate(self._questions):
                    with Horizontal(classes="asked"):
                        yield Line(f" {question.title}", classes="asked-name")
                        yield _make_answer(question, f"answer-{number}")
                    yield Line(id=f"fault-{number}", classes="fault")
            with Vertical(classes="foot"):
                yield Line(id="fault", classes="fault")
                yield Line(id="hint")
                yield make_buttons({"submit": "Done", "leave": "Cancel"})

    def on_mount(self) -> None:
        """Begin with the first question."""
        self._blame("", "")
        self.query_one("#answer-0").focus()

    def on_descendant_focus(self, event: DescendantFocus) -> None:
        """Tell what helps with the question in hand; a button moves nothing as it is pressed."""
        name = (event.widget.id or "").removeprefix("answer-")
        for number, line in enumerate(self.query(".asked-name").results(Line)):
            is_own = str(number) == name
            line.say(f"{MARK if is_own else ' '}{self._questions[number].title}")
            line.set_class(is_own, "in-hand")
        if name.isdigit():
            words = "Enter in a line, Ctrl+S or F5 is done, Tab goes on, Escape cancels."
            self.query_one("#hint", Line).say(f"{self._questions[int(name)].help}\n{words}")

    def on_input_submitted(self) -> None:
        """Enter in any line takes all answers."""
        self.action_submit()

    def action_submit(self) -> None:
        """Take all answers, unless something is wrong with them."""
        if not self.is_on_top:
            return
        try:
            result = self._act(self.answers)
        except EditError as error:
            self._blame(getattr(error, "question", ""), self.app.phrase(str(error)))
            return
        self.close(result)

    def take_list(self, text: str) -> bool:
        """Put pasted lines into the last question that takes lines; returns whether it did."""
        areas = list(self.query(TextArea))
        if len(text.strip().splitlines()) < 2 or not areas:
            return False
        areas[-1].text = text
        areas[-1].focus()
        return True

    @property
    def answers(self) -> dict[str, str]:
        """What is given now, by question."""
        return {
            question.name: _read_answer(self.query_one(f"#answer-{number}"))
            for number, question in enumerate(self._questions)
        }

    def _blame(self, name: str, fault: str) -> None:
        """Show what is wrong beside the question it is about, and go there."""
        names = [question.name for question in self._questions]
        at = names.index(name) if name in names else None
        for number in range(len(names)):
            line = self.query_one(f"#fault-{number}", Line)
            line.say(fault if number == at else "")
            line.display = number == at
        rest = self.query_one("#fault", Line)
        rest.say("" if at is not None else fault)
        rest.display = at is None and bool(fault)
        if at is not None:
            self.query_one(f"#answer-{at}").focus()


def _make_answer(question: Question, id_: str) -> Widget:
    if question.choices:
        known = [key for key, _ in question.choices]
        first = question.first if question.first in known else known[0]
        options = [(plain(words), key) for key, words in question.choices]
        return Select(options, allow_blank=False, value=first, id=id_, compact=True)
    if question.is_long:
        return TextArea(question.first, id=id_, compact=True)
    return OneLine(question.first, id=id_)


def _read_answer(widget: Widget) -> str:
    if isinstance(widget, TextArea):
        return widget.text
    assert isinstance(widget, Input | Select)
    return str(widget.value)
