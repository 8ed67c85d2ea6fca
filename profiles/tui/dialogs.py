"""Dialogs: choose from a list by typing, ask for words, decide, read."""

from collections.abc import Callable, Iterable, Mapping, Sequence
from typing import TYPE_CHECKING, Any, ClassVar, NamedTuple, TypeVar

from textual.app import App, ComposeResult
from textual.binding import BindingType
from textual.containers import Horizontal, Vertical, VerticalScroll
from textual.fuzzy import FuzzySearch
from textual.screen import ModalScreen
from textual.widgets import Input, OptionList

from profiles.tui.frame import Line, Listing, ScreenApp

T = TypeVar("T")

MOST_SHOWN = 200
"""Choices listed at once; typing filters them."""


def rank(typed: str, named: Iterable[tuple[T, Sequence[str]]]) -> list[T]:
    """Things that typed letters fit, each with its names, best first; all of them for no letters.

    Of equals the shorter name wins, then the order given.
    """
    found, search = [], FuzzySearch()
    for place, (thing, names) in enumerate(named):
        fits = [(search.match(typed, name)[0], -len(name)) for name in names if typed]
        fit, short = max(fits, default=(1.0, 0))
        if fit > 0:
            found.append((-fit, -short, place, thing))
    return [thing for *_, thing in sorted(found, key=lambda entry: entry[:3])]


class Dialog(ModalScreen[T]):
    """A box over the view; Escape leaves it without a result."""

    if TYPE_CHECKING:
        app: ScreenApp  # by its own type

    BINDINGS: ClassVar[list[BindingType]] = [("escape", "leave", "Back")]

    def action_leave(self) -> None:
        """Close without a result."""
        self.dismiss(None)

    def close(self, result: Any) -> None:
        """Close with a result, once, however often a key is pressed."""
        if self.is_current:
            self.dismiss(result)


class Choice(NamedTuple):
    """One line to choose: its id, the words that typing is compared with, the line itself."""

    id: str
    names: tuple[str, ...]
    line: str


class Picked(NamedTuple):
    """What was chosen, and whether beside what is there already."""

    id: str
    beside: bool = False


class Choose(Dialog[Picked]):
    """Type to filter a list, arrows to move, Enter to choose; beside it what would happen."""

    BINDINGS: ClassVar[list[BindingType]] = [
        ("down", "step(1)", "Next"),
        ("up", "step(-1)", "Previous"),
        ("pagedown", "step(10)", ""),
        ("pageup", "step(-10)", ""),
        ("ctrl+b", "pick_beside", "Also"),
    ]

    def __init__(
        self,
        title: str,
        choices: Sequence[Choice],
        *,
        hint: str = "Type to filter. Enter chooses, Escape cancels.",
        preview: Callable[[str], Callable[[], str]] | None = None,
        beside: bool = False,
    ) -> None:
        super().__init__()
        self._title, self._choices, self._hint = title, list(choices), hint
        self._preview, self._beside = preview, beside
        self._shown: list[Choice] = []

    def compose(self) -> ComposeResult:
        """Title, input, list and preview."""
        with Vertical(id="box"):
            yield Line(self._title)
            yield Input(placeholder="type to find", id="typed")
            with Horizontal(id="columns"):
                yield Listing(id="list")
                if self._preview is not None:
                    with VerticalScroll(id="preview"):
                        yield Line(id="said")
            yield Line(self._hint, id="hint")

    def on_mount(self) -> None:
        """List everything at first."""
        self.query_one("#list", Listing).can_focus = False
        self._fill("")
        self.query_one(Input).focus()

    def on_input_changed(self, event: Input.Changed) -> None:
        """Filter the list."""
        self._fill(event.value)

    def _fill(self, typed: str) -> None:
        found = rank(typed.strip(), [(choice, choice.names) for choice in self._choices])
        self._shown = found[:MOST_SHOWN]
        rest = len(found) - len(self._shown)
        more = f"… {rest} more; type to filter" if rest else "" if found else "nothing matches"
        shown = self.query_one("#list", Listing)
        shown.fill([choice.line for choice in self._shown], 0 if found else None, more)
        if not found and self._preview is not None:
            self.query_one("#said", Line).say("")

    def action_step(self, by: int) -> None:
        """Move in the list."""
        self.query_one("#list", Listing).step(by)

    def on_option_list_option_highlighted(self, event: OptionList.OptionHighlighted) -> None:
        """Work out what the choice would do, off the screen's thread."""
        if self._preview is not None and event.option_index < len(self._shown):
            said = self.query_one("#said", Line)
            self.app.compute(self, self._preview(self._shown[event.option_index].id), said.say)

    def on_option_list_option_selected(self, event: OptionList.OptionSelected) -> None:
        """A line was clicked."""
        self._pick(event.option_index)

    def on_input_submitted(self) -> None:
        """Choose the line that is marked."""
        self._pick(self.query_one("#list", Listing).highlighted)

    def action_pick_beside(self) -> None:
        """Choose the marked line beside what is there, where that is possible."""
        if self._beside:
            self._pick(self.query_one("#list", Listing).highlighted, beside=True)

    def _pick(self, at: int | None, *, beside: bool = False) -> None:
        if at is not None and at < len(self._shown):
            self.close(Picked(self._shown[at].id, beside))


