"""The surface for programs: load a library, check it, print its sheets.

    import profiles

    library = profiles.load("my-boxes")
    for finding in profiles.check(library).findings:
        print(finding.place, finding.message)

Everything here is what the commands themselves stand on.
"""

from dataclasses import dataclass
from pathlib import Path

from profiles.checks.registry import Accepted, pages, run_checks
from profiles.files.library import LoadedLibrary, load_library
from profiles.model.finding import Finding, Page, Severity, is_at_least

__all__ = ["Checked", "check", "finding_pages", "load"]


@dataclass(frozen=True, slots=True)
class Checked:
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
        return tuple(one for one in self.findings if is_at_least(one.severity, threshold))


def load(folder: Path | str) -> LoadedLibrary:
    """Read every TOML, YAML and JSON file below a folder.

    Raises:
        profiles.files.library.NoLibraryError: where `folder` is no folder.
    """
    return load_library(folder)


def check(loaded: LoadedLibrary) -> Checked:
    """Check a loaded library and say where in its files each finding stands."""
    result = run_checks(loaded.library)
    located = tuple(loaded.located(finding) for finding in result.findings)
    return Checked(
        findings=(*loaded.problems, *located),
        accepted=result.accepted,
        notes=loaded.notes,
        usable=not loaded.problems,
    )


def finding_pages() -> dict[str, Page]:
    """The page of every code, those about files first."""
    from profiles.files.pages import PAGES

    return {page.code: page for page in PAGES} | pages()
