"""The Press view: test the real box against its file, or press a control to see what it does.

The box is read on the screen's own thread, a little at a time, while this view is open; leaving
the view leaves off, and the record can be gone on with. Diagnosis and replay run off the thread.
"""

from collections.abc import Callable
from pathlib import Path
from typing import ClassVar

from textual import work
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Horizontal, Vertical, VerticalScroll
from textual.timer import Timer
from textual.widgets import OptionList
from textual.worker import get_current_worker

from profiles.files.toml_edit import EditError
from profiles.live.events import Box, LiveError, Reader
from profiles.live.lines import AnswerKind
from profiles.live.outcome import Outcome, sum_up
from profiles.model import Device
from profiles.plate.order import Direction
from profiles.text.inert import visible
from profiles.tui.frame import Line, Listing, Pane
from profiles.tui.plate_canvas import PlateCanvas
from profiles.tui.press_asking import ask_box, ask_record, ask_report, ask_start
from profiles.tui.press_report import write_report
from profiles.tui.press_state import (
    Start,
    Trial,
    Viewing,
    begin_trial,
    find_boxes,
    find_starts,
    open_reader,
    replay_trial,
)
from profiles.tui.press_words import (
    SIGNS_TOLD,
    mark_controls,
    tell_asked,
    tell_counts,
    tell_outcome,
    tell_verdict,
    tell_viewing,
)

PUMP_SECONDS = 0.02
"""How often the box is looked at; between two looks the system keeps what happened."""

NO_PROFILE = "No profile is chosen; p chooses the one whose controls are to be shown."


