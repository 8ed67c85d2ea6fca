"""Banks: places that they lack, contacts that a ladder cannot tell apart, addresses on a bus."""

from collections.abc import Iterator
from itertools import combinations

from profiles.checks.base import by_device, report
from profiles.facts.device import DeviceFacts
from profiles.facts.survey import Survey
from profiles.model import Expander, Finding, Ladder, Latching, Multiplexer, Related, Selector
from profiles.text.prose import count, join_words


@by_device
def check_places(device: DeviceFacts) -> Iterator[Finding]:
    """Report places that a bank lacks, axes on a bank that measures nothing, and multiplexers that
    have both contacts and axes."""
    if not device.device.wiring.banks:
        return
    from profiles.wiring.banks import (
        axes_on_banks,
        bank_place,
        banks_of,
        contacts_on_banks,
        size_of,
    )
    from profiles.wiring.circuit import pin_uses

    for use in pin_uses(device.device):
        if use.asks and bank_place(device.device, use.pin):
            yield report(
                "bank-outside",
                f"{use.what} sits at `{use.pin}`, but a bank only reads contacts",
                "Write a pin of the board",
                device.spot(*use.path),
            )
    axes = axes_on_banks(device.device)
    for contact, (name, place) in {**contacts_on_banks(device.device), **axes}.items():
        part, size = device.device.wiring.banks[name], 0
        if isinstance(part, Ladder) and not part.steps:
            continue
        if contact not in axes or isinstance(part, Multiplexer):
            size = size_of(part)
        if not 1 <= place <= size:
            has = count(size, "place") if size else "no place that measures"
            yield report(
                "bank-outside",
                f"{device.name(*contact)} sits at `{name}.{place}`, but `{name}` has {has}",
                f"Write a place from 1 to {size}" if size else "Move it to a multiplexer",
                device.spot_of(contact.control, "pin", contact.contact),
                [Related("the bank", device.spot("wiring", "banks", name))],
            )
    for bank in banks_of(device.device):
        if bank.places and bank.measured:
            yield report(
                "multiplexer-mixed",
                f"`{bank.name}` has contacts and axes",
                "Give the contacts or the axes a multiplexer of their own",
                device.spot(*bank.path),
            )


@by_device
def check_ladders(device: DeviceFacts) -> Iterator[Finding]:
    """Report ladders without resistors, and those whose contacts may read alike."""
    for name, part in device.device.wiring.banks.items():
        if not isinstance(part, Ladder):
            continue
        from profiles.wiring.banks import contacts_on_banks
        from profiles.wiring.ladder import find_overlap, find_windows, propose_steps

        at = contacts_on_banks(device.device)
        on_ladder = {place: who for who, (bank, place) in at.items() if bank == name}
        contacts = max(on_ladder, default=0) if not part.steps else len(part.steps) + 1
        windows = find_windows(part.pull_up, part.steps, part.tolerance)
        overlap = find_overlap(windows)
        if contacts < 2 or (part.steps and overlap is None):
            continue
        steps = propose_steps(contacts, part.pull_up, part.tolerance)
        remedy = f"Set {name}.steps to {_list_steps(steps)} (E24, kohm)" if steps else ""
        remedy = remedy or "Take resistors of less tolerance, or split it into two ladders"
        if not part.steps:
            message = f"`{name}` has no resistors for its {count(contacts, 'contact')}"
            yield report("ladder-empty", message, remedy, device.spot("wiring", "banks", name))
            continue
        assert overlap is not None
        pair = [
            device.name(*on_ladder[place]) if place in on_ladder else f"place {place}"
            for place in (overlap + 1, overlap + 2)
        ]
        if overlap + 1 == len(windows) - 1:
            pair[1] = "none closed"
        ranges = join_words(
            [f"{100 * w.low:.1f} to {100 * w.high:.1f} %" for w in windows[overlap : overlap + 2]]
        )
        yield report(
            "ladder-overlap",
            f"`{name}` cannot tell {pair[0]} from {pair[1]}: they read {ranges} of the supply",
            remedy,
            device.spot("wiring", "banks", name, "steps"),
        )


def _list_steps(steps: tuple[float, ...]) -> str:
    return f"[{', '.join(f'{step:g}' if step % 1 else f'{step:.1f}' for step in steps)}]"


def check_held(survey: Survey) -> Iterator[Finding]:
    """Report contacts of one ladder that are closed at the same time: of controls that stay, and
    of chords. The ladder tells only the first of them."""
    for device in survey.devices:
        ladders = {
            name for name, one in device.device.wiring.banks.items() if isinstance(one, Ladder)
        }
        if not ladders:
            continue
        from profiles.wiring.banks import contacts_on_banks
        from profiles.wiring.circuit import held_presses, own_contacts

        pressed = [
            set(own_contacts(device.device, who))
            for link in survey.links_of(device.id)
            for who in (
                *((*bound.held, bound.acting) for bound in link.link.bound),
                *held_presses(link.link),
            )
        ]
        stays = {
            key for key, one in device.controls.items() if isinstance(one, Latching | Selector)
        }
        on = {who: at for who, at in contacts_on_banks(device.device).items() if at[0] in ladders}
        told: set[str] = set()
        for first, other in combinations(on, 2):
            ladder, names = on[first][0], {first.control, other.control}
            if len(names) == 1 or on[other][0] != ladder or other.control in told:
                continue
            if not (names & stays or any({first, other} <= one for one in pressed)):
                continue
            told.add(other.control)
            yield report(
                "ladder-held",
                f"`{ladder}` tells only the first of {device.name(*first)} and "
                f"{device.name(*other)}, which can be closed at the same time",
                f"Wire `{other.control}` elsewhere",
                device.spot_of(other.control, "pin", other.contact),
                [Related("the ladder", device.spot("wiring", "banks", ladder))],
            )


@by_device
def check_addresses(device: DeviceFacts) -> Iterator[Finding]:
    """Report addresses that an expander cannot have, and those of two on one bus."""
    first: dict[tuple[str, str, int], str] = {}
    for name, part in device.device.wiring.banks.items():
        if not isinstance(part, Expander):
            continue
        from profiles.wiring.banks import PORTS

        spot = device.spot("wiring", "banks", name, "address")
        ranges = PORTS[part.chip].addresses
        if not any(part.address in one for one in ranges):
            words = join_words([f"0x{one[0]:02X} to 0x{one[-1]:02X}" for one in ranges], "or")
            yield report(
                "address-impossible",
                f"`{name}` has address 0x{part.address:02X}, which no {part.chip} can have",
                f"Write its address: {words}",
                spot,
            )
        owner = first.setdefault((part.sda, part.scl, part.address), name)
        if owner != name:
            yield report(
                "address-shared",
                f"`{owner}` and `{name}` share address 0x{part.address:02X} on one bus",
                f"Set `{name}` to another address, on its pins and in the file",
                spot,
                [Related(f"`{owner}` has it", device.spot("wiring", "banks", owner))],
            )


CHECKS = (check_places, check_ladders, check_held, check_addresses)
