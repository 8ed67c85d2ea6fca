"""The form of a document: every key that it may have, with help and findings beside it."""

from collections.abc import Callable
from typing import Any, ClassVar

from textual.app import ComposeResult
from textual.binding import BindingType
from textual.containers import Horizontal, Vertical
from textual.events import Click
from textual.widgets import Input, OptionList

from profiles.files.form import (
    ABSENT,
    Row,
    convert_value,
    holds_rows,
    read_typed,
    say_key,
    show_value,
)
from profiles.files.places import KeyPath
from profiles.files.toml_edit import EditError
from profiles.tui.dialogs import Choice, Choose, Dialog, Picked, make_buttons
from profiles.tui.fields import Fields
from profiles.tui.form_words import NAMES_WIDE, say_path, say_value, write_help, write_line
from profiles.tui.frame import Aside, Line, Listing, ScreenApp, plain
from profiles.tui.naming import Names
from profiles.tui.palette import open_menu
from profiles.tui.previewing import offer_edit
from profiles.work.beginning import AnswerError, Question, pair_names
from profiles.work.edits import Edit
from profiles.work.forms import DocumentForm, list_documents

HINT = "Enter changes or opens, Backspace goes up, u takes back; the right button lists all."

WAYS = {
    "up": "Up",
    "open": "Change",
    "add": "a Add",
    "duplicate": "d Copy",
    "remove": "x Remove",
    "rename": "r Rename",
    "find": "/ Find",
    "leave": "Close",
}
"""What the buttons do, by action; with the key where it is a letter."""


def choose_form(app: ScreenApp) -> None:
    """Choose whose form is opened: the documents in view come first."""
    known = list_documents(app.session.copy, app.session.in_view)
    choices = [Choice(key, (words, key), words) for key, words in known.items()]
    app.ask(Choose("Every key of which document?", choices), lambda one: open_form(app, one.id))


def open_form(app: ScreenApp, document: str, path: KeyPath = ()) -> None:
    """Open the form of a document at a place, or the lines of a file that cannot be used.

    Raises:
        EditError: where there is neither.
    """
    problem = app.session.problem_of(document)
    if problem is not None:
        from profiles.tui.correcting import put_right

        put_right(app, problem, open_form)
        return
    form = DocumentForm.of(app.session.copy, document)
    row: str | int | None = None
    while path and not (form.value(path) is not ABSENT and holds_rows(form.value(path))):
        path, row = path[:-1], path[-1]
    app.push_screen(FormDialog(document, path, row))


