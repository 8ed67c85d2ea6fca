"""From a device and its legends to labels with their places. Lengths in millimetres.

- `Legend`: words for one contact of one control, or for the control itself.
- `request_labels`: what the layout is asked for; `place_legends`: the whole way to the answer;
  `legends_fit`: only whether all is shown.

Where a legend goes depends on its control: a heading and a push-button's legend on a side that the
row shares; a rotary's two directions left and right of it, each with room for an arrow; a
selector's positions around the knob at their angles and its heading on the far side; a latching
control's `off` opposite its `on`, which goes above or to the right; of three positions the
centre beside. Of two knobs on one axis the outer has its words above, the inner below.
"""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterable, Mapping
from functools import lru_cache
from math import ceil, cos, radians, sin
from typing import TYPE_CHECKING, Any, NamedTuple, TypeVar

from profiles.lettering import REGULAR, Face
from profiles.plate.fit import Lettering, measure
from profiles.plate.label_requests import SIDES, Clearances, LabelRequest, Place, Placement
from profiles.plate.legibility import preferred_height, readable_height
from profiles.plate.outlines import outline_of, outlines_of, rotated_box, screws_of, upright
from profiles.plate.scales import scale_box
from profiles.plate.shapes import Rectangle, Shape, inset
from profiles.plate.spacing import ControlOutline
from profiles.text.sign_words import set_signs

if TYPE_CHECKING:
    from profiles.model.control import Control, Selector
    from profiles.model.device import Device, Engraving, Plate

Answer = TypeVar("Answer")

POSITION_STEP = 30.0
"""Angle between two positions of a selector, degrees; rule of thumb."""

_FULL_TURN = 360.0

_MOST_KEPT = 300
"""Of plates of more labels the last few alone are kept, so that all stay below some 50 MB."""

_ORDERS: tuple[tuple[Place, ...], ...] = (
    SIDES,
    ("below", "above", "right", "left"),
    ("right", "left", "below", "above"),
)
"""Sides by series, so that the legends of several applications keep apart by position."""

_TURNS: Mapping[str, tuple[Place, ...]] = {
    "anticlockwise": ("left", "below-left", "above-left"),
    "clockwise": ("right", "below-right", "above-right"),
}

_SHARED: tuple[Mapping[str, tuple[Place, ...]], ...] = (
    {
        "anticlockwise": ("above-left", "left"),
        "clockwise": ("above-right", "right"),
        "": ("above", "above-left", "above-right", "right", "left"),
    },
    {
        "anticlockwise": ("below-left", "left"),
        "clockwise": ("below-right", "right"),
        "": ("below", "below-left", "below-right", "right", "left"),
    },
)
"""Places where two knobs share an axis: the words of the outer one above, of the inner one below,
where there is room. Rule of thumb."""

_ENDS: Mapping[str, tuple[Place, ...]] = {
    "on": ("above", "above-right", "above-left", "right"),
    "off": ("below", "below-left", "below-right", "left"),
}
"""Places of the two ends of a latching control, pair by pair on opposite sides of it: `on` is never
under `off`, nor to the left of it (up and right switch on: IEC 60447, unverified)."""

_WAYS: Mapping[str, float] = {
    "up": 0.0,
    "up-right": 45.0,
    "right": 90.0,
    "down-right": 135.0,
    "down": 180.0,
    "down-left": 225.0,
    "left": 270.0,
    "up-left": 315.0,
    "centre": 90.0,
}
"""Angle of each way of a hat, and of a toggle's positions, degrees clockwise from straight up."""

_OTHER = {"anticlockwise": "clockwise", "clockwise": "anticlockwise", "on": "off", "off": "on"}
"""The contact whose label is placed together with that of a contact."""


class Legend(NamedTuple):
    """Words to print for a contact; for the control itself where `contact` is empty."""

    control: str
    contact: str
    text: str
    series: int = 0
    """Counts the applications whose legends share the plate, from 0."""
    short: str = ""
    """Shorter words given by hand, for where the text finds no place; empty for none."""
    alone: str = ""
    """What is left without the rows that give way first; empty if nothing does."""


def label_id(legend: Legend) -> str:
    """The id of a legend's label: control, contact where it has one, series beyond the first."""
    name = f"{legend.control}.{legend.contact}" if legend.contact else legend.control
    return f"{name}#{legend.series + 1}" if legend.series else name


def heights(plate: Plate) -> tuple[float, float]:
    """Wanted and least readable capital height on this plate, mm."""
    least = readable_height(plate.viewing_distance)
    wanted = plate.label_height or preferred_height(plate.viewing_distance)
    return max(wanted, least), least


def request_labels(device: Device, legends: Iterable[Legend]) -> tuple[LabelRequest, ...]:
    """The labels to place for these legends. Raises KeyError for an unknown control."""
    fronts = fronts_of(device)
    legends = tuple(legends)
    ids = {label_id(legend) for legend in legends}
    wanted, least = heights(device.plate)
    requests = []
    for legend in legends:
        control = device.controls[legend.control]
        partner = ""
        has_place = control.label_at is not None or control.label_place is not None
        is_by_hand = legend.contact in _ENDS and legend.series == 0 and has_place
        if legend.contact in _OTHER and not is_by_hand:
            partner = label_id(legend._replace(contact=_OTHER[legend.contact]))
            partner = partner if partner in ids else ""
        places, series = _places(legend, control, partner, ids)
        if legend.control in device.concentric:
            places = _SHARED[1].get(legend.contact, _SHARED[1][""])
        elif legend.control in device.concentric.values():
            places = _SHARED[0].get(legend.contact, _SHARED[0][""])
        is_main = legend.contact in ("", control.main_contact)
        angle = _WAYS.get(legend.contact, 0.0)
        if control.kind == "selector" and legend.contact.startswith("position-"):
            angle = position_angle(control, int(legend.contact.removeprefix("position-")))
        request = LabelRequest(
            id=label_id(legend),
            text=legend.text,
            short=legend.short,
            alone=legend.alone,
            front=fronts[legend.control],
            wanted=wanted,
            least=least,
            places=places,
            priority=1 if is_main else 0,
            series=series,
            partner=partner,
            angle=angle,
            at=control.label_at if places == ("by-hand",) else None,
            mark=legend.contact in _TURNS,
        )
        requests.append(request)
    return tuple(requests)


