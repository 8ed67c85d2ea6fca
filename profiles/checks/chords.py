"""Chords: refused by the application, or with a shorter one inside that acts as well."""

from collections.abc import Iterator

from profiles.checks.base import report
from profiles.facts.profile import Slot
from profiles.facts.survey import Survey
from profiles.model import DeviceContact, Finding, Related, contexts_meet


def check_refused(survey: Survey) -> Iterator[Finding]:
    """Report chords if the application takes none."""
    for link in survey.links:
        if link.application is None or link.application.application.chords:
            continue
        for slot, bindings in link.slots.items():
            if slot[0]:
                yield report(
                    "chord-refused",
                    f"`{link.application.id}` takes no chord such as {link.name_slot(slot)}",
                    f"Bind `{bindings[0].action_id}` to a single contact",
                    bindings[0].spot,
                )


def check_inside(survey: Survey) -> Iterator[Finding]:
    """Report bindings all of whose contacts are part of a longer chord.

    Each binding is looked up among the chords that hold its acting contact.
    """
    for link in survey.links:
        if link.application is not None and not link.application.application.chords:
            continue
        holding: dict[DeviceContact, list[tuple[frozenset[DeviceContact], Slot]]] = {}
        for slot in link.slots:
            if not slot[0]:
                continue
            members = frozenset((*slot[0], slot[1]))
            for contact in members:
                holding.setdefault(contact, []).append((members, slot))
        for slot, bindings in link.slots.items():
            if slot[1] not in holding:
                continue
            inner = frozenset((*slot[0], slot[1]))
            longer = [
                other
                for members, other in holding[slot[1]]
                if inner < members
                and any(
                    contexts_meet(short.action, long.action) and short.action_id != long.action_id
                    for short in bindings
                    for long in link.slots[other]
                )
            ]
            if not longer:
                continue
            action, outer = bindings[0].action_id, link.slots[longer[0]][0].action_id
            more = f" and {len(longer) - 1} more" if len(longer) > 1 else ""
            yield report(
                "chord-inside-chord" if slot[0] else "contact-inside-chord",
                f"{link.name_slot(slot)} is inside {link.name_slot(longer[0])}{more}",
                f"Make sure that `{action}` may act with `{outer}`, or bind it elsewhere",
                bindings[0].spot,
                [Related("contains it", link.slots[other][0].spot) for other in longer],
            )


CHECKS = (check_refused, check_inside)
