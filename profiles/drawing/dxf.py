"""DXF writer: one drawing in mm at true scale, for CAD, routers and laser cutters.

The file is DXF R12 in ASCII, the version every program reads, with the unit stated (`$INSUNITS` 4,
millimetres). Lines, arcs and circles stay what they are; other paths are polylines with bulges.
Each layer has a colour; words beyond ASCII are written `\\U+XXXX`.
"""

import re
from dataclasses import replace
from itertools import cycle
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
    "fills: the outline of a filled shape is drawn, a white background is skipped",
    "clips: everything is drawn whole",
    "Bezier curves: drawn as straight lines within 0.01 mm",
    "letters the faces lack are shown as a replacement mark",
)

TOLERANCE = 0.01
"""How far the straight lines of a flattened curve may leave it, in mm."""

LAYER_COLOURS = (7, 1, 5, 3, 6, 4, 2)
"""Colour numbers (ACI) given to the layers in turn; 7 is black on white or white on black."""

MACHINE_COLOURS = {"cut": 1, "engrave": 7, "mark": 5}
"""Colour numbers of layers that a machine follows: red, black and blue. Rule of thumb; what a
machine does with a colour is set at the machine, and the layers are named."""

_LONGEST = 255
"""Most characters of a string in R12 (DXF reference, string group codes)."""

_WITHIN_CODES = re.compile(r"(?<=%)(?=%)|(?<=\\)(?=.)")
"""Within each code: `%%`, or a backslash and what follows, since some programs read MTEXT codes."""

_ALIGN = {"left": 0, "middle": 1, "right": 2}

Tag = tuple[int, str]
"""A DXF group: its code and its value as text."""


def write_dxf(drawing: Drawing) -> Written:
    """Return a drawing as a DXF file, in its own coordinates."""
    surface = DxfSurface()
    replay(drawing, surface)
    bounds = drawing.bounds() or Box(0.0, 0.0, 0.0, 0.0)
    header: list[Tag] = [
        (9, "$ACADVER"),
        (1, "AC1009"),
        (9, "$INSUNITS"),
        (70, "4"),
        (9, "$EXTMIN"),
        *_at(10, (bounds.left, bounds.bottom)),
        (9, "$EXTMAX"),
        *_at(10, (bounds.right, bounds.top)),
    ]
    parts = [
        _spell([(999, "Platebook. Lengths are millimetres at true scale.")]),
        *_section("HEADER", [_spell(header)]),
        *_section("TABLES", [_spell(_tables(drawing, surface.dashes))]),
        *_section("ENTITIES", surface.parts),
        _spell([(0, "EOF")]),
    ]
    return Written("".join(parts).encode("ascii"), gather(surface.losses))


