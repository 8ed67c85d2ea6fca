"""The words beside the plate: the chosen control in full, and what is still to bind."""

from collections.abc import Iterable

from profiles.facts.profile import STATES, ContactFacts, unbound_actions
from profiles.model import Finding, ResolvedBinding
from profiles.text.prose import join_words
from profiles.tui.session import Session

KINDS = {
    "momentary": "( ) momentary, springs back",
    "latching": "[ ] latching, stays",
    "rotary": "< > rotary, turns",
    "selector": "{ } selector, has positions",
}
"""The shape on the plate and what it stands for."""


def panel_lines(session: Session) -> list[str]:
    """Everything about the chosen control, then what the title still needs."""
    facts = session.view.facts.get(session.control)
    if facts is None:
        return ["No control here.", "", *_need_lines(session)]
    letter, words = STATES[facts.state]
    lines = [f"{facts.label}  ({facts.id})", KINDS[facts.kind], f"{letter} {words}"]
    lines += ["", *_contact_lines(session, facts.contacts)]
    lines += _finding_lines(facts.findings)
    return [*lines, "", *_need_lines(session)]


def _contact_lines(session: Session, contacts: Iterable[ContactFacts]) -> list[str]:
    lines = []
    for place, one in enumerate(contacts):
        mark = ">" if place == session.contact else " "
        number = f"input {one.number}" if one.number is not None else "no input"
        lines.append(f"{mark} {one.contact.contact}, {number}")
        does = [_tell(bound) for bound in one.bound]
        does += [f"held for {bound.acting.short}: {bound.action.name}" for bound in one.held_for]
        lines += [f"    {words}" for words in does or ["nothing bound"]]
    return lines or ["  no contact has an input"]


def _tell(bound: ResolvedBinding) -> str:
    words = f"{bound.action.name} [{bound.action_id}]"
    if bound.use.legend is not None:
        words += f' as "{bound.use.legend}"'
    if bound.held:
        words = f"with {join_words([one.short for one in bound.held])}: {words}"
    if bound.action.contexts:
        words += f" in {', '.join(bound.action.contexts)}"
    return words


def _finding_lines(findings: Iterable[Finding]) -> list[str]:
    lines: list[str] = []
    for one in findings:
        lines += [f"{one.severity}: {one.message}", f"    {one.remedy}"]
    return ["", *lines] if lines else []


def _need_lines(session: Session) -> list[str]:
    link = session.view.link
    if session.view.device is None:
        return ["The library has no device.", "`platebook new device` starts one."]
    if link is None:
        return ["No profile binds this device.", "`platebook new profile` starts one."]
    if link.application is None:
        return [f"Its application `{link.profile.profile.application}` is not in the library."]
    open_ones = unbound_actions(link)
    must = [one for one in open_ones.values() if one.need == "must"]
    want = [one for one in open_ones.values() if one.need == "want"]
    if not must and not want:
        return ["Every action that must or should be", "bound is bound."]
    lines = [f"Still to bind: {len(must)} must, {len(want)} want"]
    lines += [f"  {one.need}: {one.name}" for one in (*must, *want)]
    return [*lines, "s shows where they could go"]
