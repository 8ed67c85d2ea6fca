"""The Titles view: contacts down, titles across, moved functions marked, bindings copied."""

from collections.abc import Callable
from functools import partial
from typing import ClassVar

from rich.text import Text
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Vertical
from textual.widgets import DataTable

from profiles.files.toml_edit import EditError
from profiles.model import Link, ResolvedBinding
from profiles.sheets.comparison_rows import MOVED, ComparedRow, compare_applications
from profiles.text.inert import escape_controls
from profiles.tui.canvas import cut_to
from profiles.tui.dialogs import Choice, Choose, Picked
from profiles.tui.frame import Line, Pane, start_work
from profiles.work.edits import Slot, bind, bound_at, candidates
from profiles.work.judge import judge_edit

ACROSS = 6
"""Titles shown at once; others are a key away."""

WIDEST = 28


class TitlesPane(Pane):
    """A table of what each contact does in each title."""

    title: ClassVar[str] = "Titles"
    advice: ClassVar[str] = (
        f"What every contact does in each title. {MOVED} marks a function that most titles have "
        "on another control, and the line below says where. c takes a binding up, v puts it into "
        "the marked title: the same action where the title has it, else one you choose."
    )

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("c", "take", "Take up"),
        Binding("v", "put", "Put here"),
        Binding("enter,o", "go", "Show on plate"),
        Binding("right_square_bracket", "page(1)", "More titles"),
        Binding("left_square_bracket", "page(-1)", "Titles before", show=False),
    ]

    def __init__(self) -> None:
        super().__init__(id="titles")
        self._first = 0
        self._links: list[Link] = []
        self._rows: tuple[ComparedRow, ...] = ()
        self._taken: ResolvedBinding | None = None

    def compose(self) -> ComposeResult:
        """The table, and a line that says the marked cell in full."""
        with Vertical(classes="wide"):
            yield DataTable(id="titles-table", cursor_type="cell", zebra_stripes=False)
            yield Line(id="titles-said")

    @property
    def table(self) -> "DataTable[Text]":
        """The table."""
        return self.query_one("#titles-table", DataTable)

    def take_focus(self) -> None:
        """Give the keyboard to the table."""
        self.table.focus()

    def show(self) -> None:
        """Show the titles of the device as they are now; the cursor stays where it is."""
        session, table = self.session, self.table
        at = table.cursor_coordinate
        self._links = self._choose_links()
        device = session.view.device
        self._rows = compare_applications(device, self._links) if device else ()
        table.clear(columns=True)
        table.fixed_columns = 1
        table.add_column(Text("Contact"), width=16)
        for link in self._links:
            table.add_column(Text(escape_controls(cut_to(link.profile.name, WIDEST))))
        for row in self._rows:
            cells = [Text(escape_controls(cut_to(cell.words, WIDEST))) for cell in row.cells]
            table.add_row(Text(escape_controls(cut_to(row.chord, 16))), *cells)
        if self._rows:
            table.move_cursor(row=min(at.row, len(self._rows) - 1), column=max(at.column, 1))
        self._say()

    def _choose_links(self) -> list[Link]:
        """The chosen profile first, then some others of the device."""
        session = self.session
        links = session.library.profiles_of(session.device_id)
        others = [one for one in links if one.profile.id != session.profile_id]
        own = [one for one in links if one.profile.id == session.profile_id]
        self._first = min(self._first, max(len(others) - 1, 0) // (ACROSS - 1) * (ACROSS - 1))
        return [*own, *others[self._first : self._first + ACROSS - 1]]

    def action_page(self, by: int) -> None:
        """Show other titles beside the chosen one."""
        self._first = max(self._first + by * (ACROSS - 1), 0)
        self.show()

    def on_data_table_cell_highlighted(self) -> None:
        """Say the marked cell in full."""
        self._say()

    def _marked(self) -> tuple[ComparedRow, int] | None:
        at = self.table.cursor_coordinate
        if at.row < len(self._rows) and 1 <= at.column <= len(self._links):
            return self._rows[at.row], at.column - 1
        return None

    def _say(self) -> None:
        marked = self._marked()
        lines = []
        if marked is not None:
            row, column = marked
            cell = row.cells[column]
            told = f"{MOVED} {cell.moved}" if cell.moved else ""
            lines.append(f"{row.chord}: {cell.does or 'nothing bound'} {told}")
        if self._taken is not None:
            lines.append(f"Taken up: {self._taken.action.name} from {self._taken.spot.document}")
        self.query_one("#titles-said", Line).say("\n".join(lines) or "No title binds this device.")

    def action_take(self) -> None:
        """Take up the binding of the marked cell."""
        marked = self._marked()
        bound = bound_at(self._links[marked[1]], _slot(marked[0])) if marked else ()
        if not bound:
            self.app.tell("Nothing is bound here to take up.")
            return
        self._taken = bound[0]
        self.app.tell(f"{bound[0].action.name} taken up; v puts it into another title.")
        self._say()

    def action_put(self) -> None:
        """Put the binding taken up into the marked title, on the same contact."""
        marked, taken = self._marked(), self._taken
        if marked is None or taken is None:
            self.app.tell("Take a binding up with c first, then go to another title.")
            return
        try:
            self._put(taken, self._links[marked[1]])
        except EditError as error:
            self.app.tell(str(error))

    def _put(self, taken: ResolvedBinding, link: Link) -> None:
        reason = self.session.copy.why_read_only(link.profile.id)
        if reason is not None:
            raise EditError(reason)
        slot = Slot(taken.held, taken.acting)
        same, alike = candidates(taken, link)
        if same is not None:
            self.app.apply(bind(link, slot, same))
            return
        if not alike:
            raise EditError(f"{link.profile.name} has no action of that kind")
        self._ask(taken, link, slot, alike)

    def _ask(self, taken: ResolvedBinding, link: Link, slot: Slot, alike: list[str]) -> None:
        assert link.application is not None
        actions = link.application.actions
        choices = [
            Choice(key, (actions[key].name, key), f"{actions[key].name} [{key}]") for key in alike
        ]

        def take(picked: Picked | None) -> None:
            if picked is not None:
                self.app.apply(bind(link, slot, picked.id))

        title = f"What is {taken.action.name} in {link.profile.name}?"

        def preview(action: str) -> Callable[[], str]:
            return judge_edit(self.session.copy, link.profile.id, bind(link, slot, action), "")

        self.app.push_screen(Choose(title, choices, preview=preview), take)

    def on_data_table_cell_selected(self) -> None:
        """Enter or a second click shows the contact on the plate."""
        self.action_go()

    def action_go(self) -> None:
        """Show the marked contact on the plate, in the marked title."""
        marked = self._marked()
        if marked is None:
            return
        row, column = marked
        self.session.choose_profile(self._links[column].profile.id)
        self.session.select(row.slot[1].control, row.slot[1].contact)
        start_work(self, partial(self.app.action_view, "plate"))


def _slot(row: ComparedRow) -> Slot:
    return Slot(*row.slot)
