"""Names that lead nowhere: in profiles, and between the parts of one application."""

from collections.abc import Iterator

from profiles.checks.base import Check, report
from profiles.facts.survey import LinkFacts, Survey, list_some
from profiles.model import Application, Finding, Page, Spot, UnresolvedName
from profiles.text.suggest import closest

LOOSE_NAME = Page(
    code="loose-name",
    severity="error",
    title="A name leads to nothing",
    what="A profile names a device, application, control, contact or action that the library "
    "does not have.",
    why="The binding does nothing. On the box the control is dead in that title, and the card "
    "card leaves its place empty.",
    example='[bindings]\nhron = "sound-horn"   # the control is called `horn`',
    remedy="Correct the spelling, or describe what is missing.",
)

CONTACT_UNNAMED = Page(
    code="contact-unnamed",
    severity="error",
    title="A control with several contacts is bound without naming one",
    what="A key names a rotary or a selector alone, and not which of its contacts is meant.",
    why="A rotary reports two directions and perhaps a push, a selector one input a position. "
    "There is no single contact that the name alone could stand for.",
    example='[bindings]\ntrim = "trim-up"               # which way?\n'
    '"trim.clockwise" = "trim-up"   # so',
    remedy="Name the contact after a dot.",
)

DEVICE_UNNAMED = Page(
    code="device-unnamed",
    severity="error",
    title="A control of several devices is bound without naming the device",
    what="A profile over several devices uses a control's name that more than one of them has.",
    why="The name could mean either box, so nothing is bound.",
    example='[profile]\ndevices = ["helm-desk", "side-box"]\n[bindings]\n'
    '"helm-desk/horn" = "sound-horn"   # both boxes have a `horn`',
    remedy="Write the device and a slash before the control.",
)

CONTEXT_UNKNOWN = Page(
    code="context-unknown",
    severity="error",
    title="An action names a context that its application does not list",
    what="The application lists its contexts, and an action names another.",
    why="A misspelt context never meets the right one, so two actions that clash on the box "
    "would pass for harmless.",
    example='[application]\ncontexts = ["harbour", "open-sea"]\n'
    '[actions.moor]\nname = "Moor"\ncontexts = ["harbor"]',
    remedy="Correct the spelling, or add the context to the list.",
)

INTERFACE_UNKNOWN = Page(
    code="interface-unknown",
    severity="error",
    title="An application names a host interface that is not known",
    what="The interface of an application is no id of the known host interfaces.",
    why="Without it nothing can be said about inputs that the application never sees.",
    example='[application]\ninterface = "linux-joydv"   # linux-joydev',
    remedy="Write the id of a known interface, or leave the key out.",
)


def check_loose_names(survey: Survey) -> Iterator[Finding]:
    """Report every loose end of every profile."""
    for link in survey.links:
        for loose in link.link.loose:
            yield _describe_loose(link, loose)


def _describe_loose(link: LinkFacts, loose: UnresolvedName) -> Finding:
    if loose.kind == "one device":
        return _describe_unnamed_device(link, loose)
    if loose.kind == "contact" and loose.suggestion is None and loose.word in _controls(link):
        return _describe_unnamed_contact(link, loose)
    message = f"`{loose.word}` is {_describe_missing(link, loose)}"
    remedy = f"Write `{loose.suggestion}`" if loose.suggestion else _describe_remedy(loose.kind)
    about = loose.word if loose.spot.path[0] == "bindings" else ""
    return report(LOOSE_NAME, message, remedy, loose.spot, about=about)


def _describe_missing(link: LinkFacts, loose: UnresolvedName) -> str:
    if loose.kind == "action" and link.application is not None:
        return f"no action of `{link.application.id}`"
    if loose.kind == "control":
        return f"no control of {list_some(_owners(link, loose))}"
    if loose.kind == "contact":
        return "no contact of that control"
    if loose.kind == "device" and loose.spot.path[0] == "bindings":
        return "no device of this profile"
    return f"no {loose.kind} of this library"


def _owners(link: LinkFacts, loose: UnresolvedName) -> list[str]:
    """The devices on which the control was looked for."""
    key = str(loose.spot.path[-1])
    named = [device for device in link.devices if f"{device.id}/{loose.word}" in key]
    return [f"`{device.id}`" for device in named or link.devices]


def _describe_remedy(kind: str) -> str:
    if kind == "contact":
        return "Name a contact that the control has"
    article = "an" if kind[0] in "aeiou" else "a"
    return f"Name {article} {kind} that exists, or describe this one"


def _describe_unnamed_device(link: LinkFacts, loose: UnresolvedName) -> Finding:
    owners = [device.id for device in link.devices if loose.word in device.controls]
    return report(
        DEVICE_UNNAMED,
        f"`{loose.word}` is on {list_some([f'`{owner}`' for owner in owners])}",
        f"Name the device, such as `{owners[0]}/{loose.word}`",
        loose.spot,
        about=loose.word,
    )


def _describe_unnamed_contact(link: LinkFacts, loose: UnresolvedName) -> Finding:
    contacts = _controls(link)[loose.word]
    return report(
        CONTACT_UNNAMED,
        f"`{loose.word}` has several contacts, none is named",
        f"Name the contact, such as `{loose.word}.{contacts[0]}`",
        loose.spot,
        about=loose.word,
    )


def _controls(link: LinkFacts) -> dict[str, tuple[str, ...]]:
    """Contacts of the controls that have no main contact, by control."""
    return {
        control: value.contacts
        for device in link.devices
        for control, value in device.controls.items()
        if value.main_contact is None
    }


def check_contexts(survey: Survey) -> Iterator[Finding]:
    """Report contexts that an application which lists its contexts does not list."""
    for key, application in survey.applications:
        known = application.application.contexts
        if known:
            yield from _check_contexts(key, application, known)


def _check_contexts(
    key: str, application: Application, known: tuple[str, ...]
) -> Iterator[Finding]:
    for action_id, action in application.actions.items():
        for place, context in enumerate(action.contexts):
            if context in known:
                continue
            near = closest(context, known)
            yield report(
                CONTEXT_UNKNOWN,
                f"`{action_id}` names context `{context}`, not listed",
                f"Write `{near}`" if near else f"Add `{context}` to the application's contexts",
                Spot(key, ("actions", action_id, "contexts", place)),
            )


def check_interfaces(survey: Survey) -> Iterator[Finding]:
    """Report host interfaces that are not known."""
    named = [(key, one.application.interface) for key, one in survey.applications]
    if not any(interface for _, interface in named):
        return
    from profiles.host.interfaces import INTERFACES

    known = [interface.id for interface in INTERFACES]
    for key, interface in named:
        if interface is None or interface in known:
            continue
        near = closest(interface, known)
        yield report(
            INTERFACE_UNKNOWN,
            f"`{interface}` is no known host interface",
            f"Write `{near}`" if near else f"Write a known interface, such as `{known[0]}`",
            Spot(key, ("application", "interface")),
        )


CHECKS = (
    Check(check_loose_names, (LOOSE_NAME, CONTACT_UNNAMED, DEVICE_UNNAMED)),
    Check(check_contexts, (CONTEXT_UNKNOWN,)),
    Check(check_interfaces, (INTERFACE_UNKNOWN,)),
)
