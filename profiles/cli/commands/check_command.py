"""`platebook check`: everything that clashes, is missing or cannot work."""

from pathlib import Path
from typing import TYPE_CHECKING

import click

from profiles.checks.codes import read_pages
from profiles.cli.exits import Exit, Unusable
from profiles.cli.findings import report_findings, report_summary
from profiles.cli.libraries import find_folder, library_option, open_folder, write_notes
from profiles.cli.output import is_terminal, note, show_path, write, write_report
from profiles.cli.typed import is_terminal_typed
from profiles.files.walk import Excerpts, show_file
from profiles.text.finding import SEVERITIES, Finding, Severity
from profiles.text.prose import count
from profiles.work.checking import Recalled, check, keep_check, recall_check

if TYPE_CHECKING:
    from profiles.cli.fixing import FixMode
    from profiles.files.library import LoadedLibrary
    from profiles.model import Library
    from profiles.report.document import Facts


@click.command(name="check")
@click.argument("folder", required=False, metavar="[LIBRARY]")
@library_option
@click.option("--json", "form", flag_value="json", help="Print findings as JSON.")
@click.option("--sarif", "form", flag_value="sarif", help="Print findings as SARIF 2.1.0.")
@click.option(
    "--fail-on",
    type=click.Choice([*SEVERITIES, "never"]),
    default="error",
    show_default=True,
    help="Exit with 1 if a finding is of this severity or worse.",
)
@click.option(
    "--severity",
    type=click.Choice(SEVERITIES),
    default="note",
    show_default=True,
    help="Show only findings of this severity or worse.",
)
@click.option(
    "--code", "codes", metavar="CODE", multiple=True, help="Show only findings of this code."
)
@click.option(
    "--device", "devices", metavar="ID", multiple=True, help="Show only what is about this device."
)
@click.option(
    "--profile",
    "profiles",
    metavar="ID",
    multiple=True,
    help="Show only what is about this profile; with --against: the one.",
)
@click.option("--each", is_flag=True, help="Show each finding, however many of a kind.")
@click.option("--summary", is_flag=True, help="Show only how many there are of each kind.")
@click.option("--fix", is_flag=True, help="Show each automatic fix, and ask whether to make it.")
@click.option("--yes", is_flag=True, help="With --fix: make every fix without asking.")
@click.option(
    "--against",
    metavar="FILE",
    type=click.Path(path_type=Path),
    help="Compare a profile with the application's own settings file instead.",
)
def command(
    folder: str | None,
    library_option: str | None,
    against: Path | None,
    form: str | None,
    fail_on: str,
    severity: Severity,
    codes: tuple[str, ...],
    devices: tuple[str, ...],
    profiles: tuple[str, ...],
    each: bool,
    summary: bool,
    fix: bool,
    yes: bool,
) -> Exit:
    """Find what clashes, is missing or cannot work in LIBRARY.

    --fix shows what each fix changes as a difference of the file. Without a terminal to ask on,
    and without --yes, no file is changed. Comments stay.

    --against FILE reads the settings file of a profile's application, as its table [settings_file]
    says, and reports what is bound there and not here, here and not there, or to another input.

    Errors come first. Filters choose what is shown, and what the exit code is about; files that
    cannot be used always stay.

    Exit code 0: nothing at or above --fail-on. 1: something. 2: a file cannot be used.
    """
    filtered = summary or each or codes or devices or severity != "note"
    for is_wrong, words in (
        (
            folder is not None and library_option is not None,
            "name the library once: as LIBRARY or with --library",
        ),
        (yes and not fix, "--yes goes with --fix"),
        (
            fix and form == "sarif",
            "--fix lists its fixes as text or with --json, not with --sarif",
        ),
        (summary and form, f"--summary is text, and does not go with --{form}"),
        (against and (fix or form == "sarif"), "--against goes with neither --fix nor --sarif"),
        (
            against and filtered,
            "--against goes with none of --summary, --each, --code, --device and --severity",
        ),
        (against and len(profiles) > 1, "--against takes one --profile"),
    ):
        if is_wrong:
            raise click.UsageError(words)
    root = find_folder(library_option) if folder is None else find_folder(folder, "LIBRARY")
    needs_files = fix or against or devices or profiles
    recalled = Recalled(None) if needs_files else recall_check(root)
    fixes: tuple[Facts, ...] = ()
    if recalled.checked is not None:
        checked = recalled.checked
        excerpt = Excerpts({show_file(path): path for path in recalled.files})
        write_notes(checked.notes)
    else:
        loaded = _open_filled(root)
        if devices or profiles:
            _require_names(loaded.library, devices, profiles)
        if against is not None:
            from profiles.cli.against import check_against

            return check_against(
                loaded, against, next(iter(profiles), None), as_json=form == "json"
            )
        if fix:
            from profiles.cli.fixing import fix_library
            from profiles.files.library import load_library

            ask = form is None and is_terminal_typed() and is_terminal()
            mode: FixMode = "all" if yes else "ask" if ask else "show"
            fixes = (fix_library(loaded, mode, quiet=form == "json"),)
            loaded = load_library(root)
        checked, excerpt = check(loaded), loaded.excerpt
        keep_check(root, recalled.key, checked)
    hidden = len(checked.findings)
    checked = checked._replace(
        findings=_select(checked.findings, severity, codes, (*devices, *profiles))
    )
    hidden -= len(checked.findings)
    if form == "sarif":
        from profiles.cli.findings_sarif import render_sarif
        from profiles.text.version import find_version

        write(render_sarif(checked.findings, read_pages(), find_version(), root))
    else:
        if summary:
            report = report_summary(checked.findings)
        else:
            report = report_findings(
                checked.findings, excerpt, len(checked.accepted), folded=not each
            )
        report = report._replace(blocks=(*fixes, *report.blocks))
        write_report(report, as_json=form == "json")
    if hidden:
        note(f"note: {count(hidden, 'more finding')} hidden by the filters")
    if checked.accepted:
        note(f"note: {count(len(checked.accepted), 'finding')} accepted in the settings")
    if not checked.usable:
        return Exit.UNUSABLE
    threshold = next((severity for severity in SEVERITIES if severity == fail_on), None)  # or never
    failed = threshold is not None and checked.at_least(threshold)
    return Exit.FINDINGS if failed else Exit.FINE


