"""Before and after: what a change would do to the findings of its profile, in words."""

from collections.abc import Callable

from profiles.checks.registry import run_checks
from profiles.files.toml_edit import EditError
from profiles.model import Library
from profiles.tui.bindings import Edit, Slot, bound_at
from profiles.tui.facts import narrowed
from profiles.tui.session import Session, worse_and_better


def judge_edit(session: Session, edit: Edit, now: str) -> Callable[[], str]:
    """What to compute, off the screen's thread, to tell what a change would bring."""
    profile = session.profile_id
    before = session.library
    try:
        after = session.desk.trial(edit.change)
    except EditError as error:
        words = f"This cannot be done: {error}"
        return lambda: words
    return lambda: describe_difference(profile, before, after, f"{now}\nThen: {edit.words}.")


def describe_difference(profile: str, before: Library, after: Library, heading: str) -> str:
    """The findings that come and go, one a line."""
    old = run_checks(narrowed(before, profile)).findings if profile in before.profiles else ()
    new = run_checks(narrowed(after, profile)).findings if profile in after.profiles else ()
    came, gone = worse_and_better(old, new)
    lines = [heading, ""]
    lines += [f"+ {one.severity}: {one.message}" for one in came]
    lines += [f"- {one.severity}: {one.message}" for one in gone]
    if not came and not gone:
        lines.append("No finding comes or goes.")
    return "\n".join(lines)


def describe_now(session: Session, slot: Slot) -> str:
    """What a slot does now, in words."""
    link = session.view.link
    bound = bound_at(link, slot) if link else ()
    does = ", ".join(one.action.name for one in bound)
    return f"Now: {does}" if does else "Now: nothing bound here."