class FormDialog(Dialog[None]):
    """Keys of a table or members of a list, one a line; it stays open while they are changed."""

    BINDINGS: ClassVar[list[BindingType]] = [
        ("backspace,left", "up", "Up"),
        ("right", "open", "Open"),
        ("a,insert", "add", "Add"),
        ("d", "duplicate", "Duplicate"),
        ("x,delete", "remove", "Remove"),
        ("r", "rename", "Rename"),
        ("f", "convert", "Another form"),
        ("slash", "find", "Find a key"),
        ("ctrl+z,u", "undo", "Undo"),
        ("ctrl+y,U", "redo", "Redo"),
        ("ctrl+s,f5", "save", "Save"),
    ]

    def __init__(self, document: str, path: KeyPath = (), row: str | int | None = None) -> None:
        super().__init__()
        self._document, self._path, self._aim = document, path, row
        self._rows: tuple[Row, ...] = ()

    def compose(self) -> ComposeResult:
        """Where it is, the lines, and what helps with the marked one."""
        with Vertical(id="box", classes="form"):
            yield Line(id="place")
            with Horizontal(classes="form-columns"):
                yield Listing(id="list")
                with Aside("Key"):
                    yield Line(id="said")
            yield Line(HINT, id="hint")
            yield make_buttons(WAYS)

    def on_mount(self) -> None:
        """Show the place."""
        self.query_one(Listing).focus()
        self.show()

    @property
    def documents(self) -> tuple[str, ...]:
        """The document that notes and faults are about meanwhile."""
        return (self._document,)

    @property
    def form(self) -> DocumentForm:
        """The document as it is now. Raises EditError."""
        return DocumentForm.of(self.app.session.copy, self._document)

    @property
    def _names(self) -> Names:
        return self.app.session.names_of(self._document)

    @property
    def row(self) -> Row | None:
        """The marked line."""
        at = self.query_one(Listing).highlighted
        return self._rows[at] if at is not None and at < len(self._rows) else None

    def show(self) -> None:
        """Show the lines as they are; one level up where the place is gone."""
        try:
            form = self.form
            while self._path and not form.growth(self._path) and not form.rows(self._path):
                self._path = self._path[:-1]
            self._rows = form.rows(self._path)
        except EditError as error:
            self.app.tell(str(error))
            self.close(None)
            return
        marked = self._aim if self._aim is not None else getattr(self.row, "key", None)
        keys = [row.key for row in self._rows]
        listed = self.query_one(Listing)
        at = keys.index(marked) if marked in keys else min(listed.highlighted or 0, len(keys) - 1)
        self._aim = None
        place = [form.copy.path(self._document).name, say_path(form, self._names, self._path)]
        self.query_one("#place", Line).say(" › ".join(filter(None, place)))
        known = form.library.documents
        name = known[self._document].name if self._document in known else "Settings of the library"
        self.query_one("#box").border_title = plain(name)
        wide = max(self.query_one(Listing).size.width - NAMES_WIDE - 4, 10)
        rest = "" if self._rows else "Nothing here; a adds one."
        lines = [write_line(form, self._names, row, wide) for row in self._rows]
        listed.fill(lines, at if keys else None, rest)
        self._help()

    def on_resize(self) -> None:
        """Cut the lines for another size."""
        if self._rows:
            self.show()

    def on_option_list_option_highlighted(self) -> None:
        """Another line is marked."""
        self._help()

    def _help(self) -> None:
        row = self.row
        if row is None:
            self.query_one("#said", Line).say("")
            return
        lines = write_help(self.form, self._names, row)
        for finding in self.app.session.findings:
            document, path = finding.spot
            if document == self._document and path[: len(row.path)] == row.path:
                words = self.app.session.describe(finding)
                lines += ["", f"{finding.severity}: {words}", self.app.session.advise(finding)]
        self.query_one("#said", Line).say("\n".join(lines))

    # Going about

    def on_click(self, event: Click) -> None:
        """The right button lists what can be done with the line under it."""
        if event.button == 3 and self.is_on_top:
            open_menu(self.app, self, "The form")

    def on_option_list_option_selected(self, event: OptionList.OptionSelected) -> None:
        """Open or change the line."""
        self.action_open()

    def action_up(self) -> None:
        """Go one level up."""
        if self._path:
            *above, self._aim = self._path
            self._path = tuple(above)
            self.show()

    def action_open(self) -> None:
        """Go into a table or list, or change a value."""
        row = self.row
        if row is None:
            self.action_add()
        elif row.holds_rows:
            self._path, self._aim = row.path, None
            self.query_one(Listing).highlighted = 0
            self.show()
        else:
            self.app.attempt(lambda: self._change(row))

    def action_find(self) -> None:
        """Find a key of this document by typing, wherever it stands."""
        form, found, names = self.form, list[Row](), self._names
        waiting: list[KeyPath] = [()]
        while waiting and len(found) < MOST_FOUND:
            for row in form.rows(waiting.pop(0)):
                found.append(row)
                if row.holds_rows and (row.is_there or len(row.path) < DEEPEST_ABSENT):
                    waiting.append(row.path)
        called = [say_path(form, names, row.path) for row in found]
        shown = [say_value(form, names, row.path, row.value) for row in found]
        choices = [
            Choice(str(at), (called[at], form.name(row.path)), f"{called[at]}  {shown[at]}")
            for at, row in enumerate(found)
        ]

        def take(picked: Picked) -> None:
            *above, self._aim = found[int(picked.id)].path
            self._path = tuple(above)
            self.show()

        self.app.ask(Choose("Which key?", choices), take)

    # Changing

    def _apply(self, edit: Edit, aim: str | int | None = None) -> None:
        """Make a change; where it means more than its own key, show that first."""
        self._aim = aim

        def show() -> None:
            if edit.moved is not None:
                self._document = edit.moved[1]
            self.show()

        if edit.effects or edit.moved:
            offer_edit(self.app, edit, after=show)
        else:
            self.app.apply(edit)
            self.show()

    def _change(self, row: Row) -> None:
        form = self.form
        names = form.names(row.path)
        listed = {choice: choice for choice in row.choices} or dict(names)
        if {one.get("type") for one in row.branches} == {"boolean"}:
            listed = {"true": "true", "false": "false"}

        def take(typed: str) -> None:
            value = read_typed(row.branches, typed)
            self._apply(form.remove(row.path) if typed == "" else form.set(row.path, value))

        def ask() -> None:
            self.app.ask(ValueDialog(form, row), take)

        if not listed:
            ask()
            return
        choices = [Choice(key, (words, key), words) for key, words in pair_names(listed)]
        if (row.choices or names) and not row.is_closed:
            choices.append(Choice("", ("type a value",), "type a value"))

        def preview(key: str) -> Callable[[], str]:
            edit = form.set(row.path, read_typed(row.branches, key))
            return self.app.session.judge(edit._replace(words=self.app.in_names(edit.words)))

        now = say_value(form, self._names, row.path, row.value) or row.default or "not given"
        title = f"{self.app.in_names(form.describe(row.path))}: now {now}"
        self.app.ask(
            Choose(title, choices, preview=preview), lambda one: take(one.id) if one.id else ask()
        )

    def action_add(self) -> None:
        """Add an entry or member here."""
        self.app.attempt(self._add)

    def _add(self) -> None:
        form, path = self.form, self._path
        if not form.growth(path):
            raise EditError(
                "nothing can be added here: every key is listed; Enter gives it a value"
            )
        kinds = next((one.choices for one in form.first_rows(path, {}) if one.key == "kind"), ())
        if not kinds:
            self._ask_entry(path, "")
            return
        choices = [Choice(kind, (kind,), kind) for kind in kinds]
        dialog = Choose("Of which kind?", choices)
        self.app.ask(dialog, lambda picked: self._ask_entry(path, picked.id))

    def _ask_entry(self, path: KeyPath, kind: str) -> None:
        """Ask for what a new entry must have, and add it."""
        form = self.form
        first = {"kind": kind, **form.first_values(path, kind)} if kind else {}
        rows = [row for row in form.first_rows(path, first) if row.key != "kind"]
        is_named = form.growth(path) == "name"
        questions = [Question("id", "The name of the entry in the file.")] if is_named else []
        choices = pair_names(form.names((*path, "*")))
        if not rows:
            takes = "What it holds. Lists have commas between."
            questions.append(Question("value", takes, "", choices))
        for row in rows:
            given = show_value(first.get(str(row.key), ABSENT))
            listed = tuple((one, one) for one in row.choices)
            listed = (("", "none"), *listed) if listed else ()
            name, words = str(row.key), say_key(str(row.key))
            help_ = row.help if row.is_closed else f"{row.help} Takes {row.takes}."
            questions.append(Question(name, help_, given, listed, words=words))

        def act(found: dict[str, str]) -> Edit:
            value: Any = {"kind": kind} if kind else {}
            for row in rows:
                if typed := found[str(row.key)].strip():
                    value[row.key] = read_typed(row.branches, typed)
            if not rows:
                at = (*path, "*" if is_named else 0)
                value = read_typed(form.branches(at), found["value"])
            name = found.get("id", "").strip()
            if is_named and not name:
                raise AnswerError("id", "Give it a name.")
            edit = form.add((*path, name) if is_named else path, value)
            form.copy.trial(edit.change)  # refused while the answers can still be corrected
            self._aim = name if is_named else None
            return edit

        title = f"Add {kind or 'an entry'} to {self.app.in_names(form.describe(path))}"
        self.app.ask(Fields(title, questions, act), lambda edit: self._apply(edit, self._aim))

    def action_duplicate(self) -> None:
        """Add the marked entry once more."""
        row = self.row
        if row is None or not row.is_there or not self.form.growth(self._path):
            self.app.tell("Only an entry of a table or list can be duplicated.")
            return
        if isinstance(row.key, int):
            self.app.attempt(lambda: self._apply(self.form.duplicate(row.path, "")))
            return
        self._ask_name(row, "Duplicate", lambda name: self.form.duplicate(row.path, name))

    def action_rename(self) -> None:
        """Give the marked entry another name."""
        row = self.row
        if row is None or not row.is_there or self.form.growth(self._path) != "name":
            self.app.tell("Only an entry with a name of yours can be renamed.")
            return
        self._ask_name(row, "Rename", lambda name: self.form.rename(row.path, name))

    def _ask_name(self, row: Row, verb: str, make: Callable[[str], Edit]) -> None:
        def act(found: dict[str, str]) -> tuple[str, Edit]:
            name = found["id"].strip()
            if not name:
                raise AnswerError("id", "Give it a name.")
            edit = make(name)
            self.form.copy.trial(edit.change)
            return name, edit

        question = Question("id", "The name of the entry in the file.", str(row.key))
        self.app.ask(
            Fields(f"{verb} {self.app.in_names(self.form.describe(row.path))}", [question], act),
            lambda found: self._apply(found[1], found[0]),
        )

    def action_remove(self) -> None:
        """Remove the marked key, with all below it."""
        row = self.row
        if row is None or not row.is_there:
            self.app.tell("The file does not have this key.")
            return
        self.app.attempt(lambda: self._apply(self.form.remove(row.path)))

    def action_convert(self) -> None:
        """Give the marked value another form that the key may have: text, list or table."""
        row = self.row
        types = {str(one.get("type")) for one in row.branches} if row else set()
        forms = {"text": types - {"array", "object"}, "list": {"array"} & types}
        forms |= {"table": {"object"} & types}
        now = "table" if row and isinstance(row.value, dict) else "list"
        now = now if row and isinstance(row.value, dict | list) else "text"
        ways = [name for name, some in forms.items() if some and name != now]
        if row is None or not ways:
            self.app.tell("This key has one form only.")
            return

        def take(picked: Picked) -> None:
            if not row.is_there and picked.id != "text":
                self._path, self._aim = row.path, None
                self.show()
                return
            value = convert_value(row.value, picked.id, row.branches)
            self._apply(self.form.set(row.path, value), row.key)

        self.app.ask(Choose("As what?", [Choice(way, (way,), way) for way in ways]), take)

    def action_undo(self) -> None:
        """Take the last change back."""
        self.app.action_undo()
        self.show()

    def action_redo(self) -> None:
        """Make the change again that was taken back."""
        self.app.action_redo()
        self.show()

    def action_save(self) -> None:
        """Write every unsaved file."""
        self.app.action_save()


