"""Files that cannot be used, put right: their lines, and ids that two files have.

What is wrong is told as it is typed. Of a very long text the lines around a fault are shown.
"""

from collections.abc import Callable
from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import BindingType
from textual.containers import Vertical
from textual.widgets import TextArea

from profiles.files.toml_edit import EditError
from profiles.model import Finding
from profiles.text.inert import escape_controls
from profiles.text.prose import count
from profiles.tui.dialogs import Decide, Dialog, make_buttons
from profiles.tui.fields import Fields
from profiles.tui.frame import Line, ScreenApp, plain
from profiles.tui.previewing import offer_edit
from profiles.tui.renaming import ask_id
from profiles.work.beginning import AnswerError, Question
from profiles.work.correcting import (
    Fault,
    cut_excerpt,
    delete_file,
    find_faults,
    give_id,
    list_taken,
)
from profiles.work.renaming import delete_document

MOST_TOLD = 3
"""Faults told at once; a text that is half typed has many."""

KEEP = "Ctrl+S keeps the lines once they are sound; the next Ctrl+S writes them. Escape goes back."

LONGEST = 200_000
"""Letters of the lines shown at once; more are slow to type in."""


def put_right(
    app: ScreenApp, problem: Finding, open_form: Callable[[ScreenApp, str], None]
) -> None:
    """Put the file right that a problem is in; `open_form` opens that of a sound one.

    Raises:
        EditError: where that cannot be done here.
    """
    if problem.code == "repeated-id":
        offer_ways(app, problem, open_form)
    else:
        open_lines(app, problem)


def offer_ways(
    app: ScreenApp, problem: Finding, open_form: Callable[[ScreenApp, str], None]
) -> None:
    """Two files have one id: tell both, and let either be changed, given another id, or deleted."""
    copy, library = app.session.copy, app.session.library
    name, first = copy.loaded.name_of(problem), problem.related[0].spot.document
    if first not in library.documents:
        raise EditError("The other file with this id is gone; save (Ctrl+S), and this one is used.")
    mine, other = (escape_controls(copy.path(one).name) for one in (name, first))
    ways = {
        "n": f"give {mine} an id of its own",
        "l": f"change the lines of {mine}",
        "d": f"delete {mine}",
        "o": f"give {other} another id, wherever it is named; {mine} is used then",
        "f": f"change {other} in its form",
        "x": f"delete {other}; {mine} is used in its place",
    }
    lines = [
        app.phrase(problem.message),
        f"In use: {other}, {escape_controls(library.documents[first].name)}",
        f"Not in use: {mine}",
    ]

    def act(answers: dict[str, str]) -> str:
        new = answers["id"].strip()
        if not new:
            raise AnswerError("id", "Give it an id.")
        return give_id(copy, name, new)

    def take(way: str) -> None:
        match way:
            case "n":
                words = "Letters, digits, - and _. The other file keeps its own."
                question = Question("id", words, f"{first}-2")
                app.ask(Fields(f"Id of {mine}", [question], act), lambda new: _tell(app, new))
            case "l":
                open_lines(app, problem)
            case "d":
                offer_edit(app, delete_file(copy, problem))
            case "o":
                ask_id(app, first)
            case "f":
                open_form(app, first)
            case "x":
                offer_edit(app, delete_document(library, first))

    app.ask(Decide("Two files have one id", lines, ways), take)


def _tell(app: ScreenApp, document: str) -> None:
    app.tell(f"The library can use {app.session.copy.path(document).name} again. Ctrl+S writes it.")
    app.after_change()


def open_lines(app: ScreenApp, problem: Finding) -> None:
    """Correct the lines of the file that a problem is in. Raises EditError."""
    copy = app.session.copy
    text = copy.text_at(problem)
    name, line = copy.loaded.name_of(problem), problem.place.line if problem.place else None
    refuse_longest(text, line or 1, copy.path(name).name)
    app.ask(CorrectDialog(name, text, line or 1), lambda document: _tell(app, document))


def refuse_longest(text: str, line: int, name: str) -> None:
    """Refuse a line that is too long to be shown, with the way out."""
    length = len(cut_excerpt(text, line, 1).lines[0])
    if length > LONGEST:
        raise EditError(
            f"Line {line} of {escape_controls(name)} has {length:,} letters, too many to be shown "
            "here. Break or correct it in an editor; what you save there is taken in at once."
        )


