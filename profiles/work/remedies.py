"""Which findings one step puts right, and by which change.

A remedy is offered only where there is one thing to do and nothing to guess: a misspelt name
becomes its one close spelling, a binding written twice or once too often goes, an unbound action
goes where `suggest` would put it, a number follows the wiring, an acceptance that matches nothing
goes.
"""

import re
from collections.abc import Callable, Sequence
from typing import Any

from profiles.facts.survey import facts_of
from profiles.model import SETTINGS_NAME, Contact, Finding, Library, parse_key
from profiles.plan.suggest import suggest
from profiles.work.edits import Edit, Slot, action_of, bind, drop_use, link_of, rewrite_uses, swap
from profiles.work.open_files import OpenFiles

Find = Callable[[Library, Finding], Edit | None]

WRITE = re.compile(r"Write `([^`]+)`")
"""How the remedy of a finding begins that knows the one close spelling."""

SUBJECT = re.compile(r"Correct the subject to `([^`…]+)`")


def find_remedy(
    library: Library, finding: Finding, problems: Sequence[Finding] = ()
) -> Edit | None:
    """The change that puts a finding right, or None where a person has to decide.

    `problems` are those of the files; the remedy of one puts its whole file right.
    """
    if finding in problems:
        return _respell_file(
            [problem for problem in problems if problem.spot.document == finding.spot.document]
        )
    find = REMEDIES.get(finding.code)
    return find(library, finding) if find else None


def _respell_file(problems: Sequence[Finding]) -> Edit | None:
    """Write the one close spelling of every key and word that a file has wrong."""
    document = problems[0].spot.document
    pairs = [
        (problem.spot.path, match[1], problem.code == "unknown-key")
        for problem in problems
        if problem.code in ("unknown-key", "wrong-value") and problem.spot.path
        if (match := WRITE.match(problem.remedy))
    ]
    if not pairs:
        return None

    def change(open_file: OpenFiles) -> None:
        editor = open_file(document)
        for path, word, is_key in sorted(pairs, key=lambda pair: -len(pair[0])):
            if is_key:
                editor.rename(path, word)
            else:
                editor.set(path, word)

    words = (
        f"`{word}` for `{path[-1]}`" if is_key else f"`{word}`" for path, word, is_key in pairs
    )
    return Edit(f"Write {', '.join(words)}", change)


def _respell(library: Library, finding: Finding) -> Edit | None:
    """Write the one close spelling of a word, or of a key of the settings."""
    match, (document, path) = WRITE.match(finding.remedy), finding.spot
    if match is None:
        return None
    word = match[1]

    def change(open_file: OpenFiles) -> None:
        if path[0] == "severity":
            open_file(document).rename(path, word)
        else:
            open_file(document).set(path, word)

    return Edit(f"Write `{word}` in `{'.'.join(map(str, path))}`", change)


def _respell_name(library: Library, finding: Finding) -> Edit | None:
    """Write the one close spelling of a name that a profile has wrong."""
    profile, path = finding.spot
    link = link_of(library, profile)
    known = [one for one in link.loose if one.spot == finding.spot and one.suggestion]
    loose = next((one for one in known if f"`{one.word}`" in finding.message), None)
    if loose is None or loose.suggestion is None:
        return None
    suggestion = loose.suggestion
    words = f"Write `{suggestion}` for `{loose.word}`"
    if path[0] == "profile":
        return Edit(words, lambda files: files(profile).set(path, suggestion))
    key = str(path[1])
    if loose.kind == "action":

        def respell(uses: list[Any]) -> list[Any]:
            return [
                use
                if action_of(use) != loose.word
                else {**use, "action": suggestion}
                if isinstance(use, dict)
                else suggestion
                for use in uses
            ]

        return Edit(words, lambda files: rewrite_uses(files, profile, key, respell))
    parsed, names = parse_key(key), []
    for name in (*parsed.held, parsed.acting):
        if getattr(name, loose.kind) == loose.word:
            name = name._replace(**{loose.kind: suggestion})
        names.append(name)
    renamed = str(parsed._replace(held=tuple(names[:-1]), acting=names[-1]))
    if renamed == str(parsed) or renamed in link.profile.bindings:
        return None
    return Edit(words, lambda files: files(profile).rename_binding(key, renamed))


def _drop_repeated(library: Library, finding: Finding) -> Edit | None:
    """Drop the later of two equal bindings."""
    return drop_use(finding.spot.document, str(finding.spot.path[1]), finding.about)


