"""What the whole box costs: parts, LEDs bought by themselves, extras; and what has no price.

Money is decimal throughout, as in `bill`. Only what is paid for by mass is rounded, to hundredths.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal

from profiles.model.device import Device
from profiles.model.fixture import Extra
from profiles.sheets.bill import Need, Part, sum_cost


@dataclass(frozen=True, slots=True)
class Share:
    """One line of the whole bill: what, what it costs, and how many of it have no price.

    The cost is None where nothing of it has a price.
    """

    what: str
    cost: Decimal | None
    unpriced: int


def list_leds(device: Device) -> tuple[Part, ...]:
    """LEDs by colour and price, in the order of the file."""
    groups: dict[tuple[str, Decimal | None], list[str]] = {}
    for key, control in device.controls.items():
        if control.led is not None:
            price = control.led.unit_price
            words = f"LED, {control.led.colour}", None if price is None else Decimal(price)
            groups.setdefault(words, []).append(key)
    return tuple(Part(name, "led", tuple(keys), price) for (name, price), keys in groups.items())


def cost_of(extra: Extra) -> Decimal | None:
    """What an extra line costs; None without a price."""
    quantity = Decimal(extra.quantity)
    if extra.unit_price is not None:
        return quantity * Decimal(extra.unit_price)
    if extra.price_per_kg is None or extra.mass is None:
        return None
    exact = quantity * Decimal(extra.mass) / 1000 * Decimal(extra.price_per_kg)
    return exact.quantize(Decimal("0.01"), ROUND_HALF_UP)


def find_payer(device: Device, need: Need) -> str | None:
    """The name of the extra line that covers a need."""
    return next((extra.name for extra in device.extras if need.sort in extra.covers), None)


def list_shares(device: Device, parts: Sequence[Part], needs: Sequence[Need]) -> tuple[Share, ...]:
    """The lines of the whole bill; a need that no extra covers counts as one without a price."""
    extras = [(extra.name, cost_of(extra)) for extra in device.extras]
    open_needs = sum(find_payer(device, need) is None for need in needs)
    mounted = ("controls", device.controls), ("fixtures", device.fixtures)
    shares = [
        _share(words, [part for part in parts if part.controls[0] in table])
        for words, table in mounted
    ]
    shares.append(_share("LEDs", list_leds(device)))
    shares += [Share(name, cost, int(cost is None)) for name, cost in extras]
    shares.append(Share("also needed, without a line of its own", None, open_needs))
    return tuple(share for share in shares if share.cost is not None or share.unpriced)


def _share(what: str, parts: Sequence[Part]) -> Share:
    unpriced = sum(part.count for part in parts if part.price is None)
    is_priced = any(part.price is not None for part in parts)
    return Share(what, sum_cost(parts) if is_priced else None, unpriced)
