"""Bindings of one profile: clashes on a contact, actions bound too often or not at all, contacts
that nothing uses or that have no input."""

from collections import Counter
from collections.abc import Iterable, Iterator

from profiles.checks.base import Check, report
from profiles.facts.device import DeviceFacts
from profiles.facts.survey import LinkFacts, Slot, Survey, list_some
from profiles.model import (
    DeviceContact,
    Finding,
    Page,
    Related,
    ResolvedBinding,
    Spot,
    contexts_meet,
)
from profiles.text.prose import count

CONTEXTS_COLLIDE = Page(
    code="contexts-collide",
    severity="error",
    title="One contact does two actions at once",
    what="One contact, with the same others held, is bound to two actions whose contexts meet. "
    "An action without contexts is alive everywhere.",
    why="One press does both: the gear comes up and the horn sounds. Where the contexts never "
    "meet, sharing a contact is a good use of it.",
    example='[bindings]\nhorn = ["sound-horn", "menu-back"]   # `menu-back` is alive everywhere',
    remedy="Bind one of the actions elsewhere, or give it the contexts where it is alive.",
)

BINDING_REPEATED = Page(
    code="binding-repeated",
    severity="warning",
    title="One binding is written twice",
    what="The same contact is bound to the same action under two keys, or twice in one list.",
    why="It changes nothing today, and tomorrow only one of the two is edited.",
    example='[bindings]\nhorn = "sound-horn"\n"horn.press" = "sound-horn"',
    remedy="Remove one of the two.",
)

ACTION_BOUND_OFTEN = Page(
    code="action-bound-often",
    severity="error",
    title="An action is bound more often than its application takes",
    what="A profile binds an action to more inputs than the application keeps for one action.",
    why="The application forgets the earlier input when the next is set, so one of the controls "
    "is dead and nobody is told which.",
    example='[application]\ninputs_per_action = 1\n\n[bindings]\nhorn = "sound-horn"\n'
    'bell = "sound-horn"',
    remedy="Remove bindings until the application can take them all.",
)

MUST_UNBOUND = Page(
    code="must-unbound",
    severity="error",
    title="An action that must be bound is not",
    what='A profile binds nothing to an action of `need = "must"`.',
    why="The title cannot be used from the box without it, by the owner's own word.",
    example='[actions.brake]\nname = "Brake"\nneed = "must"',
    remedy="Bind the action, or lower its need.",
)

WANT_UNBOUND = Page(
    code="want-unbound",
    severity="note",
    title="An action that is wanted is not bound",
    what='A profile binds nothing to an action of `need = "want"`.',
    why="The hand leaves the box for the keyboard each time it is needed.",
    example='[actions.wipers]\nname = "Wipers"\nneed = "want"',
    remedy="Bind the action, or lower its need.",
)

CONTACT_UNUSED = Page(
    code="contact-unused",
    severity="note",
    title="A contact does nothing in a profile",
    what="A contact with an input is neither bound nor held in a profile, while another profile "
    "of the same device uses it.",
    why="A control that works in one title and is dead in the next is easily taken for broken.",
    example="[controls.horn]\ninput = 1   # bound in one profile, not in the other",
    remedy="Bind the contact, or accept that it rests here.",
)

CONTACT_IDLE = Page(
    code="contact-idle",
    severity="note",
    title="A contact does nothing in any profile",
    what="A contact with an input is used in none of the profiles of its device.",
    why="It takes a hole, a number and solder joints, and gives nothing; or a binding was "
    "forgotten.",
    example="[controls.horn]\ninput = 1   # no profile binds `horn`",
    remedy="Bind the contact in a profile, or accept that it is spare.",
)

CONTACT_WITHOUT_INPUT = Page(
    code="contact-without-input",
    severity="error",
    title="A bound contact has no input number",
    what="A profile uses a contact for which the device gives no input, neither by number nor "
    "by its place in a numbered wiring.",
    why="The host sees nothing of the contact, so the binding can never act.",
    example="[controls.horn]\n# input = 1 is missing",
    remedy="Give the contact an input number, or remove the binding.",
)


def check_collisions(survey: Survey) -> Iterator[Finding]:
    """Report bindings that meet an earlier one of the same contact."""
    for link in survey.links:
        if len(link.slots) == len(link.bound):
            continue
        for slot, many in link.slots.items():
            for place, one in enumerate(many):
                yield from _compare(link, slot, one, many[:place])


def _compare(
    link: LinkFacts, slot: Slot, one: ResolvedBinding, earlier: list[ResolvedBinding]
) -> Iterator[Finding]:
    for other in earlier:
        if other.action_id == one.action_id:
            yield report(
                BINDING_REPEATED,
                f"{link.name_slot(slot)} is bound to `{one.action_id}` twice",
                "Remove one of the two",
                one.spot,
                _relate("is bound to it first", other, one),
                about=one.action_id,
            )
            return
    for other in earlier:
        if contexts_meet(other.action, one.action):
            yield report(
                CONTEXTS_COLLIDE,
                f"{link.name_slot(slot)} does `{other.action_id}` and `{one.action_id}` at once",
                f"Bind `{one.action_id}` elsewhere, or keep their contexts apart",
                one.spot,
                _relate(f"does `{other.action_id}`", other, one),
                about=one.action_id,
            )
            return


