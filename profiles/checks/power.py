"""LEDs and currents against the limits of pins, board and USB port."""

from collections.abc import Iterator

from profiles.checks.base import by_device, report
from profiles.facts.device import DeviceFacts
from profiles.model import Finding, Related
from profiles.text.prose import join_words

FOLLOWED = "Write `power`, or contacts of this device that are wired, joined by `+`"


@by_device
def check_leds(device: DeviceFacts) -> Iterator[Finding]:
    """Report LEDs that cannot light, and LEDs that feed a pin above the board's supply."""
    if not any(value.led for value in device.controls.values()):
        return
    from profiles.wiring.leds import loads_of

    board = device.board
    for plan in loads_of(device.device, board).leds:
        led = device.controls[plan.control].led
        spot = device.spot("controls", plan.control, "led")
        if plan.problem is not None and led is not None:
            yield report(
                "led-underfed",
                f"the LED of `{plan.control}` needs over {led.forward_voltage:g} V, "
                f"but has {plan.supply:g} V",
                "Raise its supply, or choose an LED of lower forward voltage",
                spot,
            )
        if board is not None and plan.pin and plan.supply > board.supply:
            yield report(
                "led-over-pin",
                f"the LED of `{plan.control}` has {plan.supply:g} V, "
                f"but pin `{plan.pin}` has {board.supply:g} V",
                "Feed it from the pin, or switch it by a transistor",
                spot,
                [Related("the board", device.spot("wiring", "board"))],
            )


@by_device
def check_follows(device: DeviceFacts) -> Iterator[Finding]:
    """Report LEDs that follow nothing that can be read, and those beyond the LED matrix."""
    if not any(value.led for value in device.controls.values()):
        return
    from profiles.facts.lights import find_lights

    matrix = device.device.wiring.leds
    size = (len(matrix.rows), len(matrix.columns)) if matrix else (0, 0)
    for light in find_lights(device.device):
        spot = ("controls", light.control, "led")
        unread = [one for one in light.closed + light.opened if not device.model.is_wired(one)]
        problem = light.problem
        if unread and device.is_wired:
            problem = f"{join_words([device.name(*one) for one in unread])} has no wire"
        if problem:
            yield report(
                "led-follows-nothing",
                f"the LED of `{light.control}` stays dark: {problem}",
                f"Write `{light.meant}`" if light.meant else FOLLOWED,
                device.spot(*spot, "follows"),
            )
        row, column = light.led.crossing or (0, 0)
        if row > size[0] or column > size[1]:
            yield report(
                "led-outside",
                f"the LED of `{light.control}` sits at row {row}, column {column}, but the "
                + (
                    f"LED matrix has {size[0]} by {size[1]}" if matrix else "file has no LED matrix"
                ),
                f"Write a crossing from [1, 1] to [{size[0]}, {size[1]}], or add the line"
                if matrix
                else "Describe the LED matrix as `wiring.leds`",
                device.spot(*spot, "crossing"),
            )


@by_device
def check_currents(device: DeviceFacts) -> Iterator[Finding]:
    """Report currents over or near their limits."""
    if not any(value.led for value in device.controls.values()):
        return
    from profiles.wiring.leds import loads_of
    from profiles.wiring.power import LEDS_ALONE, WHOLE_BOX

    for load in loads_of(device.device, device.board).loads:
        if load.state == "fine":
            continue
        lit = [
            device.spot("controls", control, "led")
            for control, value in device.controls.items()
            if value.led and value.led.pin and load.name == f"pin {value.led.pin}"
        ]
        yield report(
            "current-over-limit" if load.state == "over" else "current-near-limit",
            f"{load.name}: {load.current:.1f} mA, {load.state} the limit of {load.limit:g} mA",
            "Raise the USB current asked for, or lower the LEDs'"
            if load.name in (WHOLE_BOX, LEDS_ALONE)
            else "Lower the LEDs' current, or spread them",
            device.spot("wiring"),
            [Related("draws from it", spot) for spot in lit],
            about=load.name,
        )


@by_device
def check_request(device: DeviceFacts) -> Iterator[Finding]:
    """Report a USB current that the firmware of the board does not ask for."""
    described = device.device.wiring.usb_current
    firmware = device.firmware
    if described <= 500 and described % 2 == 0 and firmware != "python":
        return
    from profiles.wiring.power import asked_current

    asked = asked_current(described, firmware)
    if asked == described:
        return
    if firmware == "python":
        why = f"the interpreter always asks for {asked} mA"
    elif described > asked + 1:
        why = f"a USB 2.0 box asks for {asked} mA at most"
    else:
        why = f"a box asks in steps of 2 mA: for {asked} mA"
    yield report(
        "power-not-asked",
        f"`{device.id}` should ask the USB port for {described} mA, but {why}",
        f"Set wiring.usb_current to {asked}",
        device.spot("wiring", "usb_current"),
    )


CHECKS = (check_leds, check_follows, check_currents, check_request)