class Ask(Dialog[dict[str, str]]):
    """Ask for one or several words or numbers; `check` says what is wrong with them."""

    BINDINGS: ClassVar[list[BindingType]] = [("ctrl+s", "submit", "Done")]

    def __init__(
        self,
        title: str,
        fields: Mapping[str, str],
        *,
        hint: str = "Enter accepts, Tab goes to the next field, Escape cancels.",
        check: Callable[[dict[str, str]], str | None] | None = None,
    ) -> None:
        super().__init__()
        self._title, self._fields, self._hint = title, dict(fields), hint
        self._check = check

    def compose(self) -> ComposeResult:
        """Title, one input a field."""
        with Vertical(id="box"):
            yield Line(self._title)
            for number, (name, value) in enumerate(self._fields.items()):
                yield Line(name)
                yield Input(value, id=f"field-{number}")
            yield Line(self._hint, id="hint")

    def on_mount(self) -> None:
        """Begin with the first field."""
        self.query_one("#field-0", Input).focus()

    def on_input_submitted(self) -> None:
        """Enter in any field takes all of them."""
        self.action_submit()

    def action_submit(self) -> None:
        """Take what was typed, unless something is wrong with it."""
        found = {
            name: self.query_one(f"#field-{number}", Input).value
            for number, name in enumerate(self._fields)
        }
        fault = self._check(found) if self._check else None
        if fault is not None:
            self.query_one("#hint", Line).say(fault)
            return
        self.close(found)


def ask_to_replace(app: App[Any], refusal: str, then: Callable[[], None]) -> None:
    """Ask whether to replace what a writer refused to; `then` does it."""

    def take(answer: str | None) -> None:
        if answer == "r":
            then()

    answers = {"r": "Replace it", "k": "Keep it"}
    app.push_screen(Decide("Replace what is there?", [refusal], answers), take)


class Decide(Dialog[str]):
    """Show what would happen and let the user choose; each way has its key.

    `more` computes, off the screen's thread, what is shown below the lines.
    """

    def __init__(
        self,
        title: str,
        lines: Sequence[str],
        ways: Mapping[str, str],
        more: Callable[[], str] | None = None,
    ) -> None:
        super().__init__()
        self._title, self._lines, self._ways = title, list(lines), dict(ways)
        self._more = more

    def compose(self) -> ComposeResult:
        """Title, what would happen, and the ways on."""
        with Vertical(id="box"):
            yield Line(self._title)
            with VerticalScroll(id="page"):
                yield Line("\n".join(self._lines))
                yield Line(id="more")
            yield Listing((f"{key}  {words}" for key, words in self._ways.items()), id="list")
            yield Line("Press the letter, or Enter. Escape changes nothing.", id="hint")

    def on_mount(self) -> None:
        """Begin with the first way."""
        self.query_one(Listing).focus()
        more = self.query_one("#more", Line)
        more.display = self._more is not None
        if self._more is not None:
            self.app.compute(self, self._more, more.say)

    def on_key(self, event: Any) -> None:
        """Take a way by its letter."""
        if event.character in self._ways:
            event.stop()
            self.close(event.character)

    def on_option_list_option_selected(self, event: OptionList.OptionSelected) -> None:
        """Take the marked way."""
        self.close(list(self._ways)[event.option_index])


class Read(Dialog[None]):
    """Text to read, such as help, a difference, or a file's lines."""

    BINDINGS: ClassVar[list[BindingType]] = [("enter", "leave", "Back"), ("q", "leave", "Back")]

    def __init__(self, title: str, lines: Sequence[str]) -> None:
        super().__init__()
        self._title, self._lines = title, list(lines)

    def compose(self) -> ComposeResult:
        """Title and text."""
        with Vertical(id="box"):
            yield Line(self._title)
            with VerticalScroll(id="page"):
                yield Line("\n".join(self._lines))
            yield Line("Arrows scroll. Escape or Enter goes back.", id="hint")

    def on_mount(self) -> None:
        """Let the arrows scroll at once."""
        self.query_one("#page", VerticalScroll).focus()
