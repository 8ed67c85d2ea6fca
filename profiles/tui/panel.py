"""The words beside the plate: the chosen control in full, and what is still to bind."""

from profiles.facts.profile import STATES, ControlFacts, unbound_actions
from profiles.host.axes import name_input
from profiles.model import ResolvedBinding
from profiles.text.prose import join_words
from profiles.tui.session import Session

KINDS = {
    "momentary": "( ) momentary, springs back",
    "latching": "[ ] latching, stays",
    "rotary": "< > rotary, turns",
    "selector": "{ } selector, has positions",
    "hat": "^ v hat, tilts",
    "axis": "| | axis, is measured",
}
"""The shape on the plate and what it means."""


def panel_lines(session: Session) -> list[str]:
    """Everything about the chosen control, then what the application still needs."""
    facts = session.view.facts.get(session.control)
    if facts is None:
        return ["No control here.", "", *_need_lines(session)]
    letter, words = STATES[facts.state]
    lines = [name_facts(session, facts), KINDS[facts.kind], f"{letter} {words}", ""]
    for place, contact in enumerate(facts.contacts):
        mark = ">" if place == session.contact else " "
        does = [_describe(session, bound) for bound in contact.bound]
        does += [
            f"held for {session.names.contact(bound.acting)}: {bound.action.name}"
            for bound in contact.held_for
        ]
        lines.append(f"{mark} {contact.contact.contact}, {_name_input(session, contact.number)}")
        lines += [f"    {words}" for words in does or ["nothing bound"]]
    if not facts.contacts:
        lines.append("  no contact has an input")
    for at, finding in enumerate(facts.findings):
        words = f"{finding.severity}: {session.describe(finding)}"
        lines += [*([] if at else [""]), words]
        lines.append(f"    {session.advise(finding)}")
    return [*lines, "", *_need_lines(session)]


def name_facts(session: Session, facts: ControlFacts) -> str:
    """A control by its label; with its id where another is called the same."""
    is_known = f"{session.device_id}/{facts.id}" in session.names.contacts
    return facts.label if is_known else f"{facts.label}  ({facts.id})"


def _name_input(session: Session, number: int | None) -> str:
    """An input by its number, and what the application calls it."""
    if number is None:
        return "no input"
    shown = session.view.shown.get(number)
    if shown is None:
        return name_input(number)
    return f"{name_input(number)}: {shown.text or f'never seen, {shown.reason}'}"


def _describe(session: Session, bound: ResolvedBinding) -> str:
    words = session.names.action(bound.action_id)
    if bound.use.legend is not None:
        words += f' as "{bound.use.legend}"'
    if bound.held:
        words = f"with {join_words([session.names.contact(held) for held in bound.held])}: {words}"
    return f"{words} in {', '.join(bound.action.contexts)}" if bound.action.contexts else words


def _need_lines(session: Session) -> list[str]:
    link = session.view.link
    if link is None:
        return [session.next_step]
    if link.application is None:
        return [f"Its application `{link.profile.profile.application}` is not in the library."]
    unbound = [action for action in unbound_actions(link).values() if action.need != "may"]
    if not unbound:
        return ["Every action that must or should be bound is bound."]
    must = sum(action.need == "must" for action in unbound)
    lines = [f"Still to bind: {must} must, {len(unbound) - must} want"]
    lines += [f"  {action.need}: {action.name}" for action in unbound]
    return [*lines, "s shows where they could go"]
