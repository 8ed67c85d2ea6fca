"""Findings as SARIF 2.1.0 (OASIS standard, 27 March 2020), for code hosts and editors."""

import json
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any
from urllib.parse import quote

from profiles.model.finding import Finding, Page, Place, Severity

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
    driver = {
        "name": "platebook",
        "version": version,
        "rules": [_rule(code, pages.get(code)) for code in codes],
    }
    run = {
        "tool": {"driver": driver},
        "columnKind": "unicodeCodePoints",
        "originalUriBaseIds": {"LIBRARY": {"uri": root.resolve().as_uri() + "/"}},
        "results": [_result(finding, codes, root) for finding in findings],
    }
    document = {
        "$schema": SCHEMA,
        "version": "2.1.0",
        "runs": [run],
    }
    return json.dumps(document, ensure_ascii=True, indent=2)


def _rule(code: str, page: Page | None) -> dict[str, Any]:
    if page is None:
        return {"id": code}
    return {
        "id": code,
        "shortDescription": {"text": page.title},
        "fullDescription": {"text": f"{page.what} {page.why}"},
        "help": {"text": page.remedy},
        "defaultConfiguration": {"level": LEVELS[page.severity]},
    }


def _result(finding: Finding, codes: Sequence[str], root: Path) -> dict[str, Any]:
    result: dict[str, Any] = {
        "ruleId": finding.code,
        "ruleIndex": codes.index(finding.code),
        "level": LEVELS[finding.severity],
        "message": {"text": f"{finding.message}. {finding.remedy}"},
        "partialFingerprints": {"subject/v1": finding.subject},
    }
    if finding.place is not None:
        result["locations"] = [_location(finding.place, root)]
    related = [
        {**_location(other.place, root), "message": {"text": other.message}}
        for other in finding.related
        if other.place is not None
    ]
    if related:
        result["relatedLocations"] = related
    return result


def _location(place: Place, root: Path) -> dict[str, Any]:
    physical: dict[str, Any] = {"artifactLocation": _artifact(place.file, root)}
    region = {
        name: value
        for name, value in (
            ("startLine", place.line),
            ("startColumn", place.column),
            ("endColumn", place.end_column),
        )
        if value is not None
    }
    if "startLine" in region:
        physical["region"] = region
    return {"physicalLocation": physical}


def _artifact(file: str, root: Path) -> dict[str, str]:
    path = Path(file)
    try:
        inside = path.resolve().relative_to(root.resolve())
    except ValueError:
        return {"uri": path.resolve().as_uri()}
    return {"uri": quote(inside.as_posix()), "uriBaseId": "LIBRARY"}
