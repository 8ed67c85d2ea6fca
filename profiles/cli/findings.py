"""Findings as a report: by file, the line shown, the span underlined; for machines by field."""

from collections.abc import Callable, Iterable, Sequence
from itertools import groupby
from typing import Any

from profiles.checks.codes import FAMILIES
from profiles.model.finding import SEVERITIES, Finding, Place
from profiles.report.document import Facts, Paragraph, Report, Span
from profiles.text.inert import escape_controls
from profiles.text.prose import count

LineSource = Callable[[Place], str | None]
"""Gives the text of the line that a place is on, or None where it cannot be read."""

WIDEST_EXCERPT = 160
"""Letters of a line shown at most; a longer line is cut around the span, and says so."""


def report_findings(findings: Sequence[Finding], line_of: LineSource, accepted: int = 0) -> Report:
    """All findings, file by file, and the count; files that cannot be used come first.

    Those without a file come last.
    """
    unusable = {one.place.file for one in findings if one.place and one.code in FAMILIES["files"]}

    def order(finding: Finding) -> tuple[int, str, int, int, int, str, str]:
        place = finding.place or Place("")
        rank = SEVERITIES.index(finding.severity)
        group = 0 if place.file in unusable else 1 if place.file else 2
        where = (group, place.file, place.line or 0, place.column or 0)
        return (*where, rank, finding.code, finding.subject)

    by_file = groupby(
        sorted(findings, key=order), key=lambda one: one.place.file if one.place else ""
    )
    counts = {word: sum(one.severity == word for one in findings) for word in SEVERITIES}
    words = ", ".join(count(many, severity) for severity, many in counts.items() if many)
    return Report(
        "",
        (
            Facts({"findings": list(map(plain_finding, findings))}),
            Facts({"counts": {**counts, "accepted": accepted}}),
            *(
                Paragraph(
                    tuple(span for one in group for span in _describe(one, line_of))[:-1],
                    file or "the library as a whole",
                )
                for file, group in by_file
            ),
            Paragraph(f"Found {words}." if words else "Nothing found."),
        ),
    )


def plain_finding(finding: Finding) -> dict[str, Any]:
    """One finding as plain types."""

    def plain_place(place: Place | None) -> dict[str, Any]:
        names = ("file", "line", "column")
        return {name: getattr(place, name) if place else None for name in names}

    return {
        "code": finding.code,
        "severity": finding.severity,
        "message": finding.message,
        "remedy": finding.remedy,
        **plain_place(finding.place),
        "subject": finding.subject,
        "related": [
            {"message": one.message, "subject": str(one.spot), **plain_place(one.place)}
            for one in finding.related
        ],
    }


def _describe(finding: Finding, line_of: LineSource) -> Iterable[Span]:
    """The lines of a finding; the last span is the line end after it."""
    place = finding.place
    if place is not None and place.line is not None:
        column = f":{place.column}" if place.column is not None else ""
        yield Span(f"{place.line}{column} ")
    yield Span(finding.severity, finding.severity)
    yield Span(f": {escape_controls(finding.message)} [{finding.code}]")
    text = line_of(place) if place is not None and place.line is not None else None
    if place is not None and text is not None:
        yield from (Span(f"\n{line}") for line in _excerpt(place, text))
    for one in finding.related:
        where = write_place(one.place) or str(one.spot)
        yield Span(f"\n    also: {escape_controls(one.message)} ({escape_controls(where)})")
    if finding.remedy:
        yield Span("\n    ")
        yield Span("remedy", "strong")
        yield Span(f": {escape_controls(finding.remedy)}")
    yield Span(f"\n    subject: {escape_controls(finding.subject)}")
    yield Span("\n")


def write_place(place: Place | None) -> str:
    """`file:line:column`, as far as known; empty for no place."""
    if place is None:
        return ""
    known = [part for part in (place.line, place.column) if part is not None]
    return ":".join([escape_controls(place.file), *map(str, known)])


def _excerpt(place: Place, text: str) -> list[str]:
    """A line with its number, and below it marks under the span; a long line is cut around it."""
    text = text.replace("\t", " ")
    start = min((place.column or 1) - 1, len(text))
    end = place.end_column - 1 if place.end_column is not None else start + 1
    end = min(max(end, start + 1), len(text))
    head = tail = ""
    if len(text) > WIDEST_EXCERPT:
        left = max(0, start - WIDEST_EXCERPT // 3)
        right = left + WIDEST_EXCERPT
        head, tail = "…" if left else "", "…" if right < len(text) else ""
        text, start, end = text[left:right], start - left, min(end, right) - left
    before = escape_controls(head + text[:start])
    span = escape_controls(text[start:end])
    gutter = f"{place.line:>4} | "
    lines = [gutter + before + span + escape_controls(text[end:] + tail)]
    if place.column is not None:
        lines.append(" " * (len(gutter) - 2) + "| " + " " * len(before) + "^" * max(len(span), 1))
    return lines
