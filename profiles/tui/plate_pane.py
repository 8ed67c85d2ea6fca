"""The Plate view: see, move, bind, unbind, swap, chord, legend, and what is still to bind."""

from collections.abc import Callable
from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.widget import Widget

from profiles.facts.profile import unbound_actions
from profiles.files.toml_edit import EditError
from profiles.model import DeviceContact
from profiles.plate.order import Direction
from profiles.tui.dialogs import Ask, Choice, Choose, Picked
from profiles.tui.frame import Aside, Hanging, Line, Pane, refusable
from profiles.tui.panel import name_facts, panel_lines
from profiles.tui.plate_canvas import PlateCanvas
from profiles.tui.plate_rows import Key
from profiles.work.edits import (
    Edit,
    Slot,
    bind,
    bound_at,
    key_of,
    set_legend,
    swap_controls,
    unbind,
)


class PlatePane(Pane):
    """The faceplate and the chosen control."""

    title: ClassVar[str] = "Plate"
    hint: ClassVar[str] = (
        "The plate to scale. Brackets show the kind: ( ) momentary, [ ] latching, < > rotary, "
        "{ } selector. The letter between shows the state: # bound, + bound in part, . unbound, "
        "! in conflict. Words with a plus are those of a chord."
    )

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("enter,b", "bind", "Bind"),
        Binding("x,delete", "unbind", "Unbind"),
        Binding("w", "swap", "Swap"),
        Binding("c", "chord", "Chord"),
        Binding("l", "legend", "Legend"),
        Binding("s", "needs", "Still to bind"),
        Binding("S", "suggest", "Suggest"),
        Binding("slash", "jump", "Jump"),
        Binding("right_square_bracket", "contact(1)", "Next contact", show=False),
        Binding("left_square_bracket", "contact(-1)", "Contact before", show=False),
        Binding("escape", "put_down", "Put down", show=False),
    ]

    def __init__(self) -> None:
        super().__init__(id="plate")
        self._carried: DeviceContact | None = None

    def compose(self) -> ComposeResult:
        """The canvas, and the words beside it."""
        yield PlateCanvas(id="plate-canvas")
        with Aside("Control"):
            yield Hanging(id="plate-panel")
            yield Key()

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
            who = self.session.names.contact(self._carried)
            lines = [f"Swapping {who}: go to the other control, w again.", *lines]
        self.query_one("#plate-panel", Line).say("\n".join(lines))

    @property
    def main(self) -> Widget:
        """The plate."""
        return self.canvas

    def on_plate_canvas_moved(self) -> None:
        """Another control is chosen."""
        self.show_panel()

    def on_plate_canvas_opened(self) -> None:
        """A control was clicked twice."""
        self.action_bind()

    def on_plate_canvas_dragged(self, event: PlateCanvas.Dragged) -> None:
        """A control is dragged: say what letting go here would do."""
        facts, over = self.session.view.facts, event.over
        ways = f"exchanges it with {facts[over].label}" if over in facts else "changes nothing"
        self.app.tell(f"{facts[event.moved].label}: letting go here {ways}.")

    def on_plate_canvas_dropped(self, event: PlateCanvas.Dropped) -> None:
        """A control was dragged onto another: exchange what the two do."""
        self._carried = None
        if not event.over:
            self.app.tell("Put down again; nothing is swapped.")
            return
        for control in (event.moved, event.over):
            self.canvas.choose(control)
            self.action_swap()

    def action_contact(self, by: int) -> None:
        """Choose another contact of the control."""
        self.session.turn_contact(by)
        self.show_panel()

    def action_put_down(self) -> None:
        """Give up a swap; otherwise stop work that is running."""
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

    def _bound_slot(self) -> Slot:
        """The contact pressed alone where it is bound so, otherwise the first chord it ends."""
        slot, link = self._slot(), self.session.binds
        if bound_at(link, slot):
            return slot
        chords = [bound for bound in link.bound if bound.acting == slot.acting]
        return Slot(chords[0].held, slot.acting) if chords else slot

    @refusable
    def action_bind(self) -> None:
        """Choose an action for the contact."""
        self._ask_action(self._slot())

    def _ask_action(self, slot: Slot) -> None:
        session, link = self.session, self.session.binds
        if link.application is None:
            raise EditError("the profile's application is not in the library")
        names, homes = session.names, dict[str, str]()
        for bound in link.bound:
            where = [homes.get(bound.action_id, ", now on"), names.contact(bound.key)]
            homes[bound.action_id] = " ".join(where)
        choices = [
            Choice(
                key,
                (action.name, key, action.words),
                f"{names.action(key)}, {action.need}{homes.get(key, '')}",
            )
            for key, action in link.application.actions.items()
        ]
        does = ", ".join(bound.action.name for bound in bound_at(link, slot))
        now = f"Now: {does}" if does else "Now: nothing bound here."

        def preview(action: str) -> Callable[[], str]:
            return session.judge(bind(link, slot, action), now)

        dialog = Choose(
            f"Bind {names.contact(key_of(link, slot))}. {now}",
            choices,
            hint="Enter binds instead of what is there, F4 beside it. Escape cancels.",
            preview=preview,
            beside=True,
        )
        self.app.ask(
            dialog,
            lambda picked: self.app.apply(bind(link, slot, picked.id, beside=picked.beside)),
        )

    @refusable
    def action_unbind(self) -> None:
        """Unbind the contact; if only a chord ends there, that."""
        slot = self._bound_slot()
        self.app.apply(unbind(self.session.binds, slot))

    @refusable
    def action_swap(self) -> None:
        """Take up a control, or swap it with the one taken up before."""
        session = self.session
        here, link = self._slot().acting, session.binds
        carried, self._carried = self._carried, None
        devices = {device.id: device.controls for device in link.devices}
        control = devices.get(carried.device, {}).get(carried.control) if carried else None
        if carried is None or control is None or carried.contact not in control.contacts:
            self._carried = here  # the first, or another profile was chosen meanwhile
            self.app.tell(f"Swap {session.names.contact(here)} with which? Go there, press w.")
        elif carried == here:
            self.app.tell("Put down again; nothing is swapped.")
        else:
            self.app.apply(swap_controls(link, carried, here))
        self.show_panel()

    @refusable
    def action_chord(self) -> None:
        """Choose what is held meanwhile, then the action."""
        slot = self._slot()
        _ = self.session.binds  # refuses where nothing can be bound
        self._ask_held(slot)

    def _ask_held(self, slot: Slot) -> None:
        """Ask for a contact to hold; F4 holds it and asks for another."""
        names = self.session.names
        known = {
            str(contact.contact): (contact.contact, control.label)
            for control in self.session.view.facts.values()
            for contact in control.contacts
            if contact.contact not in (slot.acting, *slot.held)
        }
        choices = [
            Choice(key, (label, contact.short), names.contact(contact))
            for key, (contact, label) in known.items()
        ]

        def take(picked: Picked) -> None:
            chord = Slot((*slot.held, known[picked.id][0]), slot.acting)
            (self._ask_held if picked.beside else self._ask_action)(chord)

        held = " and ".join(map(names.contact, slot.held))
        besides = f" besides {held}" if held else ""
        title = f"Hold which{besides} while {names.contact(slot.acting)} acts?"
        hint = "Enter goes on to the action, F4 holds one more. Escape cancels."
        self.app.ask(Choose(title, choices, hint=hint, beside=True), take)

    @refusable
    def action_legend(self) -> None:
        """Ask for words of its own for the binding."""
        slot, link = self._bound_slot(), self.session.binds
        if not bound_at(link, slot):
            raise EditError("nothing is bound here to give a legend")
        bound = bound_at(link, slot)[0]

        def take(found: dict[str, str]) -> None:
            self.app.apply(set_legend(link, slot, bound.action_id, found["legend"]))

        hint = f'Empty: the words of the action again, "{bound.action.words}".'
        title = f"Words to print for {bound.action.name} on {self.session.names.contact(bound.key)}"
        self.app.ask(Ask(title, {"legend": bound.use.legend or ""}, hint=hint), take)

    @refusable
    def action_needs(self) -> None:
        """List what the profile leaves unbound, with a control that suits."""
        session = self.session
        unbound = unbound_actions(session.binds)
        if not unbound:
            raise EditError("every action of this application is bound")

        from profiles.work.remedies import suggested_edit  # late: it loads the planner

        def find(action: str) -> Edit | None:
            return suggested_edit(session.library, session.profile_id, action)

        def preview(action: str) -> Callable[[], str]:
            def compute() -> str:
                edit = find(action)
                return (
                    f"Proposed: {session.name(edit.words)}."
                    if edit
                    else "No free contact suits this action."
                )

            return compute

        def take(picked: Picked) -> None:
            edit = find(picked.id)
            if edit is None:
                raise EditError("No free contact suits this action; free one first.")
            self.app.apply(edit)

        choices = [
            Choice(key, (action.name, key), f"{action.need}: {session.names.action(key)}")
            for key, action in unbound.items()
        ]
        title = "Still to bind. Enter binds the action to the proposed contact."
        self.app.ask(Choose(title, choices, preview=preview), take)

    @refusable
    def action_suggest(self) -> None:
        """Propose a contact for every unbound action, shown before it is taken."""
        from profiles.tui.previewing import offer_suggestions

        offer_suggestions(self.app, self)

    def action_jump(self) -> None:
        """Type a label to go to its control."""
        choices = [
            Choice(
                facts.id,
                (facts.label, facts.id, facts.legend),
                f"{facts.badge} {name_facts(self.session, facts)}",
            )
            for key in self.session.view.order
            if (facts := self.session.view.facts.get(key))
        ]

        dialog = Choose("Jump to which control?", choices)
        self.app.ask(dialog, lambda picked: self.canvas.choose(picked.id))

    def action_go(self, direction: Direction) -> None:
        """Go to the next control, wherever the keyboard is."""
        self.canvas.action_go(direction)
