"""What is around every view: heading and note line; the base of views, and of the screen.

Every text from a file passes `escape_controls` and is shown as `Content`, never as markup.
"""

from collections.abc import Callable, Iterable
from contextlib import suppress
from functools import wraps
from pathlib import Path
from textwrap import wrap
from typing import TYPE_CHECKING, Any, ClassVar, TypeVar

from rich.segment import Segment
from textual.app import App
from textual.containers import Container, VerticalScroll
from textual.content import Content
from textual.dom import DOMNode
from textual.events import Click
from textual.geometry import Offset
from textual.screen import ModalScreen, Screen
from textual.strip import Strip
from textual.timer import Timer
from textual.widget import Widget
from textual.widgets import OptionList, Static
from textual.widgets.option_list import Option
from textual.worker import get_current_worker

from profiles.text.cells import cut_to, width_of
from profiles.text.inert import escape_controls
from profiles.tui.strips import drop_caches

if TYPE_CHECKING:
    from profiles.model import Finding, Library, Spot
    from profiles.tui.session import Session
    from profiles.work.edits import Edit
    from profiles.work.recovery import Keeper

drop_caches()

T = TypeVar("T")

VIEWS: dict[str, str] = {
    "plate": "Plate",
    "findings": "Findings",
    "compare": "Compare",
    "sheets": "Sheets",
    "wiring": "Wiring",
    "device": "Device",
    "press": "Press",
}
"""Views by name, in the order of their number keys."""


def plain(text: str) -> Content:
    """A text on one line, inert, without markup."""
    return Content(escape_controls(text))


def plain_lines(lines: list[str]) -> Content:
    """Lines, each inert, without markup."""
    return Content("\n".join(escape_controls(line) for line in lines))


class Line(Static):
    """A line or block of plain text."""

    def __init__(self, text: str = "", *, name: str | None = None, **given: Any) -> None:
        given.setdefault("classes", "line")
        super().__init__(plain_lines(text.split("\n")), name=name, markup=False, **given)
        self.said = text

    def say(self, text: str) -> None:
        """Show another text."""
        self.said = text
        self.update(plain_lines(text.split("\n")))


class Hanging(Line):
    """Lines whose rest, where they are too long for the window, stays as far in as they begin."""

    def __init__(self, text: str = "", **given: Any) -> None:
        super().__init__(text, **given)
        self._wide = 0

    def say(self, text: str) -> None:
        """Show another text."""
        super().say(text)
        self._wide = 0
        self.on_resize()

    def on_resize(self) -> None:
        """Break the lines for another width."""
        wide = self.content_size.width
        if wide in (0, self._wide):
            return
        self._wide = wide
        lines: list[str] = []
        for line in map(escape_controls, self.said.split("\n")):
            inner = line.lstrip(" ")
            indent = " " * (len(line) - len(inner))
            whole = width_of(line) <= wide
            broken = [line] if whole else wrap(inner, max(wide - len(indent), 8))
            lines += broken if whole else [f"{indent}{part}" for part in broken]
        self.update(plain_lines(lines))


class Aside(VerticalScroll):
    """What is beside the main part of a view, under a title."""

    def __init__(self, title: str, **given: Any) -> None:
        super().__init__(classes="aside", **given)
        self.border_title = f"{title} "


class Head(str):
    """A line between others that names those below it and cannot be chosen."""


MARK = "▸"
"""What the marked line begins with, so that colour is not needed to see it."""


class Listing(OptionList):
    """A list of lines, one of them marked. A click marks a line, one more on it chooses it."""

    def __init__(self, lines: Iterable[str] = (), **given: Any) -> None:
        super().__init__(*[Option(plain(line)) for line in lines], markup=False, **given)
        self._clicked: int | None = None

    def fill(self, lines: Iterable[str | Content], at: int | None, rest: str = "") -> None:
        """Show other lines and mark one; `rest` is a last line that cannot be chosen."""
        options = [
            Option(plain(line) if isinstance(line, str) else line, disabled=isinstance(line, Head))
            for line in lines
        ]
        if rest:
            options.append(Option(plain(rest), disabled=True))
        self.clear_options()
        self.add_options(options)
        self.highlighted, self._clicked = at, None

    def render_line(self, y: int) -> Strip:
        """A line, with a mark before the one that is marked."""
        strip = super().render_line(y)
        at = self.scroll_offset.y + y
        is_marked = at < len(self._lines) and self._lines[at] == (self.highlighted, 0)
        if not is_marked or not strip.cell_length:
            return strip
        style = next(iter(strip)).style
        return Strip([Segment(MARK, style), *strip.crop(1)], strip.cell_length)

    async def _on_click(self, event: Click) -> None:
        """Mark the line under the pointer; choose it where it was marked by a click before."""
        event.prevent_default()
        at = event.style.meta.get("option")
        if at is None or self.get_option_at_index(at).disabled:
            return
        if (
            event.button == 1
            and self.highlighted == at
            and (self._clicked == at or event.chain > 1)
        ):
            self.action_select()
        self.highlighted = self._clicked = at

    def action_page_down(self) -> None:
        """Mark a line one window further down."""
        self.step(self.size.height - 1)

    def action_page_up(self) -> None:
        """Mark a line one window further up."""
        self.step(1 - self.size.height)

    def step(self, by: int) -> None:
        """Mark a line so many further down, at most the first or last."""
        open_ = [at for at in range(self.option_count) if not self.get_option_at_index(at).disabled]
        if open_:
            now = self.highlighted if self.highlighted in open_ else open_[0]
            self.highlighted = open_[min(max(open_.index(now) + by, 0), len(open_) - 1)]


