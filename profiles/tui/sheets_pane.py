"""The Sheets view: choose a sheet and how it is wanted, see it, write it to a file."""

from dataclasses import replace
from typing import ClassVar

from textual import work
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import ScrollableContainer, Vertical
from textual.widgets import OptionList
from textual.worker import get_current_worker

from profiles.files.toml_edit import EditError
from profiles.sheets.registry import SHEETS
from profiles.sheets.sheet import SheetRequest
from profiles.text.inert import escape_controls
from profiles.tui.dialogs import Ask, Choice, Choose, Picked, Read
from profiles.tui.frame import Line, Listing, Pane
from profiles.tui.printing import NUMBERS, Wish, make_preview, order_of, print_sheet


class SheetsPane(Pane):
    """Sheets and their settings; beside them the sheet itself."""

    title: ClassVar[str] = "Sheets"
    advice: ClassVar[str] = (
        "Every sheet that can be printed. Enter on a setting changes it. The picture keeps the "
        "sheet's proportions; only paper is true to scale, and its ruler tells."
    )

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("w", "write", "Write file"),
        Binding("t", "titles", "Titles"),
        Binding("enter", "change", "Change", show=False),
        Binding("r", "draw", "Draw again", show=False),
        Binding("plus,equals_sign", "zoom(1)", "Larger", show=False),
        Binding("minus", "zoom(-1)", "Smaller", show=False),
    ]

    def __init__(self) -> None:
        super().__init__(id="sheets")
        self._wish = Wish()
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

    def take_focus(self) -> None:
        """Give the keyboard to the sheets."""
        self.query_one("#sheet-list", Listing).focus()

    def show(self) -> None:
        """Show the settings as they are, and draw the sheet anew where something changed."""
        session = self.session
        if not self._wish.profiles and session.profile_id:
            self._wish = replace(self._wish, profiles=(session.profile_id,))
        listed = self.query_one("#setting-list", Listing)
        settings = [f"{name}: {value}" for name, value in self._wish.settings()]
        listed.fill(settings, min(listed.highlighted or 0, len(settings) - 1))
        key = (self._wish, session.library, session.device_id, self.size)
        if key != self._drawn:
            self._drawn = key
            self.action_draw()

    def on_resize(self) -> None:
        """Draw for another size."""
        if self.is_ready:
            self.show()

    def _order(self) -> SheetRequest | None:
        session = self.session
        if session.device_id not in session.library.devices:
            return None
        return order_of(session.library, session.device_id, self._wish)

    def action_draw(self) -> None:
        """Draw the sheet anew."""
        try:
            order = self._order()
        except EditError as error:
            self._say([str(error)])
            return
        if order is None:
            self._say(["No device to print."])
            return
        room = self.query_one("#preview-scroll").size
        self._say(["Drawing …"])
        grown = 1.4**self._zoom
        self._draw(order, self._wish, int((room.width - 2) * grown), int(room.height * grown))

    def action_zoom(self, by: int) -> None:
        """Draw the sheet larger or smaller; arrows scroll it when it has the keyboard (Tab)."""
        self._zoom = min(max(self._zoom + by, 0), 5)
        self.action_draw()

    @work(thread=True, exclusive=True, group="draw")
    def _draw(self, order: SheetRequest, wish: Wish, columns: int, rows: int) -> None:
        try:
            lines = make_preview(order, wish, columns, rows)
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
        if sheet != self._wish.sheet:
            self._wish = self._wish.for_sheet(sheet)
            self.show()

    def on_option_list_option_selected(self, event: OptionList.OptionSelected) -> None:
        """Enter on a sheet goes to its settings; on a setting it changes that."""
        if event.option_list.id == "sheet-list":
            self.query_one("#setting-list", Listing).focus()
            return
        name, value = self._wish.settings()[event.option_index]
        if name == "titles":
            self.action_titles()
        elif name in NUMBERS:
            self._ask_number(name, value)
        else:
            self._wish = self._wish.cycled(name)
            self.show()

    def _ask_number(self, name: str, value: str) -> None:
        def check(found: dict[str, str]) -> str | None:
            try:
                fine = 0 <= float(found[name] or "0") <= 50
            except ValueError:
                fine = False
            return None if fine else "Write a length in mm from 0 to 50; empty for the usual one."

        def take(found: dict[str, str] | None) -> None:
            if found is not None:
                number = float(found[name]) if found[name].strip() else ""
                self._wish = self._wish.having(name, number)
                self.show()

        first = value.removesuffix(" mm") if value.endswith(" mm") else ""
        self.app.push_screen(Ask(f"{name}, mm", {name: first}, check=check), take)

    def action_titles(self) -> None:
        """Take a title onto the sheet, or off it."""
        most = self._wish.kind.profiles[1]
        if not most:
            self.app.tell("This sheet shows no title.")
            return
        links = self.session.library.profiles_of(self.session.device_id)
        choices = [
            Choice(
                one.profile.id,
                (one.profile.name, one.profile.id),
                f"{'on ' if one.profile.id in self._wish.profiles else 'off'} {one.profile.name}",
            )
            for one in links
        ]
        title = f"Titles on this sheet, at most {most}. Enter takes one on or off."
        self.app.push_screen(Choose(title, choices), self._take_title)

    def _take_title(self, picked: Picked | None) -> None:
        if picked is None:
            return
        chosen = list(self._wish.profiles)
        if picked.id in chosen:
            chosen.remove(picked.id)
        else:
            chosen.append(picked.id)
        self._wish = replace(self._wish, profiles=tuple(chosen[-self._wish.kind.profiles[1] :]))
        self.show()

    def action_write(self) -> None:
        """Write the sheet to a file."""
        try:
            order = self._order()
        except EditError as error:
            self.app.tell(str(error))
            return
        if order is None:
            self.app.tell("No device to print.")
            return
        start = f"{self.app.folder.resolve().parent / 'sheets'}/"

        def take(found: dict[str, str] | None) -> None:
            if found is not None:
                self.app.tell("Writing …")
                self._write(order, self._wish, found["file or folder/"])

        hint = "A folder ends with / and gets the sheet's usual name. Enter writes."
        self.app.push_screen(Ask("Write the sheet", {"file or folder/": start}, hint=hint), take)

    @work(thread=True, exclusive=True, group="write")
    def _write(self, order: SheetRequest, wish: Wish, target: str) -> None:
        try:
            printed = print_sheet(order, wish, target)
        except EditError as error:
            self.app.call_from_thread(self.app.tell, str(error))
            return
        verb = "Replaced" if printed.replaced else "Written to"
        words = f"{verb} {escape_controls(str(printed.path))}"
        self.app.call_from_thread(self._describe_written, words, list(printed.remarks))

    def _describe_written(self, words: str, remarks: list[str]) -> None:
        self.app.tell(words)
        if remarks and len(self.app.screen_stack) == 1:
            self.app.push_screen(Read("What the sheet does not show as meant", [words, *remarks]))
