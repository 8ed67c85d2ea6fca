"""The face of the Press view: what is asked above the plate, verdicts beside it, the page."""

from textual.app import ComposeResult
from textual.containers import Horizontal, Vertical, VerticalScroll
from textual.widget import Widget
from textual.widgets import OptionList

from profiles.live.outcome import Outcome
from profiles.live.report import report_outcome
from profiles.model import Device
from profiles.plate.order import Direction
from profiles.text.inert import escape_controls
from profiles.tui.frame import Line, Listing, Pane
from profiles.tui.naming import Names
from profiles.tui.plate_canvas import PlateCanvas
from profiles.tui.press_words import (
    SIGNS_TOLD,
    describe_asked,
    describe_counts,
    describe_show,
    describe_verdict,
    mark_controls,
)
from profiles.tui.reports import write_report
from profiles.work.press import LiveTest
from profiles.work.press_show import LiveShow

LEAST_ROWS = 20
"""Rows of a view with room for the meaning of the signs."""


class PressFace(Pane):
    """Shows a test, or what controls do; knows nothing of how they come about."""

    DEFAULT_CSS = """
    #press-room { height: 1fr; }
    #press-asked { height: auto; max-height: 60%; }
    #press-page-scroll { width: 1fr; height: 1fr; }
    #press-verdicts { height: 1fr; }
    """

    def __init__(self) -> None:
        super().__init__(id="press")
        self.test: LiveTest | None = None
        self.controls: LiveShow | None = None
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
                with Vertical(classes="aside", id="press-aside") as aside:
                    aside.border_title = "Steps "
                    yield Line(id="press-counts")
                    yield Listing(id="press-verdicts")

    @property
    def canvas(self) -> PlateCanvas:
        """The plate itself."""
        return self.query_one(PlateCanvas)

    @property
    def main(self) -> Widget:
        """The plate, or the page where that is shown."""
        return self.query_one("#press-page-scroll") if self.is_page else self.canvas

    def show(self) -> None:
        """Show what goes on for the chosen device and profile."""
        self.show_page()
        test = self.test
        if test is None or self.controls or test.session.device != self.session.view.device:
            self.canvas.marks = None
        else:
            self.canvas.marks = mark_controls(test.session, is_asking=test.is_asking)
        self.canvas.show()
        self.query_one("#press-asked", Line).say("\n".join(self._describe_top()))
        self._show_verdicts()

    def show_page(self) -> None:
        """Show the page, as wide as it turns out to be, or the plate."""
        page = self.query_one("#press-page-scroll")
        page.display, self.canvas.display = self.is_page, not self.is_page
        if self.outcome is None or not self.is_page:
            return
        if not page.size.width:
            self.call_after_refresh(self.show_page)
            return
        report, names = report_outcome(self.outcome, "none"), self._names(self.outcome.device)
        lines = [*write_report(report, names, page.size.width - 2), self.describe_recording()]
        self.query_one("#press-page", Line).say("\n".join(lines))

    def _describe_top(self) -> list[str]:
        """What is asked or shown, or what can be done."""
        if self.controls is not None:
            return describe_show(self.controls, *self.size)
        if self.trouble:
            return [self.trouble]
        device, test = self.session.view.device, self.test
        if device is None:
            return [self.session.next_step, "F9 learns one from a box that is plugged in."]
        if test is None:
            words = "t tests it, r replays a recording, c shows what its controls do."
        elif test.is_live or test.trouble:
            return describe_asked(test, self._names(device), *self.size)
        elif self.outcome is None:
            words = "working out what explains this …"
        else:
            words = "e shows plate or explanation, w writes the report, t tests again."
        return [f"{device.name}: {words}"]

    def _show_verdicts(self) -> None:
        test = self.test
        is_shown = test is not None and self.controls is None
        self.query_one("#press-aside").display = is_shown
        if test is None or not is_shown:
            return
        legend = [SIGNS_TOLD] if self.size.height >= LEAST_ROWS else []
        counts, listed = self.query_one("#press-counts", Line), self.query_one(Listing)
        counts.say("\n".join([describe_counts(test.session), *legend]))
        key = (test, test.session.observations)
        if key != self._listed:
            self._listed = key
            names = self._names(test.session.device)
            lines = [describe_verdict(one, names) for one in test.session.verdicts()]
            listed.fill(lines, len(lines) - 1 if lines else None)

    def _names(self, device: Device) -> Names:
        """What its controls and contacts are called."""
        return self.session.names_of(device.id)

    def describe_recording(self) -> str:
        """Where the recording is."""
        test = self.test
        return f"Recording: {escape_controls(str(test.path))}" if test else ""

    def on_resize(self) -> None:
        """Fit the large words and the page to another size."""
        if self.is_ready:
            self.show_page()
            self.query_one("#press-asked", Line).say("\n".join(self._describe_top()))

    def on_option_list_option_selected(self, event: OptionList.OptionSelected) -> None:
        """Go to the control of a verdict."""
        verdicts = self.test.session.verdicts() if self.test else ()
        if event.option_index < len(verdicts):
            contact = verdicts[event.option_index].step.contact
            if contact is not None:
                self.is_page = False
                self.show_page()
                self.canvas.choose(contact.control, contact.contact)

    def action_go(self, direction: Direction) -> None:
        """Go to the next control."""
        self.canvas.action_go(direction)