class Heading(Line):
    """What is unsaved and found of the profile looked at; right of it, never cut, the library."""

    def __init__(self, text: str, library: tuple[str, str] = ("", ""), **given: Any) -> None:
        super().__init__(text, **given)
        self.text, self.library = text, library
        self._counts = ("", "")

    def say_with(self, text: str, library: tuple[str, str], counts: tuple[str, str]) -> None:
        """Show another text, and the library's count beside it, in words and in few letters;
        `counts` are how the text has its own, and that in few letters."""
        self.library, self.text, self._counts = library, text, counts
        self.say(f"{text} {library[0]}")

    def render(self) -> Content:
        """The text and the count on one line; words of counts give way to letters, then names."""
        width, (long, brief) = self.size.width, map(escape_controls, self.library)
        text = escape_controls(self.text)
        right = long if width_of(text) + width_of(long) + 3 <= width else brief
        if width_of(text) + width_of(right) + 2 > width:
            text = text.replace(*self._counts, 1) if self._counts[0] else text
        left = cut_to(text, max(width - width_of(right) - 2, 1))
        gap = " " * max(width - width_of(left) - width_of(right) - 1, 1)
        return Content(f"{left}{gap}{right}")


NOTE_SECONDS = 12.0
"""How long a note stays; F8 shows those that are gone."""

MOST_NOTES = 100
"""Notes that are kept."""


class NoteLine(Line):
    """What the last action did, or what goes on."""

    _timer: Timer | None = None

    def say_for_a_while(self, text: str) -> None:
        """Show a note, and clear it once there was time to read it."""
        self.say(text)
        if self._timer is not None:
            self._timer.stop()
        self._timer = self.set_timer(NOTE_SECONDS, lambda: self.say(""))


class StoppedError(Exception):
    """Long work was stopped, by hand or because its answer is of no use any more."""


class StillScreen(Screen[T]):
    """A screen on which a press on what is just going away selects nothing.

    The toolkit would take the place of the text from the widget's parent, which is gone by then.
    """

    def get_widget_and_offset_at(self, x: int, y: int) -> tuple[Widget | None, Offset | None]:
        """The widget at a place and the place in its text; neither where it goes away."""
        widget, offset = super().get_widget_and_offset_at(x, y)
        is_there = isinstance(widget, Screen) or (widget is not None and widget.parent is not None)
        return (widget, offset) if is_there else (None, None)


