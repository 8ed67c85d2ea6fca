"""A small library to work on, and copies of the bundled ones."""

import shutil
from pathlib import Path

EXAMPLES = Path(__file__).resolve().parents[2] / "example_profiles"

DEVICE = """\
# A small desk.
format = 1

[device]
id = "desk"
name = "Desk"

[plate]
width = 160.0
height = 90.0

[wiring]
rows = ["A0", "A1"]
columns = ["2", "3"]

[controls.horn]     # top left
kind = "momentary"
label = "HORN"
position = [30.0, 65.0]
hole = 16.2
front = 18.0
crossing = [1, 1]
input = 1

[controls.bell]
kind = "momentary"
label = "BELL"
position = [80.0, 65.0]
hole = 16.2
front = 18.0
crossing = [1, 2]
input = 2

[controls.lamp]
kind = "latching"
label = "LAMP"
position = [30.0, 25.0]
hole = 12.2
front = 15.0
crossing = [2, 1]
input = 3

[controls.trim]
kind = "rotary"
label = "TRIM"
position = [80.0, 25.0]
hole = 7.2
front = 14.0
inputs = { clockwise = 5, anticlockwise = 6, press = 7 }
pins = { clockwise = "5", anticlockwise = "6", press = "7" }
common = "GND"

[controls.mode]
kind = "selector"
positions = 3
label = "MODE"
position = [130.0, 25.0]
hole = 9.7
front = 14.0
inputs = { position-1 = 8, position-2 = 9, position-3 = 10 }

[controls.spare]
kind = "momentary"
label = "SPARE"
position = [130.0, 65.0]
hole = 16.2
front = 18.0
crossing = [2, 2]
input = 4
"""

APPLICATION = """\
format = 1

[application]
id = "harbour"
name = "Harbour"
contexts = ["quay", "sea"]

[actions.sound-horn]
name = "Sound the horn"
legend = "HORN"
group = "signals"
need = "must"

[actions.ring-bell]
name = "Ring the bell"
legend = "BELL"
group = "signals"

[actions.take-job]
name = "Take the job"
legend = "JOB"
contexts = ["quay"]

[actions.drop-anchor]
name = "Drop the anchor"
legend = "ANCHOR"
contexts = ["sea"]
need = "must"

[actions.deck-light]
name = "Deck light"
legend = "LIGHT"
behaviour = "follows"
group = "lights"
need = "want"
"""

OTHER_APPLICATION = """\
format = 1

[application]
id = "tramway"
name = "Tramway"

[actions.ring-bell]
name = "Ring the gong"
legend = "GONG"
group = "signals"

[actions.whistle]
name = "Blow the whistle"
legend = "WHISTLE"
group = "signals"
"""

PROFILE = """\
# What the desk does in the harbour.
format = 1

[profile]
id = "harbour-desk"
name = "Harbour on the desk"
application = "harbour"
device = "desk"

[bindings]
horn = "sound-horn"   # the big one
bell = "ring-bell"
lamp = "deck-light"
"""

OTHER_PROFILE = """\
format = 1

[profile]
id = "tramway-desk"
name = "Tramway on the desk"
application = "tramway"
device = "desk"

[bindings]
bell = "whistle"
"""

FILES = {
    "desk": DEVICE,
    "harbour": APPLICATION,
    "tramway": OTHER_APPLICATION,
    "bindings": PROFILE,
    "tram-bindings": OTHER_PROFILE,
}


def write_desk(folder: Path) -> Path:
    """A library of one desk and two titles."""
    folder.mkdir(parents=True)
    for name, text in FILES.items():
        (folder / f"{name}.toml").write_text(text, encoding="utf-8")
    return folder


def copy_example(name: str, folder: Path) -> Path:
    """A copy of a bundled library."""
    return Path(shutil.copytree(EXAMPLES / name, folder))
