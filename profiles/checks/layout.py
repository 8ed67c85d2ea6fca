"""Bodies, holes and screws on the plate: what overlaps, crowds, sticks out or is covered."""

from collections.abc import Iterator
from typing import TYPE_CHECKING

from profiles.checks.base import Check, report
from profiles.facts.device import DeviceFacts
from profiles.facts.survey import Survey
from profiles.model import Finding, Page, Related
from profiles.text.prose import count

if TYPE_CHECKING:
    from profiles.plate.spacing import Close

LEAST_WEB = 1.5
"""Least material between two holes, mm. Common practice, no source."""

FRONTS_OVERLAP = Page(
    code="fronts-overlap",
    severity="error",
    title="Two fronts overlap",
    what="The fronts of two controls cover a part of the plate twice.",
    why="They cannot both be mounted, though their holes can be drilled: it shows only when "
    "the plate is made.",
    example="[controls.horn]\nposition = [30.0, 40.0]\nbody = 18.0\n\n[controls.bell]\n"
    "position = [44.0, 40.0]\nbody = 18.0",
    remedy="Move the controls apart, or choose smaller ones.",
)

CONTROLS_CLOSE = Page(
    code="controls-close",
    severity="note",
    title="Controls are closer than recommended for their kinds",
    what="The edges of two fronts are nearer to each other than published tables recommend for "
    "their kinds. It is edge to edge, not centre to centre.",
    why="A finger on one touches the other. The tables speak of consoles used in a hurry; a "
    "small box on a desk may well be closer, knowingly.",
    example="[controls.horn]\nposition = [30.0, 40.0]\nbody = 18.0\n\n[controls.bell]\n"
    "position = [55.0, 40.0]   # 7 mm between the edges, 13 mm recommended\nbody = 18.0",
    remedy="Move them apart, or accept it knowingly.",
    source="NUREG-0700 Rev.3, Table 11.5; FHWA ATIS guidelines, chapter 4; MIL-STD-1472E, "
    "Table VII",
)

CONTROL_OFF_PLATE = Page(
    code="control-off-plate",
    severity="error",
    title="A control sticks out of the plate",
    what="The hole or the front of a control reaches beyond the outline of the plate.",
    why="The hole breaks the edge, or the front hangs over it. Mostly a position was taken from "
    "another corner, or in inches.",
    example="[plate]\nwidth = 200.0\n\n[controls.horn]\nposition = [198.0, 40.0]\nhole = 16.2",
    remedy="Move the control onto the plate, or enlarge the plate.",
)

CONTROL_NEAR_EDGE = Page(
    code="control-near-edge",
    severity="warning",
    title="A control is too near the edge of the plate",
    what="The hole or front of a control reaches into the strip along the edge that the plate "
    "keeps free.",
    why="A frame, lip or lid bears there, and thin material breaks out when drilled.",
    example="[plate]\nedge = 3.0\n\n[controls.horn]\nposition = [10.0, 40.0]\nbody = 18.0   # 1 mm",
    remedy="Move the control inwards, or lower `edge` if nothing bears there.",
    source="The strip is the owner's own figure; 3 mm where none is given: common practice, no "
    "source",
)

HOLE_BEYOND_FRONT = Page(
    code="hole-beyond-front",
    severity="warning",
    title="A hole is larger than the front that should cover it",
    what="The hole of a control shows beside its front.",
    why="The control falls through or shows a gap. Mostly the two figures are swapped.",
    example="[controls.horn]\nhole = 22.3\nbody = 18.0",
    remedy="Correct the hole or the front.",
)

HOLES_CLOSE = Page(
    code="holes-close",
    severity="warning",
    title="Two holes leave little material between them",
    what=f"Less than {LEAST_WEB:g} mm of plate remains between two holes.",
    why="The web breaks when drilled, or bends when a button is pressed.",
    example="[controls.horn]\nposition = [30.0, 40.0]\nhole = 22.0\n\n[controls.bell]\n"
    "position = [53.0, 40.0]\nhole = 22.0   # 1 mm left",
    remedy="Move the holes apart.",
    source="Common practice, no source",
)

SCREW_UNDER_FRONT = Page(
    code="screw-under-front",
    severity="error",
    title="A screw lies under a front",
    what="The head of a mounting screw and the front of a control cover the same part of the "
    "plate.",
    why="The control will not sit flat, and the screw cannot be turned once it is mounted.",
    example="[[plate.screws]]\nposition = [30.0, 48.0]\nhole = 3.2\nhead = 6.0\n\n"
    "[controls.horn]\nposition = [30.0, 40.0]\nbody = 18.0",
    remedy="Move the screw or the control.",
)


def check_layout(survey: Survey) -> Iterator[Finding]:
    """Report everything that is wrong with where things stand on a plate."""
    for device in survey.devices:
        yield from _check_edges(device)
        yield from _check_fronts(device)
        yield from _check_holes(device)
        yield from _check_screws(device)


