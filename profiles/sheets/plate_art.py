"""The plate drawn from the front: outline, screw holes, control holes, fronts, fixed words.

Layers: `outline`, `holes`, `fronts`, `screws`, `engraving`; of artwork `ground`, `engraving`,
`cut-outline` and `cut-holes`.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from profiles.drawing import weights
from profiles.drawing.geometry import Box
from profiles.drawing.paths import rectangle
from profiles.drawing.recorder import Recorder
from profiles.drawing.style import BLACK, Lettering, Style
from profiles.plate.labels import heights
from profiles.plate.scales import scale_marks
from profiles.sheets.contours import draw_countersink, draw_hole
from profiles.text.sign_words import set_signs

if TYPE_CHECKING:
    from profiles.model.control_value import ControlValue
    from profiles.model.device import Device, Plate


def draw_outline(board: Recorder, plate: Plate, style: Style = weights.OUTLINE) -> None:
    """Draw the plate's edge."""
    box = Box(0.0, 0.0, plate.width, plate.height)
    with board.layer("outline"):
        board.rectangle(box, style, radius=corner_radius(plate))


def corner_radius(plate: Plate) -> float:
    """The radius of the corners, mm, never more than the plate allows."""
    return min(plate.corner_radius, plate.width / 2, plate.height / 2)


def draw_screws(board: Recorder, plate: Plate) -> None:
    """Draw mounting holes, and the heads that cover the plate."""
    with board.layer("screws"):
        for screw in plate.screws:
            draw_hole(board, screw.position, screw.hole, 0.0, weights.HOLE)
            if screw.head is not None:
                board.circle(screw.position, screw.head, weights.FRONT)
    for screw in plate.screws:
        draw_countersink(board, screw.position, screw.hole, weights.FRONT)


def draw_holes(board: Recorder, device: Device, style: Style = weights.HOLE) -> None:
    """Draw the hole of every control and fixture."""
    with board.layer("holes"):
        for fitting in device.mounted.values():
            draw_hole(board, fitting.position, fitting.hole, fitting.rotation, style)
    for fitting in device.mounted.values():
        draw_countersink(board, fitting.position, fitting.hole, style)


def draw_fronts(board: Recorder, device: Device, style: Style = weights.FRONT) -> None:
    """Draw what of every control and fixture covers the plate, where it is more than the hole."""
    with board.layer("fronts"):
        for one in (*device.controls.values(), *device.fixtures.values()):
            if one.cover is not None:
                draw_hole(board, one.position, one.cover, one.rotation, style)


def draw_engravings(board: Recorder, plate: Plate, ink: str = BLACK) -> None:
    """Draw the fixed words of the plate."""
    with board.layer("engraving"):
        for engraving in plate.engravings:
            board.text(
                engraving.position,
                set_signs(engraving.text),
                Lettering(engraving.height, ink=ink),
                anchor="middle",
                rest="middle",
                angle=engraving.rotation,
            )


def draw_scales(board: Recorder, device: Device, ink: str = BLACK) -> None:
    """Draw the marks of every axis that has a scale, words at the least readable height."""
    height = heights(device.plate)[1]
    with board.layer("engraving"):
        for control in device.controls.values():
            for mark in scale_marks(control, height):
                board.line(mark.start, mark.end, Style(weights.NARROW, ink))
                board.text(
                    mark.box.centre,
                    mark.text,
                    Lettering(height, ink=ink),
                    anchor="middle",
                    rest="middle",
                )


def draw_plate(board: Recorder, device: Device) -> None:
    """Draw everything fixed: outline, screws, holes, fronts, engravings."""
    draw_outline(board, device.plate)
    draw_screws(board, device.plate)
    draw_holes(board, device)
    draw_fronts(board, device)
    draw_engravings(board, device.plate)
    draw_scales(board, device)


def draw_artwork(board: Recorder, device: Device, bleed: float | None = None) -> None:
    """Draw the front in its own colours, and thin lines to cut along.

    With `bleed` its colour goes on so many mm beyond the plate, and its edge is not drawn.
    """
    plate = device.plate
    ink, ground = full_colour(plate.ink), full_colour(plate.colour)
    outline = rectangle(Box(0.0, 0.0, plate.width, plate.height), corner_radius(plate))
    beyond = rectangle(Box(0.0, 0.0, plate.width, plate.height).grown(bleed or 0.0))
    with board.layer("ground"):
        board.path(outline if bleed is None else beyond, weights.fill(ground))
    draw_engravings(board, plate, ink)
    draw_scales(board, device, ink)
    cut = Style(weights.HAIR, ink)
    if bleed is None:
        with board.layer("cut-outline"):
            board.path(outline, cut)
    with board.layer("cut-holes"):
        for screw in plate.screws:
            draw_hole(board, screw.position, screw.hole, 0.0, cut)
        for fitting in device.mounted.values():
            draw_hole(board, fitting.position, fitting.hole, fitting.rotation, cut)


def full_colour(colour: str) -> str:
    """A colour of a file as `#rrggbb`: `#fc0` is `#ffcc00` (CSS Color, hex notation)."""
    digits = colour[1:].lower()
    return "#" + ("".join(2 * digit for digit in digits) if len(digits) == 3 else digits)


def front_size(control: ControlValue) -> tuple[float, float]:
    """Width and height of what covers the plate, mm, rotation by quarter turns counted in."""
    size = control.front_or_hole
    width, height = size if isinstance(size, tuple) else (size, size)
    return (height, width) if round(control.rotation / 90) % 2 else (width, height)