class PressPane(Pane):
    """What is asked above the plate; verdicts beside it; what they come to on a page."""

    title: ClassVar[str] = "Press"
    advice: ClassVar[str] = (
        "The real box against its file. t asks for every contact and listens; what is heard is "
        "recorded at once, and leaving off loses nothing. Enter says that was all, s skips, b goes "
        f"back, a asks again, x leaves off. Signs on the plate: {SIGNS_TOLD}. c shows large what "
        "a pressed control does in the chosen profile."
    )

    DEFAULT_CSS = """
    #press-room { height: 1fr; }
    #press-asked { height: auto; max-height: 60%; }
    #press-page-scroll { width: 1fr; height: 1fr; }
    #press-verdicts { height: 1fr; }
    """

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("t", "test", "Test"),
        Binding("r", "replay", "Replay"),
        Binding("c", "controls", "What they do"),
        Binding("e", "page", "Plate/page"),
        Binding("w", "write", "Write report"),
        Binding("enter,n", "answer('next')", "That was all", show=False),
        Binding("s", "answer('skip')", "Skip", show=False),
        Binding("b,backspace", "answer('back')", "Back", show=False),
        Binding("a", "answer('again')", "Again", show=False),
        Binding("x", "stop", "Leave off", show=False),
    ]

    def __init__(self) -> None:
        super().__init__(id="press")
        self.trial: Trial | None = None
        self.viewing: Viewing | None = None
        self.outcome: Outcome | None = None
        self._device: Device | None = None
        self._timer: Timer | None = None
        self._asked_step: object = None
        self._is_page = False
        self._judged: object = None
        self._trouble = ""

    def compose(self) -> ComposeResult:
        """What is asked, the plate or the page, the verdicts."""
        with Vertical():
            yield Line(id="press-asked")
            with Horizontal(id="press-room"):
                yield PlateCanvas(id="press-canvas")
                with VerticalScroll(id="press-page-scroll"):
                    yield Line(id="press-page")
                with Vertical(classes="aside"):
                    yield Line(id="press-counts")
                    yield Listing(id="press-verdicts")

    @property
    def canvas(self) -> PlateCanvas:
        """The plate itself."""
        return self.query_one(PlateCanvas)

    @property
    def is_polling(self) -> bool:
        """Whether boxes are being read."""
        return self._timer is not None

    def take_focus(self) -> None:
        """Give the keyboard to the plate, or to the page where that is shown."""
        if self._is_page:
            self.query_one("#press-page-scroll").focus()
        else:
            self.canvas.focus()

    # Showing

    def show(self) -> None:
        """Show what goes on for the chosen device and profile."""
        self._follow_choices()
        self._show_page()
        self._show_marks()
        self._show_asked()
        self._show_verdicts()

    def _follow_choices(self) -> None:
        """Leave off where another device is looked at, or this one was changed."""
        device, link = self.session.view.device, self.session.view.link
        if self.trial is not None and device != self._device:
            if self.trial.is_live:
                self.desk_app.tell(f"Left off: another device is looked at now. {self._kept()}")
            self._drop_trial()
        if self.viewing is not None and link is not None and link != self.viewing.link:
            self.viewing.take_link(link)

    def _drop_trial(self) -> None:
        self._let_go()
        self.trial = self.outcome = self._judged = None
        self._is_page = False

    def _show_page(self) -> None:
        page = self.query_one("#press-page-scroll")
        page.display, self.canvas.display = self._is_page, not self._is_page
        if self.outcome is not None:
            lines = [*tell_outcome(self.outcome), "", self._kept()]
            self.query_one("#press-page", Line).say("\n".join(lines))

    def _show_marks(self) -> None:
        trial = self.trial
        is_marked = trial is not None and self.viewing is None
        self.canvas.marks = (
            mark_controls(trial.session, is_asking=trial.is_asking)
            if trial is not None and is_marked
            else None
        )
        self.canvas.show()

    def _show_asked(self) -> None:
        self.query_one("#press-asked", Line).say("\n".join(self._tell_top()))

    def _tell_top(self) -> list[str]:
        if self.viewing is not None:
            return tell_viewing(self.viewing, *self.size)
        if self._trouble:
            return [self._trouble]
        device = self.session.view.device
        if device is None:
            return ["No device to press."]
        if self.trial is not None and (self.trial.is_live or self.trial.trouble):
            return tell_asked(self.trial)
        if self.trial is not None:
            return [f"{device.name}: {self._tell_done()}"]
        return [f"{device.name}: t tests it, r replays a record, c shows what its controls do."]

    def _tell_done(self) -> str:
        if self.outcome is None:
            return "working out what explains this …"
        return "e shows plate or explanation, w writes the report, t tests again."

    def _show_verdicts(self) -> None:
        counts, listed = self.query_one("#press-counts", Line), self.query_one(Listing)
        trial = self.trial
        if trial is None or self.viewing is not None:
            counts.say("" if trial is None else tell_counts(trial.session))
            return
        counts.say("\n".join([tell_counts(trial.session), *self._tell_legend()]))
        key = (trial, trial.session.observations)
        if key != self._judged:
            self._judged = key
            lines = [tell_verdict(one) for one in trial.session.verdicts()]
            listed.fill(lines, len(lines) - 1 if lines else None)

    def _tell_legend(self) -> list[str]:
        return [SIGNS_TOLD] if self.size.height >= 20 else []

    def _kept(self) -> str:
        trial = self.trial
        return f"Record: {visible(str(trial.path))}" if trial else ""

    def on_resize(self) -> None:
        """Fit the large words to another size."""
        if self.is_ready:
            self._show_asked()

    def on_plate_canvas_moved(self) -> None:
        """Another control is chosen: nothing but the plate tells of it."""

    def on_option_list_option_selected(self, event: OptionList.OptionSelected) -> None:
        """Go to the control of a verdict."""
        verdicts = self.trial.session.verdicts() if self.trial else ()
        if event.option_index < len(verdicts):
            terminal = verdicts[event.option_index].step.terminal
            if terminal is not None:
                self._is_page = False
                self._show_page()
                self.canvas.choose(terminal.control, terminal.contact)

    def action_go(self, direction: Direction) -> None:
        """Go to the next control."""
        self.canvas.action_go(direction)

    def action_page(self) -> None:
        """Show the plate, or the page that says what explains the record."""
        if self.outcome is None:
            self.desk_app.tell("Nothing is explained yet: t tests the box, r replays a record.")
            return
        self._is_page = not self._is_page
        self.show()
        self.take_focus()

    # Listening

    def pump(self) -> None:
        """Look once at the box and show what is new; let go of it where the view was left."""
        if self.desk_app.pane is not self:
            self._leave_view()
            return
        try:
            self._pump_trial()
            self._pump_viewing()
        except LiveError as error:
            self._let_go()
            self._refuse(error)

    def _leave_view(self) -> None:
        if self.trial is not None and self.trial.is_asking:
            self.desk_app.tell(f"The press test is left off; t goes on with it. {self._kept()}")
        self._let_go()

    def _pump_trial(self) -> None:
        trial = self.trial
        if trial is not None and trial.is_live and trial.pump():
            self._after_step(trial)

    def _after_step(self, trial: Trial) -> None:
        """Show what is asked now; once all is over, what it comes to."""
        self._aim(trial)
        if not trial.is_live:
            self._stop_timer()
            self._sum_up(trial)
        self.show()

    def _aim(self, trial: Trial) -> None:
        step = trial.session.step
        if step is not None and step is not self._asked_step and step.terminal is not None:
            self.canvas.choose(step.terminal.control, step.terminal.contact)
        self._asked_step = step

    def _pump_viewing(self) -> None:
        viewing = self.viewing
        if viewing is None or not viewing.pump():
            return
        touched = viewing.touched
        if touched is not None:
            contact = touched.contact
            if contact.device != self.session.device_id:
                self.session.choose_device(contact.device)
            self.canvas.choose(contact.control, contact.contact)
        self.desk_app.show_all()

    def _start_timer(self) -> None:
        if self._timer is None:
            self._timer = self.set_interval(PUMP_SECONDS, self.pump)

    def _stop_timer(self) -> None:
        if self._timer is not None:
            self._timer.stop()
            self._timer = None

    def _let_go(self) -> None:
        """Let go of every box; where lines still wait to be written, try on."""
        if self.viewing is not None:
            self.viewing.close()
            self.viewing = None
        trial = self.trial
        if trial is not None and trial.is_live:
            if not trial.leave():
                return
            self._sum_up(trial)
        self._stop_timer()

    def on_unmount(self) -> None:
        """The screen ends: what was heard is in the record already."""
        if self.viewing is not None:
            self.viewing.close()
        if self.trial is not None:
            self.trial.close()

    def _refuse(self, error: LiveError) -> None:
        """Say what stands in the way, in the view itself."""
        self._trouble = f"{error.message}. {error.remedy}."
        self.show()

    # The test

    def _is_busy(self) -> bool:
        """Whether a test goes on, which is said then."""
        is_busy = self.trial is not None and self.trial.is_live
        if is_busy:
            self.desk_app.tell("A test goes on; x leaves off, and t goes on with it later.")
        return is_busy

    def action_test(self) -> None:
        """Test the box: go on with the last record, or begin a new one."""
        device = self.session.view.device
        if device is None or self._is_busy():
            return
        self._end_viewing()
        self._trouble = ""
        try:
            starts = find_starts(device, Path.cwd())
        except LiveError as error:
            self._refuse(error)
            return
        self.show()
        ask_start(self.desk_app, starts, self._open)

    def _open(self, start: Start) -> None:
        """Find the box, and ask which where several may be meant."""
        try:
            reader = open_reader(start.time)
            try:
                boxes = find_boxes(reader, start.device)
            except LiveError:
                reader.close()
                raise
        except LiveError as error:
            self._refuse(error)
            return
        if len(boxes) == 1:
            self._begin(start, reader, boxes[0])
        else:
            self._ask_box(start, reader, boxes)

    def _ask_box(self, start: Start, reader: Reader, boxes: tuple[Box, ...]) -> None:
        def take(box: Box | None) -> None:
            if box is None:
                reader.close()
            else:
                self._begin(start, reader, box)

        ask_box(self.desk_app, start.device.id, boxes, take)

    def _begin(self, start: Start, reader: Reader, box: Box) -> None:
        try:
            trial = begin_trial(start, reader, box)
        except LiveError as error:
            self._refuse(error)
            return
        self._drop_trial()
        self.trial, self._device, self._asked_step = trial, start.device, None
        self._start_timer()
        self.desk_app.tell(f"Recorded in {visible(str(trial.path))}")
        self._after_step(trial)
        self.take_focus()

    def action_answer(self, kind: AnswerKind) -> None:
        """Answer what is asked: that was all, skip, back, again."""
        trial = self.trial
        if trial is None or not trial.is_asking:
            self.desk_app.tell("Nothing is asked now; t tests the box.")
            return
        trial.answer(kind)
        trial.pump()
        self._after_step(trial)

    def action_stop(self) -> None:
        """Leave off, to go on later; or end showing what controls do."""
        if self.viewing is not None:
            self._end_viewing()
        elif self.trial is not None and self.trial.is_live:
            self._let_go()
            self.desk_app.tell(f"Left off; t goes on with it. {self._kept()}")
        else:
            self.desk_app.tell("Nothing goes on that could be left off.")
        self.show()

    # What it comes to

    def _sum_up(self, trial: Trial) -> None:
        self.outcome = None
        self._work_out(lambda: trial)

    @work(thread=True, exclusive=True, group="draw")
    def _work_out(self, find: Callable[[], Trial]) -> None:
        """Work out what explains a trial; `find` may take its time too."""
        worker = get_current_worker()
        try:
            trial = find()
            outcome = sum_up([trial.session])
        except LiveError as error:
            if not worker.is_cancelled:
                self.app.call_from_thread(self._refuse, error)
            return
        if not worker.is_cancelled:
            self.app.call_from_thread(self._take_outcome, trial, outcome)

    def _take_outcome(self, trial: Trial, outcome: Outcome) -> None:
        if self.trial is not None and self.trial is not trial and self.trial.is_live:
            return
        if self.session.view.device != outcome.device:
            return
        self.trial, self._device, self.outcome = trial, outcome.device, outcome
        self._trouble, self._is_page = "", True
        if self.is_ready:
            self.show()
            if self.desk_app.screen is self.screen:
                self.take_focus()

    def action_replay(self) -> None:
        """Replay a record, of this box or of one far away; no box is needed."""
        if self._is_busy():
            return
        self._end_viewing()
        first = str(self.trial.path) if self.trial else f"{Path.cwd()}/"
        ask_record(self.desk_app, first, self._replay)

    def _replay(self, path: Path) -> None:
        device = self.session.view.device
        if device is None:
            self.desk_app.tell("No device to press.")
            return
        self._drop_trial()
        self._trouble = ""
        self.desk_app.tell(f"Replaying {visible(str(path))} …")
        self.show()
        self._work_out(lambda: replay_trial(device, path))

    def action_write(self) -> None:
        """Write the report of the test to a file, PDF or HTML."""
        outcome, trial = self.outcome, self.trial
        if outcome is None or trial is None:
            self.desk_app.tell("Nothing to report yet: t tests the box, r replays a record.")
            return

        def take(target: str, tester: str) -> None:
            self.desk_app.tell("Writing …")
            self._write(outcome, trial.started, target, tester)

        ask_report(self.desk_app, Path.cwd() / f"{outcome.device.id}-press.pdf", take)

    @work(thread=True, exclusive=True, group="write")
    def _write(self, outcome: Outcome, started: str, target: str, tester: str) -> None:
        try:
            words = write_report(outcome, started, target, tester)
        except EditError as error:
            words = str(error)
        self.app.call_from_thread(self.desk_app.tell, words)

    # What controls do

    def action_controls(self) -> None:
        """Show large what a control does in the profile when it is pressed."""
        if self._is_busy():
            return
        if self.viewing is not None:
            self.desk_app.tell("Press a control; x ends it.")
            return
        link = self.session.view.link
        if link is None:
            self.desk_app.tell(NO_PROFILE)
            return
        self._trouble = ""
        try:
            self.viewing = Viewing(link, open_reader())
        except LiveError as error:
            self._refuse(error)
            return
        self._is_page = False
        self._start_timer()
        self.viewing.pump()
        self.show()
        self.take_focus()

    def _end_viewing(self) -> None:
        if self.viewing is not None:
            self.viewing.close()
            self.viewing = None
            self._stop_timer()
            self.show()
