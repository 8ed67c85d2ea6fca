"""Findings as JSON, for machines: a stable format with its number in front."""

import json
from collections.abc import Sequence
from typing import Any

from profiles.model.finding import SEVERITIES, Finding, Place, Related

FORMAT = 1


def render_json(findings: Sequence[Finding], accepted: int = 0) -> str:
    """`{"format", "findings", "counts"}`; counts by severity, and how many were accepted."""
    counts: dict[str, int] = {
        severity: sum(finding.severity == severity for finding in findings)
        for severity in SEVERITIES
    }
    counts["accepted"] = accepted
    document = {
        "format": FORMAT,
        "findings": [plain_finding(finding) for finding in findings],
        "counts": counts,
    }
    return json.dumps(document, ensure_ascii=True, indent=2)


def plain_finding(finding: Finding) -> dict[str, Any]:
    """One finding as plain types."""
    return {
        "code": finding.code,
        "severity": finding.severity,
        "message": finding.message,
        "remedy": finding.remedy,
        **_plain_place(finding.place),
        "subject": finding.subject,
        "related": [_plain_related(related) for related in finding.related],
    }


def _plain_related(related: Related) -> dict[str, Any]:
    return {
        "message": related.message,
        "subject": str(related.spot),
        **_plain_place(related.place),
    }


def _plain_place(place: Place | None) -> dict[str, Any]:
    return {
        "file": place.file if place else None,
        "line": place.line if place else None,
        "column": place.column if place else None,
    }
