"""3D model writers: a slab with openings and grooves as binary STL or 3MF, in mm.

The body is built by manifold3d, which comes with the `models` extra; without it the writers raise
an `ExtraMissingError`. Round openings become polygons of the same area as their circle, corners at
most `FACET` off it, so that volumes are those of the true circles. Arcs of outlines keep their ends
and lose at most `FACET` at the middle of a side.

STL has no unit; its numbers are mm (rule of thumb). 3MF states `millimeter` (3MF Core Specification
1.3, 3.4). The lower left corner is at the origin, the front of the plate on top. A second body, for
words of a second colour, is a part of its own in 3MF; parts are named.
"""

import io
import struct
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from math import acos, ceil, pi, sin, sqrt
from typing import Any

from profiles.drawing.geometry import Point, point_at
from profiles.drawing.paths import Path
from profiles.drawing.surface import ExtraMissingError, Loss, TooLargeError, Written

FACET = 0.005
"""How far a flat side of the body may be off the true arc, mm."""

MOST_SIDES, MOST_CUT = 900_000, 350_000
"""Triangles of one body: of one that is even all through, which take 0.3 kB of memory each, and of
one that has words, grooves or countersinks, which take 1 kB."""

_OVER = 1.0
"""How far the tool of a countersink, or of sunken words, goes on above the plate, mm."""
_TOUCH = 0.01
"""How near letters come to each other at most, mm."""
_ROOT = 0.1
"""How far raised words reach down into the plate, so that both are one body, mm."""

ONE_PART = "STL holds one part alone: the words laid in are missing there, 3MF has them"
"""What is said of words laid in."""

CANNOT = ("lines: only the outline, openings, grooves and words asked for are in the 3D model",)


@dataclass(frozen=True, slots=True)
class Disc:
    """A round opening."""

    centre: Point
    diameter: float


@dataclass(frozen=True, slots=True)
class Cone:
    """A round opening with a countersink: diameter at the top and right through, its depth, mm."""

    centre: Point
    top: float
    end: float
    depth: float


Opening = Disc | Path
"""A closed path, or a circle."""


@dataclass(frozen=True, slots=True)
class Letters:
    """Letters as closed outlines, holes of letters by the even-odd rule."""

    paths: tuple[Path, ...]
    wider: float = 0.0
    """How far each edge is moved outwards, so that no stroke is too thin to be drawn, mm."""


@dataclass(frozen=True, slots=True)
class Slab:
    """A plate of even thickness: closed outline, openings right through, grooves in its top."""

    outline: Path
    thickness: float
    openings: tuple[Opening, ...] = ()
    grooves: tuple[Path, ...] = ()
    depth: float = 0.0
    """Depth of the grooves, less than the thickness."""
    cones: tuple[Cone, ...] = ()
    """Openings with a countersink."""
    words: tuple[Letters, ...] = ()
    """Letters on its top."""
    strips: tuple[Path, ...] = ()
    """Closed paths around lines on its top."""
    relief: float = 0.0
    """How far words and strips rise above the top, or sink into it where negative, mm."""
    is_inlaid: bool = False
    """Whether sunken words are filled by a second body."""


@dataclass(frozen=True, slots=True)
class Mesh:
    """Triangles of a closed surface, corners anticlockwise seen from outside; lengths mm."""

    points: Any
    """An array of numpy: x, y and z of each point."""
    triangles: Any
    """An array of numpy: the numbers of the three points of each."""


def write_stl(slab: Slab) -> Written:
    """Return a slab as a binary STL file; a second body is left out, since STL has no parts.

    What is left out is among the losses.

    Raises:
        ExtraMissingError: where the `models` extra is not installed.
    """
    bodies = build_bodies(slab)
    mesh = bodies["plate"]
    left_out = (Loss("sheet", ONE_PART),) if "words" in bodies else ()
    import numpy

    fields = [("normal", "<f4", 3), ("corners", "<f4", (3, 3)), ("attributes", "<u2")]
    data = io.BytesIO()
    data.write(b"Platebook, lengths in mm".ljust(80) + struct.pack("<I", len(mesh.triangles)))
    for triangles in _blocks(mesh.triangles):
        corners = mesh.points[triangles]
        normals = numpy.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
        lengths = numpy.sqrt((normals**2).sum(axis=1, keepdims=True))
        numpy.divide(normals, lengths, out=normals, where=lengths > 0)
        sides = numpy.zeros(len(corners), dtype=fields)
        sides["normal"], sides["corners"] = normals, corners
        data.write(sides.tobytes())
    return Written(data.getvalue(), left_out)


