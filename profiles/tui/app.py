"""The screen itself: reads the library, holds the session, shows the views, saves, never loses.

Long work (reading, checking, watching the files) runs off the screen's thread and can be stopped.
"""

import asyncio
import gc
import os
import signal
import sys
import threading
from collections.abc import Callable
from contextlib import suppress
from functools import partial
from importlib import import_module
from pathlib import Path
from typing import TYPE_CHECKING, Any, ClassVar

from textual import work
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Container
from textual.worker import get_current_worker

from profiles.text.inert import escape_controls
from profiles.text.prose import count
from profiles.tui import asking
from profiles.tui.dialogs import Read
from profiles.tui.early_keys import EarlyKeys
from profiles.tui.frame import (
    VIEWS,
    Heading,
    Line,
    NoteLine,
    Pane,
    StoppedError,
    start_work,
)
from profiles.tui.help import help_lines
from profiles.tui.key_bar import KeyBar
from profiles.tui.plate_rows import FirstPlate
from profiles.tui.themes import begin_in, next_look
from profiles.tui.view_bar import ViewBar

if TYPE_CHECKING:
    from profiles.model import Finding, Library
    from profiles.tui.session import Session
    from profiles.work.recovery import Watch
    from profiles.work.versions import Step

WATCH_SECONDS = 2.0
"""How often the files are looked at for changes from outside."""


GIVE_WAY = 0.0005
"""Seconds after which long work lets a key through; Python's own 5 ms add up to what is felt."""

LAST_MOMENT = 2.0
"""Seconds that putting the terminal back may take once the system has asked to end."""


