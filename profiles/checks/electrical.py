"""The switch matrix: places that do not fit, numbers that disagree with the wiring, and held
contacts that make another read false."""

from collections.abc import Iterator
from typing import TYPE_CHECKING

from profiles.checks.base import Check, report
from profiles.facts.device import DeviceFacts
from profiles.facts.survey import Survey, list_some
from profiles.model import Finding, Page, Related, Spot
from profiles.text.prose import join_words
from profiles.text.suggest import closest

if TYPE_CHECKING:
    from profiles.wiring.hazards import Hazard
    from profiles.wiring.needs import Needs

SEARCH_STEPS = 50_000
"""Steps after which the search for false readings of one combination stops; whole boxes take a
few thousand."""

MOST_TOLD = 12
"""Diodes that a remedy names, and false readings shown beside the first; the message counts all."""

MANY_DISAGREE = 3
"""From so many declared numbers on that the wiring contradicts, another way of numbering is looked
for that agrees with all."""

_MASKING = "D. Dribin, Keyboard Matrix Help 1.1 (2000), ghosting and masking"

NUMBER_DISAGREES = Page(
    code="number-disagrees",
    severity="error",
    title="A declared number is not the one that the wiring gives",
    what="A contact declares an input number, and its place in the matrix, the shift-register "
    "chain or among the pins gives another under the declared numbering.",
    why="One of the two is wrong. If it is the file, every title is bound to the wrong control; "
    "if it is the solder, the press test will show it.",
    example='[wiring]\nnumbering = "along-rows"   # 4 columns\n\n[controls.horn]\n'
    "crossing = [2, 1]\ninput = 6                  # row 2, column 1 is 5",
    remedy="Correct the number or the place, or leave the number to the numbering.",
)

CROSSING_OUTSIDE = Page(
    code="crossing-outside",
    severity="error",
    title="A crossing lies outside the matrix",
    what="A contact sits at a row or column that the wiring does not list.",
    why="There is no such wire: the contact is connected to nothing and never reads.",
    example='[wiring]\nrows = ["A0", "A1"]\ncolumns = ["2", "3"]\n\n[controls.horn]\n'
    "crossing = [3, 1]",
    remedy="Correct the crossing, or add the line to the wiring.",
)

CROSSING_SHARED = Page(
    code="crossing-shared",
    severity="error",
    title="Two contacts sit at one crossing",
    what="Two contacts join the same row and column.",
    why="They are in parallel: the board sees one contact, pressed while either is.",
    example="[controls.horn]\ncrossing = [1, 1]\n[controls.bell]\ncrossing = [1, 1]",
    remedy="Move one of them to a free crossing.",
)

DIODE_LOOSE = Page(
    code="diode-loose",
    severity="error",
    title="The list of diodes names no contact of the matrix",
    what="A name in the list of diodes is no control, nor `control.contact`, with a crossing.",
    why="The diode is taken as absent where it was meant to be, so the false readings it should "
    "prevent stay.",
    example='[wiring]\ndiodes = ["hron"]',
    remedy="Correct the name, or give the control a crossing.",
)

STATE_READS_FALSE = Page(
    code="state-reads-false",
    severity="error",
    title="Controls that stay closed make another contact read false",
    what="Latching and selector contacts, or a rotary at rest, with at most one press on top, "
    "lead the scan round about to a contact that is open, or hide one that is released.",
    why="Nobody does anything unusual: some levers are on, and a button acts by itself or does "
    "not let go. Without diodes three corners of a rectangle always show the fourth.",
    example='[wiring]\ndiodes = "none"\n\n[controls.a]\nkind = "latching"\ncrossing = [1, 1]\n'
    '[controls.b]\nkind = "latching"\ncrossing = [1, 2]\n[controls.c]\nkind = "latching"\n'
    "crossing = [2, 1]   # all on: [2, 2] reads closed",
    remedy="Add diodes at the contacts named, or move contacts to other crossings.",
    source=_MASKING,
)

