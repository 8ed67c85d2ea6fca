"""Every printed sheet and what it can be asked for: one request class a sheet.

A request is a value: the names of a device and of profiles, and options that it has judged. The
commands' options, the screen's settings and the arguments in Python are made from these classes.
A new sheet is one class here and one module of its name with `make_sheet(subject, request)`.
"""

from dataclasses import dataclass, replace
from hashlib import blake2b
from importlib import import_module
from typing import Annotated, ClassVar, Literal

from profiles.drawing.correction import Measured, correct_document, correct_tape
from profiles.drawing.letters import LetterLines
from profiles.drawing.paper import PAPERS, Paper
from profiles.drawing.tiling import OVERLAP
from profiles.sheets.options import Option, RequestError, options_of
from profiles.sheets.sheet import PrintedSheet, Remark, Subject
from profiles.sheets.tapes import PAPER, TAPES
from profiles.text.inert import LONGEST_STEM, escape_controls

TAPE_CORRECTED = "corrected for a label printer that makes {:g} mm of 100 mm along the tape"
TAPE_NOT_CORRECTED = (
    "tape is not corrected: {:g} x {:g} mm in the settings are what a printer of paper makes of "
    "100 mm; a label printer's own go with --measured"
)
"""What is said of pages of tape, which have no room to say it themselves."""
SHOP_NOT_CORRECTED = (
    "artwork for a print shop is not corrected: what was measured is of your own printer"
)


@dataclass(frozen=True, kw_only=True)
class SheetRequest:
    """What all sheets can be asked for.

    Raises:
        RequestError: for options out of their range; all are in one message.
    """

    sheet: ClassVar[str]
    title: ClassVar[str]
    formats: ClassVar[tuple[str, ...]]
    """The first is the default."""
    takes: ClassVar[tuple[int, int]] = (0, 0)
    """How many profiles it takes, least and most."""
    is_for_each_profile: ClassVar[bool] = True
    """Whether a run of all sheets makes one for each profile, if it takes any."""
    is_true_scale: ClassVar[bool] = True
    is_of_one_plate: ClassVar[bool] = True
    """Whether a profile of several devices makes a sheet for each."""

    device: str | None = None
    """Its id; may be left out where the profiles or the library leave no choice."""
    profiles: tuple[str, ...] = ()
    date: str = ""
    """As it is to be printed in the title block; empty for none."""
    forms: tuple[str, ...] = ()
    """Formats that it will be written in, where nothing else need be made; empty for all."""
    paper: Annotated[str, Option("Size of the paper", tuple(sorted(PAPERS)))] = "a4"
    landscape: Annotated[
        bool, Option("Long side of the paper across; otherwise a drawing turns it as it fits")
    ] = False

    def __post_init__(self) -> None:
        problems: list[RequestError] = []
        for name, option in options_of(type(self)).items():
            try:
                object.__setattr__(self, name, option.read(name, getattr(self, name)))
            except RequestError as error:
                problems.append(error)
        ids, listed = self.profiles, isinstance(self.profiles, list | tuple)
        for name, wanted, fits in (
            ("device", "an id", isinstance(self.device, str | None)),
            ("profiles", "a list of ids", listed and all(isinstance(id_, str) for id_ in ids)),
        ):
            if not fits:
                shown = escape_controls(str(getattr(self, name)))
                problems.append(RequestError(f"{name} must be {wanted}, not `{shown}`"))
        if len(problems) > 1:
            raise RequestError("\n".join(map(str, problems)))
        if problems:
            raise problems[0]
        object.__setattr__(self, "profiles", tuple(self.profiles))
        object.__setattr__(self, "date", str(self.date or ""))

    def needs(self, *forms: str) -> bool:
        """Whether it will be written in one of these formats."""
        return not self.forms or not set(forms).isdisjoint(self.forms)

    @property
    def sheet_paper(self) -> Paper:
        """The paper, its long side across where asked."""
        paper = PAPERS[self.paper]
        return paper.landscape if self.landscape else paper

    @property
    def variant(self) -> tuple[str, ...]:
        """A word for each option other than its default, for the name of a file."""
        found = []
        for name, option in options_of(type(self)).items():
            value = getattr(self, name)
            if value == option.default:
                continue
            shown = value if isinstance(value, str) else f"{value:.12g}"
            found.append(name if option.is_flag else f"{name}-{shown}")
        return tuple(found)


@dataclass(frozen=True, kw_only=True)
class TrueScaleRequest(SheetRequest):
    """Pages at true scale, which a printer's error can be taken out of."""

    measured: Annotated[
        str | None,
        Option(
            "What 100 mm across and up measured on a print, to correct the printer",
            *((), 90.0, 110.0),
            unit="mm",
            is_pair=True,
            otherwise="the library's settings, or no correction",
        ),
    ] = None

    @property
    def is_on_tape(self) -> bool:
        """Whether its pages are for a label printer, not for the printer of paper."""
        return False


@dataclass(frozen=True, kw_only=True)
class LinesRequest(TrueScaleRequest):
    """A drawing that a cutter may follow as well."""

    letters: Annotated[
        LetterLines,
        Option("Words in DXF: closed outlines, or single strokes", ("outlines", "strokes")),
    ] = "outlines"


