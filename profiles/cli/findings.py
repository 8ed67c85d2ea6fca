"""Findings as a report: by file, the line shown, the span underlined; for machines by field."""

import re
from collections import Counter
from collections.abc import Callable, Iterable, Sequence
from functools import partial
from itertools import groupby
from typing import Any

from profiles.checks.codes import FAMILIES
from profiles.report.document import Column, Facts, Paragraph, Report, Span, Table
from profiles.text.finding import SEVERITIES, Finding, Place
from profiles.text.inert import escape_controls
from profiles.text.prose import count

LineSource = Callable[[Place], str | None]
"""Gives the text of the line that a place is on, or None where it cannot be read."""

WIDEST_EXCERPT = 160
"""Letters of a line shown at most; a longer line is cut around the span, and says so."""


MANY = 4
"""Notes of one kind in one file from which on they share one line."""

FOLDED = {
    "contact-unused": (
        "control",
        "{} of `{}` do nothing in this profile",
        "Bind them, or accept that they are unused here",
    ),
    "contact-idle": (
        "control",
        "{} of `{}` do nothing in any profile",
        "Bind them in a profile, or accept them as spare",
    ),
    "want-unbound": (
        "action",
        '{} with `need = "want"` are not bound in `{}`',
        "Bind them, `platebook suggest` proposes where, or lower their need",
    ),
}
"""What is said of many findings of a code at once: what is counted, the words, the remedy."""


def report_findings(
    findings: Sequence[Finding], line_of: LineSource, accepted: int = 0, *, folded: bool = False
) -> Report:
    """All findings, errors first, each severity file by file; the counts stand at the end.

    Files that cannot be used come before all, findings without a file last. Where many are told,
    notes of one kind may be `folded` into one.
    """
    unusable = {one.place.file for one in findings if one.place and one.code in FAMILIES["files"]}

    def order(finding: Finding) -> tuple[bool, int, bool, str, int, int, str, str]:
        place = finding.place or Place("")
        rank = SEVERITIES.index(finding.severity)
        where = (place.file not in unusable, rank, not place.file, place.file)
        return (*where, place.line or 0, place.column or 0, finding.code, finding.subject)

    by_file = groupby(sorted(findings, key=order), key=lambda finding: order(finding)[:4])
    return Report(
        "",
        (
            Facts({"findings": list(map(plain_finding, findings))}),
            Facts({"counts": {**_count_severities(findings), "accepted": accepted}}),
            *(
                Paragraph(
                    tuple(span for one in _fold(list(group), folded) for span in one(line_of))[:-1],
                    file or "the library as a whole",
                )
                for (*_, file), group in by_file
            ),
            Paragraph(describe_counts(findings)),
        ),
    )


def _count_severities(findings: Iterable[Finding]) -> dict[str, int]:
    counted = Counter(finding.severity for finding in findings)
    return {word: counted[word] for word in SEVERITIES}


def describe_counts(findings: Sequence[Finding]) -> str:
    """How many findings there are, and where they are of several kinds, how many of each."""
    counts = _count_severities(findings)
    words = ", ".join(count(many, severity) for severity, many in counts.items() if many)
    if not words:
        return "Nothing found."
    codes = Counter(finding.code for finding in findings)
    if len(findings) < MANY or len(codes) < 2:
        return f"Found {words}."
    each = ", ".join(f"{many} {code}" for code, many in codes.most_common())
    return f"Found {words}: {each}."


def report_summary(findings: Sequence[Finding]) -> Report:
    """How many findings there are of each kind, the worst first."""
    kinds = Counter((SEVERITIES.index(finding.severity), finding.code) for finding in findings)
    rows = [
        (many, SEVERITIES[rank], code)
        for (rank, code), many in sorted(kinds.items(), key=lambda pair: (pair[0][0], -pair[1]))
    ]
    columns = (
        Column("findings", "findings", "right"),
        Column("severity", "severity"),
        Column("code", "code"),
    )
    counts = _count_severities(findings)
    words = ", ".join(count(many, severity) for severity, many in counts.items() if many)
    told = f"Found {words}." if words else "Nothing found."
    return Report("", (Table(columns, tuple(rows), key="kinds"), Paragraph(told)))


def _fold(
    findings: Sequence[Finding], folded: bool
) -> Iterable[Callable[[LineSource], Iterable[Span]]]:
    """What writes each finding of a file, or the many of one kind at once."""
    codes = Counter(one.code for one in findings)
    told: set[str] = set()
    for finding in findings:
        if not folded or finding.code not in FOLDED or codes[finding.code] < MANY:
            yield partial(_describe, finding)
        elif finding.code not in told:
            told.add(finding.code)
            yield partial(_describe_many, [one for one in findings if one.code == finding.code])


def _describe_many(findings: Sequence[Finding], _line_of: LineSource) -> Iterable[Span]:
    """One entry for many findings of a code."""
    first = findings[0]
    noun, words, remedy = FOLDED[first.code]
    owners = [finding.about.rpartition("/")[0] or finding.spot.document for finding in findings]
    names = [finding.about.rpartition("/")[2] or str(finding.spot.path[-1]) for finding in findings]
    names.sort(key=lambda name: [int(part) if part.isdecimal() else part for part in _parts(name)])
    owner = escape_controls(", ".join(dict.fromkeys(owners)))
    yield Span(first.severity, first.severity)
    yield Span(f": {words.format(count(len(findings), noun), owner)} [{first.code}]")
    yield Span(f"\n    {escape_controls(', '.join(names))}")
    yield Span("\n    ")
    yield Span("remedy", "strong")
    yield Span(f": {remedy}; `platebook check --each` lists them")
    yield Span("\n")


def _parts(name: str) -> list[str]:
    """A name's letters and numbers in turn, letters first, so that `c10` sorts behind `c9`."""
    return re.split(r"(\d+)", name)


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
            {
                "message": relation.message,
                "subject": str(relation.spot),
                **plain_place(relation.place),
            }
            for relation in finding.related
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
    for relation in finding.related:
        where = str(relation.place or relation.spot)
        yield Span(f"\n    also: {escape_controls(relation.message)} ({escape_controls(where)})")
    if finding.remedy:
        yield Span("\n    ")
        yield Span("remedy", "strong")
        yield Span(f": {escape_controls(finding.remedy)}")
    yield Span(f"\n    subject: {escape_controls(finding.subject)}")
    yield Span("\n")


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
