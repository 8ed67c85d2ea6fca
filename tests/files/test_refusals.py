"""All that is wrong with a file is told in one run: keys, and what does not go together."""

import copy
import tomllib
from itertools import combinations
from typing import Any

import pytest

from profiles.files.faults import FileFaultError
from profiles.files.validate import validate_content

DEVICE = tomllib.loads(
    """
format = 1
[device]
id = "desk"
name = "Desk"
[plate]
width = 200.0
height = 100.0
screws = [{ position = [5.0, 5.0], hole = { diameter = 3.2 } }]
[wiring]
rows = ["1"]
[controls.horn]
kind = "momentary"
label = "HORN"
position = [30.0, 50.0]
hole = { diameter = 16.2, across_flats = 15.0 }
[controls.gear]
kind = "latching"
label = "GEAR"
reports = "changes"
position = [60.0, 50.0]
hole = 12.2
led = { forward_voltage = 2.0, current = 10.0, pin = "9" }
[controls.mode]
kind = "selector"
label = "MODE"
position = [90.0, 50.0]
hole = 9.0
positions = 4
spring = [4]
[controls.trim]
kind = "rotary"
label = "TRIM"
position = [120.0, 50.0]
hole = 7.0
front = 30.0
[controls.fine]
kind = "rotary"
label = "FINE"
front = 12.0
concentric_with = "trim"
[controls.lever]
kind = "axis"
label = "LEVER"
position = [170.0, 50.0]
hole = 7.0
axis = "throttle"
centre = 50.0
dead_band = 5.0
scale = { marks = ["0", "10"], angle = 270.0 }
[fixtures.plug]
kind = "blank-plug"
position = [150.0, 20.0]
hole = 8.0
[[extras]]
name = "Cable"
unit_price = 1.0
"""
)
APPLICATION = tomllib.loads(
    """
format = 1
[application]
id = "harbour"
name = "Harbour"
[actions.horn]
name = "Horn"
[settings_file]
format = "lines"
line = "{action}={number}"
actions = { horn = "HORN" }
"""
)
BOARD = tomllib.loads(
    """
format = 1
[board]
id = "own"
name = "Own"
supply = 5.0
[limits]
pin = 20.0
board = 200.0
source = "Own sheet"
[pins]
1 = "a pin"
2 = "a pin"
[groups.all]
limit = 100.0
pins = ["1"]
"""
)
PROFILE = tomllib.loads(
    """
format = 1
[profile]
application = "harbour"
device = "desk"
[bindings]
horn = "horn"
"""
)
MISTAKES: dict[str, tuple[dict[str, Any], list[tuple[str, Any]]]] = {
    "device": (
        DEVICE,
        [
            ("plate/width", "wide"),
            ("plate/screws/0/hole/keyway", [4.0, 1.0]),
            ("wiring/debouncing", 3.0),
            ("wiring/chains", 3),
            ("controls/horn/label", None),
            ("controls/horn/labels", {"pres": "x"}),
            ("controls/horn/inputs", {"on": 1}),
            ("controls/horn/hole/across_flats", 20.0),
            ("controls/gear/inputs", {"off": 2}),
            ("controls/gear/led/crossing", [1, 1]),
            ("controls/gear/led/current", "x"),
            ("controls/mode/input", 3),
            ("controls/mode/off", [9]),
            ("controls/mode/key_out", [7, 8]),
            ("controls/mode/pins", {"position-7": "3"}),
            ("controls/fine/concentric_with", "trm"),
            ("controls/fine/axis_step", 3.0),
            ("controls/lever/input", 4),
            ("controls/lever/range", [90.0, 10.0]),
            ("controls/lever/scale/stroke", 10.0),
            ("controls/lever/note", 5),
            ("fixtures/horn", DEVICE["fixtures"]["plug"]),
            ("fixtures/plug/kind", "plugg"),
            ("extras/0/price_per_kg", 3.0),
            ("extras/0/amount", 3.0),
        ],
    ),
    "application": (
        APPLICATION,
        [
            ("application/name", 5),
            ("actions/horn/behaviour", "hold"),
            ("settings_file/at", "x"),
            ("settings_file/line", "{number}"),
            ("settings_file/actions/hron", "H"),
        ],
    ),
    "board": (
        BOARD,
        [
            ("board/name", None),
            ("board/pull_up_most", 3.0),
            ("limits/pin", -1.0),
            ("groups/all/pins", ["7"]),
            ("notes", {"8": "x"}),
            ("can", {"analog": ["9"], "digital": ["1"]}),
        ],
    ),
    "profile": (
        PROFILE,
        [("profile/devices", ["desk"]), ("profile/name", 3), ("bindings/a..b", 3)],
    ),
}


def change(content: dict[str, Any], path: str, value: Any) -> None:
    """Write a value, or take the key away."""
    *parents, key = path.split("/")
    holder: Any = content
    for part in parents:
        holder = holder[int(part) if isinstance(holder, list) else part]
    holder.pop(key) if value is None else holder.update({key: value})


def tell(content: dict[str, Any], changes: list[tuple[str, Any]]) -> list[str]:
    """The messages about content with these changes."""
    content = copy.deepcopy(content)
    for path, value in changes:
        change(content, path, value)
    with pytest.raises(ExceptionGroup) as caught:
        validate_content(content)
    faults = caught.value.exceptions
    return [
        f"{fault.message} -> {fault.remedy}"
        for fault in faults
        if isinstance(fault, FileFaultError)
    ]


@pytest.mark.parametrize("kind", MISTAKES)
def test_two_mistakes_are_told_together_and_as_they_are_alone(kind: str) -> None:
    """A third of all pairs; the next test has them all at once."""
    content, mistakes = MISTAKES[kind]
    alone = {path: tell(content, [(path, value)]) for path, value in mistakes}
    for one, other in list(combinations(mistakes, 2))[::3]:
        if not one[0].startswith(other[0]) and not other[0].startswith(one[0]):
            both = tell(content, [one, other])
            assert sorted(both) == sorted(alone[one[0]] + alone[other[0]]), (one, other)


@pytest.mark.parametrize("kind", MISTAKES)
def test_all_mistakes_of_a_file_are_told_in_one_run(kind: str) -> None:
    content, mistakes = MISTAKES[kind]
    alone = [told for mistake in mistakes for told in tell(content, [mistake])]
    assert sorted(tell(content, mistakes)) == sorted(alone)
