"""From a device and its legends to labels with their places. Lengths in millimetres.

- `Legend`: words for one contact of one control, or for the control itself.
- `wanted_labels`: what the layout is asked for; `place_legends`: the whole way to the answer.

Where a legend goes depends on its control: a title and a push-button's legend on a side that the
row shares; a rotary's two directions left and right of it, each with room for an arrow; a
selector's positions around the knob at their angles and its title on the far side; a latching
control's `off` opposite its `on`, which stands above or to the right.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import NamedTuple

from profiles.lettering import REGULAR
from profiles.model.control import ControlValue, Rotary, Selector
from profiles.model.device import Device, Engraving, Plate
from profiles.plate.fit import Lettering, measure
from profiles.plate.label_requests import SIDES, Clearances, LabelRequest, Place, Placement
from profiles.plate.legibility import preferred_height, readable_height
from profiles.plate.outlines import outline_of, outlines_of, rotated_box, screws_of
from profiles.plate.placement import place_labels
from profiles.plate.shapes import Box, Shape, inset
from profiles.plate.spacing import ControlOutline

__all__ = [
    "Legend",
    "heights",
    "label_id",
    "obstacles_of",
    "place_legends",
    "position_angle",
    "wanted_labels",
]

POSITION_STEP = 30.0
"""Angle between two positions of a selector, degrees; common practice, no source."""

_FULL_TURN = 360.0

_ORDERS: tuple[tuple[Place, ...], ...] = (
    SIDES,
    ("below", "above", "right", "left"),
    ("right", "left", "below", "above"),
)
"""Sides by series, so that several titles' legends keep apart by position."""

_TURNS: Mapping[str, tuple[Place, ...]] = {
    "anticlockwise": ("left", "below-left", "above-left"),
    "clockwise": ("right", "below-right", "above-right"),
}

_ENDS: Mapping[str, tuple[Place, ...]] = {
    "on": ("above", "above-right", "above-left", "right"),
    "off": ("below", "below-left", "below-right", "left"),
}
"""Places of the two ends of a latching control, pair by pair on opposite sides of it: `on` never
stands under `off`, nor to the left of it (up and right switch on: IEC 60447, from memory)."""

_OTHER = {"anticlockwise": "clockwise", "clockwise": "anticlockwise", "on": "off", "off": "on"}
"""The contact whose label is placed together with that of a contact."""


class Legend(NamedTuple):
    """Words to print for a contact; for the control itself where `contact` is empty."""

    control: str
    contact: str
    text: str
    series: int = 0
    """Counts the titles whose legends share the plate, from 0."""


def label_id(legend: Legend) -> str:
    """The id of a legend's label: control, contact where it has one, series beyond the first."""
    name = f"{legend.control}.{legend.contact}" if legend.contact else legend.control
    return f"{name}#{legend.series + 1}" if legend.series else name


def heights(plate: Plate) -> tuple[float, float]:
    """Wanted and least readable capital height on this plate, mm."""
    least = readable_height(plate.viewing_distance)
    wanted = plate.label_height or preferred_height(plate.viewing_distance)
    return max(wanted, least), least


def wanted_labels(device: Device, legends: Iterable[Legend]) -> tuple[LabelRequest, ...]:
    """The labels to place for these legends. Raises KeyError for an unknown control."""
    fittings = {fitting.id: fitting for fitting in outlines_of(device)}
    legends = tuple(legends)
    ids = {label_id(legend) for legend in legends}
    return tuple(_wanted(device, legend, fittings[legend.control], ids) for legend in legends)


def obstacles_of(device: Device, lettering: Lettering = REGULAR) -> tuple[Shape, ...]:
    """Everything on the plate that a label must not meet: fronts, holes, screws, engravings."""
    shapes: list[Shape] = []
    for fitting in outlines_of(device):
        shapes.append(fitting.front)
        if inset(fitting.hole, fitting.front) < 0:
            shapes.append(fitting.hole)
    shapes.extend(screw.head for screw in screws_of(device.plate))
    shapes.extend(engraving_box(one, lettering) for one in device.plate.engravings)
    return tuple(shapes)


