"""Words on the plate's 3D model: raised, recessed, or laid in as a second body.

Letters are the closed outlines that the printed legend has, widened where the nozzle is wider than
their thinnest strokes. Lines (arrows, leaders, marks of scales) become strips as wide as the
nozzle, since a printer draws nothing narrower.
"""

from collections.abc import Iterator
from dataclasses import replace
from itertools import pairwise
from math import hypot
from typing import Any
from unicodedata import normalize

from profiles.drawing.geometry import Point
from profiles.drawing.letters import paths_of
from profiles.drawing.model3d import FACET, Letters, Slab
from profiles.drawing.paths import Path, polyline
from profiles.drawing.recorder import Drawing, Recorder
from profiles.drawing.shapes import Stroke, Text
from profiles.facts.legend_layout import LegendLayout, describe_labels, lay_out_legend
from profiles.lettering import Face
from profiles.lettering.outlines import outline_words
from profiles.model.device import Device
from profiles.sheets.label_art import choose_styles, draw_label
from profiles.sheets.legend import PRINTED_KEY, find_remarks
from profiles.sheets.plate_art import draw_engravings, draw_scales
from profiles.sheets.requests import PlateRequest
from profiles.sheets.sheet import Remark, Subject

THIN, RING = 0.064, 0.049
"""Thinnest stroke of the regular face's letters in ems (the a), and that of the ring of Å."""


def draw_words(device: Device, layout: LegendLayout) -> Drawing:
    """Everything on the plate that is words or belongs to them."""
    board = Recorder()
    draw_engravings(board, device.plate)
    draw_scales(board, device)
    styles = choose_styles(layout.names)
    for placed in layout.placement.placed:
        draw_label(board, placed, [styles[row.style] for row in layout.rows(placed)])
    return board.finish()


def add_words(
    slab: Slab, subject: Subject, request: PlateRequest
) -> tuple[Slab, list[Remark], dict[str, Any]]:
    """The slab with its words, what gave way, and facts about them."""
    device = subject.device
    layout = lay_out_legend(device, subject.links, request.labels)
    art = draw_words(device, layout)
    widened: dict[float, list[Path]] = {}
    for text in art.texts():
        widened.setdefault(widen(text, request.nozzle), []).extend(paths_of(text, "outlines"))
    strips = tuple(
        strip
        for entry in art.entries
        if isinstance(entry.shape, Stroke)
        for strip in _strips(entry.shape, request.nozzle)
    )
    is_raised = request.words == "raised"
    remarks = [
        *find_remarks(device, layout, PRINTED_KEY),
        *_judge_strokes(art, request.nozzle),
    ]
    if not is_raised and request.relief >= slab.thickness:
        shown = f"{request.relief:g} mm deep in a plate of {slab.thickness:g} mm"
        remarks.append(Remark("note", f"the words are {shown}: they go right through"))
    slab = replace(
        slab,
        words=tuple(Letters(tuple(paths), wider) for wider, paths in widened.items()),
        strips=strips,
        relief=request.relief if is_raised else -request.relief,
        is_inlaid=request.words == "inlaid",
    )
    facts = {"labels": describe_labels(layout.placement), "widened": max(widened, default=0.0)}
    return slab, remarks, facts


def _strips(stroke: Stroke, width: float) -> Iterator[Path]:
    """Closed paths around a line, piece by piece; a filled shape is one itself."""
    if stroke.style.width is None:
        yield stroke.path
        return
    points = stroke.path.flattened(FACET)
    for (ax, ay), (bx, by) in pairwise([*points, *points[: int(stroke.path.closed)]]):
        length = hypot(bx - ax, by - ay)
        if length:
            dx, dy = (bx - ax) / length * width / 2, (by - ay) / length * width / 2
            corners: list[Point] = [
                (ax - dx - dy, ay - dy + dx),
                (ax - dx + dy, ay - dy - dx),
                (bx + dx + dy, by + dy - dx),
                (bx + dx - dy, by + dy + dx),
            ]
            yield polyline(corners, closed=True)


def _judge_strokes(art: Drawing, nozzle: float) -> Iterator[Remark]:
    """The narrowest strokes of letters, where a nozzle cannot draw them."""
    found = [(stroke_width(text), text) for text in art.texts()]
    narrow = [(width, text.words) for width, text in found if width < nozzle]
    if narrow:
        yield Remark(
            "note",
            f"strokes of the words are {min(narrow)[0]:.2f} mm wide, narrower than the nozzle of "
            f"{nozzle:g} mm, and are widened to it: raise `label_height`",
        )


def widen(text: Text, nozzle: float) -> float:
    """How far a text's edges are moved outwards so that a nozzle can draw each stroke, mm."""
    thin = RING if "\u030a" in normalize("NFD", text.words) else THIN
    lettering = text.lettering
    return round(max(0.0, nozzle - thin * lettering.em * lettering.condense) / 2, 3)


def stroke_width(text: Text) -> float:
    """Width of a text's upright strokes, mm."""
    return _stem(text.lettering.face) * text.lettering.em * text.lettering.condense


def _stem(face: Face) -> float:
    """Width of the letter l, which is a stroke alone, in ems."""
    xs = [x for contour in outline_words(face, "l") for x, _ in contour]
    return max(xs) - min(xs)
