"""Rotaries and steps: directions that belong together, and partners that agree."""

from collections.abc import Iterator

from profiles.checks.base import report
from profiles.facts.survey import Survey
from profiles.model import (
    DeviceContact,
    Finding,
    Related,
    ResolvedBinding,
    Rotary,
    Spot,
    contexts_meet,
)
from profiles.text.suggest import closest

OTHER_WAY = {"clockwise": "anticlockwise", "anticlockwise": "clockwise"}

OPPOSITE = {"increase": "decrease", "decrease": "increase", None: None}


def check_turns(survey: Survey) -> Iterator[Finding]:
    """Report rotaries bound one way, in reverse, or to steps that do not belong together."""
    for link in survey.links:
        # Bindings of both directions by what is held and what is turned.
        turns: dict[tuple[tuple[DeviceContact, ...], str, str], dict[str, list[ResolvedBinding]]]
        turns = {}
        for (held, acting), bindings in link.slots.items():
            if acting.contact in OTHER_WAY and isinstance(link.control(acting), Rotary):
                ways = turns.setdefault((held, acting.device, acting.control), {})
                ways[acting.contact] = bindings
        for (held, device, control), ways in turns.items():
            slot = (held, DeviceContact(device, control, "clockwise"))
            name = link.name_slot(slot).replace(".clockwise`", "`")
            if len(ways) == 1:
                ((way, bindings),) = ways.items()
                if any(control in str(one.spot.path[-1]) for one in link.link.loose):
                    continue
                yield report(
                    "rotary-one-way",
                    f"{name} is bound {way} only",
                    f"Bind its {OTHER_WAY[way]} contact too",
                    bindings[0].spot,
                )
                continue
            for right in ways["clockwise"]:
                for left in ways["anticlockwise"]:
                    yield from _check_pair(name, right, left)


def _check_pair(name: str, right: ResolvedBinding, left: ResolvedBinding) -> Iterator[Finding]:
    """What is wrong with the steps of the two directions, clockwise first."""
    step, back = right.action, left.action
    if not (step.behaviour == back.behaviour == "step" and contexts_meet(step, back)):
        return
    named = step.partner or back.partner
    # A direction that is not given is taken as the opposite of the other.
    ways = (
        step.direction or OPPOSITE[back.direction],
        back.direction or OPPOSITE[step.direction],
    )
    if named and step.partner != left.action_id and back.partner != right.action_id:
        code = "rotary-mismatched"
        message = f"{name} steps `{right.action_id}` against `{left.action_id}`"
        remedy = f"Bind `{named}` with its partner"
    elif ways == ("decrease", "increase"):
        code = "rotary-reversed"
        message = f"{name} decreases clockwise with `{right.action_id}`"
        remedy = f"Swap `{right.action_id}` and `{left.action_id}`"
    else:
        return
    related = [Related(f"turns it with `{left.action_id}`", left.spot)]
    yield report(code, message, remedy, right.spot, related, about=right.action_id)


def check_partners(survey: Survey) -> Iterator[Finding]:
    """Report steps whose partner does not exist, does not agree, or goes the same way."""
    for key, application in survey.applications:
        actions = application.actions
        for action_id, action in actions.items():
            word = action.partner
            if word is None:
                continue
            spot = Spot(key, ("actions", action_id, "partner"))
            partner = actions.get(word)
            there = [Related("the partner", Spot(key, ("actions", word)))]
            if partner is None or word == action_id:
                near = closest(word, [other for other in actions if other != action_id])
                yield report(
                    "partner-unknown",
                    f"`{action_id}` names partner `{word}`, which is no other action",
                    f"Write `{near}`" if near else f"Describe `{word}`, or name another partner",
                    spot,
                )
            elif partner.partner != action_id:
                named = f"`{partner.partner}`" if partner.partner else "no partner"
                yield report(
                    "partner-one-sided",
                    f"`{action_id}` names `{word}`, which names {named}",
                    f"Let `{word}` name `{action_id}`",
                    spot,
                    there,
                )
            elif action.direction and action.direction == partner.direction and action_id < word:
                yield report(
                    "partner-same-way",
                    f"`{action_id}` and `{word}` both {action.direction}",
                    "Correct one direction",
                    spot,
                    there,
                )


CHECKS = (check_turns, check_partners)
