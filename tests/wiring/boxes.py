"""Small devices and profiles for the tests of this room, written as files are."""

import tomllib

from profiles.model import Application, Device, Library, Profile

PLAIN = """
format = 1
[device]
id = "box"
name = "Box"
[plate]
width = 200.0
height = 100.0
"""

MIXED = (
    PLAIN
    + """
[wiring]
rows = ["A0", "A1"]
columns = ["2", "3", "4"]
numbering = "along-rows"
board = "atmega32u4"
board_at = [20.0, 20.0]
gauge = 28
slack = 10.0
[controls.horn]
kind = "momentary"
label = "HORN"
position = [40.0, 80.0]
hole = 16.2
crossing = [1, 1]
[controls.gear]
kind = "latching"
label = "GEAR"
position = [80.0, 80.0]
hole = 12.2
crossings = { on = [1, 2], off = [2, 2] }
[controls.mode]
kind = "selector"
positions = 2
label = "MODE"
position = [120.0, 40.0]
hole = 10.0
crossings = { position-1 = [1, 3], position-2 = [2, 3] }
[controls.trim]
kind = "rotary"
label = "TRIM"
position = [160.0, 40.0]
hole = 7.0
crossings = { press = [2, 1] }
pins = { clockwise = "5", anticlockwise = "6" }
common = "GND"
[controls.trim.led]
forward_voltage = 2.0
current = 10.0
pin = "9"
"""
)

TITLE = """
format = 1
[application]
id = "title"
name = "Title"
frame_rate = 30.0
[actions.go]
name = "Go"
[actions.stop]
name = "Stop"
"""


def device(text: str) -> Device:
    return Device.model_validate(tomllib.loads(text))


def application(text: str = TITLE) -> Application:
    return Application.model_validate(tomllib.loads(text))


def profile(bindings: str, devices: str = 'device = "box"') -> Profile:
    head = f'format = 1\n[profile]\nid = "profile"\napplication = "title"\n{devices}\n[bindings]\n'
    return Profile.model_validate(tomllib.loads(head + bindings))


def library(one: Device, *others: Device | Profile) -> Library:
    return Library.of([one, application(), *others])
