"""Titles on devices, for tests of the sheets that show what controls do."""

from functools import cache
from typing import Any, NamedTuple

from profiles.files.bundled import find_bundled
from profiles.files.library import load_library
from profiles.model import Device, Library
from profiles.model.library import Link
from profiles.sheets.requests import SHEETS
from profiles.sheets.sheet import Subject
from tests.checks.build import application, device, library, profile

DESK = device(
    """
[plate]
width = 200.0
height = 120.0
[controls.shift]
label = "SHIFT"
position = [30.0, 80.0]
input = 1
[controls.horn]
label = "HORN"
position = [80.0, 80.0]
input = 2
[controls.lights]
kind = "latching"
label = "LIGHTS"
position = [130.0, 80.0]
inputs = { on = 3, off = 4 }
[controls.trim]
kind = "rotary"
label = "TRIM"
position = [60.0, 30.0]
front = 14.0
inputs = { clockwise = 5, anticlockwise = 6, press = 7 }
[controls.spare]
label = "SPARE"
position = [140.0, 30.0]
input = 8
"""
)
"""Two rows: three controls above, two below; every control has inputs."""

HARBOUR = application(
    """
[application]
first_number = 0
number_format = "Joy {n}"
[actions.whistle]
name = "Blow the whistle"
legend = "WHISTLE"
group = "signals"
contexts = ["sailing", "towing"]
[actions.fog]
name = "Fog signal"
legend = "FOG"
group = "signals"
[actions.lamps]
name = "Lamps"
legend = "LAMPS"
group = "lights"
[actions.up]
name = "Trim up"
legend = "UP"
[actions.down]
name = "Trim down"
legend = "DOWN"
"""
)
BINDINGS = """
[bindings]
horn = "whistle"
"shift + horn" = "fog"
lights = "lamps"
"trim.clockwise" = "up"
"trim.anticlockwise" = "down"
"""
PLAY = profile(BINDINGS)


def desk_library() -> Library:
    """The desk with one title."""
    return library(DESK, HARBOUR, PLAY)


class Order(NamedTuple):
    """What a sheet's module is asked with."""

    subject: Subject
    request: Any


def order_of(
    sheet: str,
    books: Library,
    box: Device,
    *profiles: str,
    devices: tuple[Device, ...] = (),
    **options: Any,
) -> Order:
    """An order for a device of a library and these of its profiles."""
    links: tuple[Link, ...] = tuple(books.link(one) for one in profiles)
    subject = Subject(library=books, device=box, links=links, devices=devices)
    kind = SHEETS[sheet]
    named = box.id if devices or kind.is_of_one_plate else None
    return Order(subject, kind(device=named, profiles=profiles, **options))


@cache
def harbour() -> Library:
    """The bundled example library."""
    return load_library(find_bundled("example_profiles") / "harbour").library


def harbour_order(sheet: str, name: str, *profiles: str, **options: Any) -> Order:
    """An order for a device of the example library and these of its profiles."""
    return order_of(sheet, harbour(), harbour().devices[name], *profiles, **options)
