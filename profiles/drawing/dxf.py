"""DXF writer: one drawing in mm at true scale, for CAD, routers and laser cutters.

The file is DXF R12 in ASCII, the version every program reads, with the unit stated (`$INSUNITS` 4,
millimetres). Lines, arcs and circles stay what they are; other paths are polylines with bulges.
Each layer has a colour; words beyond ASCII are written `\\U+XXXX`.
"""

from itertools import pairwise
from math import radians, tan

from profiles.drawing.geometry import Box, Point, point_at
from profiles.drawing.paths import ArcTo, CurveTo, LineTo, Path, angle_of, radius_of
from profiles.drawing.recorder import Drawing, replay
from profiles.drawing.shapes import Text
from profiles.drawing.style import WHITE, Style
from profiles.drawing.surface import Loss, Written, decimal, gather, missing_letters
from profiles.lettering import FACES, Face
from profiles.text.inert import dxf_text

CANNOT = (
    "line widths: the layers tell what a line is",
    "fills: the outline of a filled shape is drawn, a white ground left out",
    "clips: everything is drawn whole",
    "Bezier curves: drawn as straight lines within 0.01 mm",
    "letters the faces lack are shown as a replacement mark",
)

TOLERANCE = 0.01
"""How far the straight lines of a flattened curve may leave it, in mm."""

LAYER_COLOURS = (7, 1, 5, 3, 6, 4, 2)
"""Colour numbers (ACI) given to the layers in turn; 7 is black on white or white on black."""

_FONT_FILES = {False: "NotoSans-Regular.ttf", True: "NotoSans-Bold.ttf"}
_ALIGN = {"left": 0, "middle": 1, "right": 2}

Tag = tuple[int, str]
"""A DXF group: its code and its value as text."""


def write_dxf(drawing: Drawing) -> Written:
    """Return a drawing as a DXF file, in its own coordinates."""
    surface = DxfSurface()
    replay(drawing, surface)
    layers = ["0", *dict.fromkeys(_layer_name(name) for name in drawing.layers())]
    tags = [
        (999, "Platebook. Lengths are millimetres at true scale."),
        *_header(drawing.bounds() or Box(0.0, 0.0, 0.0, 0.0)),
        *_section("TABLES", _tables(layers, surface.dashes)),
        *_section("ENTITIES", surface.tags),
        (0, "EOF"),
    ]
    text = "".join(f"{code}\n{value}\n" for code, value in tags)
    return Written(text.encode("ascii"), gather(surface.losses))


class DxfSurface:
    """The entities of a DXF file as a `Surface`."""

    def __init__(self) -> None:
        self.tags: list[Tag] = []
        self.losses: list[Loss] = []
        self.dashes: dict[tuple[float, ...], str] = {}
        self._layer = "0"

    def draw_path(self, path: Path, style: Style) -> None:
        """Draw a line, an arc or a polyline."""
        if not self._has_line(style):
            return
        only = path.pieces[0] if len(path.pieces) == 1 and not path.closed else None
        if isinstance(only, LineTo):
            self._entity("LINE", style, [*_at(10, path.start), *_at(11, only.end)])
        elif isinstance(only, ArcTo) and abs(only.sweep) < 360:
            self._entity("ARC", style, _arc(path.start, only))
        else:
            self._polyline(path, style)

    def draw_circle(self, centre: Point, diameter: float, style: Style) -> None:
        """Draw a full circle."""
        if not self._has_line(style):
            return
        self._entity("CIRCLE", style, [*_at(10, centre), (40, _number(diameter / 2))])

    def draw_text(self, text: Text) -> None:
        """Draw text as text; its height is that of capitals."""
        lettering = text.lettering
        self.losses += missing_letters(lettering.face, text.words)
        turn = text.angle + (180 if text.reversed else 0)
        tags = [
            *_at(10, text.start()),
            (40, _number(lettering.cap_height)),
            (1, dxf_text(lettering.face.shown(text.words))),
            (50, _number(round(turn, 6) % 360)),
            (41, _number(lettering.condense)),
            (7, _style_name(lettering.face)),
            (71, "2" if text.reversed else "0"),
            (72, str(_ALIGN[text.anchor])),
        ]
        if text.anchor != "left":
            tags += _at(11, text.at)
        self._entity("TEXT", None, tags)

    def open_layer(self, name: str) -> None:
        """Put what follows on a layer."""
        self._layer = _layer_name(name)

    def close_layer(self) -> None:
        """Go back to layer 0."""
        self._layer = "0"

    def open_clip(self, path: Path) -> None:
        """Report the clip: what follows is drawn whole."""
        self.losses.append(Loss("clip", "DXF cannot clip; shapes are drawn whole"))

    def close_clip(self) -> None:
        """Do nothing: see `CANNOT`."""

    def _entity(self, kind: str, style: Style | None, tags: list[Tag]) -> None:
        self.tags += [(0, kind), (8, self._layer)]
        if style and style.dash:
            self.tags.append((6, self._dash_name(style.dash)))
        self.tags += tags

    def _dash_name(self, dash: tuple[float, ...]) -> str:
        return self.dashes.setdefault(dash, f"DASH{len(self.dashes) + 1}")

    def _polyline(self, path: Path, style: Style) -> None:
        """Draw a path as a polyline; each corner says how far the way to the next bulges."""
        if any(isinstance(piece, CurveTo) for piece in path.pieces):
            self.losses.append(Loss("line", "curves become straight lines within 0.01 mm in DXF"))
        flags = [(66, "1"), *_at(10, (0.0, 0.0)), (70, "1" if path.closed else "0")]
        self._entity("POLYLINE", style, flags)
        for point, bulge in _corners(path):
            self._entity("VERTEX", None, [*_at(10, point), (42, _number(bulge))])
        self._entity("SEQEND", None, [])

    def _has_line(self, style: Style) -> bool:
        """Report a fill, and tell whether there is an outline to draw: a white ground has none."""
        if style.fill is None:
            return True
        ground = style.width is None and style.fill == WHITE
        what = "leaves out white grounds" if ground else "carries only the outlines of fills"
        self.losses.append(Loss("fill", f"DXF {what}"))
        return not ground


