"""Dialogs: choose from a list by typing, ask for words, decide, read."""

from collections.abc import Callable, Iterable, Mapping, Sequence
from typing import TYPE_CHECKING, Any, ClassVar, Generic, NamedTuple, TypeVar

from textual.app import App, ComposeResult
from textual.binding import BindingType
from textual.containers import Horizontal, Vertical, VerticalScroll
from textual.content import Content, Span
from textual.events import Click
from textual.fuzzy import FuzzySearch
from textual.screen import ModalScreen
from textual.widgets import Button, Input, OptionList

from profiles.tui.frame import Head, Line, Listing, ScreenApp, StillScreen, plain

T = TypeVar("T")

FIRST_SHOWN = 6
"""Choices listed at once under each of several headings before anything is typed."""

MOST_SHOWN = 200
"""Choices listed at once; typing filters them."""


class Fit(NamedTuple, Generic[T]):
    """A thing that typed letters fit: the name they were found in, and where in it."""

    thing: T
    name: str = ""
    at: tuple[int, ...] = ()


def find_fits(typed: str, named: Iterable[tuple[T, Sequence[str]]]) -> list[Fit[T]]:
    """Things that typed letters fit, each with its names, best first; all of them for no letters.

    Of equals the shorter name wins, then the order given.
    """
    found, search = [], FuzzySearch()
    for place, (thing, names) in enumerate(named):
        best = (1.0, 0, Fit(thing)) if not typed else (0.0, 0, Fit(thing))
        for name in names if typed else ():
            fit, at = search.match(typed, name)
            if (fit, -len(name)) > best[:2]:
                best = fit, -len(name), Fit(thing, name, tuple(at))
        if best[0] > 0:
            found.append((-best[0], -best[1], place, best[2]))
    return [fit for *_, fit in sorted(found, key=lambda entry: entry[:3])]


def rank(typed: str, named: Iterable[tuple[T, Sequence[str]]]) -> list[T]:
    """The things alone that `find_fits` finds."""
    return [fit.thing for fit in find_fits(typed, named)]


def mark_letters(line: str, fit: Fit[Any]) -> Content:
    """A line with the letters underlined that were typed, where it has the name they fit."""
    content, start = plain(line), line.find(fit.name) if fit.at else -1
    shown = content.plain
    if start < 0 or shown != line:
        return content
    spans = [Span(start + at, start + at + 1, "bold underline") for at in fit.at]
    return Content(shown, spans)


class Dialog(StillScreen[T], ModalScreen[T]):
    """A box over the view; Escape leaves it without a result."""

    if TYPE_CHECKING:
        app: ScreenApp  # by its own type

    BINDINGS: ClassVar[list[BindingType]] = [("escape", "leave", "Back")]

    _is_closed = False

    @property
    def is_on_top(self) -> bool:
        """Whether no other box is over it; to the toolkit one that shows through is current."""
        return self.is_attached and self.app.screen is self

    def action_leave(self) -> None:
        """Close without a result."""
        self.close(None)

    def on_click(self, event: Click) -> None:
        """A click beside the box closes it without a result."""
        is_beside = not self.query_one("#box").region.contains(*event.screen_offset)
        if event.widget is self and is_beside and event.button != 3:
            self.action_leave()

    def on_button_pressed(self, event: Button.Pressed) -> None:
        """Do what the button says."""
        event.stop()
        action = event.button.name
        if action and self.is_on_top:
            getattr(self, f"action_{action}")()

    def close(self, result: Any) -> None:
        """Close with a result, once, however often a key is pressed, and whole if not yet so."""

        def leave() -> None:
            self.dismiss(result)

        if self.is_on_top and not self._is_closed:
            self._is_closed = True
            if self.is_mounted:
                leave()
            else:
                self.call_later(leave)


def make_buttons(ways: Mapping[str, str]) -> Horizontal:
    """A row of buttons; `ways` has the words of each by the action that it does."""
    buttons = [Button(words, name=action, compact=True) for action, words in ways.items()]
    return Horizontal(*buttons, classes="ways")


