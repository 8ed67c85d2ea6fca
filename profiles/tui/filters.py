"""Which findings are listed: by severity, by what is looked at, by letters."""

from collections.abc import Callable, Iterable
from dataclasses import dataclass

from profiles.model import SEVERITIES, Finding, Severity, is_at_least

ROUND: dict[Severity, Severity] = {"note": "error", "error": "warning", "warning": "note"}
"""The threshold after each."""


@dataclass(frozen=True, slots=True)
class Filter:
    """What is let through."""

    threshold: Severity = "note"
    only_mine: bool = False
    words: str = ""

    def __str__(self) -> str:
        """The filter in words."""
        names = {"error": "errors", "warning": "errors and warnings", "note": "all severities"}
        mine = ", this profile and device" if self.only_mine else ""
        return f"{names[self.threshold]}{mine}" + (f', with "{self.words}"' if self.words else "")


def filter_findings(
    findings: Iterable[Finding],
    by: Filter,
    mine: Iterable[Finding] = (),
    describe: Callable[[Finding], str] = lambda finding: finding.message,
) -> list[Finding]:
    """Findings that pass, of the library or of mine; worst first, otherwise in their order.

    Letters are looked for in ids and in the words that `describe` has for a finding.
    """
    found = [
        finding
        for finding in (mine if by.only_mine else findings)
        if is_at_least(finding.severity, by.threshold)
        and (
            not by.words
            or by.words.casefold()
            in f"{finding.code} {finding.subject} {finding.message} {describe(finding)}".casefold()
        )
    ]
    return sorted(found, key=lambda finding: SEVERITIES.index(finding.severity))
