"""The drawing board: the verbs, what they record, and replaying it on a surface.

    board = Recorder()
    with board.layer("holes"):
        board.circle((30, 90), 16.2, weights.HOLE)
    board.text((30, 78), "HORN", Lettering(3.0), anchor="middle")
    drawing = board.finish()

A `Drawing` is a frozen list of shapes, each with its layer and clips. It can be measured, carried
over by a similarity and put on another board; `replay` draws it with the verbs of any `Surface`.
"""

from collections.abc import Iterable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, replace
from itertools import groupby
from typing import Literal

from profiles.drawing import paths
from profiles.drawing.geometry import Box, Point, Transform, join_boxes
from profiles.drawing.paths import Path
from profiles.drawing.shapes import Anchor, Circle, Shape, Stroke, Text
from profiles.drawing.sign_shapes import split_signs
from profiles.drawing.style import Lettering, Style
from profiles.drawing.surface import Surface

Rest = Literal["baseline", "middle", "top"]
"""Which height of the capitals rests on the given point."""

_RISE: dict[Rest, float] = {"baseline": 0.0, "middle": 0.5, "top": 1.0}
_DEFAULT_STYLE = Style()
_DEFAULT_LETTERING = Lettering()


@dataclass(frozen=True, slots=True)
class Entry:
    """One recorded shape, the layer it is on ("" for none) and the paths that clip it."""

    shape: Shape
    layer: str = ""
    clips: tuple[Path, ...] = ()

    def transformed(self, by: Transform) -> "Entry":
        """Return the entry carried over by a similarity, its clips with it."""
        clips = tuple(clip.transformed(by) for clip in self.clips)
        return Entry(self.shape.transformed(by), self.layer, clips)


@dataclass(frozen=True, slots=True)
class Drawing:
    """What was drawn, in order."""

    entries: tuple[Entry, ...] = ()

    def bounds(self) -> Box | None:
        """Return the box of all shapes without their line widths, None for an empty drawing.

        Clips are left out of account: a clipped shape counts whole.
        """
        return join_boxes(entry.shape.bounds() for entry in self.entries)

    def ink_bounds(self) -> Box | None:
        """Return the box of all shapes with their line widths, None for an empty drawing."""
        return join_boxes(entry.shape.ink_bounds() for entry in self.entries)

    def layers(self) -> tuple[str, ...]:
        """Return the names of the layers in drawing order, each once."""
        return tuple(dict.fromkeys(entry.layer for entry in self.entries if entry.layer))

    def on_layers(self, names: Iterable[str]) -> "Drawing":
        """Return only what is on the named layers."""
        wanted = frozenset(names)
        return Drawing(tuple(entry for entry in self.entries if entry.layer in wanted))

    def texts(self) -> tuple[Text, ...]:
        """Return the texts, in order."""
        shapes = [entry.shape for entry in self.entries]
        return tuple(shape for shape in shapes if isinstance(shape, Text))

    def transformed(self, by: Transform) -> "Drawing":
        """Return the drawing carried over; a mirror truly mirrors its texts."""
        return Drawing(tuple(entry.transformed(by) for entry in self.entries))

    def readable(self) -> "Drawing":
        """Return the drawing with every text unmirrored and upright on its own spot."""
        found = [
            replace(entry, shape=entry.shape.readable()) if isinstance(entry.shape, Text) else entry
            for entry in self.entries
        ]
        return Drawing(tuple(found))