def fronts_of(device: Device) -> dict[str, Shape]:
    """What of each control is seen on the plate: its front, or the hole where that is wider; with
    the scale of an axis, which its own labels stay clear of too."""
    found: dict[str, Shape] = {}
    for outline in outlines_of(device):
        if outline.id not in device.controls:
            continue
        seen = _seen(outline)
        scale = scale_box(device.controls[outline.id], heights(device.plate)[1])
        found[outline.id] = (
            Rectangle(*map(min, seen.bounds[:2], scale[:2]), *map(max, seen.bounds[2:], scale[2:]))
            if scale
            else seen
        )
    return found | {inner: found[outer] for inner, outer in device.concentric.items()}


def obstacles_of(device: Device, lettering: Lettering = REGULAR) -> tuple[Shape, ...]:
    """What a label must not meet beside fronts: fixtures, screws and engravings."""
    fixtures = [_seen(outline) for outline in outlines_of(device) if outline.id in device.fixtures]
    heads = [upright(screw.head) for screw in screws_of(device.plate)]
    boxes = [box for words in device.plate.engravings for box in engraving_boxes(words, lettering)]
    return (*fixtures, *heads, *boxes)


def _seen(outline: ControlOutline) -> Shape:
    """The front as labels are placed around it; the hole where that is wider."""
    is_covered = inset(outline.hole, outline.front) >= -1e-9
    return upright(outline.front if is_covered else outline.hole)


def engraving_boxes(engraving: Engraving, lettering: Lettering = REGULAR) -> tuple[Rectangle, ...]:
    """Upright boxes around fixed words on the plate, in one line: one, or several along words that
    stand neither level nor upright."""
    measured = measure(set_signs(engraving.text), lettering, max_lines=1)
    line, height = measured.breaks[0], engraving.height
    width, depth = line.widest * height, measured.depth(line) * height
    parts = 1 if engraving.rotation % 90 == 0 else ceil(width / depth)
    (x, y), turn = engraving.position, radians(engraving.rotation)
    found = []
    for part in range(parts):
        aside = width * ((part + 0.5) / parts - 0.5)
        at = (x + aside * cos(turn), y + aside * sin(turn))
        found.append(rotated_box(at, (width / parts, depth), engraving.rotation))
    return tuple(found)


def place_legends(
    device: Device,
    legends: Iterable[Legend],
    lettering: Face = REGULAR,
    clearances: Clearances | None = None,
) -> Placement:
    """Place the legends on the device's plate. Raises KeyError for an unknown control."""
    from profiles.plate.placement import place_labels  # late: only a sheet or check needs it

    return _ask(place_labels, device, legends, lettering, clearances)


def legends_fit(device: Device, legends: Iterable[Legend], lettering: Face = REGULAR) -> bool:
    """Whether `place_legends` shows all words as wanted, told faster. Raises as that does."""
    from profiles.plate.placement import labels_fit  # late: only a check needs it

    return _ask(labels_fit, device, legends, lettering)


def _ask(
    question: Callable[..., Answer],
    device: Device,
    legends: Iterable[Legend],
    lettering: Face,
    clearances: Clearances | None = None,
) -> Answer:
    """What a function of `plate.placement` answers for these legends."""
    labels = request_labels(device, legends)
    plate = (
        labels,
        outline_of(device.plate),
        tuple(fronts_of(device).values()),
        lettering,
        clearances or Clearances(edge=device.plate.edge),
        obstacles_of(device, lettering),
    )
    place = place_again if len(labels) <= _MOST_KEPT else place_large_again
    answer: Answer = place(question, *plate)
    return answer


@lru_cache(maxsize=128)
def place_again(question: Callable[..., Any], *plate: Hashable) -> Any:
    """What `plate.placement` answers of a plate, kept: checks, sheets and screen ask the same, and
    most changes of a library leave most plates as they were."""
    return question(*plate)


@lru_cache(maxsize=6)
def place_large_again(question: Callable[..., Any], *plate: Hashable) -> Any:
    """The same of plates of many labels."""
    return question(*plate)


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


def _places(
    legend: Legend, control: Control, partner: str, ids: set[str]
) -> tuple[tuple[Place, ...], str]:
    """The places allowed for a legend, and the series it keeps in line with."""
    contact = legend.contact
    order = _ORDERS[legend.series % len(_ORDERS)]
    opposite = (order[1], order[0], *order[2:])
    name = f"{legend.series}"
    if contact in _TURNS:
        return _TURNS[contact], ""
    if contact.startswith("position-") or contact in _WAYS:
        return ("around",), ""
    if partner:
        return _ENDS[contact], ""
    if contact == "pull":
        return order, f"{name} pull"
    if contact == "off" or (contact == "press" and control.kind == "rotary"):
        return opposite, f"{name} {contact}"
    if control.label_at is not None and legend.series == 0:
        return ("by-hand",), ""
    if control.label_place is not None and legend.series == 0:
        return (control.label_place,), name
    dial = f"{legend.control}.position-"
    if control.kind == "selector" and any(label.startswith(dial) for label in ids):
        return opposite, f"{name} dial"
    return order, name
