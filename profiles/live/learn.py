"""Input numbers learnt by pressing: what a press test heard, as changes of the device file.

The steps are those of a press test over every contact (`plan_test(..., every=True)`). A contact
teaches its number where exactly one input was heard for it; anything else is left as it is and
said. Nothing is written here: `Change.path` tells an editor where the number stands.
"""

from collections.abc import Iterable
from dataclasses import dataclass

from profiles.live.evidence import Observation
from profiles.model import Contact, Device
from profiles.model.control import ControlValue
from profiles.text.prose import join_words
from profiles.wiring.circuit import numbering_of


@dataclass(frozen=True, slots=True)
class Change:
    """A number to write: `path` in the device file; `old` None where none stands there."""

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
    known = numbering_of(device).numbers
    taught: dict[Contact, int] = {}
    unclear: list[tuple[Contact, str]] = []
    for one in observations:
        terminal = one.step.contact
        if terminal is None or one.skipped or one.step.gesture == "together":
            continue
        numbers = _taught(one)
        if len(numbers) == 1:
            taught[terminal] = numbers[0]
        elif numbers or terminal in known:
            unclear.append((terminal, _describe_unclear(numbers)))
    changed = {terminal: new for terminal, new in taught.items() if known.get(terminal) != new}
    return Lesson(
        tuple(_change(device, terminal, new) for terminal, new in changed.items()),
        tuple(terminal for terminal in taught if terminal not in changed),
        tuple(unclear),
        _clashes({**known, **taught}),
    )


def _taught(one: Observation) -> tuple[int, ...]:
    """Inputs that came with the contact; for a turn the one heard most."""
    if one.step.gesture == "turn":
        counts = one.counts
        return tuple(sorted(counts, key=lambda number: (-counts[number], number))[:1])
    return tuple(sorted(one.seen - one.already))


def _describe_unclear(numbers: tuple[int, ...]) -> str:
    if not numbers:
        return "nothing was heard"
    return f"inputs {join_words([str(number) for number in numbers])} were heard at once"


def _change(device: Device, terminal: Contact, new: int) -> Change:
    control = device.controls[terminal.control]
    old = control.input_by_contact.get(terminal.contact)
    where = _key_of(control, terminal.contact)
    return Change(terminal, old, new, ("controls", terminal.control, *where))


def _key_of(control: ControlValue, contact: str) -> tuple[str, ...]:
    """Where the number of a contact stands, or would: the singular key for a main contact."""
    if contact in control.inputs or contact != control.main_contact:
        return ("inputs", contact)
    return ("input",)


def _clashes(numbers: dict[Contact, int]) -> tuple[tuple[int, tuple[Contact, ...]], ...]:
    by_number: dict[int, list[Contact]] = {}
    for terminal, number in numbers.items():
        by_number.setdefault(number, []).append(terminal)
    return tuple(
        (number, tuple(terminals))
        for number, terminals in sorted(by_number.items())
        if len(terminals) > 1
    )