def engraving_box(engraving: Engraving, lettering: Lettering = REGULAR) -> Box:
    """The upright box around fixed words on the plate, in one line."""
    measured = measure(engraving.text, lettering, max_lines=1)
    one, height = measured.breaks[0], engraving.height
    size = one.widest * height, measured.depth(len(one.lines)) * height
    return rotated_box(engraving.position, size, engraving.rotation)


def place_legends(
    device: Device,
    legends: Iterable[Legend],
    lettering: Lettering = REGULAR,
    manner: Clearances | None = None,
) -> Placement:
    """Place the legends on the device's plate. Raises KeyError for an unknown control."""
    return place_labels(
        wanted_labels(device, legends),
        outline_of(device.plate),
        obstacles_of(device, lettering),
        lettering,
        manner or Clearances(edge=device.plate.edge),
    )


def position_angle(selector: Selector, number: int) -> float:
    """Angle of a position counted from 1, degrees clockwise from straight up.

    Without angles of its own a selector has its positions evenly around straight up.
    """
    step = selector.step_angle
    if step is None:
        step = min(POSITION_STEP, _FULL_TURN / selector.positions)
    first = selector.first_angle
    if first is None:
        first = -step * (selector.positions - 1) / 2
    return first + step * (number - 1)


def _wanted(device: Device, legend: Legend, fitting: ControlOutline, ids: set[str]) -> LabelRequest:
    control = device.controls[legend.control]
    wanted, least = heights(device.plate)
    places, series = _sides(control, legend, ids)
    partner = "" if _is_by_hand(control, legend) else _partner(legend, ids)
    return LabelRequest(
        id=label_id(legend),
        text=legend.text,
        front=fitting.front,
        wanted=wanted,
        least=least,
        places=places,
        priority=0 if legend.contact and legend.contact != control.main_contact else 1,
        series=series,
        partner=partner,
        angle=_angle(control, legend.contact),
        at=control.label_at if places == ("by-hand",) else None,
        mark=legend.contact in _TURNS,
    )


def _sides(control: ControlValue, legend: Legend, ids: set[str]) -> tuple[tuple[Place, ...], str]:
    """The places allowed for a legend, and the series it keeps in line with."""
    order = _ORDERS[legend.series % len(_ORDERS)]
    name = f"{legend.series}"
    if legend.contact in _TURNS:
        return _TURNS[legend.contact], ""
    if legend.contact.startswith("position-"):
        return ("around",), ""
    if legend.contact in _ENDS and not _is_by_hand(control, legend) and _partner(legend, ids):
        return _ENDS[legend.contact], ""
    if legend.contact == "off":
        return (order[1], order[0], *order[2:]), f"{name} off"
    if legend.contact == "press" and isinstance(control, Rotary):
        return (order[1], order[0], *order[2:]), f"{name} press"
    if control.label_at is not None and legend.series == 0:
        return ("by-hand",), ""
    if control.label_place is not None and legend.series == 0:
        return (control.label_place,), name
    if isinstance(control, Selector) and _has_dial(legend, ids):
        return (order[1], order[0], *order[2:]), f"{name} dial"
    return order, name


def _is_by_hand(control: ControlValue, legend: Legend) -> bool:
    """Whether the file says where the legend of a latching control's main contact goes."""
    placed = control.label_at is not None or control.label_place is not None
    return legend.contact in _ENDS and legend.series == 0 and placed


def _has_dial(legend: Legend, ids: set[str]) -> bool:
    """Whether positions of the same selector stand around it, leaving its title the far side."""
    return any(label.startswith(f"{legend.control}.position-") for label in ids)


def _partner(legend: Legend, ids: set[str]) -> str:
    """The label of the other direction, or of the other end, where it is wanted too."""
    if legend.contact not in _OTHER:
        return ""
    partner = label_id(legend._replace(contact=_OTHER[legend.contact]))
    return partner if partner in ids else ""


def _angle(control: ControlValue, contact: str) -> float:
    if not isinstance(control, Selector) or not contact.startswith("position-"):
        return 0.0
    return position_angle(control, int(contact.removeprefix("position-")))
