"""The Sheets view: choose a sheet and how it is wanted, see it, write it to a file."""

from functools import partial
from textwrap import wrap
from typing import ClassVar

from textual import work
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import ScrollableContainer, Vertical
from textual.widget import Widget
from textual.widgets import OptionList
from textual.worker import get_current_worker

from profiles.model import Library
from profiles.sheets.options import RequestError, options_of
from profiles.sheets.requests import SHEETS
from profiles.text.inert import escape_controls
from profiles.tui.dialogs import Ask, Choice, Choose, Picked, Read, ask_to_replace
from profiles.tui.frame import Line, Listing, Pane
from profiles.tui.printing import Form, explain, make_preview, print_form
from profiles.work.outputs import OutputError


class SheetsPane(Pane):
    """Sheets and their settings; beside them the sheet itself."""

    title: ClassVar[str] = "Sheets"
    hint: ClassVar[str] = (
        "Every sheet that can be printed. Enter on a setting changes it. The picture keeps the "
        "sheet's proportions; only paper is true to scale: measure its ruler."
    )

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("w", "write", "Write file"),
        Binding("t", "profiles", "Profiles"),
        Binding("enter", "change", "Change", show=False),
        Binding("r", "draw", "Draw again", show=False),
        Binding("plus,equals_sign", "zoom(1)", "Larger", show=False),
        Binding("minus", "zoom(-1)", "Smaller", show=False),
    ]

    def __init__(self) -> None:
        super().__init__(id="sheets")
        self._form = Form()
        self._is_chosen = False
        """Whether the profiles were chosen here; otherwise it is the one in view."""
        self._drawn: tuple[object, ...] = ()
        self._zoom = 0

    def compose(self) -> ComposeResult:
        """Sheets above their settings; the preview beside."""
        with Vertical(classes="column"):
            yield Line("Sheet")
            yield Listing(SHEETS, id="sheet-list")
            yield Line("Settings")
            yield Listing(id="setting-list")
        with ScrollableContainer(classes="wide", can_focus=True, id="preview-scroll"):
            yield Line(id="sheet-preview", classes="picture")

    @property
    def main(self) -> Widget:
        """The sheets."""
        return self.query_one("#sheet-list", Listing)

    def aim_at(self, key: str) -> None:
        """Mark a sheet."""
        self.query_one("#sheet-list", Listing).highlighted = list(SHEETS).index(key)

    def show(self) -> None:
        """Show the settings as they are, and draw the sheet again where something changed."""
        session = self.session
        known = [link.profile.id for link in session.library.profiles_of(session.device_id)]
        wanted = self._form.request.profiles if self._is_chosen else (session.profile_id,)
        self._form = self._form.with_profiles(tuple(id_ for id_ in wanted if id_ in known))
        listed = self.query_one("#setting-list", Listing)
        named = self._form.settings(session.view.documents)
        settings = [f"{name}: {value}" for name, value in named.items()]
        listed.fill(settings, min(listed.highlighted or 0, len(settings) - 1))
        key = (self._form, session.library, session.device_id, self.size)
        if key != self._drawn:
            self._drawn = key
            self.action_draw()

    def on_resize(self) -> None:
        """Draw for another size."""
        if self.is_ready:
            self.show()

    def action_draw(self) -> None:
        """Draw the sheet again."""
        session, room = self.session, self.query_one("#preview-scroll").size
        if session.device_id not in session.library.devices:
            self._say(wrap(session.next_step, max(room.width - 2, 20)))
            return
        self._say(["Drawing …"])
        grown = 1.4**self._zoom
        size = (int((room.width - 2) * grown), int(room.height * grown))
        self._draw(session.library, self._form, session.device_id, *size)

    def action_zoom(self, by: int) -> None:
        """Draw the sheet larger or smaller; arrows scroll it when it has the keyboard (Tab)."""
        self._zoom = min(max(self._zoom + by, 0), 5)
        self.action_draw()

    @work(thread=True, exclusive=True, group="draw")
    def _draw(self, library: Library, form: Form, device: str, columns: int, rows: int) -> None:
        try:
            lines = make_preview(library, form, device, columns, rows)
        except RequestError as error:
            lines = [explain(error)]
        except Exception as error:
            lines = [f"This sheet cannot be drawn: {escape_controls(str(error))}"]
        if not get_current_worker().is_cancelled:
            self.app.call_from_thread(self._say, lines)

    def _say(self, lines: list[str]) -> None:
        self.query_one("#sheet-preview", Line).say("\n".join(lines))

    def on_option_list_option_highlighted(self, event: OptionList.OptionHighlighted) -> None:
        """Another sheet is marked."""
        if event.option_list.id != "sheet-list":
            return
        sheet = list(SHEETS)[event.option_index]
        if sheet != self._form.request.sheet:
            self._form = self._form.of_sheet(sheet)
            self.show()

    def on_option_list_option_selected(self, event: OptionList.OptionSelected) -> None:
        """Enter on a sheet goes to its settings; on a setting it changes that."""
        if event.option_list.id == "sheet-list":
            self.query_one("#setting-list", Listing).focus()
            return
        name = list(self._form.settings())[event.option_index]
        if name == "profiles":
            self.action_profiles()
        elif self._form.is_typed(name):
            self._ask_number(name)
        else:
            self._form = self._form.cycled(name)
            self.show()

    def _ask_number(self, name: str) -> None:
        request = self._form.request
        option, value = options_of(type(request))[name], getattr(request, name)

        def check(found: dict[str, str]) -> str | None:
            try:
                self._form.typed(name, found[name])
            except RequestError as error:
                return f"{error}; empty for the default."
            return None

        def take(found: dict[str, str] | None) -> None:
            if found is not None:
                self._form = self._form.typed(name, found[name])
                self.show()

        title = f"{option.words}: {option.range}"
        first = f"{value:g}" if isinstance(value, float) else value or ""
        self.app.push_screen(Ask(title, {name: first}, check=check), take)

    def action_profiles(self) -> None:
        """Take a profile onto the sheet, or off it."""
        request = self._form.request
        if not request.takes[1]:
            self.app.tell("This sheet shows no profile.")
            return
        choices = [
            Choice(
                profile.id,
                (profile.name, profile.id),
                f"{'on ' if profile.id in request.profiles else 'off'} {profile.name}",
            )
            for profile in (
                link.profile for link in self.session.library.profiles_of(self.session.device_id)
            )
        ]
        title = f"Profiles on this sheet, at most {request.takes[1]}. Enter adds or removes one."
        self.app.push_screen(Choose(title, choices), self._take_profile)

    def _take_profile(self, picked: Picked | None) -> None:
        if picked is None:
            return
        chosen = list(self._form.request.profiles)
        if picked.id in chosen:
            chosen.remove(picked.id)
        else:
            chosen.append(picked.id)
        self._is_chosen = True
        self._form = self._form.with_profiles(tuple(chosen[-self._form.request.takes[1] :]))
        self.show()

    def action_write(self) -> None:
        """Write the sheet to a file."""
        if self.session.device_id not in self.session.library.devices:
            self.app.tell(self.session.next_step)
            return
        start = f"{self.app.folder / 'sheets'}/"

        def take(found: dict[str, str] | None) -> None:
            if found is not None:
                self._begin(found["file or folder/"])

        hint = "A folder ends with / and gets the sheet's default name. Enter writes."
        self.app.push_screen(Ask("Write the sheet", {"file or folder/": start}, hint=hint), take)

    def _begin(self, target: str, *, replace_others: bool = False) -> None:
        self.app.tell("Writing …")
        session = self.session
        self._write(session.library, self._form, session.device_id, target, replace_others)

    @work(thread=True, exclusive=True, group="write")
    def _write(
        self, library: Library, form: Form, device: str, target: str, replace_others: bool
    ) -> None:
        tell = self.app.call_from_thread
        try:
            printed = print_form(library, form, device, target, replace_others=replace_others)
        except OutputError as error:
            tell(self.app.tell, explain(error))
            if error.may_replace and not replace_others:
                again = partial(self._begin, target, replace_others=True)
                tell(ask_to_replace, self.app, explain(error), again)
        except RequestError as error:
            tell(self.app.tell, explain(error))
        else:
            tell(self._describe_written, printed.words, list(printed.remarks))

    def _describe_written(self, words: str, remarks: list[str]) -> None:
        self.app.tell(words)
        if remarks and len(self.app.screen_stack) == 1:
            self.app.push_screen(Read("What the sheet does not show as meant", [words, *remarks]))