class Choice(NamedTuple):
    """One line to choose: its id, the words that typing is compared with, the line itself, and the
    heading that it is listed under, if there are any."""

    id: str
    names: tuple[str, ...]
    line: str
    section: str = ""


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
        ("f4,ctrl+b", "pick_beside", "Also"),
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
        self._shown: list[Choice | None] = []
        """The choice in each line; None for a heading."""

    def compose(self) -> ComposeResult:
        """Title, input, list, preview and buttons."""
        with Vertical(id="box") as box:
            box.border_title = plain(self._title)
            yield Input(placeholder="type to find", id="typed")
            with Horizontal(id="columns"):
                yield Listing(id="list")
                if self._preview is not None:
                    with VerticalScroll(id="preview"):
                        yield Line(id="said")
            beside = {"pick_beside": "Also"} if self._beside else {}
            with Vertical(classes="foot"):
                yield Line(self._hint, id="hint")
                yield make_buttons({"pick": "Choose", **beside, "leave": "Cancel"})

    def on_mount(self) -> None:
        """List everything at first."""
        self.query_one("#list", Listing).can_focus = False
        self._fill("")
        self.query_one(Input).focus()

    def on_input_changed(self, event: Input.Changed) -> None:
        """Filter the list."""
        self._fill(event.value)

    def _fill(self, typed: str) -> None:
        fits = find_fits(typed.strip(), [(choice, choice.names) for choice in self._choices])
        sections: dict[str, list[Fit[Choice]]] = {}
        for fit in fits:
            sections.setdefault(fit.thing.section, []).append(fit)
        most = MOST_SHOWN if len(sections) < 2 else MOST_SHOWN // 10 if typed else FIRST_SHOWN
        lines: list[str | Content] = []
        self._shown = []
        for section, found in sections.items():
            if section:
                lines.append(Head(f"{section}, {len(found)}"))
                self._shown.append(None)
            lines += [mark_letters(fit.thing.line, fit) for fit in found[:most]]
            self._shown += [fit.thing for fit in found[:most]]
        rest = len(fits) - sum(one is not None for one in self._shown)
        more = f"… {rest} more; type to filter" if rest else "" if fits else "nothing matches"
        first = next((at for at, one in enumerate(self._shown) if one is not None), None)
        self.query_one("#list", Listing).fill(lines, first, more)
        if not fits and self._preview is not None:
            self.query_one("#said", Line).say("")

    def action_step(self, by: int) -> None:
        """Move in the list."""
        self.query_one("#list", Listing).step(by)

    def on_option_list_option_highlighted(self, event: OptionList.OptionHighlighted) -> None:
        """Work out what the choice would do, off the screen's thread."""
        choice = self._choice_at(event.option_index)
        if self._preview is not None and choice is not None:
            said = self.query_one("#said", Line)
            self.app.compute(self, self._preview(choice.id), said.say)

    def on_option_list_option_selected(self, event: OptionList.OptionSelected) -> None:
        """A line was clicked."""
        self._pick(event.option_index)

    def on_input_submitted(self) -> None:
        """Choose the line that is marked."""
        self.action_pick()

    def action_pick_beside(self) -> None:
        """Choose the marked line beside what is there, where that is possible."""
        if self._beside:
            self._pick(self.query_one("#list", Listing).highlighted, beside=True)

    def action_pick(self) -> None:
        """Choose the marked line."""
        self._pick(self.query_one("#list", Listing).highlighted)

    def _choice_at(self, at: int | None) -> Choice | None:
        return self._shown[at] if at is not None and at < len(self._shown) else None

    def _pick(self, at: int | None, *, beside: bool = False) -> None:
        choice = self._choice_at(at)
        if choice is not None:
            self.close(Picked(choice.id, beside))


class Ask(Dialog[dict[str, str]]):
    """Ask for one or several words or numbers; `check` says what is wrong with them."""

    BINDINGS: ClassVar[list[BindingType]] = [("ctrl+s,f5", "submit", "Done")]

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
        """Title, one input a field, buttons."""
        with Vertical(id="box") as box:
            box.border_title = plain(self._title)
            for number, (name, value) in enumerate(self._fields.items()):
                yield Line(name)
                yield Input(value, id=f"field-{number}")
            yield Line(self._hint, id="hint")
            yield make_buttons({"submit": "Done", "leave": "Cancel"})

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
            self.query_one("#hint", Line).say(self.app.phrase(fault))
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
        """Title, what would happen, the ways on, buttons."""
        with Vertical(id="box") as box:
            box.border_title = plain(self._title)
            with VerticalScroll(id="page"):
                yield Line("\n".join(self._lines))
                yield Line(id="more")
            with Vertical(classes="foot"):
                yield Listing((f"{key}  {words}" for key, words in self._ways.items()), id="list")
                yield Line(
                    "Press the letter, Enter, or click twice. Escape changes nothing.", id="hint"
                )
                yield make_buttons({"take": "Do it", "leave": "Cancel"})

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

    def action_take(self) -> None:
        """Take the marked way."""
        self.close(list(self._ways)[self.query_one(Listing).highlighted or 0])


class Read(Dialog[None]):
    """Text to read, such as help, a difference, or a file's lines."""

    BINDINGS: ClassVar[list[BindingType]] = [("enter", "leave", "Back"), ("q", "leave", "Back")]

    def __init__(self, title: str, lines: Sequence[str]) -> None:
        super().__init__()
        self._title, self._lines = title, list(lines)

    def compose(self) -> ComposeResult:
        """Title, text and the way back."""
        with Vertical(id="box") as box:
            box.border_title = plain(self._title)
            with VerticalScroll(id="page"):
                yield Line("\n".join(self._lines))
            with Vertical(classes="foot"):
                yield Line("Arrows scroll. Escape or Enter goes back.", id="hint")
                yield make_buttons({"leave": "Back"})

    def on_mount(self) -> None:
        """Let the arrows scroll at once."""
        self.query_one("#page", VerticalScroll).focus()
