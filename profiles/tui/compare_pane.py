"""The Compare view: contacts down, profiles across, moved functions marked, bindings copied."""

from collections.abc import Callable
from functools import partial
from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Vertical
from textual.widget import Widget

from profiles.files.toml_edit import EditError
from profiles.model import Link, ResolvedBinding
from profiles.sheets.comparison_rows import MOVED, ComparedRow, compare_applications
from profiles.tui.dialogs import Choice, Choose
from profiles.tui.frame import Line, Pane, refusable, start_work
from profiles.tui.tables import Table
from profiles.work.edits import Slot, bind, bound_at, candidates

BESIDE = 5
"""Profiles shown at once beside the chosen one; others are a key away."""


class ComparePane(Pane):
    """A table of what each contact does in each profile."""

    title: ClassVar[str] = "Compare"
    hint: ClassVar[str] = (
        f"What every contact does in each profile. {MOVED} marks a function that most profiles "
        "have on another control, and the line below says where. c copies a binding, v puts it "
        "into the marked profile: the same action if its application has it, otherwise one you "
        "choose."
    )

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("c", "take", "Copy"),
        Binding("v", "put", "Put here"),
        Binding("enter,o", "go", "Show on plate"),
        Binding("right_square_bracket", "page(1)", "More profiles"),
        Binding("left_square_bracket", "page(-1)", "Profiles before", show=False),
    ]

    def __init__(self) -> None:
        super().__init__(id="compare")
        self._first = 0
        self._links: list[Link] = []
        self._rows: tuple[ComparedRow, ...] = ()
        self._taken: ResolvedBinding | None = None

    def compose(self) -> ComposeResult:
        """The table, and a line that says the marked cell in full."""
        with Vertical(classes="wide"):
            yield Table(id="compare-table")
            yield Line(id="compare-said")

    @property
    def table(self) -> Table:
        """The table."""
        return self.query_one("#compare-table", Table)

    @property
    def main(self) -> Widget:
        """The table."""
        return self.table

    def show(self) -> None:
        """Show the profiles of the device as they are now; the cursor stays where it is."""
        session = self.session
        links = session.library.profiles_of(session.device_id)
        own = [link for link in links if link.profile.id == session.profile_id]
        others = [link for link in links if link.profile.id != session.profile_id]
        self._first = min(self._first, max(len(others) - 1, 0) // BESIDE * BESIDE)
        self._links = [*own, *others[self._first : self._first + BESIDE]]
        device = session.view.device
        self._rows = compare_applications(device, self._links) if device else ()
        heads = ["Contact", *(link.profile.name for link in self._links)]
        rows = [[row.chord, *(cell.words for cell in row.cells)] for row in self._rows]
        self.table.fill(heads, rows, names=16)
        self._say()

    def action_page(self, by: int) -> None:
        """Show other profiles beside the chosen one."""
        self._first = max(self._first + by * BESIDE, 0)
        self.show()

    def on_data_table_cell_highlighted(self) -> None:
        """Say the marked cell in full."""
        self._say()

    def _marked(self) -> tuple[ComparedRow, int] | None:
        marked = self.table.marked
        return (self._rows[marked[0]], marked[1]) if marked else None

    def _say(self) -> None:
        marked, lines = self._marked(), []
        if marked is not None:
            row, cell = marked[0], marked[0].cells[marked[1]]
            moved = f"{MOVED} {cell.moved}" if cell.moved else ""
            lines.append(f"{row.chord}: {cell.does or 'nothing bound'} {moved}")
        if self._taken is not None:
            profiles, profile = self.session.library.profiles, self._taken.profile
            whose = profiles[profile].name if profile in profiles else profile
            lines.append(f"Copied: {self._taken.action.name} from {whose}")
        words = "\n".join(lines) or self.session.next_step
        self.query_one("#compare-said", Line).say(words)

    @refusable
    def action_take(self) -> None:
        """Copy the binding of the marked cell."""
        marked = self._marked()
        bound = bound_at(self._links[marked[1]], Slot(*marked[0].slot)) if marked else ()
        if not bound:
            raise EditError("Nothing is bound here to copy.")
        self._taken = bound[0]
        self.app.tell(f"{bound[0].action.name} copied; v puts it into another profile.")
        self._say()

    @refusable
    def action_put(self) -> None:
        """Put the copied binding into the marked profile, on the same contact."""
        marked, taken, session = self._marked(), self._taken, self.session
        if marked is None or taken is None:
            raise EditError("Copy a binding with c first, then go to another profile.")
        link, slot = self._links[marked[1]], Slot(taken.held, taken.acting)
        profile = link.profile
        same, others = candidates(taken, link)
        if same is not None:
            self.app.apply(bind(link, slot, same))
            return
        if link.application is None or not others:
            raise EditError(f"{profile.name} has no action of that kind")
        actions, names = link.application.actions, session.names_of(profile.id)
        choices = [Choice(key, (actions[key].name, key), names.action(key)) for key in others]

        def preview(action: str) -> Callable[[], str]:
            return session.judge(bind(link, slot, action), profile=profile.id)

        title = f"What is {taken.action.name} in {profile.name}?"
        dialog = Choose(title, choices, preview=preview)
        self.app.ask(dialog, lambda picked: self.app.apply(bind(link, slot, picked.id)))

    def on_data_table_cell_selected(self) -> None:
        """Enter or a second click shows the contact on the plate."""
        self.action_go()

    def action_go(self) -> None:
        """Show the marked contact on the plate, in the marked profile."""
        marked = self._marked()
        if marked is not None:
            row, column = marked
            self.session.choose_profile(self._links[column].profile.id)
            self.session.select(row.slot[1].control, row.slot[1].contact)
            start_work(self, partial(self.app.action_view, "plate"))