def _bind_suggestion(library: Library, finding: Finding) -> Edit | None:
    """Bind an unbound action where `suggest` would put it."""
    return suggested_edit(library, finding.spot.document, finding.about)


def suggested_edit(library: Library, profile: str, action: str) -> Edit | None:
    """The change that binds an action (and its partner) as proposed; None without a proposal."""
    plan = suggest(library, profile, ("must", "want", "may"))
    proposal = next((one for one in plan.proposals if action in one.actions), None)
    if proposal is None:
        return None
    pairs = list(zip(proposal.keys, proposal.actions, strict=True))

    def change(open_file: OpenFiles) -> None:
        for key, bound in pairs:
            open_file(profile).set_binding(key, bound)

    return Edit(f"Bind {', '.join(f'`{key}` to `{bound}`' for key, bound in pairs)}", change)


def _turn_other_way(library: Library, finding: Finding) -> Edit | None:
    """Swap the two directions of a rotary, or bind the other one to the action's partner."""
    link = link_of(library, finding.spot.document)
    bound = next((binding for binding in link.bound if binding.spot == finding.spot), None)
    if bound is None or link.application is None:
        return None
    way = "anticlockwise" if bound.acting.contact == "clockwise" else "clockwise"
    here, other = (
        Slot(bound.held, bound.acting._replace(contact=name))
        for name in (bound.acting.contact, way)
    )
    if finding.code == "rotary-reversed":
        return swap(link, here, other)
    partner = bound.action.partner
    if partner not in link.application.actions or partner in {
        binding.action_id for binding in link.bound
    }:
        return None
    return bind(link, other, partner)


def _follow_wiring(library: Library, finding: Finding) -> Edit | None:
    """Declare the input number that the wiring gives."""
    device, path = finding.spot
    control = str(path[1])
    contact = path[3] if len(path) > 3 else library.devices[device].controls[control].main_contact
    number = facts_of(library, device).inputs.get(Contact(control, str(contact)))
    if number is None:
        return None
    words = f"Set `{control}` to input {number}, as its wiring gives it"
    return Edit(words, lambda files: files(device).set(path, number))


def _name_partner(library: Library, finding: Finding) -> Edit | None:
    """Let the partner of an action name it too."""
    application, (_, action, *_) = finding.spot
    partner = library.applications[application].actions[str(action)].partner
    words = f"Let `{partner}` name `{action}` as its partner"
    path = ("actions", str(partner), "partner")
    return Edit(words, lambda files: files(application).set(path, str(action)))


def _correct_acceptance(library: Library, finding: Finding) -> Edit | None:
    """Correct the subject of an acceptance, or remove it; with the last of them the list."""
    place, match = finding.spot.path[1], SUBJECT.match(finding.remedy)
    if match is not None:
        subject, at = match[1], ("accept", place, "subject")
        return Edit(f"Accept `{subject}`", lambda files: files(SETTINGS_NAME).set(at, subject))
    path = ("accept",) if len(library.settings.accept) == 1 else ("accept", place)
    return Edit("Remove an acceptance", lambda files: files(SETTINGS_NAME).remove(path))


REMEDIES: dict[str, Find] = {
    "name-unknown": _respell_name,
    "context-unknown": _respell,
    "interface-unknown": _respell,
    "partner-unknown": _respell,
    "board-unknown": _respell,
    "setting-code-unknown": _respell,
    "number-disagrees": _follow_wiring,
    "partner-one-sided": _name_partner,
    "rotary-reversed": _turn_other_way,
    "rotary-one-way": _turn_other_way,
    "binding-repeated": _drop_repeated,
    "action-bound-often": _drop_repeated,
    "contexts-collide": _drop_repeated,
    "must-unbound": _bind_suggestion,
    "want-unbound": _bind_suggestion,
    "acceptance-unmatched": _correct_acceptance,
}
"""By code, what looks for the remedy. Names come first: what is free or matches depends on them."""


def accept(finding: Finding, reason: str) -> Edit:
    """Write into the settings that the owner lives with a finding, and why."""
    entry = {"code": finding.code, "subject": finding.subject, "reason": reason.strip()}
    words = f"Accept {finding.code}: {finding.message}"
    return Edit(words, lambda files: files(SETTINGS_NAME).append(("accept",), entry))
