"""Contacts on wires: bits of the shift-register chain, contacts wired twice or by half, commons
that one line cannot reach, and controls that report nothing."""

from collections.abc import Iterator

from profiles.checks.base import Check, report
from profiles.facts.device import DeviceFacts
from profiles.facts.survey import Survey
from profiles.model import ControlValue, Finding, Page, Related, Rotary
from profiles.text.prose import join_words

BIT_OUTSIDE = Page(
    code="bit-outside",
    severity="error",
    title="A contact sits at a bit that the shift-register chain lacks",
    what="A contact names a bit beyond the length of the chain, or there is no chain.",
    why="The bit is never shifted in, so the contact never reads.",
    example='[wiring.chain]\nlatch = "7"\nclock = "8"\ndata = "9"\nlength = 16\n\n'
    "[controls.horn]\nbit = 17",
    remedy="Correct the bit, or the length of the chain.",
)

BIT_SHARED = Page(
    code="bit-shared",
    severity="error",
    title="Two contacts sit at one bit of the shift-register chain",
    what="Two contacts name the same bit.",
    why="They are in parallel: the board sees one contact, pressed while either is.",
    example="[controls.horn]\nbit = 3\n[controls.bell]\nbit = 3",
    remedy="Move one of them to a free bit.",
)

WIRED_TWICE = Page(
    code="wired-twice",
    severity="error",
    title="A contact is wired in two ways",
    what="A contact has more than one of a crossing, a pin of its own, and a bit.",
    why="Only one of them is read, and the other wire joins lines that should be apart.",
    example='[controls.horn]\ncrossing = [1, 1]\npin = "7"',
    remedy="Keep the wiring that is soldered, and remove the other.",
)

ROTARY_HALF_WIRED = Page(
    code="rotary-half-wired",
    severity="error",
    title="A rotary has one of its two channels wired",
    what="One direction of a rotary has a place in the wiring, or an input number, and the other "
    "has none.",
    why="The direction is read from both channels together; with one there is none to tell.",
    example='[controls.trim]\nkind = "rotary"\npins = { clockwise = "5" }',
    remedy="Give the other direction its place and its number.",
    source="Common practice, no source: the two channels of an incremental encoder run in Gray "
    "sequence 00, 01, 11, 10",
)

CONTROL_WITHOUT_INPUT = Page(
    code="control-without-input",
    severity="note",
    title="A control has no input at all",
    what="None of a control's contacts has an input number, while other controls of the device "
    "have theirs.",
    why="It takes a hole and a label, and whatever is done to it, the host sees nothing.",
    example="[controls.horn]\ninput = 1\n[controls.bell]   # no input",
    remedy="Give it an input number or a place in the numbered wiring.",
)

COMMON_SPLIT = Page(
    code="common-split",
    severity="warning",
    title="The contacts of one control share no line",
    what="The contacts of a selector or a changeover toggle, or the two channels of a rotary, sit "
    "on several rows and on several columns.",
    why="They meet in one common terminal, and one terminal takes one line. Soldered to two lines "
    "it joins them, and every contact of the one reads on the other too. Only a control with a "
    "pole of its own for each line can be wired so.",
    example='[controls.mode]\nkind = "selector"\npositions = 4\n'
    "crossings = { position-1 = [1, 1], position-2 = [1, 2], position-3 = [2, 1], "
    "position-4 = [2, 2] }",
    remedy="Move its contacts to one row or to one column, or accept it where the control has a "
    "pole for each line.",
    source="Common practice, no source",
)

_WAYS = ("crossing", "pin", "bit")


def check_bits(survey: Survey) -> Iterator[Finding]:
    """Report bits that the chain lacks, and bits of two contacts."""
    for device in survey.devices:
        chain = device.device.wiring.chain
        first: dict[int, tuple[str, str]] = {}
        for control, value in device.controls.items():
            for contact, bit in value.bit_by_contact.items():
                if chain is None or bit > chain.length:
                    yield _describe_outside(device, control, contact, bit)
                owner = first.setdefault(bit, (control, contact))
                if owner != (control, contact):
                    yield _describe_shared(device, owner, (control, contact), bit)