CHORD_READS_FALSE = Page(
    code="chord-reads-false",
    severity="error",
    title="A chord makes another contact read false",
    what="The contacts of a chord, with levers that may be on meanwhile, lead the scan round "
    "about to a contact that is open, or hide one that is released.",
    why="The chord comes with a button that nobody pressed, or its last contact is never seen.",
    example='[bindings]\n"shift + mode + horn" = "fog-signal"   # three corners of a rectangle',
    remedy="Add diodes at the contacts named, or choose another chord.",
    source=_MASKING,
)


def check_numbers(survey: Survey) -> Iterator[Finding]:
    """Report declared numbers that the wiring contradicts."""
    for device in survey.devices:
        if device.device.wiring.numbering is None:
            continue
        disagreements = device.numbering.disagreements
        several = len(disagreements) >= MANY_DISAGREE
        other_way = _describe_other_way(device) if several else ""
        for one in disagreements:
            control, contact = one.terminal
            name = device.name(control, contact)
            yield report(
                NUMBER_DISAGREES,
                f"{name} declares input {one.declared}, its wiring gives {one.computed}",
                other_way or f"Set {name} to {one.computed}, or correct its place",
                device.input_spot(control, contact),
                [Related(f"gives {one.computed}", device.place_spot(control, contact))],
            )


def _describe_other_way(device: DeviceFacts) -> str:
    """The remedy where another way of numbering agrees with every declared number."""
    from profiles.wiring.circuit import layout_of
    from profiles.wiring.numbering import find_agreeing

    now = layout_of(device.device)
    then = find_agreeing(now)
    if then is None:
        return ""
    values = (
        ("numbering", f'"{then.along}"', then.along != now.along),
        ("first_input", str(then.first), then.first != now.first),
        ("unused", f'"{then.unused}"', then.unused != now.unused),
    )
    words = [f"wiring.{key} to {value}" for key, value, is_other in values if is_other]
    return f"Set {join_words(words)}: then every declared number agrees"


def check_crossings(survey: Survey) -> Iterator[Finding]:
    """Report contacts outside the matrix, and contacts that share a crossing."""
    for device in survey.devices:
        if device.is_wired:
            yield from _describe_outside(device)
            yield from _describe_shared(device)
            yield from _describe_diodes(device)


def _describe_outside(device: DeviceFacts) -> Iterator[Finding]:
    rows, columns = len(device.device.wiring.rows), len(device.device.wiring.columns)
    for (control, contact), (row, column) in device.circuit.outside:
        yield report(
            CROSSING_OUTSIDE,
            f"{device.name(control, contact)} sits at row {row}, column {column} of "
            f"{rows} by {columns}",
            "Correct the crossing, or add the line",
            device.spot_of(control, "crossing", contact),
            [Related("the lines", device.spot("wiring", "rows" if row > rows else "columns"))],
        )


def _describe_shared(device: DeviceFacts) -> Iterator[Finding]:
    for (row, column), (first, *others) in device.circuit.shared:
        for other in others:
            yield report(
                CROSSING_SHARED,
                f"{device.name(*first)} and {device.name(*other)} share row {row}, column {column}",
                f"Move {device.name(*other)} to a free crossing",
                device.spot_of(other.control, "crossing", other.contact),
                [
                    Related(
                        f"{device.name(*first)} sits there",
                        device.spot_of(first.control, "crossing", first.contact),
                    )
                ],
            )


def _describe_diodes(device: DeviceFacts) -> Iterator[Finding]:
    written = device.device.wiring.diodes
    for name in device.circuit.loose_diodes:
        near = closest(name, device.controls)
        place = written.index(name)
        there = name in device.controls
        yield report(
            DIODE_LOOSE,
            f"`{name}` has a diode, but no crossing",
            f"Write `{near}`" if near and not there else "Give it a crossing, or remove it",
            device.spot("wiring", "diodes", place),
        )


def check_states(survey: Survey) -> Iterator[Finding]:
    """Report, once a device, what may stay closed and with one press makes false readings."""
    for device in survey.devices:
        if _can_fail(device):
            from profiles.wiring.circuit import needs_of_device

            needs = needs_of_device(device.device, device.circuit)
            found = _search(device, needs)
            if found:
                spot = device.spot("wiring", "diodes")
                yield _describe_false(STATE_READS_FALSE, device, needs, found, spot)


