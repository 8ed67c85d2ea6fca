"""The Press view: test the real box against its file, or press a control to see what it does.

The box is read on the screen's own thread, a little at a time, while this view is open; leaving
the view leaves off, and the recording can be resumed. Diagnosis and replay run off the thread.
"""

from collections.abc import Callable
from pathlib import Path
from typing import ClassVar

from textual import work
from textual.binding import Binding, BindingType
from textual.timer import Timer
from textual.worker import get_current_worker

from profiles.files.toml_edit import EditError
from profiles.live.events import Box, LiveError, Reader
from profiles.live.lines import AnswerKind
from profiles.live.outcome import Outcome, sum_up
from profiles.model import Device
from profiles.text.inert import escape_controls
from profiles.tui.press_asking import ask_box, ask_recording, ask_report, ask_start
from profiles.tui.press_face import PressFace
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
from profiles.tui.press_words import SIGNS_TOLD

PUMP_SECONDS = 0.02
"""How often the box is looked at; between two looks the system keeps what happened."""

NO_PROFILE = "No profile is chosen; p chooses the one whose controls are to be shown."


class PressPane(PressFace):
    """The keys of the view, the box that is listened to, and the work off the thread."""

    title: ClassVar[str] = "Press"
    advice: ClassVar[str] = (
        "The real box against its file. t asks for every contact and listens; what is heard is "
        "recorded at once, and leaving off loses nothing. Enter says that was all, s skips, b goes "
        f"back, a asks again, x stops. Signs on the plate: {SIGNS_TOLD}. c shows large what "
        "a pressed control does in the chosen profile."
    )

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("t", "test", "Test"),
        Binding("r", "replay", "Replay"),
        Binding("c", "controls", "What they do"),
        Binding("e", "page", "Plate/page"),
        Binding("w", "write", "Write report"),
        Binding("enter,n", "next", "That was all", show=False),
        Binding("s", "skip", "Skip", show=False),
        Binding("b,backspace", "back", "Back", show=False),
        Binding("a", "again", "Again", show=False),
        Binding("x", "stop", "Leave off", show=False),
    ]

    def __init__(self) -> None:
        super().__init__()
        self._device: Device | None = None
        self._timer: Timer | None = None
        self._asked_step: object = None

    @property
    def is_polling(self) -> bool:
        """Whether boxes are being read."""
        return self._timer is not None

    def show(self) -> None:
        """Show what goes on for the chosen device and profile."""
        self._follow_choices()
        super().show()

    def _follow_choices(self) -> None:
        """Leave off where another device is looked at, or this one was changed."""
        device, link = self.session.view.device, self.session.view.link
        if device != self._device:
            self._device, self.trouble = device, ""
            self._leave_device(device)
        if self.viewing is not None and link is not None and link != self.viewing.link:
            self.viewing.take_link(link)

    def _leave_device(self, device: Device | None) -> None:
        """Forget a trial of another device, once all of it is written."""
        trial = self.trial
        if trial is None or trial.session.device == device:
            return
        if trial.is_asking:
            self.app.tell(f"Stopped: the device is another now. {self.describe_recording()}")
        if trial.leave():
            self._drop_trial()

    def _drop_trial(self) -> None:
        self.trial = self.outcome = None
        self.is_page = False

    def action_page(self) -> None:
        """Show the plate, or the page that says what explains the recording."""
        trial = self.trial
        if self.outcome is None and trial is not None and not trial.is_live:
            self._sum_up(trial)
            return
        if self.outcome is None:
            self.app.tell("Nothing is explained yet: t tests the box, r replays a recording.")
            return
        self.is_page = not self.is_page
        self.show()
        self.take_focus()

    # Listening

    def pump(self) -> None:
        """Look once at the box and show what is new; let go of it where the view was left."""
        if self.app.pane is not self:
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
            self.app.tell(f"The press test is stopped; t resumes it. {self.describe_recording()}")
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
        if step is not None and step is not self._asked_step and step.contact is not None:
            self.canvas.choose(step.contact.control, step.contact.contact)
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
        self.app.show_all()

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
        """The screen ends: what was heard is in the recording already."""
        if self.viewing is not None:
            self.viewing.close()
        if self.trial is not None:
            self.trial.close()

    def _refuse(self, error: LiveError) -> None:
        """Say what stands in the way, in the view itself."""
        self.trouble = f"{error.message}. {error.remedy}."
        self.show()

    # The test

    def _is_busy(self) -> bool:
        """Whether a test goes on, which is said then."""
        is_busy = self.trial is not None and self.trial.is_live
        if is_busy:
            self.app.tell("A test goes on; x stops, and t resumes it later.")
        return is_busy

    def action_test(self) -> None:
        """Test the box: go on with the last recording, or begin a new one."""
        device = self.session.view.device
        if device is None or self._is_busy():
            return
        self._end_viewing()
        self.trouble = ""
        try:
            starts = find_starts(device, Path.cwd())
        except LiveError as error:
            self._refuse(error)
            return
        self.show()
        ask_start(self.app, starts, self._open)

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

        ask_box(self.app, start.device.id, boxes, take)

    def _begin(self, start: Start, reader: Reader, box: Box) -> None:
        try:
            trial = begin_trial(start, reader, box)
        except LiveError as error:
            self._refuse(error)
            return
        self._drop_trial()
        self.trial, self._asked_step = trial, None
        self._start_timer()
        self.app.tell(f"Recorded in {escape_controls(str(trial.path))}")
        self._after_step(trial)
        self.take_focus()

    def action_next(self) -> None:
        """Say that what was heard is all there is."""
        self.answer("next")

    def action_skip(self) -> None:
        """Leave the step that is asked out."""
        self.answer("skip")

    def action_back(self) -> None:
        """Go back to the step before."""
        self.answer("back")

    def action_again(self) -> None:
        """Forget what was heard in this step and listen again."""
        self.answer("again")

    def answer(self, kind: AnswerKind) -> None:
        """Give an answer to what is asked."""
        trial = self.trial
        if trial is None or not trial.is_asking:
            self.app.tell("Nothing is asked now; t tests the box.")
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
            self.app.tell(f"Stopped; t resumes it. {self.describe_recording()}")
        else:
            self.app.tell("Nothing is running that could be stopped.")
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
        self.trial, self.outcome = trial, outcome
        self.trouble, self.is_page = "", self.viewing is None
        if self.is_ready:
            self.show()
            if self.app.screen is self.screen:
                self.take_focus()

    def action_replay(self) -> None:
        """Replay a recording, of this box or of one far away; no box is needed."""
        if self._is_busy():
            return
        self._end_viewing()
        first = str(self.trial.path) if self.trial else f"{Path.cwd()}/"
        ask_recording(self.app, first, self._replay)

    def _replay(self, path: Path) -> None:
        device = self.session.view.device
        if device is None:
            self.app.tell("No device to press.")
            return
        self._drop_trial()
        self.trouble = ""
        self.app.tell(f"Replaying {escape_controls(str(path))} …")
        self.show()
        self._work_out(lambda: replay_trial(device, path))

    def action_write(self) -> None:
        """Write the report of the test to a file, PDF or HTML."""
        outcome, trial = self.outcome, self.trial
        if outcome is None or trial is None:
            self.app.tell("Nothing to report yet: t tests the box, r replays a recording.")
            return

        def take(target: str, tester: str) -> None:
            self.app.tell("Writing …")
            self._write(outcome, trial.started, target, tester)

        ask_report(self.app, Path.cwd() / f"{outcome.device.id}-press.pdf", take)

    @work(thread=True, exclusive=True, group="write")
    def _write(self, outcome: Outcome, started: str, target: str, tester: str) -> None:
        try:
            words = write_report(outcome, started, target, tester)
        except EditError as error:
            words = str(error)
        self.app.call_from_thread(self.app.tell, words)

    # What controls do

    def action_controls(self) -> None:
        """Show large what a control does in the profile when it is pressed."""
        if self._is_busy():
            return
        if self.viewing is not None:
            self.app.tell("Press a control; x ends it.")
            return
        link = self.session.view.link
        if link is None:
            self.app.tell(NO_PROFILE)
            return
        self.trouble = ""
        try:
            self.viewing = Viewing(link, open_reader())
        except LiveError as error:
            self._refuse(error)
            return
        self.is_page = False
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
