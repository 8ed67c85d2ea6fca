"""Where a control, screw or word of a device may stand instead, so that nothing is wrong there.

Who obeys is told of no other place: a move is proposed to where the checks of the layout find
nothing, or to a plate that is wider by as much as it takes.
"""

from collections.abc import Callable, Mapping, Sequence
from functools import cached_property, partial
from math import dist
from typing import NamedTuple

from profiles.model import Device
from profiles.plate.labels import engraving_boxes
from profiles.plate.outlines import control_outline, outline_of, screws_of
from profiles.plate.ring_search import Body, find_place, find_strip
from profiles.plate.shapes import Outline, Point
from profiles.plate.spacing import (
    FARTHEST_ADVISED,
    LEAST_WEB,
    ControlOutline,
    advise_distance,
)

MOST_SEARCHES = 40
"""Places near by that are looked for on one device. With more faults than that there is hardly a
free one."""

LARGEST = 5000.0
"""Longest side of a plate, mm."""


class Place(NamedTuple):
    """Where something may stand, how far from where it does, and the width and height of plate that
    it takes where that is another one, mm; with whether nothing near by is free."""

    at: Point
    distance: float
    size: tuple[float, float] | None = None
    is_crowded: bool = False


class Moves:
    """Finds places for one device, whose controls and fixtures the plate sees as `fittings`.

    Who asks the same again gets the same answer, however much was asked between.
    """

    def __init__(self, device: Device, fittings: Sequence[ControlOutline]) -> None:
        self.device, self.fittings = device, fittings
        self.plate = device.plate
        self.outline = outline_of(self.plate)
        self.screws = screws_of(self.plate)
        self.words = [engraving_boxes(words) for words in self.plate.engravings]
        self._near: dict[tuple[str, Point | None], Point | None] = {}

    def find_fitting(
        self, key: str, source: Point | None = None, *, is_spaced: bool = False
    ) -> Place | None:
        """A place for a control or fixture, at first away from a `source`; with the distances that
        are advised, or, unless it must be `is_spaced`, without.

        None where no plate is large enough.
        """
        mounted = self.device.mounted[key]
        own = control_outline(key, mounted)

        def list_bodies(*, is_spaced: bool) -> list[Body]:
            beside = [one for one in self.fittings if one.id != key]
            fronts = [
                (one.front, advise_distance(own.kind, one.kind) if is_spaced else 0.0)
                for one in beside
            ]
            holes = [(one.hole, LEAST_WEB) for one in beside]
            screws = _keep_off([screw.hole for screw in self.screws])
            heads = _keep_off([screw.head for screw in self.screws])
            words = _keep_off(self._boxes)
            return [
                Body(own.front, self.plate.edge, [*fronts, *heads, *words]),
                Body(own.hole, self.plate.edge, [*holes, *screws, *words]),
            ]

        ways = [True] if is_spaced else [True, False]
        tried = {f"{key} {way}": partial(list_bodies, is_spaced=way) for way in ways}
        return self._find([own.front, own.hole], tried, mounted.position, source)

    def find_screw(self, place: int, source: Point) -> Place | None:
        """A place for a screw, by its place in the list, at first away from a source."""
        own = self.screws[place]

        def list_bodies() -> list[Body]:
            fronts = [one.front for one in self.fittings]
            holes = [one.hole for one in self.fittings]
            holes += [one.hole for at, one in enumerate(self.screws) if at != place]
            return [
                Body(own.head, 0.0, _keep_off([*fronts, *self._boxes])),
                Body(own.hole, 0.0, _keep_off(holes)),
            ]

        at = self.plate.screws[place].position
        return self._find([*own], {f"screw {place}": list_bodies}, at, source)

    def find_words(self, place: int, source: Point | None) -> Place | None:
        """A place for engraved words, by their place in the list, at first away from a source."""

        def list_bodies() -> list[Body]:
            others = [shape for one in self.fittings for shape in (one.front, one.hole)]
            others += [screw.head for screw in self.screws]
            return [Body(box, 0.0, _keep_off(others)) for box in self.words[place]]

        at = self.plate.engravings[place].position
        return self._find(self.words[place], {f"words {place}": list_bodies}, at, source)

    def _find(
        self,
        own: Sequence[Outline],
        tried: Mapping[str, Callable[[], Sequence[Body]]],
        at: Point,
        source: Point | None,
    ) -> Place | None:
        """The first place near by, of what is tried by a name of its own; else one beyond all."""
        is_crowded = True
        for name, list_bodies in tried.items():
            asked = name, source
            if asked not in self._near and len(self._near) < MOST_SEARCHES:
                self._near[asked] = find_place(list_bodies(), self.outline, at, source)
            if found := self._near.get(asked):
                return Place(found, dist(at, found))
            is_crowded = is_crowded and asked in self._near
        found, size = find_strip(own, self.outline, self.plate.edge, self._beyond, at)
        return None if max(size) > LARGEST else Place(found, dist(at, found), size, is_crowded)

    @cached_property
    def _boxes(self) -> list[Outline]:
        """The boxes around all engraved words."""
        return [box for boxes in self.words for box in boxes]

    @cached_property
    def _beyond(self) -> float:
        """Where a control is as far as can be advised from all else, on its right."""
        shapes = [shape for one in self.fittings for shape in (one.front, one.hole)]
        shapes += [shape for screw in self.screws for shape in screw]
        ends = (shape.bounds.right for shape in (*shapes, *self._boxes))
        return max(self.plate.width, *ends) + FARTHEST_ADVISED


def _keep_off(shapes: Sequence[Outline]) -> list[tuple[Outline, float]]:
    return [(shape, 0.0) for shape in shapes]