def _can_fail(device: DeviceFacts) -> bool:
    """Whether the matrix could read false at all: three contacts without a diode at each."""
    wired = device.device.wiring
    if not wired.rows or not wired.columns or wired.diodes == "every":
        return False
    return len(device.circuit.places) > 2


def _search(device: DeviceFacts, needs: "Needs") -> "list[Hazard]":
    from profiles.wiring.needs import failures

    return list(failures(device.circuit.matrix, needs, SEARCH_STEPS).hazards)


def check_chords(survey: Survey) -> Iterator[Finding]:
    """Report chords that make false readings beyond those of the states alone."""
    for link in survey.links:
        devices = [device for device in link.devices if _can_fail(device)]
        for slot, many in link.slots.items() if devices else ():
            for device in devices if slot[0] else ():
                members = [one for one in (*slot[0], slot[1]) if one.device == device.id]
                pressed = frozenset((one.control, one.contact) for one in members)
                needs, found = _find_chord(device, pressed)
                if found:
                    yield _describe_false(CHORD_READS_FALSE, device, needs, found, many[0].spot)


def _find_chord(
    device: DeviceFacts, pressed: frozenset[tuple[str, str]]
) -> "tuple[Needs, list[Hazard]]":
    """False readings of one chord that do not arise without it; searched once a device."""
    if pressed not in device.chord_hazards:
        from profiles.wiring.circuit import needs_of_device
        from profiles.wiring.needs import Needs

        places = device.circuit.places
        chord = frozenset(at for who, at in places.items() if tuple(who) in pressed)
        base = needs_of_device(device.device, device.circuit)
        needs = Needs(base.steady, base.exclusive, (chord,))
        held = [one for one in _search(device, needs) if len(chord & frozenset(one.path)) > 1]
        device.chord_hazards[pressed] = (needs, held)
    return device.chord_hazards[pressed]


def _describe_false(
    page: Page, device: DeviceFacts, needs: "Needs", found: "list[Hazard]", spot: Spot
) -> Finding:
    """One finding: the shortest hazard in words, the first for every other victim beside it."""
    first = {hazard.victim: hazard for hazard in reversed(found)}
    worst = found[0]
    others = [first[victim] for victim in sorted(first) if victim != worst.victim]
    more = f", {len(others)} more likewise" if others else ""
    return report(
        page,
        f"{_describe_hazard(device, worst)}{more}",
        _describe_remedy(device, needs),
        spot,
        [
            Related(_describe_hazard(device, one), _spot_of(device, one))
            for one in (worst, *others)[:MOST_TOLD]
        ],
        about=device.id if page is CHORD_READS_FALSE else "",
    )


def _describe_hazard(device: DeviceFacts, hazard: "Hazard") -> str:
    held = list_some([_name_at(device, place) for place in hazard.path], most=5)
    return f"{held} make {_name_at(device, hazard.victim)} read false"


def _name_at(device: DeviceFacts, place: tuple[int, int]) -> str:
    return " and ".join(device.name(*who) for who in device.circuit.terminals_at(place))


def _spot_of(device: DeviceFacts, hazard: "Hazard") -> Spot:
    control, contact = device.circuit.terminals_at(hazard.victim)[0]
    return device.spot_of(control, "crossing", contact)


def _describe_remedy(device: DeviceFacts, needs: "Needs") -> str:
    from profiles.wiring.diodes import fewest_diodes

    matrix = device.circuit.matrix
    places = sorted(fewest_diodes(matrix, needs).diodes)
    if len(places) > MOST_TOLD:
        return f"Add a diode at every contact; {len(places)} of {len(matrix.crossings)} need one"
    return f"Add a diode at {join_words([_name_at(device, place) for place in places])}"


CHECKS = (
    Check(check_numbers, (NUMBER_DISAGREES,)),
    Check(check_crossings, (CROSSING_OUTSIDE, CROSSING_SHARED, DIODE_LOOSE)),
    Check(check_states, (STATE_READS_FALSE,)),
    Check(check_chords, (CHORD_READS_FALSE,)),
)
