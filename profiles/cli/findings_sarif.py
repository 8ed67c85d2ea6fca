"""Findings as SARIF 2.1.0 (OASIS standard, 27 March 2020), for code hosts and editors."""

import os
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any
from urllib.parse import quote

from profiles.report.data import dump_json
from profiles.text.finding import Finding, Page, Place, Severity

SCHEMA = (
    "https://docs.oasis-open.org/sarif/sarif/v2.1.0/errata01/os/schemas/sarif-schema-2.1.0.json"
)

LEVELS: Mapping[Severity, str] = {"error": "error", "warning": "warning", "note": "note"}
"""SARIF 2.1.0, 3.27.10: level of a result."""


def render_sarif(
    findings: Sequence[Finding], pages: Mapping[str, Page], version: str, root: Path
) -> str:
    """One run with its rules, results and places relative to the library's root."""
    codes = sorted({finding.code for finding in findings})
    rules: list[dict[str, Any]] = []
    for code in codes:
        rules.append({"id": code})
        if code in pages:
            page = pages[code]
            rules[-1] |= {
                "shortDescription": {"text": page.title},
                "fullDescription": {"text": f"{page.what} {page.why}"},
                "help": {"text": page.remedy},
                "defaultConfiguration": {"level": LEVELS[page.severity]},
            }
    results: list[dict[str, Any]] = []
    for finding in findings:
        result: dict[str, Any] = {
            "ruleId": finding.code,
            "ruleIndex": codes.index(finding.code),
            "level": LEVELS[finding.severity],
            "message": {"text": f"{finding.message}. {finding.remedy}"},
            "partialFingerprints": {"subject/v1": finding.subject},
        }
        if finding.place is not None:
            result["locations"] = [_locate(finding.place, root)]
        related = [
            {**_locate(other.place, root), "message": {"text": other.message}}
            for other in finding.related
            if other.place is not None
        ]
        if related:
            result["relatedLocations"] = related
        results.append(result)
    driver = {"name": "platebook", "version": version, "rules": rules}
    run = {
        "tool": {"driver": driver},
        "columnKind": "unicodeCodePoints",
        "originalUriBaseIds": {"LIBRARY": {"uri": _find_real(root).as_uri() + "/"}},
        "results": results,
    }
    return dump_json({"$schema": SCHEMA, "version": "2.1.0", "runs": [run]})


def _find_real(path: Path) -> Path:
    """Where a path leads; the path itself where its links lead in a circle."""
    return Path(os.path.realpath(path))


def _locate(place: Place, root: Path) -> dict[str, Any]:
    """A file relative to the library where it lies in it, and the span that is known."""
    path = _find_real(Path(place.file))
    try:
        inside = path.relative_to(_find_real(root))
    except ValueError:
        artifact = {"uri": path.as_uri()}
    else:
        artifact = {"uri": quote(inside.as_posix()), "uriBaseId": "LIBRARY"}
    span = {"startLine": place.line, "startColumn": place.column, "endColumn": place.end_column}
    region = {name: value for name, value in span.items() if value is not None}
    physical: dict[str, Any] = {"artifactLocation": artifact}
    if "startLine" in region:
        physical["region"] = region
    return {"physicalLocation": physical}
