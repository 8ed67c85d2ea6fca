"""Every check, and the run over a library.

A family of checks is one module with a tuple `CHECKS`. `run_checks` runs them all, changes the
severities as the settings tell, sets accepted findings apart, and reports settings that lead
nowhere. The result has every finding once, in an order that does not depend on that of files.
"""

import re
from collections.abc import Callable, Iterable, Iterator
from typing import NamedTuple

from profiles.checks import (
    banks,
    behaviour,
    bindings,
    chords,
    electrical,
    groups,
    host,
    labels,
    layout,
    legibility,
    links,
    numbers,
    pins,
    power,
    rotary,
    timing,
    wires,
)
from profiles.checks.base import Check, quote, report
from profiles.checks.codes import CODES
from profiles.facts.survey import survey_of
from profiles.model import (
    SETTINGS_NAME,
    SEVERITIES,
    Finding,
    Library,
    Related,
    Severity,
    Spot,
    is_at_least,
)
from profiles.text.finding import Accepted
from profiles.text.suggest import closest

CHECKS: tuple[Check, ...] = (
    *links.CHECKS,
    *numbers.CHECKS,
    *layout.CHECKS,
    *labels.CHECKS,
    *legibility.CHECKS,
    *bindings.CHECKS,
    *chords.CHECKS,
    *behaviour.CHECKS,
    *rotary.CHECKS,
    *timing.CHECKS,
    *host.CHECKS,
    *groups.CHECKS,
    *electrical.CHECKS,
    *pins.CHECKS,
    *wires.CHECKS,
    *banks.CHECKS,
    *power.CHECKS,
)
"""Every check; those of the settings run after them, since they need what these found."""


class Result(NamedTuple):
    """What a run found: findings that stand, and those accepted."""

    findings: tuple[Finding, ...]
    accepted: tuple[Accepted, ...]

    def tally(self, severity: Severity) -> int:
        """How many findings of this severity stand."""
        return sum(finding.severity == severity for finding in self.findings)

    def at_least(self, threshold: Severity) -> tuple[Finding, ...]:
        """Findings that are as bad as the threshold, or worse."""
        return tuple(each for each in self.findings if is_at_least(each.severity, threshold))


def run_checks(
    library: Library,
    watch: Callable[[int, int], None] | None = None,
) -> Result:
    """Run every check and apply the library's settings.

    `watch` is called before each check with how many are done, and of how many; what it raises
    ends the run.
    """
    survey = survey_of(library)
    found: dict[Finding, None] = {}
    for done, check in enumerate(CHECKS):
        if watch is not None:
            watch(done, len(CHECKS))
        found.update(dict.fromkeys(check(survey)))
    found.update(dict.fromkeys(check_settings(library, list(found))))

    reasons: dict[tuple[str, str], str] = {}
    for entry in library.settings.accept:
        reasons.setdefault((entry.code, entry.subject), entry.reason)
    changed = library.settings.severity
    standing: list[Finding] = []
    accepted: list[Accepted] = []
    for finding in found:
        reason = reasons.get((finding.code, finding.subject))
        severity = changed.get(finding.code, finding.severity)
        if reason is not None:
            accepted.append(Accepted(finding, reason))
        elif severity != "off":
            standing.append(finding._replace(severity=severity))
    return Result(
        tuple(sorted(standing, key=_rank)),
        tuple(sorted(accepted, key=lambda each: _rank(each.finding))),
    )


def check_settings(library: Library, found: Iterable[Finding]) -> Iterator[Finding]:
    """Report codes that do not exist, acceptances that match nothing, and those written twice.

    While a file cannot be used, nobody knows whether an acceptance still matches.
    """
    settings = library.settings
    named: list[tuple[str, tuple[str | int, ...]]]
    named = [(code, ("severity", code)) for code in settings.severity]
    named += [(each.code, ("accept", n, "code")) for n, each in enumerate(settings.accept)]
    for code, path in named:
        if code not in CODES:
            near = closest(code, CODES)
            yield report(
                "setting-code-unknown",
                f"no check reports `{code}`",
                f"Write `{near}`" if near else "Choose a code that `explain` lists",
                Spot(SETTINGS_NAME, path),
            )
    subjects: dict[str, set[str]] = {}
    for finding in found if settings.accept else ():
        subjects.setdefault(finding.code, set()).add(finding.subject)
    accepted: dict[str, set[str]] = {}
    for entry in settings.accept:
        accepted.setdefault(entry.code, set()).add(entry.subject)
    open_subjects = {code: sorted(subjects.get(code, set()) - accepted[code]) for code in accepted}
    first: dict[tuple[str, str], Spot] = {}
    for n, entry in enumerate(settings.accept):
        spot = Spot(SETTINGS_NAME, ("accept", n))
        owner = first.setdefault((entry.code, entry.subject), spot)
        if owner != spot:
            yield report(
                "acceptance-unmatched",
                f"acceptance of `{entry.code}` is a duplicate",
                "Remove one of the two",
                spot,
                [Related("accepts the same finding", owner)],
            )
        elif entry.code in CODES and not library.unusable:
            if entry.subject in subjects.get(entry.code, ()):
                continue
            near = _find_near(entry.subject, open_subjects[entry.code])
            yield report(
                "acceptance-unmatched",
                f"acceptance of `{entry.code}` matches no finding",
                f"Correct the subject to {quote(near, 80)}, or remove the acceptance"
                if near
                else f"Remove it, or correct the subject {quote(entry.subject, 80)}",
                spot,
            )


def _find_near(subject: str, others: Iterable[str]) -> str | None:
    """The subject most likely meant, if each part of it is close: document, keys, what about."""
    near = closest(subject, others)
    if near is None:
        return None
    ours, theirs = (re.split("[:. ]", text) for text in (subject, near))
    pairs = [(our, their) for our, their in zip(ours, theirs, strict=False) if our != their]
    return near if all(closest(our, [their]) for our, their in pairs) else None


def _rank(finding: Finding) -> tuple[str, int, tuple[str, ...], str, str]:
    """By document, worst first, then by path; code and message decide between equals."""
    path = tuple(f"{part:06d}" if isinstance(part, int) else part for part in finding.spot.path)
    severity = SEVERITIES.index(finding.severity)
    return finding.spot.document, severity, path, finding.code, finding.message
