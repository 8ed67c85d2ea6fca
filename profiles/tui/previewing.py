"""What a proposed change would do, shown before it is taken: lines of files, findings, reasons."""

from collections.abc import Callable, Iterable, Sequence

from profiles.facts.profile import unbound_actions
from profiles.files.toml_edit import EditError
from profiles.model.application import Need
from profiles.plan.suggest import Plan, suggest
from profiles.plan.wires import Diodes, WiringPlan, WiringPlanError, plan_wiring
from profiles.text.inert import escape_controls
from profiles.tui.dialogs import Decide
from profiles.tui.frame import Pane, ScreenApp
from profiles.tui.ways import PLAN, say_here
from profiles.work.controls import put
from profiles.work.edits import Edit, bind_keys
from profiles.work.fixes import list_differences

NEEDS: tuple[Need, ...] = ("must", "want", "may")

PLANNED = "What is wired, and every input number, stays where nothing else is chosen."

MOST_LINES = 400
"""Lines of a difference that are shown; a change of more is told by its count."""


def offer_edit(
    app: ScreenApp,
    edit: Edit,
    reasons: Sequence[str] = (),
    after: Callable[[], None] | None = None,
) -> None:
    """Show what a change does to files and findings, and make it if you say so.

    Raises:
        EditError: where it cannot be made, or changes nothing.
    """
    copy = app.session.copy
    trial = copy.trial(edit.change)
    differences = list_differences(copy, trial)
    shown = [line for one in differences for line in one.lines]
    touched = trial.texts
    words = app.in_names(edit.words, touched)
    if not shown:
        first, *others = edit.effects or ("",)
        also = f"; so with {len(others)} more" if others else ""
        raise EditError(f"Nothing to change: {first}{also}" if first else "Nothing to change.")
    rest = len(shown) - MOST_LINES
    more = [f"… and {rest} more lines"] if rest > 0 else []
    lines = [app.in_names(one, touched) for one in (*edit.effects, *reasons)]
    lines += [""] if lines else []
    judged = app.session.judge(edit._replace(words=words))

    def take(way: str) -> None:
        if way == "y" and app.apply(edit) and after is not None:
            after()

    ways = {"y": f"{words}; undo takes it back", "b": "back, change nothing"}
    app.ask(Decide(f"{words}?", [*lines, *shown[:MOST_LINES], *more], ways, judged), take)


def offer_suggestions(app: ScreenApp, pane: Pane) -> None:
    """Show where all unbound actions could go: those that must or should be bound come first.

    Raises:
        EditError: where nothing can be bound, or nothing is left to bind.
    """
    library, link = app.session.library, app.session.binds
    if not unbound_actions(link):
        raise EditError("every action of this application is bound")

    def find() -> Plan:
        wanted = suggest(library, link.profile.id, ("must", "want"))
        return wanted if wanted.proposals else suggest(library, link.profile.id, NEEDS)

    def take(plan: Plan) -> None:
        keys = [pair for one in plan.proposals for pair in zip(one.keys, one.actions, strict=True)]
        homeless = [f"No free contact suits `{escape_controls(one)}`." for one in plan.homeless]
        reasons = [
            f"{_quote(one.keys)}: {_quote(one.actions)} ({'; '.join(one.reasons)})"
            for one in plan.proposals
        ]
        _offer_found(app, bind_keys(link.profile.id, keys), [*reasons, *homeless])

    app.tell("Looking for places …")
    app.compute(pane, find, take, "draw")


def offer_wiring(app: ScreenApp, pane: Pane) -> None:
    """Ask how the wiring is to be planned, and show what that would change.

    Raises:
        EditError: where there is no device.
    """
    library, device = app.session.library, app.session.view.device
    if device is None:
        raise EditError("there is no device; Ctrl+N starts one")

    def choose(way: str) -> None:
        def find() -> WiringPlan | WiringPlanError:
            diodes: Diodes = "every" if way == "e" else "fewest"
            try:
                return plan_wiring(
                    library, device, diodes, rewired=way == "r", renumbered=way == "n"
                )
            except WiringPlanError as error:
                return error

        app.tell("Planning …")
        app.compute(pane, find, take, "draw")

    def take(plan: WiringPlan | WiringPlanError) -> None:
        if isinstance(plan, WiringPlanError):
            app.tell(say_here(f"{plan}. {plan.remedy}", PLAN))
            return
        words = f"Plan the wiring of `{device.id}`"
        told = [say_here(one, PLAN) for one in (*plan.notes, *plan.lacks)]
        _offer_found(app, put(device.id, words, plan.edits), told)

    ways = {
        "f": "a place for every contact that has none, with the fewest diodes",
        "e": "the same, with a diode at every contact",
        "n": "the same, and number the inputs by the wiring again",
        "r": "plan every crossing again",
    }
    app.ask(Decide(f"Plan the wiring of {device.name}", [PLANNED], ways), choose)


def _quote(ids: Iterable[str]) -> str:
    return ", ".join(f"`{one}`" for one in ids)


def _offer_found(app: ScreenApp, edit: Edit, reasons: Sequence[str]) -> None:
    """Show a change that was worked out, unless something else is asked by now."""
    if len(app.screen_stack) > 1:
        return
    app.tell("")
    try:
        offer_edit(app, edit, reasons)
    except EditError as error:
        app.tell(" ".join([str(error), *reasons]))
