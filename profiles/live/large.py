"""What a hands-free test shows, to be read from two metres: few words, and where on the plate.

- `enlarge_step`: what to do in as few words as there can be
- `draw_where`: the plate as lines of text, with the controls that are asked for
"""

from collections.abc import Iterable

from profiles.live.plan import Gesture, Step
from profiles.model import Device

VERBS: dict[Gesture, str] = {
    "rest": "hands off",
    "press": "",
    "put-on": "on",
    "put-off": "off",
    "put": "put",
    "select": "go to",
    "turn": "turn",
    "together": "hold",
    "to-high": "high end",
    "to-low": "low end",
}
"""What is done, where it is more than a press."""

COLUMNS, ROWS = 40, 8
"""Size of the picture of a plate, in letters and lines."""


def enlarge_step(device: Device, step: Step) -> str:
    """What to do: the words on the plate, and how if it is no mere press."""
    contact = step.contact
    if contact is None:
        return VERBS["rest"]
    label = device.controls[contact.control].spoken_label or contact.control
    held = [device.controls[one.control].spoken_label or one.control for one in step.held]
    words = [VERBS[step.gesture], *(f"{one} +" for one in held), label]
    if step.gesture in ("put-on", "put-off", "to-high", "to-low"):
        words = [label, VERBS[step.gesture]]
    elif step.gesture not in ("together",) and contact.contact != "press":
        words.append(contact.contact.replace("-", " "))
    return " ".join(filter(None, words))


def draw_where(device: Device, asked: Iterable[str]) -> tuple[str, ...]:
    """The plate seen from the front: `O` the controls to touch, `.` the others."""
    plate, wanted = device.plate, set(asked)
    cells = [[" "] * COLUMNS for _ in range(ROWS)]
    for name, control in sorted(device.controls.items(), key=lambda one: one[0] in wanted):
        x, y = control.position
        column = min(COLUMNS - 1, max(0, int(x / plate.width * COLUMNS)))
        row = min(ROWS - 1, max(0, int((1 - y / plate.height) * ROWS)))
        cells[row][column] = "O" if name in wanted else "."
    edge = f"+{'-' * COLUMNS}+"
    return (edge, *(f"|{''.join(row)}|" for row in cells), edge)