def _check_edges(device: DeviceFacts) -> Iterator[Finding]:
    from profiles.plate.outlines import outline_of
    from profiles.plate.spacing import find_near_edge, find_off_plate

    plate = device.device.plate
    outline = outline_of(plate)
    for control, distance in find_off_plate(device.fittings, outline):
        yield report(
            CONTROL_OFF_PLATE,
            f"`{control}` sticks out of the plate by {-distance:.1f} mm",
            f"Move `{control}` onto the plate, or enlarge the plate",
            device.spot("controls", control, "position"),
            [Related("the plate", device.spot("plate"))],
        )
    for control, distance in find_near_edge(device.fittings, outline, plate.edge):
        yield report(
            CONTROL_NEAR_EDGE,
            f"`{control}` is {distance:.1f} mm from the edge, {plate.edge:g} mm kept free",
            f"Move `{control}` inwards by {plate.edge - distance:.1f} mm",
            device.spot("controls", control, "position"),
        )


def _check_fronts(device: DeviceFacts) -> Iterator[Finding]:
    from profiles.plate.spacing import find_close_fronts

    for control, many in device.overlaps.items():
        worst = min(many, key=lambda one: one.distance)
        other = worst.one if worst.other == control else worst.other
        yield report(
            FRONTS_OVERLAP,
            f"`{other}` and `{control}` overlap by {-worst.distance:.1f} mm{_more(many)}",
            f"Move `{control}` away from `{other}`",
            device.spot("controls", control, "position"),
            _others(device, control, many),
        )
    kinds: dict[str, list[Close]] = {}
    for one in find_close_fronts(device.standing):
        pair = sorted(device.controls[key].__class__.__name__.lower() for key in one[:2])
        kinds.setdefault(" and ".join(pair), []).append(one)
    for pair_of_kinds, many in kinds.items():
        yield _describe_close(device, pair_of_kinds, many)


def _describe_close(device: DeviceFacts, kinds: str, many: "list[Close]") -> Finding:
    """One finding for a pair of kinds: the closest two, and how many more."""
    closest = min(many, key=lambda one: one.distance)
    first, second = device.in_order(closest.one, closest.other)
    return report(
        CONTROLS_CLOSE,
        f"`{first}` and `{second}` are {closest.distance:.1f} mm apart, "
        f"{closest.wanted.distance:g} mm advised{_more(many)}",
        f"Move them apart by {closest.wanted.distance - closest.distance:.1f} mm, "
        "or accept it knowingly",
        device.spot("controls"),
        [
            Related(
                f"`{one.one}` and `{one.other}` are {one.distance:.1f} mm apart",
                device.spot("controls", one.other, "position"),
            )
            for one in many
        ],
        about=kinds,
    )


def _more(many: "list[Close]") -> str:
    """How many pairs there are beside the one that is told."""
    return f", {count(len(many) - 1, 'pair')} more" if len(many) > 1 else ""


def _others(device: DeviceFacts, control: str, many: "list[Close]") -> list[Related]:
    """Where the partners of a control in these pairs stand."""
    names = [one.one if one.other == control else one.other for one in many]
    return [Related(f"`{name}`", device.spot("controls", name, "position")) for name in names]


def _check_holes(device: DeviceFacts) -> Iterator[Finding]:
    from profiles.plate.spacing import find_close_holes, find_wide_holes

    for control, excess in find_wide_holes(device.fittings):
        yield report(
            HOLE_BEYOND_FRONT,
            f"the hole of `{control}` shows {excess:.1f} mm beside its front",
            "Correct the hole or the front",
            device.spot("controls", control, "hole"),
            [Related("the front", device.spot("controls", control, "front"))],
        )
    close = device.group_pairs(find_close_holes(device.standing, LEAST_WEB))
    for control, many in close.items():
        worst = min(many, key=lambda one: one.distance)
        other = worst.one if worst.other == control else worst.other
        web = max(worst.distance, 0.0)
        yield report(
            HOLES_CLOSE,
            f"{web:.1f} mm remain between the holes of `{other}` and `{control}`{_more(many)}",
            f"Move `{control}` away from `{other}`",
            device.spot("controls", control, "position"),
            _others(device, control, many),
        )


def _check_screws(device: DeviceFacts) -> Iterator[Finding]:
    if not device.device.plate.screws:
        return
    from profiles.plate.outlines import screws_of
    from profiles.plate.spacing import find_screws_under_fronts

    screws = screws_of(device.device.plate)
    for place, control in find_screws_under_fronts(device.fittings, screws):
        yield report(
            SCREW_UNDER_FRONT,
            f"screw {place + 1} lies under `{control}`",
            f"Move the screw or `{control}`",
            device.spot("plate", "screws", place),
            [Related(f"`{control}`", device.spot("controls", control, "position"))],
            about=control,
        )


CHECKS = (
    Check(
        check_layout,
        (
            CONTROL_OFF_PLATE,
            CONTROL_NEAR_EDGE,
            FRONTS_OVERLAP,
            CONTROLS_CLOSE,
            HOLE_BEYOND_FRONT,
            HOLES_CLOSE,
            SCREW_UNDER_FRONT,
        ),
    ),
)