def _open_filled(root: Path) -> "LoadedLibrary":
    """Load the library, problems and all.

    Raises:
        Unusable: where the folder holds nothing for a library.
    """
    loaded = open_folder(root)
    if not loaded.library.documents and not loaded.problems:
        from profiles.files.guess import find_near_misses

        raise Unusable(
            f"{show_path(loaded.folder)} holds no device, application, profile, board or part",
            "\n  ".join(find_near_misses(loaded.folder)) or "Start one: `platebook new device ID`",
        )
    return loaded


def _require_names(library: "Library", devices: tuple[str, ...], profiles: tuple[str, ...]) -> None:
    """Each name must lead somewhere, be it to a file that cannot be used."""
    from profiles.work.names import find_named

    unusable = {document.id for document in library.unusable}
    for kind, words, there in (
        ("device", devices, library.devices),
        ("profile", profiles, library.profiles),
    ):
        for word in words:
            if word not in unusable:
                find_named(kind, word, there)


def _select(
    findings: tuple[Finding, ...],
    severity: Severity,
    codes: tuple[str, ...],
    documents: tuple[str, ...],
) -> tuple[Finding, ...]:
    """The findings that are asked for; each code must be one."""
    if severity == "note" and not (codes or documents):
        return findings
    from profiles.checks.selection import select_findings
    from profiles.text.inert import escape_controls
    from profiles.text.suggest import closest

    known = read_pages() if codes else {}
    for code in codes:
        if code not in known:
            near = closest(code, known)
            raise Unusable(
                f"no finding has the code `{escape_controls(code)}`",
                f"Did you mean `{near}`?" if near else "`platebook explain` lists the codes.",
            )
    return select_findings(findings, severity, codes, documents)
