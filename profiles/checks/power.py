"""LEDs and currents against the limits of pins, board and USB port."""

from collections.abc import Iterator
from typing import TYPE_CHECKING

from profiles.checks.base import Check, report
from profiles.facts.device import DeviceFacts
from profiles.facts.survey import Survey
from profiles.model import Board, Finding, Page, Related, Spot

if TYPE_CHECKING:
    from profiles.wiring.leds import LedPlan
    from profiles.wiring.power import Load

LED_UNDERFED = Page(
    code="led-underfed",
    severity="error",
    title="An LED's supply is below its forward voltage",
    what="The supply of an LED does not exceed the LED's forward voltage.",
    why="It stays dark, and no series resistor can be found for it.",
    example="[controls.horn.led]\nforward_voltage = 3.2\ncurrent = 5.0\nsupply = 3.0",
    remedy="Raise the supply, or choose an LED of lower forward voltage.",
    source="R = (Vs - Vf) / I needs Vs above Vf",
)

LED_OVER_PIN = Page(
    code="led-over-pin",
    severity="error",
    title="An LED on a pin has a supply above the board's",
    what="An LED names a pin that drives it, and a supply of higher voltage than the board's.",
    why="A pin that is off is then lifted above the board's own supply through the LED: current "
    "flows into the chip, the LED never goes out, and the pin may die of it.",
    example='[wiring]\nboard = "atmega32u4"   # 5 V\n\n[controls.horn.led]\n'
    'forward_voltage = 6.0\ncurrent = 10.0\nsupply = 12.0\npin = "9"',
    remedy="Feed the LED from the pin, or let the pin switch it by a transistor and leave `pin` "
    "out of the LED. Ask someone qualified when in doubt.",
    source="Absolute maximum of a pin: the board's supply and a few tenths of a volt, in the data "
    "sheet that its file names (common practice, no page seen)",
)

CURRENT_OVER_LIMIT = Page(
    code="current-over-limit",
    severity="error",
    title="A current is over its limit",
    what="With every LED lit, the current of a pin, a group of pins, the board or the USB port "
    "is over what it may carry.",
    why="Pins and regulators fail from it, at once or in time, and a port may cut the box off. "
    "Follow the board's own sheet; ask someone qualified when in doubt.",
    example='[controls.horn.led]\nforward_voltage = 2.0\ncurrent = 30.0\npin = "9"',
    remedy="Lower the LEDs' current, spread them over pins, or drive them by a transistor.",
    source="USB 2.0, 7.2.1: a unit load is 100 mA, at most five; pins and board: the sheet that "
    "the board's file names",
)

CURRENT_NEAR_LIMIT = Page(
    code="current-near-limit",
    severity="note",
    title="A current is near its limit",
    what="With every LED lit, a current comes to 80 % or more of what may be carried.",
    why="Parts differ and supplies vary: what is just allowed on paper may be over on the desk.",
    example='[controls.horn.led]\nforward_voltage = 2.0\ncurrent = 18.0\npin = "9"   # of 20 mA',
    remedy="Lower the LEDs' current, or accept it knowingly.",
    source="80 %: common practice, no source; limits as for `current-over-limit`",
)


def check_power(survey: Survey) -> Iterator[Finding]:
    """Report LEDs that cannot light, and currents over or near their limits."""
    for device in survey.devices:
        if not any(value.led for value in device.controls.values()):
            continue
        from profiles.wiring.leds import loads_of

        board = survey.board(device)
        found = loads_of(device.device, board)
        for plan in found.leds:
            if plan.problem is not None:
                yield _describe_underfed(device, plan)
            if board is not None and plan.pin and plan.supply > board.supply:
                yield _describe_overfed(device, plan, board)
        for load in found.loads:
            if load.state != "fine":
                yield _describe_load(device, load)


def _describe_underfed(device: DeviceFacts, plan: "LedPlan") -> Finding:
    led = device.controls[plan.control].led
    needed = 0.0 if led is None else led.forward_voltage
    return report(
        LED_UNDERFED,
        f"the LED of `{plan.control}` needs over {needed:g} V, has {plan.supply:g} V",
        "Raise its supply, or choose an LED of lower forward voltage",
        device.spot("controls", plan.control, "led"),
    )


def _describe_overfed(device: DeviceFacts, plan: "LedPlan", board: Board) -> Finding:
    return report(
        LED_OVER_PIN,
        f"the LED of `{plan.control}` has {plan.supply:g} V, pin `{plan.pin}` {board.supply:g} V",
        "Feed it from the pin, or switch it by a transistor",
        device.spot("controls", plan.control, "led"),
        [Related("the board", device.spot("wiring", "board"))],
    )


def _describe_load(device: DeviceFacts, load: "Load") -> Finding:
    from profiles.wiring.power import LEDS_ALONE, WHOLE_BOX

    page, word = (
        (CURRENT_OVER_LIMIT, "over") if load.state == "over" else (CURRENT_NEAR_LIMIT, "near")
    )
    remedy = (
        "Raise the USB current asked for, or lower the LEDs'"
        if load.name in (WHOLE_BOX, LEDS_ALONE)
        else "Lower the LEDs' current, or spread them"
    )
    return report(
        page,
        f"{load.name}: {load.current:.1f} mA, {word} {load.limit:g} mA",
        remedy,
        device.spot("wiring"),
        [Related("draws from it", spot) for spot in _leds_of(device, load.name)],
        about=load.name,
    )


def _leds_of(device: DeviceFacts, name: str) -> list[Spot]:
    """LEDs on the one pin that a load is about; none for any other load."""
    return [
        device.spot("controls", control, "led")
        for control, value in device.controls.items()
        if value.led and value.led.pin and name == f"pin {value.led.pin}"
    ]


CHECKS = (Check(check_power, (LED_UNDERFED, LED_OVER_PIN, CURRENT_OVER_LIMIT, CURRENT_NEAR_LIMIT)),)
