"""The Plate view: see, move, bind, unbind, swap, chord, legend, and what is still to bind."""

from collections.abc import Callable
from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import VerticalScroll

from profiles.facts.profile import unbound_actions
from profiles.files.toml_edit import EditError
from profiles.model import DeviceContact, Link, ResolvedBinding
from profiles.plate.order import Direction
from profiles.tui.dialogs import Ask, Choice, Choose, Picked
from profiles.tui.frame import Line, Pane
from profiles.tui.panel import panel_lines
from profiles.tui.plate_canvas import PlateCanvas
from profiles.work.edits import Slot, bind, bound_at, key_of, set_legend, swap_controls, unbind
from profiles.work.judge import judge_edit
from profiles.work.remedies import suggested_edit


class PlatePane(Pane):
    """The faceplate and the chosen control."""

    title: ClassVar[str] = "Plate"
    advice: ClassVar[str] = (
        "The plate to scale. Brackets tell the kind: ( ) momentary, [ ] latching, < > rotary, "
        "{ } selector. The letter between tells the state: # bound, + bound in part, . unbound, "
        "! in conflict. Words with a plus are those of a chord."
    )

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("enter,b", "bind", "Bind"),
        Binding("x,delete", "unbind", "Unbind"),
        Binding("w", "swap", "Swap"),
        Binding("c", "chord", "Chord"),
        Binding("l", "legend", "Legend"),
        Binding("s", "needs", "Still to bind"),
        Binding("slash", "jump", "Jump"),
        Binding("right_square_bracket", "contact(1)", "Next contact", show=False),
        Binding("left_square_bracket", "contact(-1)", "DeviceContact before", show=False),
        Binding("escape", "put_down", "Put down", show=False),
    ]

    def __init__(self) -> None:
        super().__init__(id="plate")
        self._carried: DeviceContact | None = None

    def compose(self) -> ComposeResult:
        """The canvas, and the words beside it."""
        yield PlateCanvas(id="plate-canvas")
        with VerticalScroll(classes="aside"):
            yield Line(id="plate-panel")

    @property
    def canvas(self) -> PlateCanvas:
        """The plate itself."""
        return self.query_one(PlateCanvas)

    def show(self) -> None:
        """Show the session as it is now."""
        self.canvas.show()
        self.show_panel()

    def show_panel(self) -> None:
        """Show the chosen control in words."""
        lines = panel_lines(self.session)
        if self._carried is not None:
            lines = [
                f"Swapping {self._carried.short}: go to the other",
                "control, w again.",
                *lines,
            ]
        self.query_one("#plate-panel", Line).say("\n".join(lines))

    def take_focus(self) -> None:
        """Give the keyboard to the plate."""
        self.canvas.focus()

    def on_plate_canvas_moved(self) -> None:
        """Another control is chosen."""
        self.show_panel()

    def on_plate_canvas_opened(self) -> None:
        """A control was clicked twice."""
        self.action_bind()

    def action_contact(self, by: int) -> None:
        """Choose another contact of the control."""
        self.session.turn_contact(by)
        self.show_panel()

    def action_put_down(self) -> None:
        """Give up a swap; else stop work that goes on."""
        if self._carried is None:
            self.app.action_stop_work()
        else:
            self.app.tell("Put down again; nothing is swapped.")
        self._carried = None
        self.show_panel()

    def _slot(self) -> Slot:
        slot = self.session.slot
        if slot is None:
            raise EditError("this control has no contact with an input")
        return slot

    def _try(self, act: Callable[[], None]) -> None:
        """Do something that may be refused, and tell why."""
        try:
            act()
        except EditError as error:
            self.app.tell(str(error))

    def action_bind(self) -> None:
        """Choose an action for the contact."""
        self._try(lambda: self._ask_action(self._slot()))

    def _ask_action(self, slot: Slot) -> None:
        session, link = self.session, self.session.binds
        if link.application is None:
            raise EditError("the profile's application is not in the library")
        homes = _homes(link.bound)
        choices = [
            Choice(
                key,
                (one.name, key, one.short),
                f"{one.name} [{key}] {one.need}{homes.get(key, '')}",
            )
            for key, one in link.application.actions.items()
        ]
        does = ", ".join(one.action.name for one in bound_at(link, slot))
        now = f"Now: {does}" if does else "Now: nothing bound here."

        def preview(action: str) -> Callable[[], str]:
            return judge_edit(session.copy, session.profile_id, bind(link, slot, action), now)

        def take(picked: Picked | None) -> None:
            if picked is not None:
                self.app.apply(bind(link, slot, picked.id, beside=picked.beside))

        hint = "Enter binds instead of what is there, Ctrl+B beside it. Escape leaves."
        title = f"Bind {key_of(link, slot)}. {now}"
        dialog = Choose(title, choices, hint=hint, preview=preview, beside=True)
        self.app.push_screen(dialog, take)

    def action_unbind(self) -> None:
        """Take everything from the contact; where there is only a chord, that."""

        def act() -> None:
            slot = self._bound_slot()
            self.app.apply(unbind(self.session.binds, slot))

        self._try(act)

    def _bound_slot(self) -> Slot:
        """The contact pressed alone where it is bound so, else the first chord it ends."""
        slot, link = self._slot(), self.session.binds
        if bound_at(link, slot):
            return slot
        chords = [one for one in link.bound if one.acting == slot.acting]
        return Slot(chords[0].held, slot.acting) if chords else slot

    def action_swap(self) -> None:
        """Take up a control, or swap it with the one taken up before."""

        def act() -> None:
            here = self._slot().acting
            link = self.session.binds
            carried, self._carried = self._carried, None
            if carried is None or not _has(link, carried):
                self._carried = here
                self.app.tell(f"Swap {here.short} with which? Go there, press w.")
            elif carried == here:
                self.app.tell("Put down again; nothing is swapped.")
            else:
                self.app.apply(swap_controls(link, carried, here))

        self._try(act)
        self.show_panel()

    def action_chord(self) -> None:
        """Choose what is held meanwhile, then the action."""

        def act() -> None:
            slot = self._slot()
            _ = self.session.binds  # refuses where nothing can be bound
            self._ask_held(slot)

        self._try(act)

    def _ask_held(self, slot: Slot) -> None:
        """Ask for one contact to hold; Ctrl+B holds it and asks for another one."""
        facts = self.session.view.facts
        choices = [
            Choice(
                str(contact.contact),
                (one.label, contact.contact.short),
                f"{one.label} ({contact.contact.short})",
            )
            for one in facts.values()
            for contact in one.contacts
            if contact.contact not in (slot.acting, *slot.held)
        ]
        known = {
            str(contact.contact): contact.contact
            for one in facts.values()
            for contact in one.contacts
        }

        def take(picked: Picked | None) -> None:
            if picked is not None:
                chord = Slot((*slot.held, known[picked.id]), slot.acting)
                ask = self._ask_held if picked.beside else self._ask_action
                self._try(lambda: ask(chord))

        title = f"Hold which while {slot.acting.short} acts?"
        if slot.held:
            names = " and ".join(one.short for one in slot.held)
            title = f"Hold which besides {names} while {slot.acting.short} acts?"
        hint = "Enter goes on to the action, Ctrl+B holds one more. Escape leaves."
        self.app.push_screen(Choose(title, choices, hint=hint, beside=True), take)

    def action_legend(self) -> None:
        """Ask for words of its own for the binding."""

        def act() -> None:
            slot = self._bound_slot()
            link = self.session.binds
            bound = bound_at(link, slot)
            if not bound:
                raise EditError("nothing is bound here to give a legend")
            self._ask_legend(slot, bound[0])

        self._try(act)

    def _ask_legend(self, slot: Slot, bound: ResolvedBinding) -> None:
        link = self.session.binds

        def take(found: dict[str, str] | None) -> None:
            if found is not None:
                words = found["legend"]
                self.app.apply(set_legend(link, slot, bound.action_id, words))

        hint = f'Empty: the words of the action again, "{bound.action.short}".'
        title = f"Words to print for {bound.action.name} on {bound.key}"
        self.app.push_screen(Ask(title, {"legend": bound.use.legend or ""}, hint=hint), take)

    def action_needs(self) -> None:
        """List what the profile leaves unbound, with a control that suits."""

        def act() -> None:
            link = self.session.binds
            open_ones = unbound_actions(link)
            if not open_ones:
                raise EditError("every action of this title is bound")
            choices = [
                Choice(key, (one.name, key), f"{one.need}: {one.name} [{key}]")
                for key, one in open_ones.items()
            ]
            self.app.push_screen(
                Choose(
                    "Still to bind. Enter binds it where it is proposed.",
                    choices,
                    preview=self._preview_need,
                ),
                self._take_need,
            )

        self._try(act)

    def _preview_need(self, action: str) -> Callable[[], str]:
        library, profile = self.session.library, self.session.profile_id

        def compute() -> str:
            edit = suggested_edit(library, profile, action)
            return f"Proposed: {edit.words}." if edit else "No free contact suits this action."

        return compute

    def _take_need(self, picked: Picked | None) -> None:
        if picked is None:
            return
        edit = suggested_edit(self.session.library, self.session.profile_id, picked.id)
        if edit is None:
            self.app.tell("No free contact suits this action; free one first.")
        else:
            self.app.apply(edit)

    def action_jump(self) -> None:
        """Type a label to go to its control."""
        choices = [
            Choice(one.id, (one.label, one.id, one.legend), f"{one.badge} {one.label} ({one.id})")
            for key in self.session.view.order
            if (one := self.session.view.facts.get(key))
        ]

        def take(picked: Picked | None) -> None:
            if picked is not None:
                self.canvas.choose(picked.id)

        self.app.push_screen(Choose("Jump to which control?", choices), take)

    def action_go(self, direction: Direction) -> None:
        """Go to the next control, wherever the keyboard is."""
        self.canvas.action_go(direction)


def _has(link: Link, contact: DeviceContact) -> bool:
    """Whether a contact is still one of the profile's: another may have been chosen meanwhile."""
    devices = {one.id: one for one in link.devices}
    control = (
        devices[contact.device].controls.get(contact.control) if contact.device in devices else None
    )
    return control is not None and contact.contact in control.contacts


def _homes(bound: tuple[ResolvedBinding, ...]) -> dict[str, str]:
    """Where each action is bound already."""
    found: dict[str, str] = {}
    for one in bound:
        found[one.action_id] = found.get(one.action_id, ", now on") + f" {one.key}"
    return found