MOST_FOUND = 4000
"""Keys that are looked through for one that is named."""

DEEPEST_ABSENT = 4
"""Levels of keys that the file does not have which are looked through too."""


class ValueDialog(Dialog[str]):
    """Type a value; what is wrong with it is told as it is typed, before anything is changed."""

    def __init__(self, form: DocumentForm, row: Row) -> None:
        super().__init__()
        self._form, self._row = form, row

    def compose(self) -> ComposeResult:
        """What it is about, the line to type in, and what the value would bring."""
        row = self._row
        with Vertical(id="box"):
            yield Line(self.app.in_names(self._form.describe(row.path)))
            yield Input(show_value(row.value), id="typed")
            yield Line(id="fault", classes="fault")
            yield Line(id="more")
            default = f" Empty: {row.default or 'not given'}." if not row.needed else ""
            yield Line(f"{row.help} It takes {row.takes}.{default}", id="hint")
            yield make_buttons({"submit": "Done", "leave": "Cancel"})

    def on_mount(self) -> None:
        """Begin to type."""
        self.query_one(Input).focus()

    def _edit(self, typed: str) -> Edit:
        if typed.strip() == "":
            return self._form.remove(self._row.path)
        return self._form.set(self._row.path, read_typed(self._row.branches, typed))

    def on_input_changed(self, event: Input.Changed) -> None:
        """Tell what is wrong with it, or what it would bring."""
        fault, more = self.query_one("#fault", Line), self.query_one("#more", Line)
        more.say("")
        if event.value == show_value(self._row.value):
            fault.say("")
            return
        copy, edit = self._form.copy, self._edit(event.value)
        before = copy.library
        try:
            after = copy.trial(edit.change).library
        except EditError as error:
            fault.say(self.app.phrase(str(error)))
            return
        fault.say("")
        found = self.app.session.describe_change(
            before, after, f"Then: {self.app.in_names(edit.words)}."
        )
        self.app.compute(self, found, more.say)

    def on_input_submitted(self) -> None:
        """Enter takes it."""
        self.action_submit()

    def action_submit(self) -> None:
        """Take it, unless something is wrong with it."""
        value = self.query_one(Input).value
        typed = "" if value.strip() == "" else value
        if typed == show_value(self._row.value):
            self.close(None)
            return
        try:
            self._form.copy.trial(self._edit(typed).change)
        except EditError as error:
            self.query_one("#fault", Line).say(self.app.phrase(str(error)))
            return
        self.close(typed)
