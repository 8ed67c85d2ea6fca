"""The switch matrix: places that do not fit, numbers that disagree with the wiring, and held
contacts that make another appear pressed."""

from collections.abc import Iterator
from typing import TYPE_CHECKING

from profiles.checks.base import by_device, report
from profiles.checks.numbers import LINUX
from profiles.facts.device import DeviceFacts
from profiles.facts.survey import Survey
from profiles.model import Finding, Related, ResolvedBinding, Spot
from profiles.text.prose import count, join_words, list_some
from profiles.text.suggest import closest

if TYPE_CHECKING:
    from profiles.wiring.hazards import Hazard
    from profiles.wiring.needs import Needs

SEARCH_STEPS = 50_000
"""Steps after which the search for ghosting in one combination stops; whole boxes take a few
thousand."""

MOST_TOLD = 12
"""Diodes that a remedy names, and contacts shown beside the first; the message counts all."""

MANY_DISAGREE = 3
"""From so many declared numbers on that the wiring contradicts, another way of numbering is looked
for that agrees with all."""


@by_device
def check_numbers(device: DeviceFacts) -> Iterator[Finding]:
    """Report declared numbers that the wiring contradicts."""
    if device.device.wiring.numbering is None:
        return
    disagreements = device.numbering.disagreements
    several = len(disagreements) >= MANY_DISAGREE
    other_way = _describe_other_way(device) if several else ""
    for each in disagreements:
        control, contact = each.contact
        name = device.name(control, contact)
        is_carried = each.declared <= (device.device.device.report.buttons or LINUX)
        place = ", or correct its place" if is_carried else ""
        yield report(
            "number-disagrees",
            f"{name} declares input {each.declared}, but its wiring gives {each.computed}",
            other_way or f"Set {name} to {each.computed}{place}",
            device.input_spot(control, contact),
            [Related(f"gives {each.computed}", device.place_spot(control, contact))],
        )


def _describe_other_way(device: DeviceFacts) -> str:
    """The remedy, if another way of numbering agrees with every declared number."""
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


@by_device
def check_crossings(device: DeviceFacts) -> Iterator[Finding]:
    """Report contacts outside the matrix, contacts at one crossing, and diodes at none."""
    if not device.is_wired:
        return
    wiring, circuit = device.device.wiring, device.circuit
    rows, columns = len(wiring.rows), len(wiring.columns)
    for (control, contact), (row, column) in circuit.outside:
        yield report(
            "crossing-outside",
            f"{device.name(control, contact)} sits at row {row}, column {column} of "
            f"{rows} by {columns}",
            "Correct the crossing, or add the line",
            device.spot_of(control, "crossing", contact),
            [Related("the lines", device.spot("wiring", "rows" if row > rows else "columns"))],
        )
    for (row, column), (first, *others) in circuit.shared:
        name, spot = device.name(*first), device.spot_of(first[0], "crossing", first[1])
        for other in others:
            yield report(
                "crossing-shared",
                f"{name} and {device.name(*other)} share row {row}, column {column}",
                f"Move {device.name(*other)} to a free crossing",
                device.spot_of(other[0], "crossing", other[1]),
                [Related(f"{name} sits there", spot)],
            )
    for word in circuit.loose_diodes:
        near = closest(word, device.controls) if word not in device.controls else None
        yield report(
            "diode-without-crossing",
            f"`{word}` has a diode, but no crossing",
            f"Write `{near}`" if near else "Give it a crossing, or remove it",
            device.spot("wiring", "diodes", wiring.diodes.index(word)),
        )


@by_device
def check_states(device: DeviceFacts) -> Iterator[Finding]:
    """Report, once per device, what may stay closed and with one press makes ghosting."""
    if _can_ghost(device):
        from profiles.wiring.circuit import needs_of_device
        from profiles.wiring.needs import failures

        needs = needs_of_device(device.device, device.circuit)
        found = list(failures(device.circuit.matrix, needs, SEARCH_STEPS).hazards)
        if found:
            spot = device.spot("wiring", "diodes")
            yield _describe_ghosting("state-ghosting", device, needs, found, spot)


def _can_ghost(device: DeviceFacts) -> bool:
    """Whether anything could appear pressed at all: three contacts without a diode at each."""
    wired = device.device.wiring
    if not wired.rows or not wired.columns or wired.diodes == "every":
        return False
    return len(device.circuit.places) > 2


