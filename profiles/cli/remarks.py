"""What a sheet does not show as meant, told on stderr and in JSON, with its place in the files."""

from collections.abc import Sequence
from typing import Any

from profiles.cli.output import note
from profiles.files.library import LoadedLibrary
from profiles.sheets.sheet import Remark
from profiles.text.inert import escape_controls
from profiles.text.prose import count


def describe_remarks(loaded: LoadedLibrary, remarks: Sequence[Remark]) -> None:
    """Put remarks on stderr, one a line."""
    for remark in remarks:
        place = loaded.locate(remark.spot) if remark.spot else None
        where = f" ({place})" if place else ""
        note(f"{remark.kind}: {escape_controls(remark.message)}{where}")


def describe_losses(loaded: LoadedLibrary, remarks: Sequence[Remark]) -> None:
    """Put what many sheets skipped or replaced on stderr, and count the rest."""
    losses = [remark for remark in remarks if remark.is_loss]
    describe_remarks(loaded, losses)
    if len(remarks) > len(losses):
        fitted = count(len(remarks) - len(losses), "remark")
        note(f"note: {fitted} on fitting; `print` names them, sheet by sheet")


def plain_remarks(loaded: LoadedLibrary, remarks: Sequence[Remark]) -> list[dict[str, Any]]:
    """Remarks as plain types, as every `--json` shows them."""
    found = []
    for remark in remarks:
        place = loaded.locate(remark.spot) if remark.spot else None
        found.append(
            {
                "kind": remark.kind,
                "message": remark.message,
                "subject": str(remark.spot) if remark.spot else None,
                "place": place._asdict() if place else None,
            }
        )
    return found