class CorrectDialog(Dialog[str]):
    """The text of a file, corrected by hand; its result is the id of what it describes."""

    BINDINGS: ClassVar[list[BindingType]] = [
        ("ctrl+s,f5", "submit", "Keep"),
        ("f4", "go_to_fault", "Go to the first fault"),
    ]

    def __init__(self, document: str, text: str, line: int) -> None:
        super().__init__()
        self._document, self._line = document, line
        self._excerpt = cut_excerpt(text, line, LONGEST)
        self._faults: tuple[Fault, ...] = ()
        self._shown = ""
        self._is_changed = self._is_warned = False

    def compose(self) -> ComposeResult:
        """What is wrong, the lines, the ways out."""
        ways = {"submit": "Keep", "go_to_fault": "F4 To the fault", "leave": "Cancel"}
        with Vertical(id="box", classes="form") as box:
            box.border_title = plain(f"Correct {self.app.session.copy.path(self._document).name}")
            yield Line(id="fault", classes="fault")
            yield TextArea("", id="lines", show_line_numbers=True, soft_wrap=False)
            yield Line(id="hint")
            yield make_buttons(ways)

    def on_mount(self) -> None:
        """Begin at the line that is wrong."""
        self._show_lines()

    @property
    def text(self) -> str:
        """The whole text as it is now."""
        return self._excerpt.whole(self.query_one(TextArea).text)

    def _show_lines(self) -> None:
        """Show the lines around the one that is wrong, and say which where they are not all."""
        area, excerpt = self.query_one(TextArea), self._excerpt
        self._shown = "\n".join(
            "\t".join(map(escape_controls, line.split("\t"))) for line in excerpt.lines
        )
        area.line_number_start = excerpt.first
        area.text = self._shown
        area.move_cursor((max(self._line - excerpt.first, 0), 0), center=True)
        area.focus()
        last = excerpt.first + len(excerpt.lines) - 1
        some = f"Lines {excerpt.first:,} to {last:,} are shown; F4 goes to the first fault. "
        is_part = excerpt.before or excerpt.after
        self.query_one("#hint", Line).say(f"{some if is_part else ''}{KEEP}")
        self._check()

    def on_text_area_changed(self) -> None:
        """Tell what is wrong with the lines as they are now."""
        self._is_changed |= self.query_one(TextArea).text != self._shown
        self._is_warned = False
        self._check()

    def _check(self) -> None:
        copy, text = self.app.session.copy, self.text
        path, library = copy.path(self._document), copy.library
        taken = list_taken(copy, self._document)
        self.app.compute(self, lambda: find_faults(path, text, library, taken), self._tell)

    def _tell(self, faults: tuple[Fault, ...]) -> None:
        self._faults = faults
        lines = [
            f"{f'Line {one.line}, column {one.column}: ' if one.line else ''}"
            f"{one.message}. {one.remedy}."
            for one in faults[:MOST_TOLD]
        ]
        if len(faults) > MOST_TOLD:
            lines.append(f"{count(len(faults) - MOST_TOLD, 'more problem')}.")
        self.query_one("#fault", Line).say("\n".join(lines) or "Nothing is wrong with these lines.")

    def action_go_to_fault(self) -> None:
        """Go to the first line that is wrong, also where it is not shown yet."""
        line = next((one.line for one in self._faults if one.line), None)
        if line is None:
            return
        text, name = self.text, self.app.session.copy.path(self._document).name
        try:
            refuse_longest(text, line, name)
        except EditError as error:
            self.query_one("#fault", Line).say(self.app.phrase(str(error)))
            return
        self._line, self._excerpt = line, cut_excerpt(text, line, LONGEST)
        self._show_lines()

    def action_submit(self) -> None:
        """Keep the lines, unless something is wrong with them."""
        try:
            self.close(self.app.session.copy.correct(self._document, self.text))
        except EditError as error:
            self.query_one("#fault", Line).say(self.app.phrase(str(error)))

    def action_leave(self) -> None:
        """Go back; what was typed is let go only when asked twice."""
        if self._is_changed and not self._is_warned:
            self._is_warned = True
            self.query_one("#hint", Line).say("The lines are changed. Escape again lets that go.")
            return
        self.close(None)
