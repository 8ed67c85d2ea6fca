"""Rotaries and steps: directions that belong together, and partners that agree."""

from collections.abc import Iterator

from profiles.checks.base import Check, report
from profiles.facts.survey import LinkFacts, Survey
from profiles.model import (
    Action,
    DeviceContact,
    Finding,
    Page,
    Related,
    ResolvedBinding,
    Rotary,
    Spot,
    contexts_meet,
)
from profiles.text.suggest import closest

_STEREOTYPE = "NUREG-0700 Rev.2, 3.1.1-16 and MIL-STD-1472E, 5.4.1.2.1: clockwise to increase"

ROTARY_ONE_WAY = Page(
    code="rotary-one-way",
    severity="warning",
    title="A rotary is bound in one direction only",
    what="One direction of a rotary is bound, and with the same contacts held the other is not.",
    why="The value goes up and never down again. Mostly a line was forgotten.",
    example='[bindings]\n"trim.clockwise" = "trim-up"   # and anticlockwise?',
    remedy="Bind the other direction too.",
)

ROTARY_CROSSED = Page(
    code="rotary-crossed",
    severity="warning",
    title="A rotary turns against the common sense of turning",
    what="Clockwise is bound to a step that decreases, anticlockwise to the one that increases.",
    why="Hands expect clockwise to increase, and turn the wrong way under load. Where the two "
    "channels are soldered crosswise, swap the wires, not the bindings of every title.",
    example='[bindings]\n"trim.clockwise" = "trim-down"\n"trim.anticlockwise" = "trim-up"',
    remedy="Swap the two bindings.",
    source=_STEREOTYPE,
)

ROTARY_MISMATCHED = Page(
    code="rotary-mismatched",
    severity="warning",
    title="A rotary's two directions step different things",
    what="The step of one direction is not the partner of the step of the other.",
    why="Turning back does not undo the turn: one value runs up, another runs down.",
    example='[bindings]\n"trim.clockwise" = "trim-up"\n"trim.anticlockwise" = "flaps-down"',
    remedy="Bind a step and its partner.",
)

PARTNER_UNKNOWN = Page(
    code="partner-unknown",
    severity="error",
    title="A step names a partner that does not exist",
    what="The partner of a step is no action of the same application.",
    why="Nothing can be said about the two directions of a rotary without the pair.",
    example='[actions.trim-up]\nname = "Trim up"\nbehaviour = "step"\npartner = "trim-dwon"',
    remedy="Correct the spelling, or describe the partner.",
)

PARTNER_ONE_SIDED = Page(
    code="partner-one-sided",
    severity="warning",
    title="Two steps disagree about being partners",
    what="A step names a partner that names another action, or none.",
    why="Which of the two pairs is meant decides how rotaries are proposed and checked.",
    example='[actions.trim-up]\npartner = "trim-down"\n[actions.trim-down]\npartner = "flaps-up"',
    remedy="Let each name the other.",
)

PARTNER_SAME_WAY = Page(
    code="partner-same-way",
    severity="warning",
    title="Two partners step the same way",
    what="A step and its partner have the same direction.",
    why="One of a pair increases and the other decreases; with two alike a crossed rotary "
    "cannot be told from a right one.",
    example='[actions.trim-up]\ndirection = "increase"\npartner = "trim-down"\n'
    '[actions.trim-down]\ndirection = "increase"\npartner = "trim-up"',
    remedy="Correct one of the directions.",
    source=_STEREOTYPE,
)

Turn = tuple[tuple[DeviceContact, ...], str, str]
"""What is held, the device and the control of a rotary."""

_OTHER = {"clockwise": "anticlockwise", "anticlockwise": "clockwise"}


def check_turns(survey: Survey) -> Iterator[Finding]:
    """Report rotaries bound one way, crosswise, or to steps that do not belong together."""
    for link in survey.links:
        for turn, ways in _turns(link).items():
            if len(ways) == 1:
                yield _describe_one_way(link, turn, ways)
            else:
                yield from _check_pair(link, turn, ways["clockwise"], ways["anticlockwise"])


def _turns(link: LinkFacts) -> dict[Turn, dict[str, list[ResolvedBinding]]]:
    """Bindings of rotary directions, by what is held and turned."""
    found: dict[Turn, dict[str, list[ResolvedBinding]]] = {}
    for (held, acting), many in link.slots.items():
        if acting.contact in _OTHER and isinstance(link.control(acting), Rotary):
            ways = found.setdefault((held, acting.device, acting.control), {})
            ways[acting.contact] = many
    return found