class PlatebookApp(EarlyKeys):
    """One library on the screen."""

    CSS_PATH = "screen.tcss"
    TITLE = "Platebook"
    ENABLE_COMMAND_PALETTE = False
    HORIZONTAL_BREAKPOINTS = [(0, "narrow"), (110, "roomy"), (170, "vast")]  # noqa: RUF012

    BINDINGS: ClassVar[list[BindingType]] = [
        *[
            Binding(str(number), f"view('{name}')", words, show=False)
            for number, (name, words) in enumerate(VIEWS.items(), 1)
        ],
        Binding("p", "choose_profile", "Profile"),
        Binding("d", "choose_device", "Device", show=False),
        Binding("ctrl+n", "new", "New"),
        Binding("f9", "learn_box", "Learn a box", show=False),
        Binding("ctrl+e", "form", "Every key", show=False),
        Binding("ctrl+s,f5", "save", "Save"),
        Binding("ctrl+z,u", "undo", "Undo"),
        Binding("ctrl+y,U", "redo", "Redo", show=False),
        Binding("f6", "rename_document", "Change an id", show=False),
        Binding("f7", "delete_document", "Delete a document", show=False),
        Binding("f3", "differences", "Unsaved lines", show=False),
        Binding("colon,ctrl+p", "find", "Find anything", show=False),
        Binding("full_stop,f10", "menu", "What can be done here", show=False),
        Binding("f8", "notes", "Notes", show=False),
        Binding("f2", "look", "Look", show=False),
        Binding("escape", "stop_work", "Stop", show=False),
        Binding("f1,question_mark", "keys", "Help"),
        Binding("q,ctrl+q", "leave", "Quit"),
    ]

    watcher: "Watch"

    def __init__(self, folder: Path, *, watch: bool = True) -> None:
        super().__init__()
        self.folder = folder.resolve()
        self.animation_level = "none"
        from profiles.work.remembered import recall

        known = recall()
        begin_in(self, known.look)
        self._last = known.places.get(str(self.folder), ("", ""))
        self._watch = watch
        self._current = "plate"
        self._loaded = False
        self._asked: tuple[Library, str, str] | None = None

    def compose(self) -> ComposeResult:
        """Heading, names of the views, the view, note line, keys."""
        from profiles.tui.plain_look import look_plainly

        look = look_plainly(self.folder, *self._last)
        if look is not None:
            self.keep_keys()
        yield Heading(*([look.heading, look.library] if look else [" Platebook"]), id="heading")
        yield ViewBar(id="views")
        yield Container(*([FirstPlate(look)] if look else []), id="stage")
        yield NoteLine(f" Reading {escape_controls(self.folder.name)} …", id="note")
        yield KeyBar(id="keys")

    def on_mount(self) -> None:
        """Read the library once the frame is painted.

        When the system ends the process, the terminal is put back and unsaved work stays kept;
        where a terminal that is gone holds that up, the process ends all the same.
        """

        def end_soon(code: int) -> None:
            last = threading.Timer(LAST_MOMENT, os._exit, (code,))
            last.daemon = True
            last.start()
            self.exit(code)

        for name in ("SIGTERM", "SIGHUP") if os.name == "posix" and not self.is_headless else ():
            number = int(getattr(signal, name))
            asyncio.get_running_loop().add_signal_handler(number, end_soon, 128 + number)
        sys.setswitchinterval(GIVE_WAY)
        self.call_after_refresh(self._read_library)

    def _fatal_error(self) -> None:
        """End after a fault of its own; whoever runs the screen says so, in one voice."""
        self._close_messages_no_wait()

    def call_from_thread(self, callback: Callable[..., Any], *args: Any, **kwargs: Any) -> Any:
        """Call back from a thread; what comes when the screen is closing already is let go."""

        def call_while_open() -> Any:
            return callback(*args, **kwargs) if self.is_running and not self._exit else None

        return super().call_from_thread(call_while_open)

    @property
    def fault(self) -> Exception | None:
        """The fault of its own that the screen ended by."""
        return self._exception

    # Reading, watching, checking: off the screen's thread

    @work(thread=True, exclusive=True, group="read")
    def _read_library(self) -> None:
        from profiles.files.folder import NoLibraryError
        from profiles.files.library import load_library
        from profiles.tui.session import Session

        def refuse(reason: str) -> None:
            self.tell(reason)
            self.query_one("#stage").mount(Line(f"\n  {reason}\n\n  q leaves.", classes="line"))

        try:
            session = Session(load_library(self.folder))
            session.return_to(*self._last)
        except NoLibraryError as error:
            self.call_from_thread(refuse, str(error))
            return
        begin = partial(self._begin, session)
        self.call_from_thread(start_work, self, begin, group="begin")

    async def _begin(self, session: "Session") -> None:
        from profiles.work.recovery import Keeper, Watch, find_leftovers

        self.session, self.keeper, self.watcher = session, Keeper(self.folder), Watch(self.folder)
        self._loaded = True
        library, problems = session.library, session.problems
        counts = [
            count(len(library.devices), "device"),
            count(len(library.applications), "application"),
            count(len(library.profiles), "profile"),
        ]
        also = f"; {count(len(problems), 'problem')} in files" if problems else ""
        self.tell(f"{', '.join(counts)} read{also}")
        await self._show_view("findings" if problems else "plate")
        if not gc.isenabled():  # the command line turns it off; what was loaded so far stays
            gc.freeze()
            gc.enable()
        if self._watch:
            self.set_interval(WATCH_SECONDS, self._look_at_files)
        leftovers = find_leftovers(self.folder)
        self.release_keys(act=not (leftovers or problems))
        for leftover in leftovers[:1]:
            asking.offer_leftover(self, leftover)
        if not (leftovers or library.documents or problems):
            self.action_new()

    @work(thread=True, exclusive=True, group="check")
    def _check(self) -> None:
        """Check the chosen profile alone, then the library as a whole."""
        from profiles.checks.registry import run_checks
        from profiles.work.judge import check_alone

        worker, session = get_current_worker(), self.session
        library, profile, device = session.library, session.profile_id, session.device_id

        def watch(done: int, of: int) -> None:
            if worker.is_cancelled:
                raise StoppedError
            if len(library.profiles) > 50:
                self.call_from_thread(self._show_heading, f"  checking {done}/{of}")

        def show(take: Callable[..., None], *found: Any) -> None:
            if library is session.library:
                take(*found)
                self.show_all()

        with suppress(StoppedError):
            alone = check_alone(library, profile, device, watch)
            self.call_from_thread(show, session.take_result, profile, device, alone)
            if session.checked is not library:
                whole = run_checks(library, watch)
                self.call_from_thread(show, session.take_library_result, library, whole)

    def action_stop_work(self) -> None:
        """Stop long work: checking, drawing, previews. What is shown stays."""
        for worker in list(self.workers):
            if worker.group in ("check", "draw", "preview") and worker.is_running:
                worker.cancel()
                self.tell("Stopped. The next change checks again.")

    @work(thread=True, exclusive=True, group="watch")
    def _look_at_files(self) -> None:
        """Take in what others changed in the library's files."""
        from profiles.files.folder import NoLibraryError
        from profiles.files.library import load_library

        def take_in(loaded: Any) -> None:
            news = self.session.copy.take_in(loaded)
            self.after_change()
            parts = {
                "Changed on disk and taken in": news.taken,
                "Merged with changes on disk": news.merged,
                "Deleted on disk": news.deleted,
            }
            found = [f"{words}: {self.name_some(names)}" for words, names in parts.items() if names]
            if found:
                self.tell(". ".join(found))
            for document in news.clashes[:1]:
                asking.ask_about_clash(self, document)

        try:
            if self.watcher.look():
                self.call_from_thread(take_in, load_library(self.folder))
        except NoLibraryError:
            self.call_from_thread(self.tell, "The library's folder is gone; save is not possible.")

    # Changes

    def action_undo(self) -> None:
        """Take the last change back."""
        if self._loaded:
            self._take_step(self.session.copy.undo, "Taken back: ", "Nothing to take back.")

    def action_redo(self) -> None:
        """Make the change again that was taken back."""
        if self._loaded:
            self._take_step(self.session.copy.redo, "Again: ", "Nothing to do again.")

    def _take_step(self, take: "Callable[[], Step | None]", done: str, nothing: str) -> None:
        """Tell which change was taken back or made again; with its files where none is shown."""
        session, before = self.session, self.session.library
        step = take()
        if step is None:
            self.tell(nothing)
            return
        session.settle()
        shown = {session.profile_id, session.device_id} & set(step.touched)
        words = self.in_names(step.words, step.touched, before)
        self.tell(f"{done}{words}{'' if shown else f', in {self.name_some(step.touched)}'}")
        self.after_change()

    def action_save(self) -> None:
        """Write every unsaved file."""
        if not self._loaded:
            return
        saved = self.session.copy.save()
        self.keeper.keep(self.session.copy.unsaved())
        self._show_heading()
        if saved.clashes:
            asking.ask_about_clash(self, saved.clashes[0])
        elif saved.failures:
            self.tell(f"Not saved: {saved.failures[0]}")
        elif saved.written:
            also = (
                f", merged with changes on disk: {self.name_some(saved.merged)}"
                if saved.merged
                else ""
            )
            self.tell(f"Saved {self.name_some(saved.written)}{also}")
            if saved.merged:
                self.after_change()
        else:
            self.tell("Nothing to save.")

    def action_differences(self) -> None:
        """Show every unsaved line."""
        if self._loaded:
            asking.show_differences(self)

    def action_new(self) -> None:
        """Start a box, an application, a profile, a part or a board."""
        if self._loaded and len(self.screen_stack) == 1:
            from profiles.tui.beginning import offer_new

            offer_new(self)

    def action_learn_box(self) -> None:
        """Describe a plugged-in box that has no file by working its controls."""
        if self._loaded and len(self.screen_stack) == 1:
            from profiles.tui.learning import ask_to_learn

            ask_to_learn(self)

    def action_form(self) -> None:
        """Every key of a document as a form: of what is in view, or of the one you choose."""
        if self._loaded and len(self.screen_stack) == 1:
            from profiles.tui.form import choose_form, open_form

            spot = self.pane.spot if self.pane is not None else None
            self.attempt(lambda: open_form(self, *spot) if spot else choose_form(self))

    def action_rename_document(self) -> None:
        """Change the id of a device, application, profile, part or board wherever it is named."""
        if self._loaded and len(self.screen_stack) == 1:
            from profiles.tui.renaming import choose_to_rename

            choose_to_rename(self)

    def action_delete_document(self) -> None:
        """Delete a document; what would then lead nowhere is shown first."""
        if self._loaded and len(self.screen_stack) == 1:
            from profiles.tui.renaming import choose_to_delete

            choose_to_delete(self)

    def action_choose_profile(self) -> None:
        """Look at another profile."""
        if self._loaded:
            names = ((key, one.name) for key, one in self.session.library.profiles.items())
            asking.choose_document(self, "Which profile?", names, self.session.choose_profile)

    def action_choose_device(self) -> None:
        """Look at another device."""
        if self._loaded:
            names = ((key, one.name) for key, one in self.session.library.devices.items())
            asking.choose_document(self, "Which device?", names, self.session.choose_device)

    def action_find(self) -> None:
        """Find anything by its name: commands, controls, actions, profiles, sheets, findings."""
        if self._loaded and len(self.screen_stack) == 1:
            from profiles.tui.palette import open_palette

            open_palette(self, self.pane)

    def action_menu(self) -> None:
        """List what can be done in this view, as the right mouse button does."""
        if self._loaded and len(self.screen_stack) == 1 and self.pane is not None:
            from profiles.tui.palette import open_menu

            open_menu(self, self.pane, self.pane.title)

    def action_notes(self) -> None:
        """Show the notes told so far, the last first."""
        if len(self.screen_stack) == 1:
            self.push_screen(Read("Notes", self.notes[::-1] or ["No notes yet."]))

    # Showing

    def _show_heading(self, also: str = "") -> None:
        """What is found of the profile shown, and beside it the count of the whole library."""
        heading = self.query_one("#heading", Heading)
        session, own = self.session, self.session.tally
        counts = str(own), own.brief
        heading.say_with(f"{session.heading}{also}", session.library_count, counts)

    def show_all(self) -> None:
        """Show the session as it is now in the view that is open; check what is not checked."""
        self._show_heading()
        session = self.session
        asked = session.library, session.profile_id, session.device_id
        if self._asked is None or self._asked[0] is not asked[0] or self._asked[1:] != asked[1:]:
            self._asked = asked
            self.call_after_refresh(self._check)  # what is shown is painted first
        pane = self.pane
        if pane is not None and pane.is_ready:
            pane.show()

    @property
    def pane(self) -> Pane | None:
        """The view that is open."""
        found = self.screen_stack[0].query_one("#stage").query(Pane)
        return next((one for one in found if one.id == self._current), None)

    async def _show_view(self, name: str) -> None:
        stage = self.screen_stack[0].query_one("#stage")
        self._current = name
        self.query_one(ViewBar).show(name)
        self.query_one(KeyBar).refresh()
        if not stage.query(f"#{name}"):
            module = import_module(f"profiles.tui.{name}_pane")  # late: only what is opened
            with self.batch_update():
                await stage.query(FirstPlate).remove()
                await stage.mount(getattr(module, f"{VIEWS[name]}Pane")())
        for pane in stage.query(Pane):
            pane.display = pane.id == name
        self.show_all()
        if self.pane is not None:
            self.pane.take_focus()

    async def action_view(self, name: str) -> None:
        """Show another view."""
        if self._loaded and len(self.screen_stack) == 1:
            await self._show_view(name)

    async def on_view_bar_chosen(self, event: ViewBar.Chosen) -> None:
        """A view's name was clicked."""
        await self.action_view(event.view)

    def on_view_bar_help_asked(self) -> None:
        """Help was clicked."""
        self.action_keys()

    async def jump(self, finding: "Finding") -> None:
        """Show the plate with the control that a finding is about."""
        if self.session.aim_at(finding):
            await self._show_view("plate")
        else:
            self.tell("This finding is about no control; its file and line are beside it.")

    def action_look(self) -> None:
        """Go to the next look: dark, light, high contrast."""
        self.theme = next_look(self.theme)
        self._remember()
        self.tell(f"Look: {self.theme}")

    def action_keys(self) -> None:
        """Show what every key does here."""
        if len(self.screen_stack) == 1:
            self.push_screen(Read("Keys and help", help_lines(self, self.pane)))

    def action_leave(self) -> None:
        """Leave; ask first where something is unsaved."""
        if len(self.screen_stack) > 1:
            return
        if self._loaded and self.session.copy.dirty:
            asking.ask_to_leave(self)
        else:
            self.end()

    def end(self) -> None:
        """End the screen; nothing is left behind."""
        if self._loaded:
            self.keeper.clear()
            self._remember()
        self.exit(0)

    def _remember(self) -> None:
        from profiles.work.remembered import remember

        if self._loaded:
            session = self.session
            remember(self.folder, self.theme, session.profile_id, session.device_id)

    async def action_quit(self) -> None:
        """Leave, by whatever way the toolkit asks."""
        self.action_leave()
