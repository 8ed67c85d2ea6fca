"""Settings that lead nowhere: codes that do not exist, acceptances that match nothing.

Run after all other checks, since it needs what they found.
"""

from collections.abc import Iterable, Iterator, Mapping

from profiles.checks.base import quote, report
from profiles.model import SETTINGS_NAME, Finding, Page, Settings, Spot
from profiles.text.suggest import closest

CODE_UNKNOWN = Page(
    code="setting-code-unknown",
    severity="warning",
    title="A setting names a code that no check reports",
    what="The settings file changes or accepts a code that does not exist.",
    why="The setting does nothing: the finding it was meant for still stands, or the code was "
    "renamed and nobody noticed.",
    example='[severity]\nnumber-gapp = "off"   # no check reports `number-gapp`',
    remedy="Write the code as `explain` lists it, or remove the line.",
)

ACCEPTANCE_UNMATCHED = Page(
    code="acceptance-unmatched",
    severity="warning",
    title="An acceptance matches no finding",
    what="A finding was accepted with a reason, and is not found any more at that place.",
    why="Either the cause is gone and the line is litter, or the control was renamed and the "
    "acceptance no longer covers it. A stale line would hide the same fault when it comes back.",
    example='[[accept]]\ncode = "number-gap"\nsubject = "helm-desk:controls"\n'
    'reason = "Inputs 5 to 8 are kept for a second panel"',
    remedy="Remove the acceptance, or write the subject as `check` prints it.",
)

PAGES = (CODE_UNKNOWN, ACCEPTANCE_UNMATCHED)


def check_settings(
    settings: Settings, found: Iterable[Finding], pages: Mapping[str, Page]
) -> Iterator[Finding]:
    """Report settings that lead nowhere, given all that was found."""
    for code in settings.severity:
        if code not in pages:
            yield _unknown(code, Spot(SETTINGS_NAME, ("severity", code)), pages)
    if not settings.accept:
        return
    present = {(one.code, one.subject) for one in found}
    for place, one in enumerate(settings.accept):
        if one.code not in pages:
            yield _unknown(one.code, Spot(SETTINGS_NAME, ("accept", place, "code")), pages)
        elif (one.code, one.subject) not in present:
            yield report(
                ACCEPTANCE_UNMATCHED,
                f"acceptance of `{one.code}` matches no finding",
                f"Remove it, or correct the subject {quote(one.subject, 80)}",
                Spot(SETTINGS_NAME, ("accept", place)),
            )


def _unknown(code: str, spot: Spot, pages: Mapping[str, Page]) -> Finding:
    near = closest(code, pages)
    remedy = f"Write `{near}`" if near else "Choose a code that `explain` lists"
    return report(CODE_UNKNOWN, f"no check reports `{code}`", remedy, spot)
