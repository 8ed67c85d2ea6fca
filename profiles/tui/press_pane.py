"""The Press view: test the real box against its file, or press a control to see what it does.

The box is read on the screen's own thread, a little at a time, while this view is open; leaving
the view stops a test, which can be resumed. Diagnosis and replay run off the thread.
"""

from collections.abc import Callable
from dataclasses import replace
from functools import partial
from pathlib import Path
from typing import ClassVar

from textual import work
from textual.binding import Binding, BindingType
from textual.timer import Timer
from textual.worker import get_current_worker

from profiles.live.events import FoundBox, LiveError
from profiles.live.lines import AnswerKind
from profiles.live.outcome import Outcome, sum_up
from profiles.model import Device
from profiles.text.inert import escape_controls
from profiles.tui.dialogs import ask_to_replace
from profiles.tui.press_asking import ask_box, ask_options, ask_recording, ask_report
from profiles.tui.press_face import PressFace
from profiles.tui.press_words import SIGNS_TOLD
from profiles.tui.printing import explain
from profiles.work.outputs import OutputError, write_outputs
from profiles.work.press import (
    PATIENCE,
    LiveTest,
    TestOptions,
    begin_test,
    find_options,
    replay_test,
)
from profiles.work.press_boxes import find_boxes, open_reader
from profiles.work.press_report import make_reports
from profiles.work.press_show import LiveShow
from profiles.work.recordings import FOLDER, list_recordings, recordings_folder

PUMP_SECONDS = 0.02
"""How often the box is looked at; between two looks the system keeps what happened."""

NO_PROFILE = "No profile is chosen; p chooses the one whose controls are to be shown."


