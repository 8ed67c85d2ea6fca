"""Bindings of one profile: clashes on a contact, actions bound too often or not at all, contacts
that nothing uses or that have no input."""

from collections import Counter
from collections.abc import Iterator

from profiles.checks.base import name_lack, report
from profiles.facts.survey import Survey
from profiles.model import Contact, DeviceContact, Finding, Related, Spot, contexts_meet
from profiles.text.prose import count, list_some


def check_collisions(survey: Survey) -> Iterator[Finding]:
    """Report bindings that meet an earlier one of the same contact."""
    for link in survey.links:
        if len(link.slots) == len(link.bound):
            continue
        for slot, bindings in link.slots.items():
            name = link.name_slot(slot)
            for place, binding in enumerate(bindings):
                action, earlier = binding.action_id, bindings[:place]
                same = [other for other in earlier if other.action_id == action]
                rivals = [other for other in earlier if contexts_meet(other.action, binding.action)]
                if same:
                    code, other = "binding-repeated", same[0]
                    message = f"{name} is bound to `{action}` twice"
                    remedy, there = "Remove one of the two", "is bound to it first"
                elif rivals:
                    code, other = "contexts-collide", rivals[0]
                    message = f"{name} does `{other.action_id}` and `{action}` at once"
                    remedy = f"Bind `{action}` elsewhere, or keep their contexts apart"
                    there = f"does `{other.action_id}`"
                else:
                    continue
                related = [] if other.spot == binding.spot else [Related(there, other.spot)]
                yield report(code, message, remedy, binding.spot, related, about=action)


def check_bound_often(survey: Survey) -> Iterator[Finding]:
    """Report actions with more bindings than the application takes."""
    for link in survey.links:
        if link.application is None:
            continue
        most = link.application.application.inputs_per_action
        counts = Counter([binding.action_id for binding in link.bound])
        for action_id in [action_id for action_id, times in counts.items() if times > most]:
            # Counted by what is pressed, so that a binding written twice counts once.
            bound = [
                same[0]
                for bindings in link.slots.values()
                if (same := [each for each in bindings if each.action_id == action_id])
            ]
            if len(bound) > most:
                names = list_some([link.name(binding.acting) for binding in bound])
                accepted = "one input" if most == 1 else count(most, "input")
                yield report(
                    "action-bound-often",
                    f"`{action_id}` accepts {accepted} but is bound to {names}",
                    f"Remove {count(len(bound) - most, 'binding')} of `{action_id}`",
                    bound[most].spot,
                    [Related("is bound here too", binding.spot) for binding in bound[:most]],
                    about=action_id,
                )


def check_needs(survey: Survey) -> Iterator[Finding]:
    """Report actions that must or should be bound and are not even written."""
    needed = {
        "must": ("must-unbound", "but must be bound"),
        "want": ("want-unbound", "but is wanted"),
    }
    for link in survey.links:
        if link.application is None:
            continue
        written = {use.action for _, _, uses in link.link.profile.entries for use in uses}
        for action_id, action in link.application.actions.items():
            if action.need == "may" or action_id in written:
                continue
            code, words = needed[action.need]
            owner = Spot(link.application.id, ("actions", action_id))
            yield report(
                code,
                f"`{action_id}` is unbound in `{link.id}`, {words}",
                f"Bind `{action_id}`, or lower its need",
                Spot(link.id, ("bindings",)),
                [Related(f'says `need = "{action.need}"`', owner)],
                about=action_id,
            )


def check_unused(survey: Survey) -> Iterator[Finding]:
    """Report contacts that one profile, or every profile of the device, leaves alone."""
    for device in survey.devices:
        links = survey.links_of(device.id)
        if not links:
            continue
        idle = device.live.difference(*[link.used for link in links])
        told = frozenset() if survey.library.may_define("profile") else idle
        for control, contacts in device.by_control(told).items() if told else ():
            names = list_some([device.name(control, contact.contact) for contact in contacts])
            yield report(
                "contact-idle",
                f"no profile binds {names}",
                "Bind it in a profile, or accept it as spare",
                device.spot("controls", control),
            )
        for link in links if len(links) > 1 else ():
            resting = device.live - link.used - idle
            for control, contacts in device.by_control(resting).items() if resting else ():
                names = list_some([link.name(contact) for contact in contacts])
                yield report(
                    "contact-unused",
                    f"`{link.id}` binds nothing to {names}",
                    "Bind it, or accept that it is unused here",
                    Spot(link.id, ("bindings",)),
                    [Related("another profile uses it", device.spot("controls", control))],
                    about=f"{device.id}/{control}",
                )


def check_inputs(survey: Survey) -> Iterator[Finding]:
    """Report contacts that a profile uses and the host cannot see, each once."""
    seen: set[DeviceContact] = set()
    for link in survey.links:
        blind = link.used.difference(*[device.live for device in link.devices]) - seen
        for binding in link.bound if blind else ():
            for contact in (*binding.held, binding.acting):
                if contact in blind and contact not in seen:
                    seen.add(contact)
                    device = link.device(contact)
                    lack = name_lack(device, Contact(*contact[1:]))
                    yield report(
                        "contact-without-input",
                        f"{device.name(contact.control, contact.contact)} is bound, "
                        "but has no input",
                        f"Give it {lack}, or remove the binding",
                        device.spot("controls", contact.control),
                        [Related(f"bound to `{binding.action_id}`", binding.spot)],
                        about=contact.contact,
                    )


CHECKS = (check_collisions, check_bound_often, check_needs, check_unused, check_inputs)
