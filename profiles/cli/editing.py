"""Edits that a command proposes: shown as differences first, written where that is asked for."""

from collections.abc import Callable, Iterable, Sequence

from profiles.checks.codes import FAMILIES
from profiles.checks.registry import run_checks
from profiles.cli.exits import Unusable
from profiles.cli.findings import plain_finding
from profiles.cli.output import note, show_path, write_report
from profiles.files.library import LoadedLibrary
from profiles.files.toml_edit import EditError
from profiles.report.document import Block, Facts, Paragraph, Report
from profiles.text.inert import escape_controls
from profiles.work.copy import WorkingCopy
from profiles.work.edits import Edit
from profiles.work.fixes import Difference, list_differences, weigh
from profiles.work.versions import Trial


def offer_edit(
    loaded: LoadedLibrary,
    edit: Edit,
    report: Report,
    *,
    is_written: bool,
    as_json: bool,
    families: Sequence[str] = (),
) -> None:
    """Show a report and what an edit changes in each file; make the edit where it is wanted.

    Findings of these families that it brings and takes away are shown too.

    Raises:
        Unusable: where the edit cannot be made, or a file cannot be written.
    """
    copy = WorkingCopy(loaded)
    try:
        trial = copy.trial(edit.change)
        differences = list_differences(copy, trial)
    except EditError as error:
        raise Unusable(str(error)) from None
    lines = [line for one in differences for line in one.lines]
    shown = (Paragraph("\n".join([*lines, ""]), edit.words, verbatim=True),) if lines else ()
    facts = Facts({"files": list_plainly(differences), "written": is_written and bool(lines)})
    judged = _judge(copy, trial, families) if lines and families else ()
    write_report(report._replace(blocks=(*report.blocks, facts, *shown, *judged)), as_json=as_json)
    if not lines:
        note("nothing to change")
    elif not is_written:
        note("note: nothing is written; --write changes the file")
    else:
        edit.apply(copy)
        save_copy(copy)
        note(f"changed {', '.join(show_path(difference.file) for difference in differences)}")


def offer_effects(
    loaded: LoadedLibrary, make: Callable[[], Edit], *, is_written: bool, as_json: bool
) -> None:
    """Show what an edit means for other files, and it; make it where that is wanted.

    Raises:
        Unusable: as `offer_edit` does, and where there is no such edit.
    """
    try:
        edit = make()
    except EditError as error:
        raise Unusable(str(error)) from None
    told = "\n".join(map(escape_controls, edit.effects)) or "Nothing else names it."
    blocks = (Facts({"effects": list(edit.effects)}), Paragraph(told, "What it means"))
    offer_edit(loaded, edit, Report("", blocks), is_written=is_written, as_json=as_json)


def _judge(copy: WorkingCopy, trial: Trial, families: Sequence[str]) -> tuple[Block, ...]:
    """What a change means for the findings of these families."""
    codes = [code for family in families for code in FAMILIES[family]]
    before, after = (
        [finding for finding in run_checks(library).findings if finding.code in codes]
        for library in (copy.library, trial.library)
    )
    gone, new = weigh(before, after)
    lines = [
        f"{word} {one.severity}: {escape_controls(one.message)} [{one.code}]"
        for word, findings in (("fixed", gone), ("new", new))
        for one in findings
    ]
    facts = Facts({"fixed": list(map(plain_finding, gone)), "new": list(map(plain_finding, new))})
    words = "\n".join(lines) or "No finding appears or disappears."
    return (facts, Paragraph(words, "Findings after it", verbatim=True))


def save_copy(copy: WorkingCopy) -> int:
    """Write every changed file; returns how many.

    Raises:
        Unusable: where a file could not be written, or somebody else changed the same key.
    """
    saved = copy.save()
    if saved.clashes or saved.failures:
        clashes = [
            f"{copy.path(document).name} was changed meanwhile: {line}"
            for document in saved.clashes
            for line in copy.describe_clash(document)
        ]
        raise Unusable("\n".join([*saved.failures, *clashes]), "Run the command again.")
    return len(saved.written)


def list_plainly(differences: Iterable[Difference]) -> list[dict[str, str]]:
    """Differences for machines."""
    return [
        {"file": difference.file, "difference": "\n".join(difference.lines)}
        for difference in differences
    ]
