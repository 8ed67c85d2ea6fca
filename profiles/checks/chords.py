"""Chords: refused by the application, or with a shorter one inside that acts as well."""

from collections.abc import Iterator

from profiles.checks.base import Check, report
from profiles.facts.survey import LinkFacts, Slot, Survey
from profiles.model import DeviceContact, Finding, Page, Related, ResolvedBinding, contexts_meet

CHORD_REFUSED = Page(
    code="chord-refused",
    severity="error",
    title="A chord is bound in an application that takes none",
    what="A binding holds other contacts meanwhile, and the application cannot bind held "
    "combinations.",
    why="The application sees separate buttons: each acts on its own, and the chord's action "
    "never comes.",
    example='[application]\nchords = false\n\n[bindings]\n"shift + horn" = "fog-signal"',
    remedy="Bind a single contact instead.",
)

CHORD_INSIDE_CHORD = Page(
    code="chord-inside-chord",
    severity="warning",
    title="A chord contains another chord",
    what="All contacts of one chord are part of a longer one, and their contexts meet.",
    why="On the way to the longer chord the shorter one is complete, so it acts too. Few titles "
    "wait to see whether more is coming.",
    example='[bindings]\n"shift + horn" = "fog-signal"\n"shift + mode + horn" = "abandon-ship"',
    remedy="Choose chords of which none is part of another.",
)

CONTACT_INSIDE_CHORD = Page(
    code="contact-inside-chord",
    severity="note",
    title="A contact of a chord acts alone as well",
    what="A contact that is bound by itself is also part of a chord, and their contexts meet.",
    why="Titles differ: some hold the single action back while the chord is down, others do "
    "both. Where both act, sounding the fog signal also sounds the horn.",
    example='[bindings]\nhorn = "sound-horn"\n"shift + horn" = "fog-signal"',
    remedy="Try it in the title; bind the single action elsewhere if both act.",
)


def check_refused(survey: Survey) -> Iterator[Finding]:
    """Report chords where the application takes none."""
    for link in survey.links:
        if link.application is None or link.application.application.chords:
            continue
        for slot, many in link.slots.items():
            if slot[0]:
                yield report(
                    CHORD_REFUSED,
                    f"`{link.application.id}` takes no chord such as {link.name_slot(slot)}",
                    f"Bind `{many[0].action_id}` to a single contact",
                    many[0].spot,
                )


def check_inside(survey: Survey) -> Iterator[Finding]:
    """Report bindings all of whose contacts are part of a longer chord."""
    for link in survey.links:
        chords = [slot for slot in link.slots if slot[0]]
        if chords and (link.application is None or link.application.application.chords):
            yield from _check_inside(link, chords)


def _check_inside(link: LinkFacts, chords: list[Slot]) -> Iterator[Finding]:
    """Look up each binding among the chords that hold its acting contact."""
    holding: dict[DeviceContact, list[tuple[frozenset[DeviceContact], Slot]]] = {}
    for slot in chords:
        members = frozenset((*slot[0], slot[1]))
        for contact in members:
            holding.setdefault(contact, []).append((members, slot))
    for slot in link.slots:
        if slot[1] not in holding:
            continue
        inner = frozenset((*slot[0], slot[1]))
        longer = [
            other
            for members, other in holding[slot[1]]
            if inner < members and _meet(link.slots[slot], link.slots[other])
        ]
        if longer:
            yield _describe_inside(link, slot, longer)


def _meet(some: list[ResolvedBinding], others: list[ResolvedBinding]) -> bool:
    return any(
        contexts_meet(one.action, other.action) and one.action_id != other.action_id
        for one in some
        for other in others
    )


def _describe_inside(link: LinkFacts, slot: Slot, longer: list[Slot]) -> Finding:
    page = CHORD_INSIDE_CHORD if slot[0] else CONTACT_INSIDE_CHORD
    action = link.slots[slot][0].action_id
    outer = link.slots[longer[0]][0].action_id
    name, others = link.name_slot(slot), link.name_slot(longer[0])
    more = f" and {len(longer) - 1} more" if len(longer) > 1 else ""
    return report(
        page,
        f"{name} is inside {others}{more}",
        f"Make sure that `{action}` may act with `{outer}`, or bind it elsewhere",
        link.slots[slot][0].spot,
        [Related("contains it", link.slots[other][0].spot) for other in longer],
    )


CHECKS = (
    Check(check_refused, (CHORD_REFUSED,)),
    Check(check_inside, (CHORD_INSIDE_CHORD, CONTACT_INSIDE_CHORD)),
)