@dataclass(frozen=True, kw_only=True)
class TiledRequest(LinesRequest):
    """A drawing at true scale, on several sheets where it is larger than one."""

    overlap: Annotated[
        float,
        Option("What two neighbouring sheets of a tiled drawing share", (), 6.0, 25.0, unit="mm"),
    ] = OVERLAP


Labels = Annotated[
    Literal["application", "fixed", "both"] | None,
    Option(
        "What the application does, the plate's own words, or both",
        ("application", "fixed", "both"),
        otherwise="application with a profile, otherwise fixed",
    ),
]
Rear = Annotated[bool, Option("Seen from behind, mirrored")]


@dataclass(frozen=True, kw_only=True)
class LegendRequest(TiledRequest):
    """The faceplate with its labels."""

    sheet = "legend"
    title = "Faceplate legend: every label in its place"
    formats = ("pdf", "svg", "dxf", "png")
    takes = (0, 3)

    colours: Annotated[bool, Option("Front artwork: plate colour, ink, and lines to cut along")] = (
        False
    )
    labels: Labels = None
    rear: Rear = False
    bleed: Annotated[
        float | None,
        Option(
            "One page for a print shop: artwork with ink this far beyond the plate, and trim marks",
            *((), 0.0, 10.0),
            unit="mm",
            otherwise="pages of paper",
        ),
    ] = None

    @property
    def is_artwork(self) -> bool:
        """Whether it is the front in its own colours."""
        return self.colours or self.bleed is not None


@dataclass(frozen=True, kw_only=True)
class StripRequest(LinesRequest):
    """A strip of labels under each row."""

    sheet = "strip"
    title = "Label strips: one under each row, cells at the true pitch"
    formats = ("pdf", "svg", "dxf", "png", "csv")
    takes = (0, 3)

    labels: Labels = None
    tape: Annotated[str, Option("Plain paper, or the width of the tape in mm", (PAPER, *TAPES))] = (
        PAPER
    )
    pages: Annotated[
        str,
        Option(
            "Pages of paper, or one for each strip as large as the tape, for a label printer",
            ("paper", "tape"),
        ),
    ] = "paper"

    @property
    def is_on_tape(self) -> bool:
        """Whether each strip is a page for a label printer."""
        return self.pages == "tape"


@dataclass(frozen=True, kw_only=True)
class CardRequest(SheetRequest):
    """What every control does in one application."""

    sheet = "card"
    title = "Reference card: what every control does in one application"
    formats = ("pdf", "text", "csv", "html", "json")
    takes = (1, 1)
    is_true_scale = False
    is_of_one_plate = False

    large: Annotated[bool, Option("Letters to be read from twice as far as the plate")] = False


@dataclass(frozen=True, kw_only=True)
class ComparisonRequest(SheetRequest):
    """Applications side by side."""

    sheet = "comparison"
    title = "Comparison: controls against applications, moved functions marked"
    formats = ("pdf", "text", "csv", "html", "json")
    takes = (0, 99)
    is_true_scale = False


@dataclass(frozen=True, kw_only=True)
class DrillRequest(TiledRequest):
    """Where to drill and to cut."""

    sheet = "drill"
    title = "Drill template: centre marks, sizes and coordinates from the datum corner"
    formats = ("pdf", "svg", "dxf", "csv", "png")

    rear: Rear = False


@dataclass(frozen=True, kw_only=True)
class CouponRequest(TiledRequest):
    """A small piece to try holes on."""

    sheet = "coupon"
    title = "Hole-fit coupon: every size of hole in small steps, to cut or print first"
    formats = ("pdf", "svg", "dxf", "stl", "3mf", "png")

    below: Annotated[
        float, Option("How far under the hole's size a row begins", (), 0.0, 5.0, unit="mm")
    ] = 0.2
    above: Annotated[
        float, Option("How far over the hole's size a row ends", (), 0.0, 5.0, unit="mm")
    ] = 0.4
    step: Annotated[
        float, Option("From one hole of a row to the next", (), 0.02, 5.0, unit="mm")
    ] = 0.1
    thickness: Annotated[
        float | None,
        Option("Thickness of the 3D model", (), 0.2, 50.0, unit="mm", otherwise="the plate's"),
    ] = None


@dataclass(frozen=True, kw_only=True)
class RulerRequest(TrueScaleRequest):
    """How true a printer is."""

    sheet = "ruler"
    title = "Rulers across and up: measure your printer, and correct it"
    formats = ("pdf",)


@dataclass(frozen=True, kw_only=True)
class PlateRequest(SheetRequest):
    """The plate alone."""

    sheet = "plate"
    title = "The plate itself: a 3D model to print, or clean lines to cut"
    formats = ("stl", "3mf", "svg", "dxf")
    takes = (0, 3)
    is_for_each_profile = False

    words: Annotated[
        str,
        Option(
            "Words on the 3D model: none, raised, recessed, or inlaid in a second colour",
            ("none", "raised", "recessed", "inlaid"),
        ),
    ] = "none"
    labels: Labels = None
    relief: Annotated[float, Option("How far words rise or sink", (), 0.1, 5.0, unit="mm")] = 0.6
    nozzle: Annotated[float, Option("Width of the printer's nozzle", (), 0.1, 2.0, unit="mm")] = 0.4
    bed: Annotated[
        str | None,
        Option(
            "Size of the printer's bed, to warn of a plate that is larger",
            *((), 50.0, 2000.0),
            unit="mm",
            is_pair=True,
            otherwise="not looked at",
        ),
    ] = None


