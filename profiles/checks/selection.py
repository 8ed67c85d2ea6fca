"""Some of all findings: as bad as this, of these codes, about these devices and profiles."""

from collections.abc import Collection, Iterable

from profiles.checks.codes import FAMILIES
from profiles.model import Finding, Severity, is_at_least


def select_findings(
    findings: Iterable[Finding],
    severity: Severity = "note",
    codes: Collection[str] = (),
    documents: Collection[str] = (),
) -> tuple[Finding, ...]:
    """Return findings as bad or worse, of one of the codes, about one of the documents.

    A finding is about the document it points at, those it names beside, and the device whose
    control it is about. What is wrong with files always stays.
    """

    def is_about(finding: Finding) -> bool:
        named = {finding.spot.document, *(relation.spot.document for relation in finding.related)}
        return bool(named.intersection(documents)) or finding.about.partition("/")[0] in documents

    return tuple(
        one
        for one in findings
        if one.code in FAMILIES["files"]
        or (
            is_at_least(one.severity, severity)
            and (not codes or one.code in codes)
            and (not documents or is_about(one))
        )
    )
