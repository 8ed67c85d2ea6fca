"""Which findings are listed: by severity, by what is looked at, by letters."""

from collections.abc import Iterable
from dataclasses import dataclass, replace

from profiles.model import SEVERITIES, Finding, Severity, is_at_least

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


def narrow(findings: Iterable[Finding], by: Filter, mine: Iterable[Finding] = ()) -> list[Finding]:
    """Findings that pass, of the library or of mine; worst first, otherwise in their order."""
    found = [
        one
        for one in (mine if by.only_mine else findings)
        if is_at_least(one.severity, by.threshold)
        and by.words.casefold() in f"{one.code} {one.subject} {one.message}".casefold()
    ]
    return sorted(found, key=lambda one: SEVERITIES.index(one.severity))
