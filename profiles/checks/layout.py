"""Fronts, holes and screws on the plate: what overlaps, crowds, sticks out or is covered."""

from collections.abc import Iterator
from typing import TYPE_CHECKING

from profiles.checks.base import by_device, quote, report
from profiles.facts.device import DeviceFacts
from profiles.model import Finding, Hole, Related
from profiles.text.prose import count

if TYPE_CHECKING:
    from profiles.plate.moves import Place
    from profiles.plate.spacing import Close

UNITS = {"cm": 10, "inches": 25.4, "m": 1000}
"""Units that a plate's size may be written in by mistake, in mm."""


@by_device
def check_places(device: DeviceFacts) -> Iterator[Finding]:
    """Report controls whose centre is that of an earlier one."""
    for control, other in device.doubles.items():
        yield report(
            "controls-share-place",
            f"`{other}` and `{control}` sit in one place",
            _move(device, control),
            device.mounted_spot(control, "position"),
            [Related(f"`{other}` sits there", device.mounted_spot(other, "position"))],
        )


@by_device
def check_edges(device: DeviceFacts) -> Iterator[Finding]:
    """Report controls beyond the outline of the plate, or too near to it."""
    from profiles.plate.outlines import outline_of
    from profiles.plate.spacing import find_near_edge, find_off_plate

    plate = device.device.plate
    outline = outline_of(plate)
    off = find_off_plate(device.fittings, outline)
    centres = [device.mounted[one.id].position for one in off]
    beyond = sum(not (0 <= x <= plate.width and 0 <= y <= plate.height) for x, y in centres)
    for unit, factor in UNITS.items() if 2 * beyond > len(device.fittings) > 1 else ():
        sizes = {"width": plate.width * factor, "height": plate.height * factor}
        if not find_off_plate(device.fittings, outline_of(plate.model_copy(update=sizes))):
            written = ", ".join(f"`{key} = {size:g}`" for key, size in sizes.items())
            yield report(
                "control-off-plate",
                f"{count(len(off), 'control')} of {len(device.fittings)} stick out of the "
                f"plate, as if its size were in {unit}",
                f"Write it in mm: {written}",
                device.spot("plate", "width"),
            )
            off = []
            break
    for control, distance in off:
        yield report(
            "control-off-plate",
            f"`{control}` sticks out of the plate by {-distance:.1f} mm",
            _move(device, control),
            device.mounted_spot(control, "position"),
            [Related("the plate", device.spot("plate"))],
        )
    for control, distance in find_near_edge(device.fittings, outline, plate.edge):
        yield report(
            "control-near-edge",
            f"`{control}` is {distance:.1f} mm from the edge, {plate.edge:g} mm kept free",
            _move(device, control),
            device.mounted_spot(control, "position"),
        )


@by_device
def check_fronts(device: DeviceFacts) -> Iterator[Finding]:
    """Report fronts that overlap, each later one once, and kinds that are closer than advised."""
    from profiles.plate.spacing import find_close_fronts

    for control, pairs in device.overlaps.items():
        other, distance = _closest_to(control, pairs)
        yield report(
            "fronts-overlap",
            f"`{other}` and `{control}` overlap by {-distance:.1f} mm{_more(pairs)}",
            _move(device, control, other),
            device.mounted_spot(control, "position"),
            _relate(device, control, pairs),
        )
    by_kinds: dict[str, list[Close]] = {}
    for pair in find_close_fronts(device.standing):
        kinds = sorted(device.controls[key].kind for key in pair[:2])
        by_kinds.setdefault(" and ".join(kinds), []).append(pair)
    for both, pairs in by_kinds.items():
        worst = min(pairs, key=lambda pair: pair.distance)
        first, second = device.in_order(worst.first, worst.second)
        advised = worst.wanted.distance
        yield report(
            "controls-close",
            f"`{first}` and `{second}` are {worst.distance:.1f} mm apart, "
            f"{advised:g} mm advised{_more(pairs)}",
            _move(device, second, first, is_spaced=True),
            device.spot("controls"),
            [
                Related(
                    f"`{pair.first}` and `{pair.second}` are {pair.distance:.1f} mm apart",
                    device.mounted_spot(pair.second, "position"),
                )
                for pair in pairs
            ],
            about=both,
        )