def write_3mf(slab: Slab) -> Written:
    """Return a slab as a 3MF file.

    Raises:
        ExtraMissingError: where the `models` extra is not installed.
    """
    import zipfile

    buffer = io.BytesIO()
    bodies = build_bodies(slab)
    items = "".join(f'<item objectid="{number}"/>\n' for number, _ in enumerate(bodies, 1))
    with zipfile.ZipFile(buffer, "w", zipfile.ZIP_DEFLATED) as archive:

        def entry(name: str) -> zipfile.ZipInfo:
            found = zipfile.ZipInfo(name)  # its date is fixed: 1980-01-01
            found.compress_type = zipfile.ZIP_DEFLATED
            return found

        archive.writestr(entry("[Content_Types].xml"), _CONTENT_TYPES)
        archive.writestr(entry("_rels/.rels"), _RELATIONSHIPS)
        with archive.open(entry("3D/3dmodel.model"), "w") as model:
            model.write(_MODEL.encode("ascii"))
            for number, (name, mesh) in enumerate(bodies.items(), 1):
                model.write(_OBJECT.format(number=number, name=name).encode("ascii"))
                for text in _list_mesh(mesh):
                    model.write(text.encode("ascii"))
            model.write(_END.format(items=items).encode("ascii"))
    return Written(buffer.getvalue())


def _list_mesh(mesh: Mesh) -> Iterator[str]:
    """The points and triangles of a mesh as 3MF has them, piece by piece."""
    yield "<vertices>\n"
    for points in _blocks(mesh.points):
        shown = points.round(6) + 0.0  # no -0
        yield _POINT * len(shown) % tuple(shown.ravel().tolist())
    yield "</vertices>\n<triangles>\n"
    for triangles in _blocks(mesh.triangles):
        yield _SIDE * len(triangles) % tuple(triangles.ravel().tolist())
    yield "</triangles>\n</mesh>\n</object>\n"


def _blocks(rows: Any) -> Iterator[Any]:
    """So many rows of an array at a time that they take little memory."""
    return (rows[at : at + _BLOCK] for at in range(0, len(rows), _BLOCK))


def build_bodies(slab: Slab) -> dict[str, Mesh]:
    """Return the surface of a slab, and of the words laid into it where it has such, by name.

    Raises:
        ExtraMissingError: where the `models` extra is not installed.
        TooLargeError: above `MOST_SIDES`, or `MOST_CUT` where it is not even all through.
    """
    judge_sides(slab)
    try:
        import manifold3d as library
        import numpy  # noqa: F401 - its arrays hold the mesh
    except ImportError:
        raise ExtraMissingError("a 3D model", "manifold3d", "numpy") from None

    def area(contours: Sequence[Sequence[Point]]) -> Any:
        """The union of polygons, whichever way they turn."""
        turned = [_anticlockwise(contour) for contour in contours]
        return library.CrossSection(turned, library.FillRule.Positive)

    body = area([_corners(slab.outline)])
    if slab.openings:
        body -= area(
            [
                circle_corners(opening) if isinstance(opening, Disc) else _corners(opening)
                for opening in slab.openings
            ]
        )
    words = area([_corners(strip) for strip in slab.strips])
    for letters in slab.words:
        contours = [_corners(path) for path in letters.paths]
        drawn = library.CrossSection(contours, library.FillRule.EvenOdd)
        words += drawn.offset(letters.wider, library.JoinType.Miter) if letters.wider else drawn
    # What touches at a point would be an edge with four sides: it grows together there.
    words = words.offset(_TOUCH, library.JoinType.Miter).offset(-_TOUCH, library.JoinType.Round)
    words = words.simplify(_TOUCH / 10) ^ body
    body = body.extrude(slab.thickness)
    if slab.grooves:
        cutter = area([_corners(groove) for groove in slab.grooves])
        floor = slab.thickness - slab.depth
        body -= cutter.extrude(slab.thickness).translate((0.0, 0.0, floor))
    for cone in slab.cones:
        sides = side_count(cone.top / 2)
        end, top = (_same_area(sides) * across / 2 for across in (cone.end, cone.top))
        over = top + (top - end) / cone.depth * _OVER
        low, high = slab.thickness - cone.depth, slab.thickness + _OVER
        bottom = min(low, 0.0) - _OVER
        half = [(0.0, bottom), (end, bottom), (end, low), (over, high), (0.0, high)]
        body -= library.CrossSection([half]).revolve(sides).translate((*cone.centre, 0.0))
    deep = min(abs(slab.relief), slab.thickness)
    if slab.relief > 0:
        low = slab.thickness - _ROOT
        body += words.extrude(slab.relief + _ROOT).translate((0.0, 0.0, low))
    elif slab.relief < 0:
        body -= words.extrude(deep + _OVER).translate((0.0, 0.0, slab.thickness - deep))
    bodies = {"plate": body}
    if slab.relief < 0 and slab.is_inlaid:
        bodies["words"] = words.extrude(deep).translate((0.0, 0.0, slab.thickness - deep))
    return {name: _mesh_of(one) for name, one in bodies.items()}


