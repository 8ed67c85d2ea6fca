"""Before and after: what a change would do to the findings of its profile, in words."""

from collections.abc import Callable, Iterable
from typing import TYPE_CHECKING

from profiles.files.toml_edit import EditError
from profiles.model import SETTINGS_NAME, Finding, Library
from profiles.work.copy import WorkingCopy
from profiles.work.edits import Edit

if TYPE_CHECKING:
    from profiles.checks.registry import Result


def narrowed(library: Library, profile: str, device: str = "") -> Library:
    """The library with one profile and what it names; with a device alone where there is none."""
    named = {profile, device, *library.boards}
    value = library.profiles.get(profile)
    if value is not None:
        named |= {value.profile.application, *value.device_ids}
    kept = [one for key, one in library.documents.items() if key in named]
    return Library.of(kept, library.settings, library.unusable)


def check_alone(
    library: Library,
    profile: str,
    device: str = "",
    watch: Callable[[int, int], None] | None = None,
) -> "Result":
    """What the checks find of one profile and its devices, whatever other profiles there are.

    What is wrong with the settings belongs to the library as a whole.
    """
    from profiles.checks.registry import run_checks  # late: a plate is shown without checks

    result = run_checks(narrowed(library, profile, device), watch)
    own = tuple(finding for finding in result.findings if finding.spot.document != SETTINGS_NAME)
    return result._replace(findings=own)


def judge_edit(copy: WorkingCopy, profile: str, edit: Edit, heading: str = "") -> Callable[[], str]:
    """What to compute, off the screen's thread, to tell what a change would bring."""
    before = copy.library
    try:
        after = copy.trial(edit.change).library
    except EditError as error:
        words = f"This cannot be done: {error}"
        return lambda: words
    return lambda: describe_change(profile, before, after, f"{heading}\nThen: {edit.words}.")


def describe_change(profile: str, before: Library, after: Library, heading: str) -> str:
    """The findings that come and go, one a line."""
    old, new = (check_alone(library, profile).findings for library in (before, after))
    lines = [f"+ {one.severity}: {one.message}" for one in came(old, new)]
    lines += [f"- {one.severity}: {one.message}" for one in came(new, old)]
    return "\n".join([heading, "", *(lines or ["No finding appears or disappears."])])


def came(before: Iterable[Finding], after: Iterable[Finding]) -> list[Finding]:
    """Findings that a change brings."""
    known = {(one.code, one.subject, one.message) for one in before}
    return [one for one in after if (one.code, one.subject, one.message) not in known]
