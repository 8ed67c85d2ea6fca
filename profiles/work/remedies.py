"""Which findings one keystroke puts right, and by which change.

A remedy is offered only where there is one thing to do and nothing to guess: a binding written
twice or once too often goes, a misspelt name becomes its one close spelling, an unbound action
goes where `suggest` would put it, a stale acceptance goes. Every finding can be accepted with a
reason.
"""

from collections.abc import Callable

from profiles.model import SETTINGS_NAME, Finding, Library, Link, UnresolvedName, parse_key
from profiles.plan.suggest import suggest
from profiles.work.copy import OpenFile
from profiles.work.edits import Edit, drop_use, link_of

Find = Callable[[Library, Finding], Edit | None]


def find_remedy(library: Library, finding: Finding) -> Edit | None:
    """The change that puts a finding right, or None where a person has to decide."""
    find = REMEDIES.get(finding.code)
    return find(library, finding) if find else None


def _drop_repeated(library: Library, finding: Finding) -> Edit | None:
    """Drop the later of two equal bindings."""
    path = finding.spot.path
    if len(path) < 2 or path[0] != "bindings" or finding.spot.document not in library.profiles:
        return None
    return drop_use(finding.spot.document, str(path[1]), finding.about)


def _write_suggestion(library: Library, finding: Finding) -> Edit | None:
    """Write the one close spelling of a name that leads nowhere."""
    if finding.spot.document not in library.profiles:
        return None
    link = link_of(library, finding.spot.document)
    same = [one for one in link.loose if one.spot == finding.spot and one.suggestion]
    word = next((one for one in same if f"`{one.word}`" in finding.message), None)
    if word is None or word.suggestion is None:
        return None
    return _respell(link, word, word.suggestion)


def _respell(link: Link, loose: UnresolvedName, suggestion: str) -> Edit | None:
    profile, path = link.profile.id, loose.spot.path
    words = f"Write {suggestion} for {loose.word}"
    if path[0] == "profile":
        return Edit(words, lambda files: files(profile).set(path, suggestion))
    key = str(path[1])
    if loose.kind == "action":
        return Edit(words, lambda files: _respell_action(files, profile, key, loose, suggestion))
    renamed = _respell_key(key, loose, suggestion)
    if renamed is None or renamed in link.profile.bindings:
        return None
    return Edit(words, lambda files: files(profile).rename_binding(key, renamed))


def _respell_action(
    files: OpenFile, profile: str, key: str, loose: UnresolvedName, new: str
) -> None:
    editor = files(profile)
    written = editor.content["bindings"][key]
    uses = written if isinstance(written, list) else [written]
    changed = [
        {**use, "action": new}
        if isinstance(use, dict) and use["action"] == loose.word
        else new
        if use == loose.word
        else use
        for use in uses
    ]
    editor.set_binding(key, changed[0] if len(changed) == 1 else changed)


def _respell_key(key: str, loose: UnresolvedName, suggestion: str) -> str | None:
    parsed = parse_key(key)
    names = []
    for name in (*parsed.held, parsed.acting):
        device, control, contact = name.device, name.control, name.contact
        if loose.kind == "device" and device == loose.word:
            device = suggestion
        elif loose.kind == "control" and control == loose.word:
            control = suggestion
        elif loose.kind == "contact" and contact == loose.word:
            contact = suggestion
        names.append(
            (f"{device}/" if device else "") + control + (f".{contact}" if contact else "")
        )
    renamed = " + ".join(names)
    return renamed if renamed != str(parsed) else None


def _bind_suggestion(library: Library, finding: Finding) -> Edit | None:
    """Bind an unbound action where `suggest` would put it."""
    profile = finding.spot.document
    if profile not in library.profiles:
        return None
    return suggested_edit(library, profile, finding.about)


def suggested_edit(library: Library, profile: str, action: str) -> Edit | None:
    """The change that binds an action (and its partner) as proposed; None without a proposal."""
    plan = suggest(library, profile, ("must", "want", "may"))
    for proposal in plan.proposals:
        if action in proposal.actions:
            pairs = list(zip(proposal.keys, proposal.actions, strict=True))
            return _bind_all(profile, pairs)
    return None


def _bind_all(profile: str, pairs: list[tuple[str, str]]) -> Edit:
    def change(open_file: OpenFile) -> None:
        for key, action in pairs:
            open_file(profile).set_binding(key, action)

    told = ", ".join(f"{key} to {action}" for key, action in pairs)
    return Edit(f"Bind {told}", change)


def _drop_acceptance(library: Library, finding: Finding) -> Edit | None:
    """Remove an acceptance that matches nothing any more; with the last of them the list."""
    lone = len(library.settings.accept) == 1
    match finding.spot.path:
        case ("accept", int(place), *_):
            path = ("accept",) if lone else ("accept", place)
            return Edit("Remove an acceptance", lambda files: files(SETTINGS_NAME).remove(path))
    return None


REMEDIES: dict[str, Find] = {
    "binding-repeated": _drop_repeated,
    "action-bound-often": _drop_repeated,
    "contexts-collide": _drop_repeated,
    "name-unknown": _write_suggestion,
    "must-unbound": _bind_suggestion,
    "want-unbound": _bind_suggestion,
    "acceptance-unmatched": _drop_acceptance,
}
"""By code, what looks for the remedy."""


def accept(finding: Finding, reason: str) -> Edit:
    """Write into the settings that the owner lives with a finding, and why."""
    entry = {"code": finding.code, "subject": finding.subject, "reason": reason.strip()}
    words = f"Accept {finding.code} at {finding.subject}"
    return Edit(words, lambda files: files(SETTINGS_NAME).append(("accept",), entry))