def judge_sides(slab: Slab) -> None:
    """Refuse a body of more triangles than it may have, before it is built.

    A corner of a contour gives about four of them, one of a countersink six.

    Raises:
        TooLargeError: with the figure, and the way out.
    """
    discs = [one for one in slab.openings if isinstance(one, Disc)]
    openings = [one for one in slab.openings if not isinstance(one, Disc)]
    letters = [path for words in slab.words for path in words.paths]
    on_top = 4 * sum(len(_corners(path)) for path in (*letters, *slab.strips))
    cut = on_top * 3 // 2 if slab.is_inlaid else on_top
    cut += 4 * sum(len(_corners(path)) for path in slab.grooves)
    cut += 6 * sum(side_count(cone.top / 2) for cone in slab.cones)
    sides = 4 * sum(side_count(disc.diameter / 2) for disc in discs)
    sides += cut + 4 * sum(len(_corners(path)) for path in openings)
    most = MOST_CUT if cut else MOST_SIDES
    if sides > most:
        remedy = "Choose DXF or SVG" + (", or the plate without words." if on_top else ".")
        raise TooLargeError(
            f"a 3D model would have about {sides / 1e6:.2f} million triangles, more than "
            f"{most / 1e6:.2f} million",
            remedy,
        )


def _mesh_of(body: Any) -> Mesh:
    mesh = body.to_mesh64()
    return Mesh(mesh.vert_properties[:, :3], mesh.tri_verts)


def _same_area(count: int) -> float:
    """Return how much farther out the corners of a polygon are than the circle of its area.

    A polygon of n corners on radius R has the area n/2 R² sin(2π/n).
    """
    return sqrt(2 * pi / (count * sin(2 * pi / count)))


def circle_corners(disc: Disc) -> list[Point]:
    """Return the corners of a polygon with the area of a circle, no corner `FACET` off it."""
    radius = disc.diameter / 2
    count = side_count(radius)
    grown = radius * _same_area(count)
    return [point_at(disc.centre, grown, 360.0 * number / count) for number in range(count)]


def side_count(radius: float) -> int:
    """Return how many sides a circle needs, a multiple of 8, for `FACET` at this radius, mm."""
    if radius <= FACET:
        return 16
    return max(16, 8 * ceil(pi / acos(1 - FACET / radius) / 8))


def _anticlockwise(contour: Sequence[Point]) -> list[Point]:
    pairs = zip(contour, [*contour[1:], contour[0]], strict=True)
    doubled = sum(x0 * y1 - x1 * y0 for (x0, y0), (x1, y1) in pairs)
    return list(contour) if doubled > 0 else list(reversed(contour))


def _corners(path: Path) -> list[Point]:
    points = path.flattened(FACET)
    return points[:-1] if points[0] == points[-1] else points


_MODEL = (
    '<?xml version="1.0" encoding="UTF-8"?>\n'
    '<model unit="millimeter" xml:lang="en-US" '
    'xmlns="http://schemas.microsoft.com/3dmanufacturing/core/2015/02">\n'
    "<resources>\n"
)
_END = "</resources>\n<build>\n{items}</build>\n</model>\n"
_OBJECT = '<object id="{number}" type="model" name="{name}">\n<mesh>\n'
_POINT = '<vertex x="%.6f" y="%.6f" z="%.6f"/>\n'
_SIDE = '<triangle v1="%d" v2="%d" v3="%d"/>\n'
_BLOCK = 20_000
"""Points or triangles that are written at once."""
_CONTENT_TYPES = (
    '<?xml version="1.0" encoding="UTF-8"?>\n'
    '<Types xmlns="http://schemas.openxmlformats.org/package/2006/content-types">'
    '<Default Extension="rels" '
    'ContentType="application/vnd.openxmlformats-package.relationships+xml"/>'
    '<Default Extension="model" '
    'ContentType="application/vnd.ms-package.3dmanufacturing-3dmodel+xml"/></Types>\n'
)
_RELATIONSHIPS = (
    '<?xml version="1.0" encoding="UTF-8"?>\n'
    '<Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships">'
    '<Relationship Id="rel0" Target="/3D/3dmodel.model" '
    'Type="http://schemas.microsoft.com/3dmanufacturing/2013/01/3dmodel"/></Relationships>\n'
)
