"""Pins of the board: used twice, not there, and rotaries whose common leads nowhere."""

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

from profiles.checks.base import Check, report
from profiles.facts.device import DeviceFacts
from profiles.facts.survey import Survey
from profiles.model import Finding, Page, Related
from profiles.text.suggest import closest

if TYPE_CHECKING:
    from profiles.wiring.circuit import PinUse

PIN_SHARED = Page(
    code="pin-shared",
    severity="error",
    title="One pin is used for two things",
    what="Two lines, contacts or other uses name the same pin of the board. LEDs may share one.",
    why="The two wires are one: a press on either reads as both, or the scan drives what it "
    "should sense.",
    example='[wiring]\nrows = ["A0", "A1"]\ncolumns = ["A1", "2"]',
    remedy="Move one of them to a free pin.",
)

PIN_NOT_ON_BOARD = Page(
    code="pin-not-on-board",
    severity="error",
    title="A pin is not on the board",
    what="The wiring names a pin that the file of its board does not list.",
    why="There is nowhere to solder the wire, or the label was read from another board.",
    example='[wiring]\nboard = "atmega32u4"\nrows = ["A9"]',
    remedy="Write a pin as it is printed on the board.",
    source="The board's own file names the sheet it was taken from",
)

BOARD_UNKNOWN = Page(
    code="board-unknown",
    severity="warning",
    title="The board is not known",
    what="The wiring names a board of which there is no file.",
    why="Pins and currents cannot be held against anything.",
    example='[wiring]\nboard = "atmega32u5"',
    remedy="Correct the id, or write a board file.",
)

ROTARY_WITHOUT_COMMON = Page(
    code="rotary-without-common",
    severity="error",
    title="A rotary has no common",
    what="The channels of a rotary have pins of their own, and nothing says what its common is "
    "wired to.",
    why="The channels close against the common. Left open, both pins always read as not pressed.",
    example='[controls.trim]\nkind = "rotary"\npins = { clockwise = "5", anticlockwise = "6" }\n'
    'common = "GND"   # the line that is easily forgotten',
    remedy='Give the rotary its common, mostly `common = "GND"`.',
)


_PIN_LETTERS = ("GPIO", "GP", "IO", "D")
"""What boards print, and programs write, before the number of a pin. Common practice, no source."""


def check_shared(survey: Survey) -> Iterator[Finding]:
    """Report pins with more than one use, each later use once."""
    for device in survey.devices:
        if not device.is_wired:
            continue
        from profiles.wiring.circuit import pins_used_twice

        for first, *others in pins_used_twice(device.device):
            for other in others:
                if first.path[-2:] == other.path[-2:] == ("led", "pin"):
                    continue
                yield _describe_shared(device, first, other)


def _describe_shared(device: DeviceFacts, first: "PinUse", other: "PinUse") -> Finding:
    one, two = _name_use(device, first), _name_use(device, other)
    return report(
        PIN_SHARED,
        f"pin `{first.pin}` serves {one} and {two}",
        f"Move {two} to a free pin",
        device.spot(*other.path),
        [Related(f"serves {one}", device.spot(*first.path))],
    )


def _name_use(device: DeviceFacts, use: "PinUse") -> str:
    """What a pin is used for, controls and contacts in backticks."""
    if use.path[0] != "controls":
        return use.what
    control, key = str(use.path[1]), use.path[2]
    if key in ("pin", "pins"):
        contact = str(use.path[3]) if key == "pins" else device.controls[control].main_contact
        return device.name(control, contact or "")
    return f"the {key} of `{control}`"


def check_board(survey: Survey) -> Iterator[Finding]:
    """Report boards that are not known, and pins that a known board lacks."""
    for device in survey.devices:
        if device.device.wiring.board is not None:
            yield from _check_board(survey, device, device.device.wiring.board)


def _check_board(survey: Survey, device: DeviceFacts, word: str) -> Iterator[Finding]:
    from profiles.wiring.circuit import pins_not_on_board

    board = survey.board(device)
    if board is None:
        from profiles.wiring.boards import list_boards

        near = closest(word, list_boards(survey.library))
        yield report(
            BOARD_UNKNOWN,
            f"`{word}` is no known board",
            f"Write `{near}`" if near else "Write a board file for it",
            device.spot("wiring", "board"),
        )
        return
    for use in pins_not_on_board(device.device, board):
        near = _nearest_pin(use.pin, tuple(board.pins))
        yield report(
            PIN_NOT_ON_BOARD,
            f"`{word}` has no pin `{use.pin}` for {_name_use(device, use)}",
            f"Write `{near}`" if near else f"Write a pin that `{word}` has",
            device.spot(*use.path),
            [Related("the board", device.spot("wiring", "board"))],
        )


def _nearest_pin(name: str, pins: Sequence[str]) -> str | None:
    """The pin of the same number, where boards and programs write different letters before it."""
    return next((pin for pin in pins if _bare_number(pin) == _bare_number(name)), None)


def _bare_number(pin: str) -> str:
    bare = pin.upper()
    for letters in _PIN_LETTERS:
        if bare.startswith(letters) and bare[len(letters) :].isdigit():
            return bare[len(letters) :]
    return bare


def check_commons(survey: Survey) -> Iterator[Finding]:
    """Report rotaries on pins of their own that say nothing of their common."""
    for device in survey.devices:
        if not device.is_wired:
            continue
        from profiles.wiring.circuit import rotaries_without_common

        for control in rotaries_without_common(device.device):
            yield report(
                ROTARY_WITHOUT_COMMON,
                f"`{control}` has its channels on pins, but no common",
                'Add `common = "GND"`, or the pin it is wired to',
                device.spot("controls", control),
            )


CHECKS = (
    Check(check_shared, (PIN_SHARED,)),
    Check(check_board, (BOARD_UNKNOWN, PIN_NOT_ON_BOARD)),
    Check(check_commons, (ROTARY_WITHOUT_COMMON,)),
)
