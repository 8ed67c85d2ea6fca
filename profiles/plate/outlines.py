"""From a device of the model to the shapes of its plate. Lengths in millimetres.

- `outline_of`, `outlines_of`, `screws_of`: what checks and sheets measure.
- `centres_of`: control positions, for rows and order.
"""

from math import cos, radians, sin

from profiles.model.control import Control
from profiles.model.device import Device, Plate
from profiles.plate.shapes import Box, Disc, Rounded, Shape, box_around
from profiles.plate.spacing import ControlOutline, Screwhead


def outline_of(plate: Plate) -> Rounded:
    """The plate's outline, its lower left at the origin."""
    return Rounded(Box(0.0, 0.0, plate.width, plate.height), plate.corner_radius)


def shape_at(
    position: tuple[float, float], size: float | tuple[float, float], rotation: float = 0.0
) -> Shape:
    """A disc for a diameter, a box for width and height turned by `rotation` degrees."""
    if isinstance(size, int | float):
        return Disc(position[0], position[1], size / 2)
    return rotated_box(position, size, rotation)


def rotated_box(position: tuple[float, float], size: tuple[float, float], rotation: float) -> Box:
    """The upright box around a rectangle turned by so many degrees; exact in steps of 90."""
    turn = radians(rotation)
    across, up = round(abs(cos(turn)), 9), round(abs(sin(turn)), 9)
    width = size[0] * across + size[1] * up
    return box_around(*position, width, size[0] * up + size[1] * across)


def control_outline(control_id: str, control: Control) -> ControlOutline:
    """A control as the plate sees it."""
    place, turn = control.position, control.rotation
    front = shape_at(place, control.front_or_hole, turn)
    return ControlOutline(control_id, control.kind, front, shape_at(place, control.hole, turn))


def outlines_of(device: Device) -> tuple[ControlOutline, ...]:
    """All controls of a device, in the order of its file."""
    return tuple(control_outline(key, control) for key, control in device.controls.items())


def screws_of(plate: Plate) -> tuple[Screwhead, ...]:
    """The mounting holes, in the order of the file."""
    heads = [shape_at(screw.position, screw.head or screw.hole) for screw in plate.screws]
    holes = [shape_at(screw.position, screw.hole) for screw in plate.screws]
    return tuple(map(Screwhead, heads, holes))


def centres_of(device: Device) -> dict[str, tuple[float, float]]:
    """Positions by control id."""
    return {key: control.position for key, control in device.controls.items()}
