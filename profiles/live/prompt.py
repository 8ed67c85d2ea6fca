"""What stands beside a step that is asked: the plate's own words for it, and what is heard."""

from profiles.live.plan import Step
from profiles.live.session import Session
from profiles.model import Device
from profiles.text.prose import join_words


def describe_labels(device: Device, step: Step) -> str:
    """What the plate says at the controls of a step, where that is not their id."""
    terminals = [one for one in (*step.held, step.contact) if one is not None]
    controls = dict.fromkeys(one.control for one in terminals)
    labels = [device.controls[name].label for name in controls if not _is_alike(device, name)]
    shown = [label for label in labels if label]
    return f"  ({join_words(shown)} on the plate)" if shown else ""


def _is_alike(device: Device, name: str) -> bool:
    label = device.controls[name].label or ""
    return label.casefold() == name.replace("-", " ").casefold()


def describe_heard(session: Session) -> str:
    """The inputs heard so far in the step at hand; of a turn also how often."""
    one = session.listening()
    if one is None or not one.presses:
        return ""
    if one.step.gesture == "turn":
        return "heard " + ", ".join(f"{number} x{times}" for number, times in one.counts.items())
    return "heard " + ", ".join(str(number) for number in one.counts)