@by_device
def check_holes(device: DeviceFacts) -> Iterator[Finding]:
    """Report holes that show beside their front, and holes that leave too little between them."""
    from profiles.plate.spacing import LEAST_WEB, find_close_holes, find_wide_holes

    for control, excess in find_wide_holes(device.fittings):
        yield report(
            "hole-beyond-front",
            f"the hole of `{control}` shows {excess:.1f} mm beside its front",
            "Correct the hole or the front",
            device.mounted_spot(control, "hole"),
            [Related("the front", device.mounted_spot(control, "front"))],
        )
    close = find_close_holes(device.standing, LEAST_WEB)
    crossed = [pair for pair in close if pair.distance < -1e-6]
    for control, pairs in device.group_pairs(crossed).items():
        other, distance = _closest_to(control, pairs)
        yield report(
            "holes-overlap",
            f"the holes of `{other}` and `{control}` overlap by {-distance:.1f} mm{_more(pairs)}",
            _move(device, control, other),
            device.mounted_spot(control, "hole"),
            _relate(device, control, pairs),
        )
    apart = [pair for pair in close if pair.distance >= -1e-6]
    for control, pairs in device.group_pairs(apart).items():
        other, distance = _closest_to(control, pairs)
        yield report(
            "holes-close",
            f"{max(distance, 0.0):.1f} mm remain between the holes of `{other}` and "
            f"`{control}`{_more(pairs)}",
            _move(device, control, other),
            device.mounted_spot(control, "position"),
            _relate(device, control, pairs),
        )


def _move(
    device: DeviceFacts, control: str, other: str | None = None, *, is_spaced: bool = False
) -> str:
    """Where to move a control or fixture onto the plate, or away from another; or that one, where
    it alone finds room. Where that is about distances that are advised, it may be accepted."""
    at = {one: device.mounted[one].position for one in (control, other) if one}
    place = device.moves.find_fitting(control, at.get(other or ""), is_spaced=is_spaced)
    if other and (place is None or place.size):
        instead = device.moves.find_fitting(other, at[control], is_spaced=is_spaced)
        if instead and not instead.size:
            control, place = other, instead
    return _advise(f"`{control}`", place, ", or accept it" if is_spaced else "")


def _advise(name: str, place: "Place | None", otherwise: str = "") -> str:
    """What to do with something whose place is wrong, or otherwise."""
    if place is None:
        return f"Take {name} off the plate, where nothing more fits{otherwise}"
    where = f"[{place.at[0]:g}, {place.at[1]:g}]{otherwise}"
    if place.size is None:
        return f"Move {name} by {place.distance:.1f} mm, to {where}"
    size = f"{place.size[0]:g} by {place.size[1]:g} mm"
    why = ": no place nearby is free" if place.is_crowded else ""
    return f"Enlarge the plate to {size} and move {name} to {where}{why}"


def _closest_to(control: str, pairs: "list[Close]") -> tuple[str, float]:
    """The nearest partner of a control, and how far off it is, mm."""
    worst = min(pairs, key=lambda pair: pair.distance)
    return worst.first if worst.second == control else worst.second, worst.distance


def _more(pairs: "list[Close]") -> str:
    """How many pairs there are beside the one that is told."""
    return f", {count(len(pairs) - 1, 'pair')} more" if len(pairs) > 1 else ""


def _relate(device: DeviceFacts, control: str, pairs: "list[Close]") -> list[Related]:
    """Where the partners of a control in these pairs stand."""
    names = [pair.first if pair.second == control else pair.second for pair in pairs]
    return [Related(f"`{name}`", device.mounted_spot(name, "position")) for name in names]


