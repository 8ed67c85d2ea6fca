"""What a sheet is about, and what it gives.

A sheet's module answers a `Subject` and a request (see `sheets.requests`) with a
`PrintedSheet`: the work at true scale for SVG and DXF, the document of numbered pages for PDF, a
`Remark` for everything skipped, shrunk, condensed or moved, and plain facts for `--json`.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any, Literal

from profiles.drawing.correction import Measured
from profiles.drawing.document import Document, Page
from profiles.drawing.letters import LetterLines
from profiles.drawing.model3d import Slab
from profiles.drawing.recorder import Drawing
from profiles.drawing.surface import Loss
from profiles.model.board import Board
from profiles.model.device import Device
from profiles.model.library import Library, Link
from profiles.report.document import Report
from profiles.text.finding import Spot

RemarkKind = Literal["skipped", "shrunk", "condensed", "moved", "replaced", "note"]


@dataclass(frozen=True, slots=True)
class Remark:
    """Something the sheet does not show as it was meant, by name and place."""

    kind: RemarkKind
    message: str
    spot: Spot | None = None

    @property
    def is_loss(self) -> bool:
        """Whether something was skipped or replaced."""
        return self.kind in ("skipped", "replaced")

    @property
    def fails_strict(self) -> bool:
        """Whether a strict run fails: a loss, or something smaller or elsewhere than wanted."""
        return self.is_loss or self.kind in ("shrunk", "moved")


@dataclass(frozen=True, slots=True, kw_only=True)
class Subject:
    """What a sheet is about: a device, and profiles that bind it."""

    library: Library
    device: Device
    links: tuple[Link, ...] = ()
    devices: tuple[Device, ...] = ()
    """The device where it was named, for sheets that can show several; empty for all of the
    profile."""

    @property
    def board(self) -> Board | None:
        """The device's controller board; None where none is named, or it is not known."""
        from profiles.wiring.boards import board_of

        return board_of(self.library, self.device)


@dataclass(frozen=True, slots=True, kw_only=True)
class PrintedSheet:
    """A finished sheet."""

    title: str
    work: Drawing
    """The whole at true scale on no paper, origin at the plate's lower left corner."""
    document: Document
    name: str = ""
    """Stem of its file name."""
    remarks: tuple[Remark, ...] = ()
    facts: Mapping[str, Any] = field(default_factory=dict)
    """Plain types, for machines."""
    table: tuple[tuple[str, ...], ...] = ()
    """Rows for CSV, the heading first; empty for sheets that are no list."""
    letters: LetterLines = "outlines"
    """What words are in DXF, which has no fonts."""
    measured: Measured | None = None
    """What a printer makes of 100 mm, where formats to be printed are corrected for it."""
    is_for_machine: bool = False
    """Whether a machine follows its lines, so that nothing is drawn beside the work."""
    head: Page | None = None
    """What a label printer's head prints, for PNG; None for other sheets."""
    slab: Slab | None = None
    """The body of sheets that are one, for STL and 3MF."""
    report: Report | None = None
    """What HTML and text show of sheets that are lists."""
    paged: tuple[Any, ...] | None = None
    """All that its pages are made from beside the request, the work and the report: where these are
    equal, so are the pages. None where that is not told."""


def remark_losses(losses: tuple[Loss, ...]) -> tuple[Remark, ...]:
    """What a layout or writer lost, as remarks."""
    kinds: dict[str, RemarkKind] = {"letter": "replaced", "text": "skipped", "sheet": "note"}
    return tuple(Remark(kinds.get(loss.kind, "skipped"), loss.message) for loss in losses)
