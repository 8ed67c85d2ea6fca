"""Names that lead nowhere: in profiles, and between the parts of one application."""

from collections.abc import Collection, Iterator

from profiles.checks.base import report
from profiles.facts.profile import ProfileFacts
from profiles.facts.survey import Survey
from profiles.model import Finding, Spot, UnresolvedName
from profiles.text.prose import join_words, list_some
from profiles.text.suggest import closest

MOST_LISTED = 6
"""Names that a remedy lists at most."""


def check_names(survey: Survey) -> Iterator[Finding]:
    """Report every name of every profile that leads nowhere, or to more than one thing."""
    for link in survey.links:
        unnamed = {
            control: value.contacts
            for device in link.devices
            for control, value in device.controls.items()
            if value.main_contact is None
        }
        turned = dict(find_turned(link))
        for loose in link.link.loose:
            word = loose.word
            if loose.spot.path[-1] in turned:
                continue
            if loose.kind == "one device":
                owners = [device.id for device in link.devices if word in device.controls]
                yield report(
                    "device-unnamed",
                    f"`{word}` is on {list_some([f'`{owner}`' for owner in owners])}",
                    f"Name the device, such as `{owners[0]}/{word}`",
                    loose.spot,
                    about=word,
                )
            elif loose.kind == "contact" and loose.suggestion is None and word in unnamed:
                yield report(
                    "contact-unnamed",
                    f"`{word}` has several contacts, none is named",
                    f"Name the contact, such as `{word}.{unnamed[word][0]}`",
                    loose.spot,
                    about=word,
                )
            else:
                yield _describe_unknown(survey, link, loose)
        for key, action in turned.items():
            yield report(
                "name-unknown",
                f"`{key}` is an action and `{action}` a control",
                f'Write the control first: `{action} = "{key}"`',
                Spot(link.id, ("bindings", key)),
                about=key,
            )


def find_turned(link: ProfileFacts) -> Iterator[tuple[str, str]]:
    """Bindings written the wrong way round: an action as the key, a control as what it does."""
    actions = link.application.actions if link.application else {}
    unknown = {loose.spot.path[-1] for loose in link.link.loose if loose.kind == "control"}
    for key, _, uses in link.link.profile.entries:
        control = uses[0].action if len(uses) == 1 else ""
        owned = any(control in device.controls for device in link.devices)
        if key in unknown and key in actions and owned and control not in actions:
            yield key, control


def _describe_unknown(survey: Survey, link: ProfileFacts, loose: UnresolvedName) -> Finding:
    """A name of which the library, or the part of it that was meant, has none."""
    library = survey.library
    known: Collection[str] = ()
    in_bindings = loose.spot.path[0] == "bindings"
    article = "an" if loose.kind[0] in "aeiou" else "a"
    remedy = f"Name {article} {loose.kind} that exists, or describe this one"
    if loose.kind == "action" and link.application is not None:
        missing = f"action of `{link.application.id}`"
    elif loose.kind == "control":
        key = str(loose.spot.path[-1])
        named = [device for device in link.devices if f"{device.id}/{loose.word}" in key]
        missing = f"control of {list_some([f'`{one.id}`' for one in named or link.devices])}"
    elif loose.kind == "contact":
        missing = "contact of that control"
        key = str(loose.spot.path[-1])
        owners = (device.controls for device in link.devices)
        known = next(
            (
                controls[one].contacts
                for controls in owners
                for one in controls
                if f"{one}.{loose.word}" in key
            ),
            (),
        )
    elif loose.kind == "device" and in_bindings:
        missing = "device of this profile"
    else:
        missing = f"{loose.kind} of this library"
        known = library.devices if loose.kind == "device" else library.applications
    if known and len(known) <= MOST_LISTED:
        remedy = f"Write {join_words([f'`{one}`' for one in known], 'or')}"
    return report(
        "name-unknown",
        f"`{loose.word}` is no {missing}",
        f"Write `{loose.suggestion}`" if loose.suggestion else remedy,
        loose.spot,
        about=loose.word if in_bindings else "",
    )


def check_contexts(survey: Survey) -> Iterator[Finding]:
    """Report contexts that an application which lists its contexts does not list."""
    for key, application in survey.applications:
        known = application.application.contexts
        for action_id, action in application.actions.items() if known else ():
            for place, context in enumerate(action.contexts):
                if context in known:
                    continue
                near = closest(context, known)
                yield report(
                    "context-unknown",
                    f"`{action_id}` names context `{context}`, which is not listed",
                    f"Write `{near}`" if near else f"Add `{context}` to the application's contexts",
                    Spot(key, ("actions", action_id, "contexts", place)),
                )


def check_interfaces(survey: Survey) -> Iterator[Finding]:
    """Report host interfaces that are not known."""
    for key, application in survey.applications:
        interface = application.application.interface
        if interface is None:
            continue
        from profiles.host.interfaces import INTERFACES

        known = [each.id for each in INTERFACES]
        if interface not in known:
            near = closest(interface, known)
            yield report(
                "interface-unknown",
                f"`{interface}` is no known host interface",
                f"Write `{near}`" if near else f"Write a known interface, such as `{known[0]}`",
                Spot(key, ("application", "interface")),
            )


CHECKS = (check_names, check_contexts, check_interfaces)