@by_device
def check_screws(device: DeviceFacts) -> Iterator[Finding]:
    """Report screws that a front covers, and those whose hole cuts into another."""
    plate = device.device.plate
    if not plate.screws:
        return
    from profiles.plate.outlines import screws_of
    from profiles.plate.spacing import find_crossed_screws, find_screws_under_fronts

    screws = screws_of(plate)
    for place, partner, overlap in find_crossed_screws(device.standing, screws):
        if isinstance(partner, int):
            name, there = f"screw {partner + 1}", device.spot("plate", "screws", partner)
            source = plate.screws[partner].position
        else:
            name, there = f"`{partner}`", device.mounted_spot(partner, "hole")
            source = device.mounted[partner].position
        yield report(
            "holes-overlap",
            f"the holes of {name} and screw {place + 1} overlap by {overlap:.1f} mm",
            _advise(f"screw {place + 1}", device.moves.find_screw(place, source)),
            device.spot("plate", "screws", place),
            [Related(f"the hole of {name}", there)],
            about=name.strip("`"),
        )
    for place, control in find_screws_under_fronts(device.fittings, screws):
        source = device.mounted[control].position
        yield report(
            "screw-under-front",
            f"screw {place + 1} lies under `{control}`",
            _advise(f"screw {place + 1}", device.moves.find_screw(place, source)),
            device.spot("plate", "screws", place),
            [Related(f"`{control}`", device.mounted_spot(control, "position"))],
            about=control,
        )


@by_device
def check_engravings(device: DeviceFacts) -> Iterator[Finding]:
    """Report engraved words that run into a front, a hole or a screw, or off the plate."""
    plate = device.device.plate
    if not plate.engravings:
        return
    from profiles.plate.labels import engraving_boxes
    from profiles.plate.outlines import outline_of, screws_of
    from profiles.plate.shapes import inset
    from profiles.plate.spacing import find_near

    outline = outline_of(plate)
    things = [
        (f"the {name} of `{one.id}`", shape, device.mounted_spot(one.id, "position"))
        for one in device.fittings
        for name, shape in (("front", one.front), ("hole", one.hole))
    ]
    things += [
        (f"screw {at + 1}", screw.head, device.spot("plate", "screws", at))
        for at, screw in enumerate(screws_of(plate))
    ]
    boxes = [engraving_boxes(engraving) for engraving in plate.engravings]
    owners = [place for place, own in enumerate(boxes) for _ in own]
    shapes = [*(shape for _, shape, _ in things), *(box for own in boxes for box in own)]
    met_by: list[set[int]] = [set() for _ in boxes]
    for thing, other, _ in find_near(shapes, -1e-6):
        if thing < len(things) <= other:
            met_by[owners[other - len(things)]].add(thing)
    for place, engraving in enumerate(plate.engravings):
        words = quote(engraving.text)
        met = [(things[thing][0], things[thing][2]) for thing in sorted(met_by[place])]
        source = things[min(met_by[place])][1].centre if met else None
        beyond = -min(inset(box, outline) for box in boxes[place])
        if beyond > 0:
            met.insert(0, (f"the edge of the plate by {beyond:.1f} mm", device.spot("plate")))
        if met:
            yield report(
                "engraving-crossed",
                f"{words} runs into {met[0][0]}",
                _advise("the words", device.moves.find_words(place, source)),
                device.spot("plate", "engravings", place, "position"),
                [Related(name, spot) for name, spot in met],
            )


@by_device
def check_countersinks(device: DeviceFacts) -> Iterator[Finding]:
    """Report countersinks that are as deep as the plate is thick, or deeper."""
    plate = device.device.plate
    holes = [
        (f"`{key}`", one.hole, device.mounted_spot(key, "hole"))
        for key, one in device.mounted.items()
    ]
    holes += [
        (f"screw {place + 1}", screw.hole, device.spot("plate", "screws", place, "hole"))
        for place, screw in enumerate(plate.screws)
    ]
    for name, hole, spot in holes:
        if not isinstance(hole, Hole) or hole.countersink is None:
            continue
        depth = hole.countersink.depth(hole.sides[0])
        if depth >= plate.thickness:
            yield report(
                "countersink-through",
                f"the countersink of {name} is {depth:.1f} mm deep, "
                f"the plate is {plate.thickness:g} mm thick",
                "Choose a smaller countersink or a thicker plate",
                spot,
                [Related("the thickness", device.spot("plate", "thickness"))],
            )


CHECKS = (
    check_places,
    check_edges,
    check_fronts,
    check_holes,
    check_screws,
    check_engravings,
    check_countersinks,
)
