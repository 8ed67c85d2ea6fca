"""Controls on actions of another nature: a state on a pulse, a spring on a state, and controls
that are already down while the application listens for a new binding."""

from collections.abc import Iterator

from profiles.checks.base import Check, report
from profiles.facts.device import DeviceFacts
from profiles.facts.survey import LinkFacts, Survey, list_some
from profiles.model import (
    ControlValue,
    DeviceContact,
    Finding,
    Page,
    Related,
    ResolvedBinding,
    Selector,
    Spot,
)

LATCHING_ON_PULSE = Page(
    code="latching-on-pulse",
    severity="warning",
    title="A latching control is bound to an action that acts once a press",
    what="A latching control whose input follows its state is bound to a `pulse` or `step` "
    "action with one of its two contacts only.",
    why="Putting it on acts, putting it off does not: after two flips the lever says one thing "
    "and the title another. All is right where the control reports edges, or where both `on` "
    "and `off` are bound.",
    example='[controls.leds]\nkind = "latching"   # reports = "state"\n\n'
    '[actions.leds-toggle]\nbehaviour = "pulse"',
    remedy='Let the control report edges with `reports = "edges"`, bind both contacts, or use a '
    "momentary control.",
)

MOMENTARY_ON_FOLLOWS = Page(
    code="momentary-on-follows",
    severity="warning",
    title="A control that springs back is bound to an action that follows a state",
    what="A push contact is bound to a `follows` action, whose state equals the contact.",
    why="The state lasts only while the finger stays. Parking lights would go out as the finger "
    "leaves.",
    example='[controls.horn]\nkind = "momentary"\n\n[actions.parking-lights]\n'
    'behaviour = "follows"',
    remedy="Bind a latching control, or an action that acts once a press.",
)

BRIEF_ON_LASTING = Page(
    code="brief-on-lasting",
    severity="warning",
    title="A contact that only pulses is bound to an action that needs it to last",
    what="A detent of a rotary, or a latching or selector control that reports edges, is bound "
    "to a `held` or `follows` action.",
    why="The box lets go after some milliseconds, so the action starts and stops at once, "
    "whatever the lever says.",
    example='[controls.gear]\nkind = "latching"\nreports = "edges"\n\n[actions.gear-down]\n'
    'behaviour = "follows"',
    remedy='Let the control report its state with `reports = "state"`, or bind an action that '
    "acts once a press.",
)

HELD_WHILE_BINDING = Page(
    code="held-while-binding",
    severity="note",
    title="Controls that stay down are caught while binding",
    what="Controls whose inputs follow a state are on the box, and the application's binding "
    "screen takes an input that is already down.",
    why="One selector position is always down, and so is a latching control that is on. The "
    "title catches it in place of the button just pressed, and the wrong control is bound.",
    example='[application]\ncatches_held = true\n\n[controls.mode]\nkind = "selector"',
    remedy="Put latching controls off before binding, and bind selectors while others rest; or "
    'let them report edges with `reports = "edges"`.',
)


def check_behaviour(survey: Survey) -> Iterator[Finding]:
    """Report controls bound to actions of another nature."""
    for link in survey.links:
        natures = {device.id: device.natures for device in link.devices}
        for one in link.bound:
            acting = one.acting
            nature = natures[acting.device][acting.control, acting.contact]
            page = _MISFITS.get((nature, one.action.behaviour))
            if page is None or (page is LATCHING_ON_PULSE and _both_bound(link, one)):
                continue
            yield _tell(link, one, link.control(acting), page)


_MISFITS = {
    ("state", "pulse"): LATCHING_ON_PULSE,
    ("state", "step"): LATCHING_ON_PULSE,
    ("spring", "follows"): MOMENTARY_ON_FOLLOWS,
    ("brief", "held"): BRIEF_ON_LASTING,
    ("brief", "follows"): BRIEF_ON_LASTING,
}


def _both_bound(link: LinkFacts, one: ResolvedBinding) -> bool:
    owner = (one.acting.device, one.acting.control)
    return DeviceContact(*owner, "on") in link.used and DeviceContact(*owner, "off") in link.used


def _tell(link: LinkFacts, one: ResolvedBinding, control: ControlValue, page: Page) -> Finding:
    name, action = link.name(one.acting), one.action_id
    message, remedy = {
        LATCHING_ON_PULSE.code: (
            f"{name} latches, `{action}` acts once a press",
            "Let the control report edges, or bind both its contacts",
        ),
        MOMENTARY_ON_FOLLOWS.code: (
            f"{name} springs back, `{action}` follows its state",
            "Bind a latching control, or an action that acts once a press",
        ),
        BRIEF_ON_LASTING.code: (
            f"{name} only pulses, `{action}` needs it to last",
            "Bind an action that acts once a press"
            if control.main_contact is None and not isinstance(control, Selector)
            else "Let the control report its state",
        ),
    }[page.code]
    path = ("controls", one.acting.control)
    kind = Related(f"a {type(control).__name__.lower()} control", Spot(one.acting.device, path))
    return report(page, message, remedy, one.spot, [kind], about=action)


def check_held(survey: Survey) -> Iterator[Finding]:
    """Report, once a profile and device, the controls that an application would catch held."""
    for link in survey.links:
        if link.application is None or not link.application.application.catches_held:
            continue
        for device in link.devices:
            if device.staying:
                yield _describe_held(link, device, link.application.id)


def _describe_held(link: LinkFacts, device: DeviceFacts, application: str) -> Finding:
    names = list_some([f"`{control}`" for control in device.staying])
    return report(
        HELD_WHILE_BINDING,
        f"`{application}` may catch {names} while binding",
        "Put latching controls off first, or let them report edges",
        Spot(link.id, ("profile",)),
        [Related("stays down", device.spot("controls", control)) for control in device.staying],
        about=device.id,
    )


CHECKS = (
    Check(check_behaviour, (LATCHING_ON_PULSE, MOMENTARY_ON_FOLLOWS, BRIEF_ON_LASTING)),
    Check(check_held, (HELD_WHILE_BINDING,)),
)