def check_chords(survey: Survey) -> Iterator[Finding]:
    """Report chords that make ghosting beyond that of the states alone."""
    for link in survey.links:
        devices = [device for device in link.devices if _can_ghost(device)]
        for (held, acting), bindings in link.slots.items() if devices else ():
            for device in devices if held else ():
                members = [each for each in (*held, acting) if each.device == device.id]
                pressed = frozenset((each.control, each.contact) for each in members)
                needs, found = _find_chord_hazards(device, pressed)
                if found:
                    spot = bindings[0].spot
                    yield _describe_ghosting("chord-ghosting", device, needs, found, spot)


def check_held(survey: Survey) -> Iterator[Finding]:
    """Report, once per device and profile, held actions that with one more press make ghosting."""
    for link in survey.links:
        for device in link.devices:
            if not _can_ghost(device):
                continue
            from profiles.wiring.circuit import held_presses, needs_of_device, own_contacts
            from profiles.wiring.needs import failures

            circuit = device.circuit
            chords: dict[frozenset[tuple[int, int]], ResolvedBinding] = {}
            for pressed, binding in held_presses(link.link).items():
                own = own_contacts(device.device, pressed)
                places = frozenset(circuit.places[who] for who in own if who in circuit.places)
                chords.setdefault(places, binding)
            alone = [
                frozenset(
                    circuit.places.get(who)
                    for who in own_contacts(device.device, (*slot[0], slot[1]))
                )
                for slot in link.slots
            ]
            base = needs_of_device(device.device, circuit)
            standing = base.steady.union(*base.exclusive) - base.sprung
            needs = base._replace(chords=tuple(chords))
            found, spot = [], None
            for hazard in failures(circuit.matrix, needs, SEARCH_STEPS).hazards if chords else ():
                path = frozenset(hazard.path)
                for chord, binding in chords.items():
                    by_hand = path & chord
                    if path <= chord | standing and not any(by_hand <= slot for slot in alone):
                        found.append(hazard)
                        spot = spot or binding.spot
                        break
            if spot is not None:
                yield _describe_ghosting("held-ghosting", device, needs, found, spot)


def _find_chord_hazards(
    device: DeviceFacts, pressed: frozenset[tuple[str, str]]
) -> "tuple[Needs, list[Hazard]]":
    """What one chord does to others and the states alone do not; searched once per device."""
    if pressed not in device.chord_hazards:
        from profiles.wiring.circuit import needs_of_device
        from profiles.wiring.needs import failures

        circuit = device.circuit
        chord = frozenset(at for who, at in circuit.places.items() if tuple(who) in pressed)
        needs = needs_of_device(device.device, circuit)._replace(chords=(chord,))
        found = failures(circuit.matrix, needs, SEARCH_STEPS).hazards
        held = [each for each in found if len(chord & frozenset(each.path)) > 1]
        device.chord_hazards[pressed] = (needs, held)
    return device.chord_hazards[pressed]


def _describe_ghosting(
    code: str, device: DeviceFacts, needs: "Needs", found: "list[Hazard]", spot: Spot
) -> Finding:
    """One finding: the shortest hazard in words, the first for every other victim beside it."""
    from profiles.wiring.diodes import fewest_diodes

    circuit = device.circuit

    def name_at(place: tuple[int, int]) -> str:
        return join_words([device.name(*who) for who in circuit.contacts_at(place)])

    def describe(hazard: "Hazard") -> str:
        held = list_some([name_at(place) for place in hazard.path], most=5)
        return f"{name_at(hazard.victim)} appears pressed (ghosting) while {held} are closed"

    first = {hazard.victim: hazard for hazard in reversed(found)}
    worst = found[0]
    others = [first[victim] for victim in sorted(first) if victim != worst.victim]
    more = f"; {count(len(others), 'more contact')} affected" if others else ""
    places = sorted(fewest_diodes(circuit.matrix, needs).diodes)
    related = []
    for hazard in (worst, *others)[:MOST_TOLD]:
        control, contact = circuit.contacts_at(hazard.victim)[0]
        related.append(Related(describe(hazard), device.spot_of(control, "crossing", contact)))
    return report(
        code,
        f"{describe(worst)}{more}",
        f"Add a diode at {join_words([name_at(place) for place in places])}"
        if len(places) <= MOST_TOLD
        else "Add a diode at every contact; "
        f"{len(places)} of {len(circuit.matrix.crossings)} need one",
        spot,
        related,
        about="" if code == "state-ghosting" else device.id,
    )


CHECKS = (check_numbers, check_crossings, check_states, check_chords, check_held)