def _relate(message: str, other: ResolvedBinding, one: ResolvedBinding) -> list[Related]:
    return [] if other.spot == one.spot else [Related(message, other.spot)]


def check_bound_often(survey: Survey) -> Iterator[Finding]:
    """Report actions with more bindings than the application takes."""
    for link in survey.links:
        if link.application is None:
            continue
        most = link.application.application.inputs_per_action
        counts = Counter([one.action_id for one in link.bound])
        for action_id, times in counts.items():
            if times > most:
                yield from _check_often(link, action_id, most)


def _check_often(link: LinkFacts, action_id: str, most: int) -> Iterator[Finding]:
    """Count what is pressed, so that a binding written twice counts once."""
    first = [
        next((one for one in many if one.action_id == action_id), None)
        for many in link.slots.values()
    ]
    bound = [one for one in first if one is not None]
    if len(bound) > most:
        yield _describe_often(link, action_id, bound, most)


def _describe_often(
    link: LinkFacts, action_id: str, many: list[ResolvedBinding], most: int
) -> Finding:
    names = list_some([link.name(one.acting) for one in many])
    taken = "one input" if most == 1 else count(most, "input")
    return report(
        ACTION_BOUND_OFTEN,
        f"`{action_id}` takes {taken}, bound are {names}",
        f"Remove {count(len(many) - most, 'binding')} of `{action_id}`",
        many[most].spot,
        [Related("is bound here too", one.spot) for one in many[:most]],
        about=action_id,
    )


def check_needs(survey: Survey) -> Iterator[Finding]:
    """Report actions that must or should be bound and are not even written."""
    for link in survey.links:
        if link.application is None:
            continue
        written = {use.action for _, _, uses in link.link.profile.entries for use in uses}
        for action_id, action in link.application.actions.items():
            if action.need == "may" or action_id in written:
                continue
            page = MUST_UNBOUND if action.need == "must" else WANT_UNBOUND
            owner = Spot(link.application.id, ("actions", action_id))
            yield report(
                page,
                f"`{action_id}` is unbound in `{link.id}`, {_NEEDED[action.need]}",
                f"Bind `{action_id}`, or lower its need",
                Spot(link.id, ("bindings",)),
                [Related(f'says `need = "{action.need}"`', owner)],
                about=action_id,
            )


_NEEDED = {"must": "but must be bound", "want": "but is wanted"}


def check_unused(survey: Survey) -> Iterator[Finding]:
    """Report contacts that one profile, or every profile of the device, leaves alone."""
    for device in survey.devices:
        links = survey.links_of(device.id)
        if not links:
            continue
        idle = device.live.difference(*[link.used for link in links])
        if idle:
            yield from _describe_idle(device, idle)
        for link in links if len(links) > 1 else ():
            resting = device.live - link.used - idle
            if resting:
                yield from _describe_unused(device, link, resting)


def _describe_idle(device: DeviceFacts, idle: Iterable[DeviceContact]) -> Iterator[Finding]:
    for control, contacts in device.by_control(idle).items():
        names = [device.name(control, one.contact) for one in contacts]
        yield report(
            CONTACT_IDLE,
            f"no profile binds {list_some(names)}",
            "Bind it in a profile, or accept it as spare",
            device.spot("controls", control),
        )


def _describe_unused(
    device: DeviceFacts, link: LinkFacts, resting: Iterable[DeviceContact]
) -> Iterator[Finding]:
    for control, contacts in device.by_control(resting).items():
        yield report(
            CONTACT_UNUSED,
            f"`{link.id}` binds nothing to {list_some([link.name(one) for one in contacts])}",
            "Bind it, or accept that it rests here",
            Spot(link.id, ("bindings",)),
            [Related("another profile uses it", device.spot("controls", control))],
            about=f"{device.id}/{control}",
        )


def check_inputs(survey: Survey) -> Iterator[Finding]:
    """Report contacts that a profile uses and the host cannot see, each once."""
    told: set[DeviceContact] = set()
    for link in survey.links:
        blind = link.used.difference(*[device.live for device in link.devices]) - told
        for one in link.bound if blind else ():
            for contact in (*one.held, one.acting):
                if contact in blind and contact not in told:
                    told.add(contact)
                    yield _describe_without_input(link, one, contact)


def _describe_without_input(
    link: LinkFacts, one: ResolvedBinding, contact: DeviceContact
) -> Finding:
    device = link.device(contact)
    return report(
        CONTACT_WITHOUT_INPUT,
        f"{device.name(contact.control, contact.contact)} is bound, but has no input",
        "Give it an input number, or remove the binding",
        device.spot("controls", contact.control),
        [Related(f"bound to `{one.action_id}`", one.spot)],
        about=contact.contact,
    )


CHECKS = (
    Check(check_collisions, (CONTEXTS_COLLIDE, BINDING_REPEATED)),
    Check(check_bound_often, (ACTION_BOUND_OFTEN,)),
    Check(check_needs, (MUST_UNBOUND, WANT_UNBOUND)),
    Check(check_unused, (CONTACT_UNUSED, CONTACT_IDLE)),
    Check(check_inputs, (CONTACT_WITHOUT_INPUT,)),
)
