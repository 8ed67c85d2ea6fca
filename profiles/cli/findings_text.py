"""Findings as text: grouped by file, the line shown, the span underlined."""

from collections.abc import Callable, Iterable, Sequence
from itertools import groupby

from profiles.cli.output import COLOURS, paint
from profiles.model.finding import SEVERITIES, Finding, Place
from profiles.text.inert import escape_controls
from profiles.text.prose import count

LineSource = Callable[[Place], str | None]
"""Gives the text of the line that a place stands on, or None where it cannot be read."""

WIDEST_EXCERPT = 160
"""Letters of a line shown at most; a longer line is cut around the span, and says so."""


def render_findings(findings: Sequence[Finding], line_of: LineSource, *, colour: bool) -> str:
    """All findings, file by file, and the count; findings without a file come last."""
    blocks = []
    for file, group in groupby(sorted(findings, key=_order), key=_file_of):
        title = escape_controls(file) if file else "the library as a whole"
        lines = [paint(title, strong=True, on=colour)]
        lines.extend(_render_one(finding, line_of, colour) for finding in group)
        blocks.append("\n".join(lines))
    blocks.append(summarise(findings))
    return "\n\n".join(blocks)


def summarise(findings: Iterable[Finding]) -> str:
    """The count by severity, or that nothing was found."""
    severities = [finding.severity for finding in findings]
    if not severities:
        return "Nothing found."
    words = []
    for severity in SEVERITIES:
        number = severities.count(severity)
        if number:
            words.append(count(number, severity))
    return "Found " + ", ".join(words) + "."


def _file_of(finding: Finding) -> str:
    return finding.place.file if finding.place else ""


def _order(finding: Finding) -> tuple[bool, str, int, int, int, str, str]:
    place = finding.place or Place("")
    rank = SEVERITIES.index(finding.severity)
    return (
        not place.file,
        place.file,
        place.line or 0,
        place.column or 0,
        rank,
        finding.code,
        finding.subject,
    )


def _render_one(finding: Finding, line_of: LineSource, colour: bool) -> str:
    severity = paint(finding.severity, colour=COLOURS[finding.severity], strong=True, on=colour)
    where = _write_position(finding.place)
    head = f"  {where}{severity}: {escape_controls(finding.message)} [{finding.code}]"
    lines = [head, *_excerpt(finding.place, line_of)]
    for related in finding.related:
        at = write_place(related.place) or escape_controls(str(related.spot))
        lines.append(f"      also: {escape_controls(related.message)} ({at})")
    if finding.remedy:
        lines.append(
            f"      {paint('remedy', strong=True, on=colour)}: {escape_controls(finding.remedy)}"
        )
    lines.append(f"      subject: {escape_controls(finding.subject)}")
    return "\n".join(lines)


def _write_position(place: Place | None) -> str:
    if place is None or place.line is None:
        return ""
    column = f":{place.column}" if place.column is not None else ""
    return f"{place.line}{column} "


def write_place(place: Place | None) -> str:
    """`file:line:column`, as far as known; empty for no place."""
    if place is None:
        return ""
    parts = [escape_controls(place.file)]
    parts.extend(str(number) for number in (place.line, place.column) if number is not None)
    return ":".join(parts)


def _excerpt(place: Place | None, line_of: LineSource) -> list[str]:
    if place is None or place.line is None:
        return []
    text = line_of(place)
    if text is None:
        return []
    start = (place.column or 1) - 1
    end = place.end_column - 1 if place.end_column is not None else start + 1
    shown, start, end = _cut_around(text, start, max(end, start + 1))
    before, span = escape_controls(shown[:start]), escape_controls(shown[start:end])
    gutter = f"{place.line:>6} | "
    lines = [gutter + before + span + escape_controls(shown[end:])]
    if place.column is not None:
        lines.append(" " * (len(gutter) - 2) + "| " + " " * len(before) + "^" * max(len(span), 1))
    return lines


def _cut_around(text: str, start: int, end: int) -> tuple[str, int, int]:
    """The part of a long line around its span, with the span's new ends."""
    text = text.replace("\t", " ")
    start, end = min(start, len(text)), min(end, len(text))
    if len(text) <= WIDEST_EXCERPT:
        return text, start, end
    left = max(0, start - WIDEST_EXCERPT // 3)
    shown = text[left : left + WIDEST_EXCERPT]
    head = "…" if left else ""
    tail = "…" if left + WIDEST_EXCERPT < len(text) else ""
    shift = len(head) - left
    return head + shown + tail, start + shift, min(end + shift, len(head) + len(shown))
