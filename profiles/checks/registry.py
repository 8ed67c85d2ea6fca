"""Every check, every page, and the run over a library.

A family of checks is one module with a tuple `CHECKS`. `run_checks` runs them all, changes the
severities as the settings tell, sets accepted findings apart, and reports settings that lead
nowhere. The result has every finding once, in an order that does not depend on that of files.
"""

from collections.abc import Callable, Iterable
from functools import cache
from typing import NamedTuple

from profiles.checks import (
    acceptance,
    behaviour,
    bindings,
    chords,
    electrical,
    host,
    labels,
    layout,
    legibility,
    links,
    numbers,
    pins,
    places,
    power,
    rotary,
    timing,
    titles,
    wires,
)
from profiles.checks.base import Check
from profiles.facts.survey import Survey
from profiles.model import SEVERITIES, Acceptance, Finding, Library, Page, Severity, is_at_least
from profiles.text.suggest import closest

CHECKS: tuple[Check, ...] = (
    *links.CHECKS,
    *numbers.CHECKS,
    *places.CHECKS,
    *layout.CHECKS,
    *labels.CHECKS,
    *legibility.CHECKS,
    *bindings.CHECKS,
    *chords.CHECKS,
    *behaviour.CHECKS,
    *rotary.CHECKS,
    *timing.CHECKS,
    *host.CHECKS,
    *titles.CHECKS,
    *electrical.CHECKS,
    *pins.CHECKS,
    *wires.CHECKS,
    *power.CHECKS,
)
"""Every check, in the order in which `explain` lists their pages."""


class Accepted(NamedTuple):
    """A finding the owner lives with, and why."""

    finding: Finding
    reason: str


class Result(NamedTuple):
    """What a run found: findings that stand, and those accepted."""

    findings: tuple[Finding, ...]
    accepted: tuple[Accepted, ...]

    def tally(self, severity: Severity) -> int:
        """How many findings of this severity stand."""
        return sum(one.severity == severity for one in self.findings)

    def at_least(self, threshold: Severity) -> tuple[Finding, ...]:
        """Findings that are as bad as the threshold, or worse."""
        return tuple(one for one in self.findings if is_at_least(one.severity, threshold))


@cache
def pages() -> dict[str, Page]:
    """Every page by its code, in the order of the families."""
    known = [page for check in CHECKS for page in check.pages]
    return {page.code: page for page in (*known, *acceptance.PAGES)}


def find_page(code: str) -> Page | None:
    """The page of a code, or None where there is none."""
    return pages().get(code)


def suggest_code(word: str) -> str | None:
    """The code a misspelt word most likely stands for."""
    return closest(word, pages())


def run_checks(
    library: Library,
    watch: Callable[[int, int], None] | None = None,
) -> Result:
    """Run every check and apply the library's settings.

    `watch` is told before each check how many are done, and of how many; what it raises ends the
    run.
    """
    survey = Survey(library)
    found: dict[Finding, None] = {}
    for place, check in enumerate(CHECKS):
        if watch is not None:
            watch(place, len(CHECKS))
        found.update(dict.fromkeys(check.run(survey)))
    raw = list(found)
    raw.extend(acceptance.check_settings(library.settings, raw, pages()))
    standing, accepted = _set_apart(raw, library.settings.accept)
    return Result(_settle(standing, library), accepted)


def _set_apart(
    found: Iterable[Finding], acceptances: Iterable[Acceptance]
) -> tuple[list[Finding], tuple[Accepted, ...]]:
    """Split what stands from what the owner accepts."""
    reasons = {(one.code, one.subject): one.reason for one in acceptances}
    if not reasons:
        return list(found), ()
    standing: list[Finding] = []
    accepted: list[Accepted] = []
    for one in found:
        reason = reasons.get((one.code, one.subject))
        if reason is None:
            standing.append(one)
        else:
            accepted.append(Accepted(one, reason))
    return standing, tuple(sorted(accepted, key=lambda one: _rank(one.finding)))


def _settle(found: Iterable[Finding], library: Library) -> tuple[Finding, ...]:
    """Apply changed severities and put the findings in order."""
    changed = library.settings.severity
    settled = []
    for one in found:
        severity = changed.get(one.code, one.severity)
        if severity != "off":
            settled.append(one if severity == one.severity else one._replace(severity=severity))
    return tuple(sorted(settled, key=_rank))


def _rank(finding: Finding) -> tuple[str, int, tuple[str, ...], str, str]:
    """By document, worst first, then by path; code and message decide between equals."""
    path = tuple(f"{part:06d}" if isinstance(part, int) else part for part in finding.spot.path)
    severity = SEVERITIES.index(finding.severity)
    return finding.spot.document, severity, path, finding.code, finding.message
