"""Controls on actions of another nature: a state on a pulse, a spring on a state, a button on an
axis, and controls that are already down while the application listens for a new binding."""

from collections.abc import Iterator, Mapping

from profiles.checks.base import report
from profiles.facts.survey import Survey
from profiles.model import DeviceContact, Finding, Related, Spot
from profiles.text.prose import list_some

MISFITS: Mapping[tuple[str, str], str] = {
    ("state", "pulse"): "latching-on-pulse",
    ("state", "step"): "latching-on-pulse",
    ("button", "follows"): "momentary-on-follows",
    ("edge", "held"): "pulse-on-held",
    ("edge", "follows"): "pulse-on-held",
    ("turn", "held"): "pulse-on-held",
    ("turn", "follows"): "pulse-on-held",
    **{("axis", one): "axis-mismatched" for one in ("pulse", "held", "follows", "step")},
    **{(one, "axis"): "axis-mismatched" for one in ("button", "state", "position", "edge", "turn")},
}
"""The finding by what the contact does and how the action behaves."""


def check_behaviour(survey: Survey) -> Iterator[Finding]:
    """Report controls bound to actions of another nature."""
    for link in survey.links:
        natures = {device.id: device.natures for device in link.devices}
        for binding in link.bound:
            acting, action = binding.acting, binding.action_id
            nature = natures[acting.device][acting.local]
            code = MISFITS.get((nature, binding.action.behaviour))
            if code is None:
                continue
            name, control = link.name(acting), link.control(acting)
            if code == "latching-on-pulse":
                every = {DeviceContact(*acting[:2], way) for way in control.positions_held}
                if every <= link.used:
                    continue
                message = f"{name} latches, but `{action}` acts once per press"
                whole = "both" if len(every) == 2 else f"all {len(every)} of"
                remedy = f"Let the control report edges, or bind {whole} its contacts"
            elif code == "momentary-on-follows":
                message = f"{name} springs back, but `{action}` follows its state"
                remedy = "Bind a latching control, or an action that acts once per press"
            elif code == "axis-mismatched":
                wants = "an axis" if nature != "axis" else "a button"
                message = f"{name} is {'an axis' if nature == 'axis' else 'a button'}, but "
                message += f"`{action}` wants {wants}"
                remedy = f"Bind {wants}, or correct the `behaviour` of `{action}`"
            else:
                message = f"{name} only pulses, but `{action}` needs it to last"
                remedy = (
                    "Let the control report its state"
                    if nature == "edge"
                    else "Bind an action that acts once per press"
                )
            kind = type(control).__name__.lower()
            spot = Spot(acting.device, ("controls", acting.control))
            article = "an" if kind == "axis" else "a"
            related = [Related(f"{article} {kind} control", spot)]
            yield report(code, message, remedy, binding.spot, related, about=action)


def check_held(survey: Survey) -> Iterator[Finding]:
    """Report, once per profile and device, the controls that an application would catch held."""
    for link in survey.links:
        if link.application is None or not link.application.application.catches_held:
            continue
        for device in link.devices:
            if device.staying:
                names = list_some([f"`{control}`" for control in device.staying])
                yield report(
                    "held-while-binding",
                    f"`{link.application.id}` may catch {names} while binding",
                    "Put latching controls off first, or let them report edges",
                    Spot(link.id, ("profile",)),
                    [Related("stays down", device.spot("controls", key)) for key in device.staying],
                    about=device.id,
                )


CHECKS = (check_behaviour, check_held)
