"""A new box learnt on the screen: its controls are worked and named, then its file is begun.

What is asked and what the typed words mean is the run's own, as in a terminal.
"""

from textual.app import ComposeResult
from textual.containers import Vertical, VerticalScroll
from textual.widgets import Input

from profiles.live.discovery import Discovery
from profiles.live.events import FoundBox, LiveError
from profiles.text.inert import escape_controls
from profiles.tui.dialogs import Dialog, make_buttons
from profiles.tui.fields import Fields
from profiles.tui.frame import Line, ScreenApp, plain
from profiles.tui.press_asking import ask_box
from profiles.tui.press_pane import PUMP_SECONDS, PressPane
from profiles.work.press_boxes import open_reader
from profiles.work.press_new import (
    NEW_BOX,
    LiveDiscovery,
    NewBox,
    begin_discovery,
    create_device,
    find_discovery,
    list_new_boxes,
    read_new_box,
)
from profiles.work.recordings import recordings_folder

MOST_SAID = 8
"""Sentences that stay in sight."""


class LearnBox(Dialog[Discovery]):
    """One box: what was said last, the grid while a place is asked for, what is asked now, and a
    line to type in. Leaving stops, to be resumed."""

    DEFAULT_CSS = "LearnBox #page { max-height: 55vh; }"

    def __init__(self, title: str, run: LiveDiscovery) -> None:
        super().__init__()
        self._title, self._run, self._said = title, run, list(run.greeting)

    def compose(self) -> ComposeResult:
        """What was said, what is asked, a line to type in."""
        with Vertical(id="box") as box:
            box.border_title = plain(self._title)
            with VerticalScroll(id="page", can_focus=False):
                yield Line(id="learn-said")
            yield Line(id="learn-asked")
            yield Input(placeholder="type here, Enter takes it", id="typed")
            yield make_buttons({"leave": "Stop, resume later"})

    def on_mount(self) -> None:
        """Begin to listen."""
        self.query_one(Input).focus()
        self.set_interval(PUMP_SECONDS, self.pump)
        self._show()

    def pump(self) -> None:
        """Look once at the box, and show what is new."""
        try:
            said = self._run.pump()
        except LiveError as error:
            self.app.tell(error.sentences)
            self.action_leave()
            return
        if said:
            self._said += said
            self._show()

    def on_input_submitted(self, event: Input.Submitted) -> None:
        """Hand on what was typed."""
        event.input.clear()
        self._said += self._run.say(event.value)
        self._show()
        if self._run.discovery.is_over:
            self.close(self._run.discovery)

    def action_leave(self) -> None:
        """Stop; what was named is in the recording."""
        self._run.stop()
        self.close(self._run.discovery)

    def on_unmount(self) -> None:
        """Let go of the box however the dialog ends."""
        self._run.close()

    def _show(self) -> None:
        prompt = self._run.prompt
        where = prompt.where if prompt is not None else ()
        self.query_one("#learn-said", Line).say("\n".join([*self._said[-MOST_SAID:], *where]))
        self.query_one("#page", VerticalScroll).scroll_end(animate=False)
        if prompt is not None:
            self.query_one("#learn-asked", Line).say(f"{prompt.place} {prompt.words}".strip())


def ask_to_learn(app: ScreenApp) -> None:
    """Ask for the id of a new box, find it, and describe it by working its controls."""
    pane = app.pane
    if isinstance(pane, PressPane) and pane.is_polling:
        app.tell("The Press view is listening to a box; x stops that.")
        return
    library = app.session.library
    questions = Fields(
        "Learn a box that has no file", NEW_BOX, lambda answers: read_new_box(library, answers)
    )
    app.ask(questions, lambda box: _find_box(app, box))


def _find_box(app: ScreenApp, box: NewBox) -> None:
    """Begin at the box that is plugged in; ask which where several may be meant."""
    try:
        path, resumed = find_discovery(box.id, recordings_folder(app.folder))
        reader = open_reader(resumed.time if resumed else 0.0)
        try:
            found = list_new_boxes(reader.devices(), app.session.library.devices.values())
        except LiveError:
            reader.close()
            raise
    except LiveError as error:
        app.tell(error.sentences)
        return

    def take(chosen: FoundBox | None) -> None:
        if chosen is None:
            reader.close()
            return
        try:
            run = begin_discovery(box.id, path, reader, chosen, resumed)
        except LiveError as error:
            app.tell(error.sentences)
            return
        app.ask(LearnBox(f"Learn {box.id}", run), lambda learnt: _end(app, box, learnt))

    if len(found) == 1:
        take(found[0])
    else:
        ask_box(app, box.id, found, take)


def _end(app: ScreenApp, box: NewBox, learnt: Discovery) -> None:
    """Begin the device's file and look at it; or tell how to go on."""
    if learnt.phase != "finished":
        app.tell(f"Stopped; learning {escape_controls(box.id)} again resumes it.")
        return
    create_device(app.session.copy, learnt, box)
    app.session.settle()
    app.session.choose_device(box.id)
    name = app.session.copy.path(box.id).name
    app.tell(f"Started {name} from the box; Ctrl+S writes it.")
    app.after_change()
