"""The lines of a file that cannot be used, corrected; what is wrong is told as it is typed."""

from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import BindingType
from textual.containers import Vertical
from textual.widgets import TextArea

from profiles.files.toml_edit import EditError
from profiles.model import Finding
from profiles.text.inert import escape_controls
from profiles.text.prose import count
from profiles.tui.dialogs import Dialog, make_buttons
from profiles.tui.frame import Line, ScreenApp, plain
from profiles.work.correcting import Fault, find_faults

MOST_TOLD = 3
"""Faults told at once; a text that is half typed has many."""

KEEP = "Ctrl+S keeps the lines once they are sound; the next Ctrl+S writes them. Escape goes back."

LARGEST = 400_000
"""Letters of a text that can be corrected here; a larger one is no work for a screen."""


def open_lines(app: ScreenApp, problem: Finding) -> None:
    """Correct the file that a problem is in, from its line on. Raises EditError."""
    copy = app.session.copy
    text = copy.text_at(problem)
    if len(text) > LARGEST:
        raise EditError("This file is too long to be corrected here; use an editor.")
    shown = "\n".join(
        "\t".join(map(escape_controls, line.split("\t"))) for line in text.splitlines()
    )
    line = problem.place.line if problem.place else None

    def take(document: str) -> None:
        app.tell(f"The library can use {copy.path(document).name} again. Ctrl+S writes it.")
        app.after_change()

    app.ask(CorrectDialog(problem.spot.document, f"{shown}\n", line or 1), take)


class CorrectDialog(Dialog[str]):
    """The text of a file, corrected by hand; its result is the id of what it describes."""

    BINDINGS: ClassVar[list[BindingType]] = [("ctrl+s,f5", "submit", "Keep")]

    def __init__(self, document: str, text: str, line: int) -> None:
        super().__init__()
        self._document, self._text, self._line = document, text, line
        self._is_warned = False

    def compose(self) -> ComposeResult:
        """What is wrong, the lines, the ways out."""
        with Vertical(id="box", classes="form") as box:
            box.border_title = plain(f"Correct {self.app.session.copy.path(self._document).name}")
            yield Line(id="fault", classes="fault")
            yield TextArea(self._text, id="lines", show_line_numbers=True, soft_wrap=False)
            yield Line(KEEP, id="hint")
            yield make_buttons({"submit": "Keep", "leave": "Cancel"})

    def on_mount(self) -> None:
        """Begin at the line that is wrong."""
        area = self.query_one(TextArea)
        area.move_cursor((max(self._line - 1, 0), 0), center=True)
        area.focus()
        self._check()

    def on_text_area_changed(self) -> None:
        """Tell what is wrong with the lines as they are now."""
        self._is_warned = False
        self._check()

    def _check(self) -> None:
        copy, text = self.app.session.copy, self.query_one(TextArea).text
        path, library = copy.path(self._document), copy.library
        self.app.compute(self, lambda: find_faults(path, text, library), self._tell)

    def _tell(self, faults: tuple[Fault, ...]) -> None:
        lines = [
            f"{f'Line {one.line}, column {one.column}: ' if one.line else ''}"
            f"{one.message}. {one.remedy}."
            for one in faults[:MOST_TOLD]
        ]
        if len(faults) > MOST_TOLD:
            lines.append(f"{count(len(faults) - MOST_TOLD, 'more problem')}.")
        self.query_one("#fault", Line).say("\n".join(lines) or "Nothing is wrong with these lines.")

    def action_submit(self) -> None:
        """Keep the lines, unless something is wrong with them."""
        try:
            self.close(self.app.session.copy.correct(self._document, self.query_one(TextArea).text))
        except EditError as error:
            self.query_one("#fault", Line).say(self.app.phrase(str(error)))

    def action_leave(self) -> None:
        """Go back; what was typed is let go only when asked twice."""
        if self.query_one(TextArea).text != self._text and not self._is_warned:
            self._is_warned = True
            self.query_one("#hint", Line).say("The lines are changed. Escape again lets that go.")
            return
        self.close(None)
