"""Input numbers learnt by pressing: what a press test heard, as changes of the device file.

The steps are those of a press test over every contact (`plan_test(..., every=True)`). A contact
teaches its number where exactly one input was heard for it; anything else stays as it is and is
named. Nothing is written here: `Change.path` tells an editor where the number belongs.
"""

from collections.abc import Iterable
from dataclasses import dataclass

from profiles.facts.device import DeviceFacts
from profiles.live.evidence import Observation
from profiles.model import Contact, Device
from profiles.text.prose import join_words


@dataclass(frozen=True, slots=True)
class Change:
    """A number to write: `path` in the device file; `old` None where there is none yet."""

    contact: Contact
    old: int | None
    new: int
    path: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Lesson:
    """What pressing taught: changes, contacts that were right already, and what stays open."""

    changes: tuple[Change, ...]
    right: tuple[Contact, ...]
    open: tuple[tuple[Contact, str], ...]
    clashes: tuple[tuple[int, tuple[Contact, ...]], ...]


def learn_inputs(device: Device, observations: Iterable[Observation]) -> Lesson:
    """Compare what was heard with the numbers of the device, contact by contact."""
    written = {Contact(*place): number for place, number in device.declared_inputs.items()}
    known = {**DeviceFacts(device).inputs, **written}
    taught: dict[Contact, int] = {}
    unclear: list[tuple[Contact, str]] = []
    for heard in observations:
        contact = heard.step.contact
        if contact is None or heard.skipped or heard.step.gesture == "together":
            continue
        numbers = sorted(heard.seen - heard.already)
        if heard.step.gesture == "turn":  # the one heard most
            counts = heard.counts
            numbers = sorted(counts, key=lambda number: (-counts[number], number))[:1]
        if len(numbers) == 1:
            taught[contact] = numbers[0]
        elif numbers:
            told = join_words([str(number) for number in numbers])
            unclear.append((contact, f"inputs {told} were heard at once"))
        elif contact in known:
            unclear.append((contact, "nothing was heard"))
    changed = {contact: new for contact, new in taught.items() if known.get(contact) != new}
    by_number: dict[int, list[Contact]] = {}
    for contact, number in {**known, **taught}.items():
        by_number.setdefault(number, []).append(contact)
    return Lesson(
        tuple(_make_change(device, contact, new, changed) for contact, new in changed.items()),
        tuple(contact for contact in taught if contact not in changed),
        tuple(unclear),
        tuple(
            (number, tuple(contacts))
            for number, contacts in sorted(by_number.items())
            if len(contacts) > 1
        ),
    )


def _make_change(device: Device, contact: Contact, new: int, changed: Iterable[Contact]) -> Change:
    """The number's change; it goes under `input` only where the control needs no `inputs`."""
    control = device.controls[contact.control]
    others = [one for one in changed if one.control == contact.control and one != contact]
    needs_table = bool(control.inputs or others) or contact.contact != control.main_contact
    key = ("inputs", contact.contact) if needs_table else ("input",)
    old = control.input_by_contact.get(contact.contact)
    return Change(contact, old, new, ("controls", contact.control, *key))
