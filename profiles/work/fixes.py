"""Remedies tried out, and offered one after another.

Every one is held to a law before it is offered: its finding goes, and nothing as bad comes.
"""

import difflib
import os
from collections import Counter
from collections.abc import Callable, Iterable, Iterator
from typing import NamedTuple

from profiles.checks.registry import run_checks
from profiles.files.toml_edit import EditError
from profiles.model import Finding, is_at_least
from profiles.work.contents import decode, read_file
from profiles.work.copy import WorkingCopy
from profiles.work.edits import Edit
from profiles.work.remedies import REMEDIES, find_remedy
from profiles.work.versions import Trial


class Difference(NamedTuple):
    """What a fix changes in one file: its path in the library, and a unified difference."""

    file: str
    lines: tuple[str, ...]


class Fix(NamedTuple):
    """A change that puts a finding right, and all findings after it."""

    finding: Finding
    edit: Edit
    differences: tuple[Difference, ...]
    after: tuple[Finding, ...]


def offer_fixes(copy: WorkingCopy) -> Iterator[Fix]:
    """Fixes that hold, each on top of those made before it.

    Whoever takes one makes its edit before asking for the next.
    """
    findings: tuple[Finding, ...] = (*copy.problems, *run_checks(copy.library).findings)
    declined: set[Finding] = set()
    passed: set[Finding] = set()
    while fix := next(_find_fixes(copy, findings, passed), None):
        before = copy.library
        yield fix
        if copy.library is before:
            declined.add(fix.finding)
        else:
            findings, passed = fix.after, set(declined)


def _find_fixes(
    copy: WorkingCopy, findings: tuple[Finding, ...], passed: set[Finding]
) -> Iterator[Fix]:
    """Fixes that hold, those of files first, then in the order of `REMEDIES`."""
    order = {code: number for number, code in enumerate(REMEDIES)}
    for finding in sorted(findings, key=lambda one: order.get(one.code, -1)):
        if finding in passed:
            continue
        passed.add(finding)
        if finding in copy.problems:  # one fix is for the whole file
            name = finding.spot.document
            passed.update(problem for problem in copy.problems if problem.spot.document == name)
        edit = find_remedy(copy.library, finding, copy.problems)
        if edit is None:
            continue
        try:
            trial = copy.trial(edit.change)
        except EditError:
            continue
        after = prove(finding, trial, findings)
        if after is not None:
            yield Fix(finding, edit, list_differences(copy, trial), after)


def prove(
    finding: Finding,
    trial: Trial,
    before: Iterable[Finding],
    watch: Callable[[int, int], None] | None = None,
) -> tuple[Finding, ...] | None:
    """All findings after a change that puts a finding right and brings nothing as bad, or None.

    `before` are all findings as they are now. What is wrong in a document is only known once its
    file can be used, so its findings are no harm done by what makes that so.
    """
    after = (*trial.problems, *run_checks(trial.library, watch).findings)
    old, new = (Counter(map(_identify, findings)) for findings in (before, after))
    if new[_identify(finding)] >= old[_identify(finding)]:
        return None
    judged = after if finding.place is None else trial.problems
    grave = (one for one in judged if is_at_least(one.severity, finding.severity))
    return None if any(new[_identify(one)] > old[_identify(one)] for one in grave) else after


def weigh(
    before: Iterable[Finding], after: Iterable[Finding]
) -> tuple[tuple[Finding, ...], tuple[Finding, ...]]:
    """Findings that a change takes away, and those that it brings, in their order."""
    lists = tuple(before), tuple(after)
    old, new = (Counter(map(_identify, findings)) for findings in lists)

    def only(findings: tuple[Finding, ...], beyond: Counter[tuple[object, ...]]) -> list[Finding]:
        left, found = Counter(beyond), []
        for finding in findings:
            if left[_identify(finding)] > 0:
                left[_identify(finding)] -= 1
            else:
                found.append(finding)
        return found

    return tuple(only(lists[0], new)), tuple(only(lists[1], old))


def _identify(finding: Finding) -> tuple[object, ...]:
    """What stays the same of a finding: places in lists move, and counts in messages change."""
    names = tuple(part for part in finding.spot.path if isinstance(part, str))
    return finding.code, finding.spot.document, names, finding.about


def list_differences(copy: WorkingCopy, trial: Trial) -> tuple[Difference, ...]:
    """What a change that is not made would change in each file."""
    found = []
    for document, (before, after) in trial.texts.items():
        name = os.path.relpath(copy.path(document), copy.loaded.folder).replace(os.sep, "/")
        texts = before.splitlines(), after.splitlines()
        lines = difflib.unified_diff(*texts, name, name, lineterm="")
        found.append(Difference(name, tuple(lines)))
    return tuple(found)


def list_unsaved(copy: WorkingCopy, document: str) -> list[str]:
    """Lines of a document that differ between its file on disk (-) and the screen (+)."""
    try:
        theirs = decode(read_file(copy.path(document))).splitlines()
    except EditError as error:
        return [str(error)]
    mine = copy.text(document).splitlines()
    return list(difflib.unified_diff(theirs, mine, "on disk", "on the screen", lineterm=""))