def _describe_outside(device: DeviceFacts, control: str, contact: str, bit: int) -> Finding:
    chain = device.device.wiring.chain
    name = device.name(control, contact)
    has = "there is no chain" if chain is None else f"the chain has {chain.length}"
    return report(
        BIT_OUTSIDE,
        f"{name} sits at bit {bit}, {has}",
        "Correct the bit, or the length of the chain"
        if chain
        else "Describe the shift-register chain",
        device.spot_of(control, "bit", contact),
        [] if chain is None else [Related("its length", device.spot("wiring", "chain", "length"))],
    )


def _describe_shared(
    device: DeviceFacts, owner: tuple[str, str], other: tuple[str, str], bit: int
) -> Finding:
    one, two = device.name(*owner), device.name(*other)
    return report(
        BIT_SHARED,
        f"{one} and {two} share bit {bit}",
        f"Move {two} to a free bit",
        device.spot_of(other[0], "bit", other[1]),
        [Related(f"{one} sits there", device.spot_of(owner[0], "bit", owner[1]))],
    )


def check_ways(survey: Survey) -> Iterator[Finding]:
    """Report contacts that are wired in more than one way."""
    for device in survey.devices:
        for control, value in device.controls.items():
            for contact in value.contacts:
                ways = [way for way in _WAYS if contact in getattr(value, f"{way}_by_contact")]
                if len(ways) > 1:
                    yield _describe_ways(device, control, contact, ways)


def _describe_ways(device: DeviceFacts, control: str, contact: str, ways: list[str]) -> Finding:
    kept, *others = (device.spot_of(control, way, contact) for way in ways)
    return report(
        WIRED_TWICE,
        f"{device.name(control, contact)} has {join_words([f'a {way}' for way in ways])}",
        "Keep the one that is soldered, and remove the other",
        kept,
        [Related("is wired here too", other) for other in others],
    )


def check_halves(survey: Survey) -> Iterator[Finding]:
    """Report rotaries of which one channel is wired, or numbered, and the other is not."""
    for device in survey.devices:
        for control, value in device.controls.items():
            if not isinstance(value, Rotary):
                continue
            for what, has in (("wired", _wired(value)), ("numbered", value.input_by_contact)):
                ways = [way for way in ("clockwise", "anticlockwise") if way in has]
                if len(ways) == 1:
                    yield report(
                        ROTARY_HALF_WIRED,
                        f"`{control}` is {what} {ways[0]} only",
                        "Give the other direction its place and its number",
                        device.spot("controls", control),
                        about=what,
                    )


def check_commons(survey: Survey) -> Iterator[Finding]:
    """Report controls whose contacts cannot share one common terminal."""
    for device in survey.devices:
        if not device.device.wiring.rows:
            continue
        from profiles.wiring.commons import find_torn

        for control in find_torn(device.circuit):
            yield _describe_torn(device, control)


def _describe_torn(device: DeviceFacts, control: str) -> Finding:
    placed = device.controls[control].crossing_by_contact
    places = [at for contact, at in placed.items() if contact != "press"]
    rows, columns = (len({at[axis] for at in places}) for axis in (0, 1))
    return report(
        COMMON_SPLIT,
        f"`{control}` is on {rows} rows and {columns} columns, its common takes one line",
        "Move its contacts to one row or one column",
        device.spot_of(control, "crossing", next(iter(placed))),
    )


def _wired(value: ControlValue) -> set[str]:
    return {*value.crossing_by_contact, *value.pin_by_contact, *value.bit_by_contact}


def check_silent(survey: Survey) -> Iterator[Finding]:
    """Report controls that no input number reaches; those that a profile binds are told there."""
    for device in survey.devices:
        silent = [one for one in device.controls if one not in device.contacts]
        if not silent or not device.inputs:
            continue
        used = {one[:2] for link in survey.links_of(device.id) for one in link.used}
        for control in silent:
            if (device.id, control) not in used:
                yield report(
                    CONTROL_WITHOUT_INPUT,
                    f"`{control}` has no input",
                    "Give it an input number, or a place in the numbered wiring",
                    device.spot("controls", control),
                )


CHECKS = (
    Check(check_bits, (BIT_OUTSIDE, BIT_SHARED)),
    Check(check_ways, (WIRED_TWICE,)),
    Check(check_halves, (ROTARY_HALF_WIRED,)),
    Check(check_commons, (COMMON_SPLIT,)),
    Check(check_silent, (CONTROL_WITHOUT_INPUT,)),
)
