"""Edits that a command proposes: shown as differences first, written where that is asked for."""

from collections.abc import Iterable
from dataclasses import replace

from profiles.cli.exits import Unusable
from profiles.cli.output import note, show_path, write_report
from profiles.files.library import LoadedLibrary
from profiles.files.toml_edit import EditError
from profiles.report.document import Facts, Paragraph, Report
from profiles.work.copy import WorkingCopy
from profiles.work.edits import Edit
from profiles.work.fixes import Difference, list_differences


def offer_edit(
    loaded: LoadedLibrary, edit: Edit, report: Report, *, is_written: bool, as_json: bool
) -> None:
    """Show a report and what an edit changes in each file; make the edit where it is wanted.

    Raises:
        Unusable: where the edit cannot be made, or a file cannot be written.
    """
    copy = WorkingCopy(loaded)
    try:
        differences = list_differences(copy, copy.trial(edit.change))
    except EditError as error:
        raise Unusable(str(error)) from None
    lines = [line for one in differences for line in one.lines]
    shown = (Paragraph("\n".join([*lines, ""]), edit.words, verbatim=True),) if lines else ()
    facts = Facts({"files": list_plainly(differences), "written": is_written and bool(lines)})
    write_report(replace(report, blocks=(*report.blocks, facts, *shown)), as_json=as_json)
    if not lines:
        note("nothing to change")
    elif not is_written:
        note("note: nothing is written; --write changes the file")
    else:
        edit.apply(copy)
        save_copy(copy)
        note(f"changed {', '.join(show_path(one.file) for one in differences)}")


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
    return [{"file": one.file, "difference": "\n".join(one.lines)} for one in differences]