class Recorder:
    """A board that records shapes: lengths in mm, angles in degrees, y up."""

    def __init__(self) -> None:
        self._entries: list[Entry] = []
        self._layer = ""
        self._clips: tuple[Path, ...] = ()

    def finish(self) -> Drawing:
        """Return what was drawn so far."""
        return Drawing(tuple(self._entries))

    def draw(self, shape: Shape) -> None:
        """Record a shape on the layer and within the clips that are open."""
        self._entries.append(Entry(shape, self._layer, self._clips))

    def line(self, start: Point, end: Point, style: Style = _DEFAULT_STYLE) -> None:
        """Draw a straight line."""
        self.polyline((start, end), style)

    def polyline(
        self, points: Sequence[Point], style: Style = _DEFAULT_STYLE, *, closed: bool = False
    ) -> None:
        """Draw straight lines through points."""
        self.path(paths.polyline(points, closed=closed), style)

    def path(self, path: Path, style: Style = _DEFAULT_STYLE) -> None:
        """Draw a path of lines, arcs and curves."""
        self.draw(Stroke(path, style))

    def arc(
        self,
        centre: Point,
        radius: float,
        start: float,
        sweep: float,
        style: Style = _DEFAULT_STYLE,
    ) -> None:
        """Draw an arc from the direction `start` through `sweep`, anticlockwise if positive."""
        self.path(paths.arc(centre, radius, start, sweep), style)

    def circle(self, centre: Point, diameter: float, style: Style = _DEFAULT_STYLE) -> None:
        """Draw a full circle."""
        self.draw(Circle(centre, diameter, style))

    def rectangle(self, box: Box, style: Style = _DEFAULT_STYLE, *, radius: float = 0.0) -> None:
        """Draw a box, its corners rounded with `radius`."""
        self.path(paths.rectangle(box, radius), style)

    def text(
        self,
        at: Point,
        words: str,
        lettering: Lettering = _DEFAULT_LETTERING,
        *,
        anchor: Anchor = "left",
        rest: Rest = "baseline",
        angle: float = 0.0,
    ) -> None:
        """Draw one line of text; nothing is drawn for no words."""
        if not words:
            return
        drop = _RISE[rest] * lettering.cap_height
        text = Text(at, words, lettering, anchor, angle)
        self.draw(replace(text, at=text.frame(0, -drop, 0, 0)[0]) if drop else text)

    def place(self, drawing: Drawing, by: Transform | None = None) -> None:
        """Draw a finished drawing, carried over first; its layers and clips come along."""
        placed = drawing.transformed(by) if by else drawing
        for entry in placed.entries:
            layer, clips = entry.layer or self._layer, self._clips + entry.clips
            self._entries.append(Entry(entry.shape, layer, clips))

    @contextmanager
    def layer(self, name: str) -> Iterator[None]:
        """Put what follows on a layer; inner layers win."""
        outer, self._layer = self._layer, name
        try:
            yield
        finally:
            self._layer = outer

    @contextmanager
    def clip(self, path: Path) -> Iterator[None]:
        """Show what follows only within a closed path."""
        outer, self._clips = self._clips, (*self._clips, path)
        try:
            yield
        finally:
            self._clips = outer

    @contextmanager
    def carried(self, by: Transform) -> Iterator[None]:
        """Carry what follows over by a similarity; a mirror truly mirrors texts."""
        outer = self._entries, self._clips
        self._entries, self._clips = [], ()
        try:
            yield
        finally:
            inner = self.finish()
            self._entries, self._clips = outer
            self.place(inner, by)


def replay(drawing: Drawing, surface: Surface) -> None:
    """Draw a drawing with the verbs of a surface; layers and clips open and close around runs."""
    for (layer, clips), entries in groupby(
        drawing.entries, lambda entry: (entry.layer, entry.clips)
    ):
        if layer:
            surface.open_layer(layer)
        for clip in clips:
            surface.open_clip(clip)
        for entry in entries:
            shape = entry.shape
            if isinstance(shape, Text):
                for piece in split_signs(shape):
                    if isinstance(piece, Text):
                        surface.draw_text(piece)
                    else:
                        surface.draw_path(piece.path, piece.style)
            elif isinstance(shape, Circle):
                surface.draw_circle(shape.centre, shape.diameter, shape.style)
            else:
                surface.draw_path(shape.path, shape.style)
        for _ in clips:
            surface.close_clip()
        if layer:
            surface.close_layer()