def _describe_one_way(
    link: LinkFacts, turn: Turn, ways: dict[str, list[ResolvedBinding]]
) -> Finding:
    ((way, many),) = ways.items()
    return report(
        ROTARY_ONE_WAY,
        f"{_name(link, turn)} is bound {way} only",
        f"Bind its {_OTHER[way]} contact too",
        many[0].spot,
    )


def _name(link: LinkFacts, turn: Turn) -> str:
    held, device, control = turn
    name = link.name_slot((held, DeviceContact(device, control, "clockwise")))
    return name.replace(".clockwise`", "`")


def _check_pair(
    link: LinkFacts,
    turn: Turn,
    clockwise: list[ResolvedBinding],
    anticlockwise: list[ResolvedBinding],
) -> Iterator[Finding]:
    for one in clockwise:
        for other in anticlockwise:
            if not _comparable(one.action, other.action):
                continue
            if _mismatched(one, other):
                yield _describe_pair(ROTARY_MISMATCHED, link, turn, one, other)
            elif _ways(one.action, other.action) == ("decrease", "increase"):
                yield _describe_pair(ROTARY_CROSSED, link, turn, one, other)


def _comparable(one: Action, other: Action) -> bool:
    return one.behaviour == other.behaviour == "step" and contexts_meet(one, other)


def _mismatched(one: ResolvedBinding, other: ResolvedBinding) -> bool:
    partners = (one.action.partner, other.action.partner)
    return any(partners) and partners[0] != other.action_id and partners[1] != one.action_id


def _ways(one: Action, other: Action) -> tuple[str | None, str | None]:
    """Both directions, one that is not given taken as the opposite of the other."""
    opposite = {"increase": "decrease", "decrease": "increase", None: None}
    return one.direction or opposite[other.direction], other.direction or opposite[one.direction]


def _describe_pair(
    page: Page, link: LinkFacts, turn: Turn, one: ResolvedBinding, other: ResolvedBinding
) -> Finding:
    name = _name(link, turn)
    if page is ROTARY_CROSSED:
        message = f"{name} decreases clockwise with `{one.action_id}`"
        remedy = f"Swap `{one.action_id}` and `{other.action_id}`"
    else:
        message = f"{name} steps `{one.action_id}` against `{other.action_id}`"
        remedy = f"Bind `{one.action.partner or other.action.partner}` with its partner"
    return report(
        page,
        message,
        remedy,
        one.spot,
        [Related(f"turns it with `{other.action_id}`", other.spot)],
        about=one.action_id,
    )


def check_partners(survey: Survey) -> Iterator[Finding]:
    """Report steps whose partner does not exist, does not agree, or goes the same way."""
    for key, application in survey.applications:
        for action_id, action in application.actions.items():
            if action.partner is not None:
                yield from _check_partner(key, action_id, action, application.actions)


def _check_partner(
    key: str, action_id: str, action: Action, actions: dict[str, Action]
) -> Iterator[Finding]:
    word = action.partner or ""
    spot = Spot(key, ("actions", action_id, "partner"))
    partner = actions.get(word)
    if partner is None or word == action_id:
        near = closest(word, [one for one in actions if one != action_id])
        remedy = f"Write `{near}`" if near else f"Describe `{word}`, or name another partner"
        message = f"`{action_id}` names partner `{word}`, which is no other action"
        yield report(PARTNER_UNKNOWN, message, remedy, spot)
        return
    there = [Related("the partner", Spot(key, ("actions", word)))]
    if partner.partner != action_id:
        message = f"`{action_id}` names `{word}`, which names {_names(partner)}"
        yield report(PARTNER_ONE_SIDED, message, f"Let `{word}` name `{action_id}`", spot, there)
    elif action.direction and action.direction == partner.direction and action_id < word:
        message = f"`{action_id}` and `{word}` both {action.direction}"
        yield report(PARTNER_SAME_WAY, message, "Correct one direction", spot, there)


def _names(partner: Action) -> str:
    return f"`{partner.partner}`" if partner.partner else "no partner"


CHECKS = (
    Check(check_turns, (ROTARY_ONE_WAY, ROTARY_CROSSED, ROTARY_MISMATCHED)),
    Check(check_partners, (PARTNER_UNKNOWN, PARTNER_ONE_SIDED, PARTNER_SAME_WAY)),
)