class ScreenApp(App[int]):
    """What every view and dialog may ask of the screen as a whole."""

    folder: Path
    session: "Session"
    keeper: "Keeper"
    notes: list[str] = []  # noqa: RUF012 - replaced, never changed
    """The notes told so far, the last one last."""

    @property
    def pane(self) -> "Pane | None":
        """The view that is open."""
        raise NotImplementedError

    def get_default_screen(self) -> Screen[Any]:
        """The screen that the views are on."""
        return StillScreen(id="_default")

    def in_names(
        self, text: str, documents: Iterable[str] = (), before: "Library | None" = None
    ) -> str:
        """A sentence with names in place of ids: of these documents, otherwise of those that the
        box on top is about, or the view."""
        session: Session | None = getattr(self, "session", None)
        if session is None:
            return text
        known = [one.documents for one in (session.library, before) if one is not None]
        about = [one for one in documents if any(one in some for some in known)]
        if not about:
            above = (getattr(one, "documents", ()) for one in reversed(self.screen_stack))
            about = list(next(filter(None, above), ()))
        return session.name(text, about, before)

    def name_document(self, id_: str) -> str:
        """A document by its name, or its id; the settings by their file."""
        return escape_controls(self.session.view.documents.get(id_, id_))

    def name_some(self, documents: Iterable[str]) -> str:
        """Documents by their names, of many the first few."""
        known = list(map(self.name_document, documents))
        return ", ".join([*known[:3], *([f"{len(known) - 3} more"] if len(known) > 3 else [])])

    def phrase(self, text: str) -> str:
        """A note, or a fault in a box: by names, as it is true on the screen, as all of them are
        written."""
        from profiles.tui.naming import make_note

        return make_note(self.in_names(text))

    def tell(self, text: str) -> None:
        """Put a sentence on the note line, for a while; it is kept among the notes."""
        if self.is_running:
            words = self.phrase(text)
            if words and (not self.notes or self.notes[-1] != words):
                self.notes = [*self.notes[1 - MOST_NOTES :], words]
            self.query_one("#note", NoteLine).say_for_a_while(f" {words}")

    def attempt(self, act: Callable[[], object]) -> None:
        """Do something that may be refused, and tell why."""
        from profiles.files.toml_edit import EditError

        try:
            act()
        except EditError as error:
            self.tell(str(error))

    def ask(self, dialog: ModalScreen[T], take: Callable[[T], object]) -> None:
        """Ask something, and use the answer if there is any."""

        def go_on(answer: T | None) -> None:
            if answer is not None:
                self.attempt(lambda: take(answer))

        self.push_screen(dialog, go_on)

    def compute(
        self,
        node: Widget,
        find: Callable[[], T],
        take: Callable[[T], object],
        group: str = "preview",
    ) -> None:
        """Work something out off the screen's thread; shown if it is still of use."""

        def show(found: T) -> None:
            if node.is_attached:
                take(found)

        def run() -> None:
            worker = get_current_worker()
            with suppress(StoppedError):
                found = find()
                if not worker.is_cancelled:
                    self.call_from_thread(show, found)

        node.run_worker(run, thread=True, exclusive=True, group=group or "preview")

    def apply(self, edit: "Edit") -> bool:
        """Make a change and show what it did; returns whether it was made."""
        from profiles.files.toml_edit import EditError

        before = self.session.library
        try:
            changed: bool = self.session.apply(edit)
        except EditError as error:
            self.tell(f"Not done: {error}")
            return False
        if changed:
            words = self.in_names(edit.words, self.session.copy.past[-1].touched, before)
            self.tell(f"{words}. Ctrl+Z takes it back, Ctrl+S saves.")
            self.after_change()
        else:
            self.tell("Nothing to change.")
        return changed

    def after_change(self) -> None:
        """Keep unsaved work safe, show what is different, and check again."""
        self.session.settle()
        if not self.keeper.keep(self.session.copy.unsaved()):
            self.tell("Unsaved work cannot be kept safe: the library's folder takes no file.")
        self.show_all()

    def show_all(self) -> None:
        """Show the session as it is now in the view that is open."""
        raise NotImplementedError

    async def jump(self, finding: "Finding") -> None:
        """Show the plate with the control that a finding is about."""
        raise NotImplementedError

    async def action_view(self, name: str) -> None:
        """Show another view."""
        raise NotImplementedError

    def action_save(self) -> None:
        """Write every unsaved file."""
        raise NotImplementedError

    def action_undo(self) -> None:
        """Take the last change back."""
        raise NotImplementedError

    def action_redo(self) -> None:
        """Make the change again that was taken back."""
        raise NotImplementedError

    def action_form(self) -> None:
        """Every key of a document as a form."""
        raise NotImplementedError

    def action_menu(self) -> None:
        """List what can be done in this view."""
        raise NotImplementedError

    def action_stop_work(self) -> None:
        """Stop long work: checking, drawing, previews. What is shown stays."""
        raise NotImplementedError

    def end(self) -> None:
        """End the screen; nothing is left behind."""
        raise NotImplementedError


class Pane(Container):
    """One view. It shows the session and never keeps a copy of it."""

    title: ClassVar[str] = ""
    hint: ClassVar[str] = ""
    """What the view is for, for its help page."""

    if TYPE_CHECKING:
        app: ScreenApp  # by its own type

    @property
    def is_ready(self) -> bool:
        """Whether the view is open and all its parts are there, and the screen is not closing."""
        running = self._has_parts and self.app.is_running and self.is_attached
        return running and self.app.pane is self

    def on_click(self, event: Click) -> None:
        """The right button, wherever in the view, lists what can be done there."""
        if event.button == 3:
            self.app.action_menu()

    _has_parts = False

    def on_mount(self) -> None:
        """All parts are there now."""
        self._has_parts = True

    @property
    def session(self) -> "Session":
        """What the app is looking at."""
        return self.app.session

    @property
    def spot(self) -> "Spot | None":
        """The document and key that is looked at, for its form; None where one is to be chosen."""
        return None

    def show(self) -> None:
        """Show the session as it is now."""

    @property
    def main(self) -> Widget:
        """The part that has the keyboard at first."""
        return self

    def take_focus(self) -> None:
        """Give the keyboard to the view's main part at once: the next key is for it."""
        self.screen.set_focus(self.main)

    def aim_at(self, key: str) -> None:
        """Mark one thing of the view: a sheet by its name, a finding by its key."""


P = TypeVar("P", bound=Pane)


def refusable(act: Callable[[P], None]) -> Callable[[P], None]:
    """An action that may raise EditError; the note line tells why it is refused."""

    @wraps(act)
    def call(pane: P) -> None:
        pane.app.attempt(lambda: act(pane))

    return call


def start_work(node: DOMNode, work: Any, *, group: str = "default", exclusive: bool = True) -> None:
    """Start a callable whose result is awaited; made when it begins, so closing leaves none over.

    The type that the toolkit gives `work` has no place for callables that return coroutines.
    """
    node.run_worker(work, group=group, exclusive=exclusive)