class PressPane(PressFace):
    """The keys of the view, the box that is listened to, and the work off the thread."""

    title: ClassVar[str] = "Press"
    hint: ClassVar[str] = (
        "The real box against its file. t asks for every contact and listens; what is heard is "
        "recorded at once, and stopping loses nothing. Enter says that was all, s skips, b goes "
        f"back, a asks again, x stops. Signs on the plate: {SIGNS_TOLD}. c shows large what "
        "a pressed control does in the chosen profile."
    )

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
        Binding("x", "stop", "Stop", show=False),
    ]

    def __init__(self) -> None:
        super().__init__()
        self._device: Device | None = None
        self._timer: Timer | None = None
        self._asked_step: object = None
        self._told: object = None

    @property
    def is_polling(self) -> bool:
        """Whether boxes are being read."""
        return self._timer is not None

    def show(self) -> None:
        """Show what goes on; a test stops where another device is looked at, or it was changed."""
        device, link, test = self.session.view.device, self.session.view.link, self.test
        if device != self._device:
            self._device, self.trouble = device, ""
            if test is not None and test.session.device != device:
                if test.is_asking:
                    self.app.tell(f"Stopped: the device has changed. {self.describe_recording()}")
                if test.leave():
                    self._drop_test()
        if self.controls is not None and link is not None and link != self.controls.link:
            self.controls.take_link(link)
        super().show()

    def _drop_test(self) -> None:
        self.test = self.outcome = None
        self.is_page = False

    def action_page(self) -> None:
        """Show the plate, or the page that says what explains the recording."""
        if self.outcome is not None:
            self.is_page = not self.is_page
            self.show()
            self.take_focus()
        elif self.test is not None and not self.test.is_live:
            self._sum_up(self.test)
        else:
            self.app.tell("Nothing is explained yet: t tests the box, r replays a recording.")

    # Listening

    def pump(self) -> None:
        """Look once at the box and show what is new; let go of it where the view was left."""
        if self.app.pane is not self:
            if self.test is not None and self.test.is_asking:
                words = "The press test is stopped; t resumes it."
                self.app.tell(f"{words} {self.describe_recording()}")
            self._let_go()
            return
        try:
            if self.test is not None and self.test.is_live:
                self._pump_test(self.test)
            if self.controls is not None:
                self._pump_controls(self.controls)
        except LiveError as error:
            self._let_go()
            self._refuse(error)

    def _pump_test(self, test: LiveTest) -> None:
        """Read and judge; where anything is new show it, and once all is over what explains it."""
        news = test.pump()
        for _ in range(test.rings):
            self.app.bell()
        test.rings = 0
        told = (test, test.prompt, test.trouble is None, test.is_live)
        if not news and told == self._told:
            return
        self._told = told
        step = test.session.step
        if step is not None and step is not self._asked_step and step.contact is not None:
            self.canvas.choose(step.contact.control, step.contact.contact)
        self._asked_step = step
        if not test.is_live:
            self._stop_timer()
            self._sum_up(test)
        self.show()

    def _pump_controls(self, controls: LiveShow) -> None:
        boxes = controls.board.boxes
        news = controls.pump()
        if not news and boxes == controls.board.boxes:
            return
        if news and controls.touched is not None:
            contact = controls.touched.contact
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
        """Let go of every box; where lines still wait to be written, keep trying."""
        if self.controls is not None:
            self.controls.close()
            self.controls = None
        if self.test is not None and self.test.is_live:
            if not self.test.leave():
                return
            self._sum_up(self.test)
        self._stop_timer()

    def on_unmount(self) -> None:
        """The screen ends: what was heard is in the recording already."""
        for run in (self.controls, self.test):
            if run is not None:
                run.close()

    def _refuse(self, error: LiveError) -> None:
        """Say what is in the way, in the view itself."""
        self.trouble = error.sentences
        self.show()

    # The test

    def _is_busy(self) -> bool:
        """Whether a test is running, which is said then."""
        is_busy = self.test is not None and self.test.is_live
        if is_busy:
            self.app.tell("A test is running; x stops it, and t resumes it later.")
        return is_busy

    def action_test(self) -> None:
        """Test the box: resume the last recording, or start a new one."""
        device = self.session.view.device
        if device is None or self._is_busy():
            return
        self._end_controls()
        self.trouble = ""
        try:
            *resumed, new = find_options(device, folder=self.app.folder / FOLDER)
        except LiveError as error:
            self._refuse(error)
            return
        self.show()
        ways = {"g": resumed[0]} if resumed else {}
        full = replace(new, depth="full")
        free = replace(full, patience=PATIENCE)
        ask_options(self.app, new.path.parent, {**ways, "s": new, "f": full, "h": free}, self._open)

    def _open(self, options: TestOptions) -> None:
        """Find the box, and ask which where several may be meant."""
        try:
            reader = open_reader(options.time)
            try:
                boxes = find_boxes(reader.devices(), options.device)
            except LiveError:
                reader.close()
                raise
        except LiveError as error:
            self._refuse(error)
            return

        def take(box: FoundBox | None) -> None:
            if box is None:
                reader.close()
                return
            try:
                recordings_folder(self.app.folder)
                test = begin_test(options, reader, box)
            except LiveError as error:
                self._refuse(error)
                return
            self._drop_test()
            self.test, self._asked_step, self._told = test, None, None
            self._start_timer()
            self.app.tell(" ".join(test.greeting))
            self._pump_test(test)
            self.take_focus()

        if len(boxes) == 1:
            take(boxes[0])
        else:
            ask_box(self.app, options.device.name, boxes, take)

    def action_answer(self, kind: AnswerKind) -> None:
        """Give an answer to what is asked."""
        test = self.test
        if test is None or not test.is_asking:
            self.app.tell("Nothing is asked now; t tests the box.")
            return
        test.answer(kind)
        self._pump_test(test)

    def action_stop(self) -> None:
        """Stop the test, to resume it later; or end showing what controls do."""
        if self.controls is not None:
            self._end_controls()
        elif self.test is not None and self.test.is_live:
            self._let_go()
            self.app.tell(f"Stopped; t resumes it. {self.describe_recording()}")
        else:
            self.app.tell("Nothing is running that could be stopped.")
        self.show()

    # What it comes to

    def _sum_up(self, test: LiveTest) -> None:
        self.outcome = None
        self._work_out(lambda: test)

    @work(thread=True, exclusive=True, group="draw")
    def _work_out(self, find: Callable[[], LiveTest]) -> None:
        """Work out what explains a test; `find` may take its time too."""
        worker = get_current_worker()
        try:
            test = find()
            outcome = sum_up([test.session])
        except LiveError as error:
            if not worker.is_cancelled:
                self.app.call_from_thread(self._refuse, error)
            return
        if not worker.is_cancelled:
            self.app.call_from_thread(self._take_outcome, test, outcome)

    def _take_outcome(self, test: LiveTest, outcome: Outcome) -> None:
        if self.test is not None and self.test is not test and self.test.is_live:
            return
        if self.session.view.device != outcome.device:
            return
        if self.test is not test:
            self.app.tell(f"Replayed {escape_controls(str(test.path))}")
        self.test, self.outcome = test, outcome
        self.trouble, self.is_page = "", self.controls is None
        if self.is_ready:
            self.show()
            if self.app.screen is self.screen:
                self.take_focus()

    def action_replay(self) -> None:
        """Replay a recording, of this box or of one far away; no box is needed."""
        if self._is_busy():
            return
        self._end_controls()
        folder = self.app.folder
        first = str(self.test.path) if self.test else f"{folder / FOLDER}/"
        known = list_recordings(folder, self.session.device_id, Path.cwd())
        ask_recording(self.app, known, first, self._replay)

    def _replay(self, path: Path) -> None:
        device = self.session.view.device
        if device is None:
            self.app.tell("No device to press.")
            return
        self._drop_test()
        self.trouble = ""
        self.app.tell(f"Replaying {escape_controls(str(path))} …")
        self.show()
        self._work_out(lambda: replay_test(device, path))

    def action_write(self) -> None:
        """Write the report of the test to a file: PDF, HTML or CSV."""
        outcome, test = self.outcome, self.test
        if outcome is None or test is None:
            self.app.tell("Nothing to report yet: t tests the box, r replays a recording.")
            return

        def take(path: Path, tester: str) -> None:
            self.app.tell("Writing …")
            self._write(outcome, test.started, path, tester)

        ask_report(self.app, self.app.folder / "sheets" / f"{outcome.device.id}-press.pdf", take)

    @work(thread=True, exclusive=True, group="write")
    def _write(
        self, outcome: Outcome, started: str, path: Path, tester: str, replace_others: bool = False
    ) -> None:
        outputs, remarks = make_reports(outcome, [path], date=started, tester=tester)
        try:
            verb = (
                "Replaced" if any(write_outputs(outputs, replace=replace_others)) else "Written to"
            )
            words = "; ".join([f"{verb} {escape_controls(str(path))}", *remarks])
        except OutputError as error:
            words = explain(error)
            if error.may_replace and not replace_others:
                again = partial(self._write, outcome, started, path, tester, True)
                self.app.call_from_thread(ask_to_replace, self.app, words, again)
        self.app.call_from_thread(self.app.tell, words)

    # What controls do

    def action_controls(self) -> None:
        """Show large what a control does in the profile when it is pressed."""
        if self._is_busy():
            return
        if self.controls is not None:
            self.app.tell("Press a control; x ends it.")
            return
        link = self.session.view.link
        if link is None:
            self.app.tell(NO_PROFILE)
            return
        self.trouble = ""
        try:
            self.controls = LiveShow(link, open_reader())
        except LiveError as error:
            self._refuse(error)
            return
        self.is_page = False
        self._start_timer()
        self.controls.pump()
        self.show()
        self.take_focus()

    def _end_controls(self) -> None:
        if self.controls is not None:
            self.controls.close()
            self.controls = None
            self._stop_timer()
            self.show()