class DxfSurface:
    """The entities of a DXF file as a `Surface`."""

    def __init__(self) -> None:
        self.parts: list[str] = []
        """Text of the file, an entity or a corner of a polyline each."""
        self.losses: list[Loss] = []
        self.dashes: dict[tuple[float, ...], str] = {}
        self._layer = "0"

    def draw_path(self, path: Path, style: Style) -> None:
        """Draw a line, an arc or a polyline.

        Each corner of a polyline says how far the way to the next bulges, if it does. DXF draws
        every arc anticlockwise.
        """
        if not self._has_line(style):
            return
        only = path.pieces[0] if len(path.pieces) == 1 and not path.closed else None
        if isinstance(only, LineTo):
            self._entity("LINE", style, [*_at(10, path.start), *_at(11, only.end)])
        elif isinstance(only, ArcTo) and abs(only.sweep) < 360:
            first, last = angle_of(only.centre, path.start), angle_of(only.centre, only.end)
            if only.sweep < 0:
                first, last = last, first
            radius = (40, _number(radius_of(path.start, only)))
            ends = [(50, _number(first % 360)), (51, _number(last % 360))]
            self._entity("ARC", style, [*_at(10, only.centre), radius, *ends])
        else:
            if any(isinstance(piece, CurveTo) for piece in path.pieces):
                message = "curves become straight lines within 0.01 mm in DXF"
                self.losses.append(Loss("line", message))
            flags = [(66, "1"), *_at(10, (0.0, 0.0)), (70, "1" if path.closed else "0")]
            self._entity("POLYLINE", style, flags)
            for (x, y), bulge in _corners(path):
                place = f"10\n{_number(x)}\n20\n{_number(y)}\n30\n0.0\n"
                way = f"42\n{_number(bulge)}\n" if bulge else ""
                self.parts.append(f"0\nVERTEX\n8\n{self._layer}\n{place}{way}")
            self._entity("SEQEND", None, [])

    def draw_circle(self, centre: Point, diameter: float, style: Style) -> None:
        """Draw a full circle."""
        if self._has_line(style):
            self._entity("CIRCLE", style, [*_at(10, centre), (40, _number(diameter / 2))])

    def draw_text(self, text: Text) -> None:
        """Draw text as text, in pieces where it holds codes; its height is that of capitals."""
        lettering = text.lettering
        self.losses += missing_letters(lettering.face, text.words)
        words = lettering.face.shown(text.words)
        pieces = _pieces(words)
        if len(pieces) > 1:
            at = text.start()
            for piece in pieces:
                part = replace(text, words=piece, at=at, anchor="left")
                self.draw_text(part)
                at = part.frame(part.width, 0.0, part.width, 0.0)[0]
            return
        turn = text.angle + (180 if text.reversed else 0)
        tags = [
            *_at(10, text.start()),
            (40, _number(lettering.cap_height)),
            (1, _encoded(words)),
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
        head = [(0, kind), (8, self._layer)]
        if style and style.dash:
            name = self.dashes.setdefault(style.dash, f"DASH{len(self.dashes) + 1}")
            head.append((6, name))
        self.parts.append(_spell([*head, *tags]))

    def _has_line(self, style: Style) -> bool:
        """Report a fill, and tell whether there is an outline: a white background has none."""
        if style.fill is None:
            return True
        is_background = style.width is None and style.fill == WHITE
        what = "skips white backgrounds" if is_background else "carries only the outlines of fills"
        self.losses.append(Loss("fill", f"DXF {what}"))
        return not is_background


def _pieces(words: str) -> list[str]:
    """Return words in pieces none of which holds a whole code or is longer than R12 allows.

    Escaped codes would come to life again in readers that first decode letters by number.
    """
    pieces: list[str] = []
    for part in _WITHIN_CODES.split(words):
        pieces.append("")
        is_short = len(_encoded(part)) <= _LONGEST
        for letter in [part] if is_short else part:
            if len(_encoded(pieces[-1] + letter)) > _LONGEST:
                pieces.append("")
            pieces[-1] += letter
    return pieces


def _encoded(words: str) -> str:
    """Return words in ASCII; a caret by itself is a caret and a space (DXF reference)."""
    return dxf_text(words).replace("\\U+005E", "^ ")


def _corners(path: Path) -> list[tuple[Point, float]]:
    """Return corners with the bulge of the way on: tan(sweep / 4), 0 where straight.

    Arcs go in two halves, since a whole turn has no bulge.
    """
    corners: list[tuple[Point, float]] = []
    for here, piece in path.steps():
        if isinstance(piece, ArcTo):
            radius, start = radius_of(here, piece), angle_of(piece.centre, here)
            middle = point_at(piece.centre, radius, start + piece.sweep / 2)
            bulge = tan(radians(piece.sweep / 2) / 4)
            corners += [(here, bulge), (middle, bulge)]
        else:
            flat = Path(here, (piece,)).flattened(TOLERANCE)
            corners += [(point, 0.0) for point in flat[:-1]]
    end, start_at = path.pieces[-1].end, path.start
    if path.closed and max(abs(end[0] - start_at[0]), abs(end[1] - start_at[1])) < 1e-9:
        return corners
    return [*corners, (end, 0.0)]


def _tables(drawing: Drawing, dashes: dict[tuple[float, ...], str]) -> list[Tag]:
    """Return the tables of line types, layers and styles of lettering.

    A drawing without text names no font that a reader would miss.
    """
    types: list[list[Tag]] = []
    for dash, name in {(): "CONTINUOUS", **dashes}.items():
        lengths = [-length if number % 2 else length for number, length in enumerate(dash)]
        head = [(0, "LTYPE"), (2, name), (70, "0"), (3, ""), (72, "65"), (73, str(len(dash)))]
        marks = [(49, _number(length)) for length in lengths]
        types.append([*head, (40, _number(sum(dash))), *marks])
    names = ["0", *dict.fromkeys(map(_layer_name, drawing.layers()))]
    listed = [
        [
            *((0, "LAYER"), (2, name), (70, "0")),
            *((62, str(MACHINE_COLOURS.get(name, colour))), (6, "CONTINUOUS")),
        ]
        for name, colour in zip(names, cycle(LAYER_COLOURS), strict=False)
    ]
    styles = []
    for face in FACES if drawing.texts() else ():
        head = [(0, "STYLE"), (2, _style_name(face)), (70, "0"), (40, "0"), (41, "1"), (50, "0")]
        file = "NotoSans-Bold.ttf" if face.bold else "NotoSans-Regular.ttf"
        styles.append([*head, (71, "0"), (42, "2.5"), (3, file), (4, "")])
    tags: list[Tag] = []
    for title, entries in (("LTYPE", types), ("LAYER", listed), ("STYLE", styles)):
        tags += [(0, "TABLE"), (2, title), (70, str(len(entries)))]
        tags += [tag for entry in entries for tag in entry]
        tags.append((0, "ENDTAB"))
    return tags


def _section(name: str, parts: list[str]) -> list[str]:
    return [_spell([(0, "SECTION"), (2, name)]), *parts, _spell([(0, "ENDSEC")])]


def _spell(tags: list[Tag]) -> str:
    return "".join(f"{code}\n{value}\n" for code, value in tags)


def _style_name(face: Face) -> str:
    return "BOLD" if face.bold else "STANDARD"


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