@dataclass(frozen=True, kw_only=True)
class CutRequest(SheetRequest):
    """The plate with its words for a cutter or engraver."""

    sheet = "cut"
    title = "Cutting file: lines to cut, engrave and mark, words as outlines or strokes"
    formats = ("dxf", "svg")
    takes = (0, 3)

    labels: Labels = None
    letters: Annotated[
        LetterLines,
        Option("Closed outlines of letters, or single strokes", ("outlines", "strokes")),
    ] = "outlines"
    rear: Rear = False


@dataclass(frozen=True, kw_only=True)
class PartsRequest(SheetRequest):
    """What to buy."""

    sheet = "parts"
    title = "Parts list: counts, prices, and what the plate weighs"
    formats = ("pdf", "text", "csv", "html", "json")
    is_true_scale = False

    density: Annotated[
        float | None,
        Option(
            *("Density of the plate's material", (), 0.0, 25.0),
            is_above=True,
            unit="g/cm³",
            otherwise="the plate's",
        ),
    ] = None
    infill: Annotated[
        float,
        Option("Share of the plate that is material", (), 0.0, 100.0, is_above=True, unit="%"),
    ] = 100.0


@dataclass(frozen=True, kw_only=True)
class WiringRequest(SheetRequest):
    """How to solder and test."""

    sheet = "wiring"
    title = "Wiring sheet: solder side, cut list, soldering order and tests"
    formats = ("pdf", "svg", "csv", "png")
    is_true_scale = False


SHEETS: dict[str, type[SheetRequest]] = {
    kind.sheet: kind
    for kind in (
        LegendRequest,
        StripRequest,
        CardRequest,
        ComparisonRequest,
        DrillRequest,
        CouponRequest,
        RulerRequest,
        PlateRequest,
        CutRequest,
        PartsRequest,
        WiringRequest,
    )
}
"""Every sheet's request class, by name."""


def make_sheet(subject: Subject, request: SheetRequest) -> PrintedSheet:
    """Make the sheet that is asked for, named after all it depends on."""
    module = import_module(f"profiles.sheets.{request.sheet}")
    sheet: PrintedSheet = module.make_sheet(subject, request)
    if isinstance(request, TrueScaleRequest):
        sheet = _correct(sheet, subject, request)
    if isinstance(request, LinesRequest):
        sheet = replace(sheet, letters=request.letters)
    document = replace(sheet.document, date=request.date)
    return replace(sheet, document=document, name=name_file(subject, request))


def find_measured(subject: Subject, request: TrueScaleRequest) -> Measured | None:
    """What its printer makes of 100 mm: as asked, else, for paper, as the settings have it."""
    if request.measured is not None:
        return Measured(*map(float, request.measured.split("x")))
    kept = subject.library.settings.printing.measured
    return Measured(*kept) if kept and not request.is_on_tape else None


def _correct(sheet: PrintedSheet, subject: Subject, request: TrueScaleRequest) -> PrintedSheet:
    """The sheet as its printer must be given it; tape says what was done with it."""
    measured, note = find_measured(subject, request), ""
    if measured is not None and any(page.trim for page in sheet.document.pages):
        return replace(sheet, remarks=(*sheet.remarks, Remark("note", SHOP_NOT_CORRECTED)))
    if measured is not None:
        document = correct_document(sheet.document, measured, is_tape=request.is_on_tape)
        head = correct_tape(sheet.head, measured) if sheet.head else None
        sheet = replace(sheet, document=document, head=head, measured=measured)
        note = TAPE_CORRECTED.format(measured.up)
    elif kept := subject.library.settings.printing.measured:
        note = TAPE_NOT_CORRECTED.format(*kept)
    if request.is_on_tape and note:
        sheet = replace(sheet, remarks=(*sheet.remarks, Remark("note", note)))
    return sheet


def name_file(subject: Subject, request: SheetRequest) -> str:
    """The stem of a file: device, profiles, sheet, and every option other than its default."""
    profiles = [link.profile.id for link in subject.links]
    named = request.profiles if request.sheet == "comparison" else profiles
    if request.is_of_one_plate:
        words = [subject.device.id, *named, request.sheet, *request.variant]
    else:
        words = [*profiles, request.sheet, *filter(None, [request.device]), *request.variant]
    return shorten_stem("-".join(words))


def shorten_stem(stem: str) -> str:
    """A stem that fits a file's name; one that is too long ends with a digest of the whole."""
    if len(stem) <= LONGEST_STEM:
        return stem
    return f"{stem[: LONGEST_STEM - 17]}-{blake2b(stem.encode(), digest_size=8).hexdigest()}"