def _corners(path: Path) -> list[tuple[Point, float]]:
    """Return corners with the bulge of the way on: tan(sweep / 4), 0 where straight."""
    corners: list[tuple[Point, float]] = []
    for here, piece in path.steps():
        if isinstance(piece, LineTo):
            corners.append((here, 0.0))
        elif isinstance(piece, ArcTo):
            corners += _arc_corners(here, piece)
        else:
            flat = Path(here, (piece,)).flattened(TOLERANCE)
            corners += [(start, 0.0) for start, _ in pairwise(flat)]
    end = path.pieces[-1].end
    if path.closed and _is_same(end, path.start):
        return corners
    return [*corners, (end, 0.0)]


def _arc_corners(here: Point, piece: ArcTo) -> list[tuple[Point, float]]:
    """Return the corners of an arc in halves of it, since a whole turn has no bulge."""
    radius, start = radius_of(here, piece), angle_of(piece.centre, here)
    middle = point_at(piece.centre, radius, start + piece.sweep / 2)
    bulge = tan(radians(piece.sweep / 2) / 4)
    return [(here, bulge), (middle, bulge)]


def _is_same(one: Point, other: Point) -> bool:
    return abs(one[0] - other[0]) < 1e-9 and abs(one[1] - other[1]) < 1e-9


def _arc(start: Point, piece: ArcTo) -> list[Tag]:
    """Return the groups of an arc, which DXF always draws anticlockwise."""
    first, last = angle_of(piece.centre, start), angle_of(piece.centre, piece.end)
    if piece.sweep < 0:
        first, last = last, first
    ends = [(50, _number(first % 360)), (51, _number(last % 360))]
    return [*_at(10, piece.centre), (40, _number(radius_of(start, piece))), *ends]


def _header(bounds: Box) -> list[Tag]:
    tags: list[Tag] = [
        (9, "$ACADVER"),
        (1, "AC1009"),
        (9, "$INSUNITS"),
        (70, "4"),
        (9, "$EXTMIN"),
        *_at(10, (bounds.left, bounds.bottom)),
        (9, "$EXTMAX"),
        *_at(10, (bounds.right, bounds.top)),
    ]
    return _section("HEADER", tags)


def _tables(layers: list[str], dashes: dict[tuple[float, ...], str]) -> list[Tag]:
    types = [_linetype("CONTINUOUS", ())]
    types += [_linetype(name, dash) for dash, name in dashes.items()]
    colours = [LAYER_COLOURS[number % len(LAYER_COLOURS)] for number in range(len(layers))]
    listed = [_layer(name, colour) for name, colour in zip(layers, colours, strict=True)]
    return [
        *_table("LTYPE", types),
        *_table("LAYER", listed),
        *_table("STYLE", [_text_style(face) for face in FACES]),
    ]


def _linetype(name: str, dash: tuple[float, ...]) -> list[Tag]:
    lengths = [-length if number % 2 else length for number, length in enumerate(dash)]
    head = [(0, "LTYPE"), (2, name), (70, "0"), (3, ""), (72, "65"), (73, str(len(dash)))]
    return [*head, (40, _number(sum(dash))), *[(49, _number(length)) for length in lengths]]


def _layer(name: str, colour: int) -> list[Tag]:
    return [(0, "LAYER"), (2, name), (70, "0"), (62, str(colour)), (6, "CONTINUOUS")]


def _text_style(face: Face) -> list[Tag]:
    head = [(0, "STYLE"), (2, _style_name(face)), (70, "0"), (40, "0"), (41, "1"), (50, "0")]
    return [*head, (71, "0"), (42, "2.5"), (3, _FONT_FILES[face.bold]), (4, "")]


def _style_name(face: Face) -> str:
    return "BOLD" if face.bold else "STANDARD"


def _table(name: str, entries: list[list[Tag]]) -> list[Tag]:
    inner = [tag for entry in entries for tag in entry]
    return [(0, "TABLE"), (2, name), (70, str(len(entries))), *inner, (0, "ENDTAB")]


def _section(name: str, tags: list[Tag]) -> list[Tag]:
    return [(0, "SECTION"), (2, name), *tags, (0, "ENDSEC")]


def _at(code: int, point: Point) -> list[Tag]:
    """Return the groups of a point: x, y ten codes on, z twenty on."""
    return [(code, _number(point[0])), (code + 10, _number(point[1])), (code + 20, "0.0")]


def _number(value: float) -> str:
    text = decimal(value, 6)
    return text if "." in text else f"{text}.0"


def _layer_name(name: str) -> str:
    """Return a name of the letters DXF R12 allows in names, at most 31."""
    kept = "".join(c if c.isascii() and (c.isalnum() or c in "$_-") else "_" for c in name)
    return kept[:31]
