"""Pins of the board: used twice, not there, not able, and rotaries whose common leads nowhere."""

from collections.abc import Iterable, Iterator
from typing import TYPE_CHECKING

from profiles.checks.base import by_device, report
from profiles.facts.device import DeviceFacts
from profiles.facts.survey import Survey
from profiles.model import Expander, Finding, Related
from profiles.text.prose import group_runs, join_words
from profiles.text.suggest import closest

if TYPE_CHECKING:
    from profiles.wiring.circuit import PinUse

_PIN_LETTERS = ("GPIO", "GP", "IO", "D")
"""What boards print, and programs write, before the number of a pin. Rule of thumb."""


@by_device
def check_shared(device: DeviceFacts) -> Iterator[Finding]:
    """Report pins with more than one use, each later use once."""
    if not device.is_wired:
        return
    from profiles.wiring.circuit import pins_used_twice

    for first, *others in pins_used_twice(device.device):
        owner = _name_use(device, first)
        for other in others:
            if first.role and first.role == other.role:
                continue
            name = _name_use(device, other)
            yield report(
                "pin-shared",
                f"pin `{first.pin}` serves {owner} and {name}",
                f"Move {name} to a free pin",
                device.spot(*other.path),
                [Related(f"serves {owner}", device.spot(*first.path))],
            )


def _name_use(device: DeviceFacts, use: "PinUse") -> str:
    """What a pin is used for, controls and contacts in backticks."""
    if use.path[0] != "controls":
        return use.what
    control, key = str(use.path[1]), use.path[2]
    if key in ("pin", "pins"):
        contact = str(use.path[3]) if key == "pins" else device.controls[control].main_contact
        return device.name(control, contact or "")
    return f"the {'LED' if key == 'led' else key} of `{control}`"


def check_board(survey: Survey) -> Iterator[Finding]:
    """Report boards that are not known, and pins that a known board lacks."""
    for device in survey.devices:
        word = device.device.wiring.board
        if word is None:
            continue
        from profiles.wiring.boards import list_boards
        from profiles.wiring.circuit import free_pins, pins_not_on_board, pins_unable

        board = device.board
        if board is None and survey.library.may_define("board", word):
            continue
        if board is None:
            near = closest(word, list_boards(survey.library))
            yield report(
                "board-unknown",
                f"`{word}` is no known board",
                f"Write `{near}`" if near else f"Describe it: `platebook new board {word}`",
                device.spot("wiring", "board"),
            )
            continue
        for use in pins_not_on_board(device.device, board):
            # Boards and programs write different letters before the same number.
            bare = _bare_number(use.pin)
            near = next((pin for pin in board.pins if _bare_number(pin) == bare), None)
            bank, dot, place = use.pin.rpartition(".")
            if dot and (meant := closest(bank, device.device.wiring.banks)):
                near = f"{meant}.{place}"
            yield report(
                "pin-not-on-board",
                f"`{word}` has no pin `{use.pin}` for {_name_use(device, use)}",
                f"Write `{near}`"
                if near
                else f"Write {_name_free(free_pins(device.device, board, use.asks))}",
                device.spot(*use.path),
                [Related(f"its pins are {name_runs(board.pins)}", device.spot("wiring", "board"))],
            )
        for use, ability in pins_unable(device.device, board):
            name = _name_use(device, use)
            able = free_pins(device.device, board, use.asks)
            yield report(
                "pin-unable",
                f"pin `{use.pin}` of `{word}` {LACKS[ability]}, which {name} needs",
                f"Move {name} to {_name_free(able)}",
                device.spot(*use.path),
                [Related("the board", device.spot("wiring", "board"))],
            )

        for name, part in device.device.wiring.banks.items():
            if not isinstance(part, Expander) or board.shares_bus(part.sda, part.scl):
                continue
            if board.is_able(part.sda, "sda") and board.is_able(part.scl, "scl"):
                yield report(
                    "pin-unable",
                    f"pins `{part.sda}` and `{part.scl}` of `{word}` are wires of different buses",
                    f"Move one wire of `{name}`: `platebook boards {word}` lists the buses",
                    device.spot("wiring", "banks", name, "scl"),
                    [Related("the other wire", device.spot("wiring", "banks", name, "sda"))],
                )


LACKS = {
    "input": "cannot be read",
    "output": "cannot drive a wire",
    "pull-up": "has no pull-up",
    "analog": "measures no voltage",
    "sda": "is no data wire of a two-wire bus",
    "scl": "is no clock wire of a two-wire bus",
}
"""What a pin without an ability is, in words."""

MOST_FREE = 8
"""Free pins that a remedy names; more would hide the first."""


def _name_free(pins: tuple[str, ...]) -> str:
    """Free pins in words, such as "a free pin: `5`, `7` or 3 more"."""
    if not pins:
        return "a pin that you free first: none that can do it is left"
    named = [f"`{pin}`" for pin in pins[:MOST_FREE]]
    more = len(pins) - MOST_FREE
    return f"a free pin: {join_words([*named, *([f'{more} more'] if more > 0 else [])], 'or')}"


def name_runs(pins: Iterable[str]) -> str:
    """Pins in words, those that count up as a run: "`0` to `13`, `A0` to `A5`"."""
    words = [
        f"`{run[0]}` to `{run[-1]}`" if len(run) > 2 else join_words([f"`{pin}`" for pin in run])
        for run in group_runs(pins)
    ]
    return ", ".join(words)


def _bare_number(pin: str) -> str:
    bare = pin.upper()
    for letters in _PIN_LETTERS:
        if bare.startswith(letters) and bare[len(letters) :].isdigit():
            return bare[len(letters) :]
    return bare


@by_device
def check_commons(device: DeviceFacts) -> Iterator[Finding]:
    """Report rotaries on pins of their own that say nothing of their common."""
    if not device.is_wired:
        return
    from profiles.wiring.circuit import rotaries_without_common

    for control in rotaries_without_common(device.device):
        yield report(
            "rotary-without-common",
            f"`{control}` has its channels on pins, but no common",
            'Add `common = "GND"`, or the pin it is wired to',
            device.spot("controls", control),
        )


CHECKS = (check_shared, check_board, check_commons)
