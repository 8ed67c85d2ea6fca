"""Which findings are listed: by severity, by what is looked at, by letters."""

from collections.abc import Collection, Iterable
from dataclasses import dataclass, replace

from profiles.model import Finding, Severity, is_at_least

ROUND: dict[Severity, Severity] = {"note": "error", "error": "warning", "warning": "note"}
"""The threshold after each one."""


@dataclass(frozen=True, slots=True)
class Filter:
    """What is let through."""

    threshold: Severity = "note"
    only_mine: bool = False
    words: str = ""

    def __str__(self) -> str:
        """The filter in words."""
        told = {"error": "errors", "warning": "errors and warnings", "note": "all severities"}
        parts = [told[self.threshold]]
        if self.only_mine:
            parts.append("this profile and device")
        if self.words:
            parts.append(f'with "{self.words}"')
        return ", ".join(parts)

    def next_severity(self) -> "Filter":
        """The filter with the next threshold."""
        return replace(self, threshold=ROUND[self.threshold])

    def toggled(self) -> "Filter":
        """The filter with or without what others look at."""
        return replace(self, only_mine=not self.only_mine)

    def with_words(self, words: str) -> "Filter":
        """The filter with other letters."""
        return replace(self, words=words.strip())


def narrow(findings: Iterable[Finding], by: Filter, mine: Collection[str]) -> list[Finding]:
    """Findings that pass; worst first, else in their order."""
    found = [one for one in findings if _passes(one, by, mine)]
    order = {"error": 0, "warning": 1, "note": 2}
    return sorted(found, key=lambda one: order[one.severity])


def _passes(finding: Finding, by: Filter, mine: Collection[str]) -> bool:
    if not is_at_least(finding.severity, by.threshold):
        return False
    if by.only_mine and finding.spot.document not in mine:
        return False
    text = f"{finding.code} {finding.subject} {finding.message}".casefold()
    return by.words.casefold() in text
