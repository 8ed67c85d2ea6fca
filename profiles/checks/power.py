"""Lamps and currents against the limits of pins, board and USB port."""

from collections.abc import Iterator
from typing import TYPE_CHECKING

from profiles.checks.base import Check, report
from profiles.checks.device_facts import DeviceFacts
from profiles.checks.survey import Survey
from profiles.model import Finding, Page, Related, Spot

if TYPE_CHECKING:
    from profiles.wiring.power import Load

LAMP_UNDERFED = Page(
    code="lamp-underfed",
    severity="error",
    title="A lamp's supply is below its forward voltage",
    what="The supply of a lamp does not exceed the lamp's forward voltage.",
    why="It stays dark, and no series resistor can be found for it.",
    example="[controls.horn.lamp]\nforward_voltage = 3.2\ncurrent = 5.0\nsupply = 3.0",
    remedy="Raise the supply, or choose a lamp of lower forward voltage.",
    source="R = (Vs - Vf) / I needs Vs above Vf",
)

CURRENT_OVER_LIMIT = Page(
    code="current-over-limit",
    severity="error",
    title="A current is over its limit",
    what="With every lamp lit, the current of a pin, a group of pins, the board or the USB port "
    "is over what it may carry.",
    why="Pins and regulators fail from it, at once or in time, and a port may cut the box off. "
    "Follow the board's own sheet; ask someone qualified when in doubt.",
    example='[controls.horn.lamp]\nforward_voltage = 2.0\ncurrent = 30.0\npin = "9"',
    remedy="Lower the lamps' current, spread them over pins, or drive them by a transistor.",
    source="USB 2.0, 7.2.1: a unit load is 100 mA, at most five; pins and board: the sheet that "
    "the board's file names",
)

CURRENT_NEAR_LIMIT = Page(
    code="current-near-limit",
    severity="advice",
    title="A current is near its limit",
    what="With every lamp lit, a current comes to 80 % or more of what may be carried.",
    why="Parts differ and supplies vary: what is just allowed on paper may be over on the desk.",
    example='[controls.horn.lamp]\nforward_voltage = 2.0\ncurrent = 18.0\npin = "9"   # of 20 mA',
    remedy="Lower the lamps' current, or accept it knowingly.",
    source="80 %: common practice, no source; limits as for `current-over-limit`",
)


def check_power(survey: Survey) -> Iterator[Finding]:
    """Report lamps that cannot light, and currents over or near their limits."""
    for device in survey.devices:
        if not any(value.lamp for value in device.controls.values()):
            continue
        from profiles.wiring.lamps import loads_of

        found = loads_of(device.device, survey.board(device))
        for plan in found.lamps:
            if plan.problem is not None:
                yield _tell_underfed(device, plan.control)
        for load in found.loads:
            if load.state != "fine":
                yield _tell_load(device, load)


def _tell_underfed(device: DeviceFacts, control: str) -> Finding:
    lamp = device.controls[control].lamp
    supply = device.device.wiring.supply if lamp is None or lamp.supply is None else lamp.supply
    needed = 0.0 if lamp is None else lamp.forward_voltage
    return report(
        LAMP_UNDERFED,
        f"the lamp of `{control}` needs over {needed:g} V, has {supply:g} V",
        "Raise its supply, or choose a lamp of lower forward voltage",
        device.spot("controls", control, "lamp"),
    )


def _tell_load(device: DeviceFacts, load: "Load") -> Finding:
    page, word = (
        (CURRENT_OVER_LIMIT, "over") if load.state == "over" else (CURRENT_NEAR_LIMIT, "near")
    )
    remedy = (
        "Raise the USB current asked for, or lower the lamps'"
        if load.name.startswith("what the box asks")
        else "Lower the lamps' current, or spread them"
    )
    return report(
        page,
        f"{load.name}: {load.current:.1f} mA, {word} {load.limit:g} mA",
        remedy,
        device.spot("wiring"),
        [Related("draws from it", spot) for spot in _lamps_of(device, load.name)],
        about=load.name,
    )


def _lamps_of(device: DeviceFacts, name: str) -> list[Spot]:
    """Lamps on the one pin that a load is about; none for any other load."""
    return [
        device.spot("controls", control, "lamp")
        for control, value in device.controls.items()
        if value.lamp and value.lamp.pin and name == f"pin {value.lamp.pin}"
    ]


CHECKS = (Check(check_power, (LAMP_UNDERFED, CURRENT_OVER_LIMIT, CURRENT_NEAR_LIMIT)),)
