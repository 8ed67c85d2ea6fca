"""Libraries as large as their files may be, one for each limit that is stated.

Each is a folder with a device `box`, an application `app`, a profile `pro` of both with a binding
for each control, and one `spare` without. `write` puts it there, as it was `before` a change of
every control or as it is now. `write_recording` is a press test of its box.
"""

import json
from collections.abc import Callable, Iterable
from pathlib import Path
from typing import Any

from profiles.model.board import MOST_PINS
from profiles.model.device import MOST_CONTROLS
from profiles.report.data import dump_json

WORDS = ("PUMP", "VALVE", "HATCH", "LAMP", "BELL", "WINCH", "SLUICE", "CRANE", "FERRY", "BUOY")
"""What labels are made of."""

Table = dict[str, Any]


def name_key(number: int) -> str:
    """Words for one of many."""
    return f"{WORDS[number % 10]} {number // 10}"


def make_device(
    count: int,
    pitch: float,
    plate: Table | None = None,
    wire: Callable[[int], Table] = lambda number: {},
    **tables: Any,
) -> Table:
    """A device of momentary controls on a square grid; the plate has room for them unless given."""
    side = int((count - 1) ** 0.5) + 1
    size = {"width": pitch * (side + 1), "height": pitch * (side + 1)}
    controls = {
        f"key-{number}": {
            "kind": "momentary",
            "label": name_key(number),
            "position": [pitch * (1 + number % side), pitch * (1 + number // side)],
            "hole": round(pitch * 0.4, 1),
            "front": round(pitch * 0.5, 1),
            **wire(number),
        }
        for number in range(count)
    }
    head = {"id": "box", "name": "Box", "report": {"buttons": max(count, 1)}}
    return {"format": 1, "device": head, "plate": plate or size, **tables, "controls": controls}


def make_harness(rows: int) -> Table:
    """A square matrix, each of its lines past as many contacts."""
    return make_device(
        rows * rows,
        45.0,
        wire=lambda number: {"crossing": [1 + number // rows, 1 + number % rows]},
        wiring={
            "board": "board",
            "rows": [f"R{number}" for number in range(rows)],
            "columns": [f"C{number}" for number in range(rows)],
            "diodes": "every",
            "numbering": "along-rows",
        },
    )


def make_wired(count: int, pitch: float, **plate: float) -> Table:
    """Controls with a pin each."""
    wiring = {"board": "board", "board_at": [10.0, 10.0]}
    return make_device(
        *(count, pitch, plate),
        lambda at: {"pin": f"R{at}", "common": "GND", "input": at + 1},
        wiring=wiring,
    )


def make_long() -> Table:
    """A plate as long as plates may be, with controls from end to end."""
    device = make_wired(40, 45.0, width=4999.0, height=100.0)
    for number, control in enumerate(device["controls"].values()):
        control["position"] = [60.0 + 125.0 * number, 50.0]
    return device


def make_selectors() -> Table:
    """As many contacts as a file may have: selectors of 48 positions."""
    device = make_device(MOST_CONTROLS, 45.0)
    for control in device["controls"].values():
        control |= {"kind": "selector", "positions": 48}
    return device


def make_sloping() -> Table:
    """Controls with long words, too near for them, each turned another way."""
    device = make_device(MOST_CONTROLS, 14.0)
    for number, control in enumerate(device["controls"].values()):
        control["label"] = f"{name_key(number)} forward and back again"
    return device


DEVICES: dict[str, Callable[[], Table]] = {
    "controls": lambda: make_device(MOST_CONTROLS, 45.0, wire=lambda at: {"input": at + 1}),
    "crowded": make_sloping,
    "matrix": lambda: make_harness(45),
    "long": make_long,
    "wide": lambda: make_wired(12, 45.0, width=5000.0, height=5000.0),
    "selectors": make_selectors,
}
"""The device of each library, by the limit that it stands at."""

OTHERS = {"profiles": 300, "devices": 300}
"""How many more profiles or devices of a box of 60 controls the libraries of these names have."""


def change(device: Table) -> Table:
    """The device before: other words on every control."""
    controls = {
        key: {**one, "label": f"OLD {one['label']}"} for key, one in device["controls"].items()
    }
    return {**device, "controls": controls}


def make_documents(name: str) -> Iterable[tuple[str, Table]]:
    """The files of a library, by their names without the ending."""
    device = DEVICES.get(name, lambda: make_device(60, 45.0, wire=lambda at: {"input": at + 1}))()
    yield "box", device
    keys = list(device["controls"])
    actions = {
        f"do-{number}": {"name": f"Work {name_key(number).lower()}", "group": f"group-{number % 9}"}
        for number in range(len(keys))
    }
    header = {"id": "app", "name": "Harbour works", "buttons": 65535}
    yield "app", {"format": 1, "application": header, "actions": actions}
    bindings = {
        (f"{key}.position-1" if device["controls"][key]["kind"] == "selector" else key): f"do-{at}"
        for at, key in enumerate(keys)
    }
    for number in range(1 + (OTHERS[name] if name == "profiles" else 0)):
        head = {"id": f"pro-{number}" if number else "pro", "application": "app", "device": "box"}
        yield head["id"], {"format": 1, "profile": head, "bindings": bindings}
    head = {"id": "spare", "application": "app", "device": "box"}
    yield "spare", {"format": 1, "profile": head, "bindings": {}}
    for number in range(OTHERS[name] if name == "devices" else 0):
        yield (
            f"box-{number}",
            {**device, "device": {"id": f"box-{number}", "name": f"Box {number}"}},
        )
    pins = [f"{kind}{number}" for kind in "RC" for number in range(MOST_PINS // 2)]
    board = {
        "format": 1,
        "board": {"id": "board", "name": "Board", "supply": 3.3},
        "limits": {"pin": 8.0, "board": 100.0, "source": "invented"},
        "pins": {pin: pin for pin in pins},
    }
    yield "board", board


def write(name: str, folder: Path, *, before: bool = False) -> None:
    """Write a library of `DEVICES` or `OTHERS`."""
    folder.mkdir(parents=True)
    for stem, document in make_documents(name):
        shown = change(document) if before and "device" in document else document
        (folder / f"{stem}.json").write_text(dump_json(shown), "utf-8")


def write_recording(name: str, path: Path) -> None:
    """Write a recording in which every contact of the device of a library was pressed once, in the
    order of reading."""
    controls = list(dict(make_documents(name))["box"]["controls"].values())
    places = [(-one["position"][1], one["position"][0]) for one in controls]
    count = len(controls)
    head = {"recording": "press-test", "device": "box", "description": "", "program": "0"}
    box = {"name": "Box", "vendor": "1209", "product": "0001", "serial": "", "path": ""}
    lines: list[Table] = [
        {"format": 1, **head, "started": "", "depth": "short", "detents": 10, "instance": 7},
        {
            "time": 0.0,
            "event": "added",
            "from": 7,
            "down": [],
            "box": {**box, "buttons": count, "axes": 0, "hats": 0},
        },
        {"time": 10.0, "answer": "next"},
    ]
    for turn, place in enumerate(sorted(range(count), key=places.__getitem__), 1):
        start = 4000.0 * turn
        press = {"from": 7, "number": place + 1}
        lines += [{"time": start + 20.0, "event": "down", **press}]
        lines += [{"time": start + 60.0, "event": "up", **press}]
        lines += [{"time": start + 3000.0, "answer": "quiet"}]
    path.write_text("".join(f"{json.dumps(line)}\n" for line in lines), "utf-8")
