"""From a device of the model to the shapes of its plate. Lengths in millimetres.

- `outline_of`, `outlines_of`, `screws_of`: what checks and sheets measure; `upright`: for labels.
- `centres_of`: control positions, for rows and order.
"""

from __future__ import annotations

from math import cos, radians, sin
from typing import TYPE_CHECKING

from profiles.plate.holes import hole_shape
from profiles.plate.shapes import Outline, Polygon, Rectangle, Rounded, Shape, Union, box_around
from profiles.plate.spacing import ControlOutline, Screwhead

if TYPE_CHECKING:
    from profiles.model.control import Control
    from profiles.model.device import Device, Plate
    from profiles.model.fixture import Fixture


def outline_of(plate: Plate) -> Rounded:
    """The plate's outline, its lower left at the origin."""
    return Rounded(Rectangle(0.0, 0.0, plate.width, plate.height), plate.corner_radius)


def rotated_box(
    position: tuple[float, float], size: tuple[float, float], rotation: float
) -> Rectangle:
    """The upright box around a rectangle turned by so many degrees; exact in steps of 90."""
    turn = radians(rotation)
    across, up = round(abs(cos(turn)), 9), round(abs(sin(turn)), 9)
    width = size[0] * across + size[1] * up
    return box_around(*position, width, size[0] * up + size[1] * across)


def control_outline(key: str, mounted: Control | Fixture) -> ControlOutline:
    """A control or fixture as the plate sees it."""
    place, turn = mounted.position, mounted.rotation
    hole = front = hole_shape(place, mounted.hole, turn)
    if mounted.cover is not None:
        front = hole_shape(place, mounted.cover, turn)
    return ControlOutline(key, mounted.kind, front, hole)


def outlines_of(device: Device) -> tuple[ControlOutline, ...]:
    """What has a hole in a device's plate: controls in the order of its file, then fixtures; of
    knobs on one axis the outer one."""
    return tuple(control_outline(key, one) for key, one in device.mounted.items())


def screws_of(plate: Plate) -> tuple[Screwhead, ...]:
    """The mounting holes, in the order of the file."""
    holes = [hole_shape(screw.position, screw.hole) for screw in plate.screws]
    heads = [
        hole if screw.head is None else hole_shape(screw.position, screw.head)
        for screw, hole in zip(plate.screws, holes, strict=True)
    ]
    return tuple(map(Screwhead, heads, holes))


def upright(outline: Outline) -> Shape:
    """An outline as labels are placed around it: the box around what is turned or not convex."""
    return outline.bounds if isinstance(outline, Polygon | Union) else outline


def centres_of(device: Device) -> dict[str, tuple[float, float]]:
    """Positions by control id."""
    return {key: control.position for key, control in device.controls.items()}
