"""A library checked, and the result kept for as long as none of its files changes.

`check` works on a library that is loaded. `recall_check` and `keep_check` spare the whole work,
the loading too, where the same files were checked before by the same program: what is kept is the
findings, as plain data, and every word of it is looked at before it is believed.
"""

import json
import os
from pathlib import Path
from typing import TYPE_CHECKING, Any, NamedTuple

from profiles.checks.codes import EVERY_CODE
from profiles.files.kept import find_store, keep, make_key, read_kept
from profiles.files.walk import find_files
from profiles.text.finding import (
    SEVERITIES,
    Accepted,
    Finding,
    Place,
    Related,
    Severity,
    Spot,
    is_at_least,
)

if TYPE_CHECKING:
    from profiles.files.library import LoadedLibrary


class Checked(NamedTuple):
    """All findings of a library, those about its files first, each with its place.

    `usable` is False where some file could not be read as what it claims to be; the findings
    about links are then about the files that could.
    """

    findings: tuple[Finding, ...]
    accepted: tuple[Accepted, ...]
    notes: tuple[str, ...]
    usable: bool

    def at_least(self, threshold: Severity) -> tuple[Finding, ...]:
        """Findings as bad as the threshold, or worse."""
        return tuple(
            finding for finding in self.findings if is_at_least(finding.severity, threshold)
        )


def check(loaded: "LoadedLibrary") -> Checked:
    """Check a loaded library and say where in its files each finding stands."""
    from profiles.checks.registry import run_checks

    result = run_checks(loaded.library)
    located = tuple(loaded.located(finding) for finding in result.findings)
    return Checked(
        findings=(*loaded.problems, *located),
        accepted=result.accepted,
        notes=loaded.notes,
        usable=not loaded.problems,
    )


class Recalled(NamedTuple):
    """What is known of a folder before any of its files is read as a document.

    `key` stands for its files, None where nothing is kept of them. `checked` is what was found in
    just these files before, if that is known.
    """

    key: str | None
    files: tuple[Path, ...] = ()
    checked: Checked | None = None


def recall_check(folder: Path) -> Recalled:
    """Look up what was found in a folder when its files were the same."""
    store = find_store(os.environ)
    if store is None:
        return Recalled(None)
    files = tuple(find_files(folder))
    key = make_key(folder, files)
    data = None if key is None else read_kept(folder, store)
    return Recalled(key, files, None if data is None else _read_checked(data, key))


def keep_check(folder: Path, key: str | None, checked: Checked) -> None:
    """Keep a result for the files that `key` stands for, if they are still the same."""
    if key is not None and make_key(folder, find_files(folder)) == key:
        content = {"key": key, **checked._asdict()}
        keep(folder, find_store(os.environ), json.dumps(content).encode("ascii"))


def _read_checked(data: bytes, key: str | None) -> Checked | None:
    """The result in an entry, or None where it is of other files or not of this form."""
    try:
        match json.loads(data):
            case {
                "key": kept_key,
                "findings": list(findings),
                "accepted": list(accepted),
                "notes": list(notes),
                "usable": bool(usable),
            } if kept_key == key and all(isinstance(note, str) for note in notes):
                return Checked(
                    tuple(map(_read_finding, findings)),
                    tuple(_read_accepted(*one) for one in accepted),
                    tuple(notes),
                    usable,
                )
    except (ValueError, TypeError, RecursionError):
        pass
    return None


def _read_accepted(finding: Any, reason: Any) -> Accepted:
    if not isinstance(reason, str):
        raise TypeError(reason)
    return Accepted(_read_finding(finding), reason)


def _read_finding(value: Any) -> Finding:
    match value:
        case [
            str(code),
            "error" | "warning" | "note" as severity,
            str(message),
            str(remedy),
            spot,
            list(related),
            place,
            str(about),
        ] if code in EVERY_CODE:
            relations = tuple(_read_related(*one) for one in related)
            ours = next(one for one in SEVERITIES if one == severity)
            where = _read_place(place)
            return Finding(code, ours, message, remedy, _read_spot(spot), relations, where, about)
    raise ValueError(value)


def _read_related(message: Any, spot: Any, place: Any) -> Related:
    if not isinstance(message, str):
        raise TypeError(message)
    return Related(message, _read_spot(spot), _read_place(place))


def _read_spot(value: Any) -> Spot:
    match value:
        case [str(document), list(path)] if all(type(part) in (str, int) for part in path):
            return Spot(document, tuple(path))
    raise ValueError(value)


def _read_place(value: Any) -> Place | None:
    match value:
        case None:
            return None
        case [str(file), *counts] if len(counts) == 3:
            if all(one is None or type(one) is int for one in counts):
                return Place(file, *counts)
    raise ValueError(value)
