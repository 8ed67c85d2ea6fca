"""The face of the Press view: what is asked above the plate, verdicts beside it, the page."""

from textual.app import ComposeResult
from textual.containers import Horizontal, Vertical, VerticalScroll
from textual.widgets import OptionList

from profiles.live.outcome import Outcome
from profiles.plate.order import Direction
from profiles.text.inert import escape_controls
from profiles.tui.frame import Line, Listing, Pane
from profiles.tui.plate_canvas import PlateCanvas
from profiles.tui.press_state import Trial, Viewing
from profiles.tui.press_words import (
    SIGNS_TOLD,
    describe_asked,
    describe_counts,
    describe_outcome,
    describe_verdict,
    describe_viewing,
    mark_controls,
)

LEAST_ROWS = 20
"""Rows of a view with room for the meaning of the signs."""


class PressFace(Pane):
    """Shows a trial, or what controls do; knows nothing of how they come about."""

    DEFAULT_CSS = """
    #press-room { height: 1fr; }
    #press-asked { height: auto; max-height: 60%; }
    #press-page-scroll { width: 1fr; height: 1fr; }
    #press-verdicts { height: 1fr; }
    """

    def __init__(self) -> None:
        super().__init__(id="press")
        self.trial: Trial | None = None
        self.viewing: Viewing | None = None
        self.outcome: Outcome | None = None
        self.trouble = ""
        self.is_page = False
        self._listed: object = None

    def compose(self) -> ComposeResult:
        """What is asked, the plate or the page, the verdicts."""
        with Vertical():
            yield Line(id="press-asked")
            with Horizontal(id="press-room"):
                yield PlateCanvas(id="press-canvas")
                with VerticalScroll(id="press-page-scroll"):
                    yield Line(id="press-page")
                with Vertical(classes="aside", id="press-aside"):
                    yield Line(id="press-counts")
                    yield Listing(id="press-verdicts")

    @property
    def canvas(self) -> PlateCanvas:
        """The plate itself."""
        return self.query_one(PlateCanvas)

    def take_focus(self) -> None:
        """Give the keyboard to the plate, or to the page where that is shown."""
        if self.is_page:
            self.query_one("#press-page-scroll").focus()
        else:
            self.canvas.focus()

    def show(self) -> None:
        """Show what goes on for the chosen device and profile."""
        self.show_page()
        self._show_marks()
        self._show_asked()
        self._show_verdicts()

    def show_page(self) -> None:
        """Show the page, or the plate."""
        page = self.query_one("#press-page-scroll")
        page.display, self.canvas.display = self.is_page, not self.is_page
        if self.outcome is not None:
            lines = [*describe_outcome(self.outcome), "", self.describe_recording()]
            self.query_one("#press-page", Line).say("\n".join(lines))

    def _show_marks(self) -> None:
        trial = self.trial
        if trial is None or self.viewing or trial.session.device != self.session.view.device:
            self.canvas.marks = None
        else:
            self.canvas.marks = mark_controls(trial.session, is_asking=trial.is_asking)
        self.canvas.show()

    def _show_asked(self) -> None:
        self.query_one("#press-asked", Line).say("\n".join(self._describe_top()))

    def _describe_top(self) -> list[str]:
        if self.viewing is not None:
            return describe_viewing(self.viewing, *self.size)
        if self.trouble:
            return [self.trouble]
        device = self.session.view.device
        if device is None:
            return ["No device to press."]
        if self.trial is not None and (self.trial.is_live or self.trial.trouble):
            return describe_asked(self.trial)
        if self.trial is not None:
            return [f"{device.name}: {self._describe_done()}"]
        return [f"{device.name}: t tests it, r replays a recording, c shows what its controls do."]

    def _describe_done(self) -> str:
        if self.outcome is None:
            return "working out what explains this …"
        return "e shows plate or explanation, w writes the report, t tests again."

    def _show_verdicts(self) -> None:
        trial = self.trial
        is_shown = trial is not None and self.viewing is None
        self.query_one("#press-aside").display = is_shown
        if trial is None or not is_shown:
            return
        counts, listed = self.query_one("#press-counts", Line), self.query_one(Listing)
        counts.say("\n".join([describe_counts(trial.session), *self._describe_legend()]))
        key = (trial, trial.session.observations)
        if key != self._listed:
            self._listed = key
            lines = [describe_verdict(one) for one in trial.session.verdicts()]
            listed.fill(lines, len(lines) - 1 if lines else None)

    def _describe_legend(self) -> list[str]:
        return [SIGNS_TOLD] if self.size.height >= LEAST_ROWS else []

    def describe_recording(self) -> str:
        """Where the recording is."""
        trial = self.trial
        return f"Recording: {escape_controls(str(trial.path))}" if trial else ""

    def on_resize(self) -> None:
        """Fit the large words to another size."""
        if self.is_ready:
            self._show_asked()

    def on_option_list_option_selected(self, event: OptionList.OptionSelected) -> None:
        """Go to the control of a verdict."""
        verdicts = self.trial.session.verdicts() if self.trial else ()
        if event.option_index < len(verdicts):
            terminal = verdicts[event.option_index].step.contact
            if terminal is not None:
                self.is_page = False
                self.show_page()
                self.canvas.choose(terminal.control, terminal.contact)

    def action_go(self, direction: Direction) -> None:
        """Go to the next control."""
        self.canvas.action_go(direction)
