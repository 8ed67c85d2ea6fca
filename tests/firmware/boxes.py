"""Boxes for the tests: small, and each with wiring of another kind."""

from typing import Any

from profiles.model import Device


def make_device(
    device_id: str, wiring: dict[str, Any], controls: dict[str, Any], **header: Any
) -> Device:
    """A device of these controls; label, position and hole are filled in."""
    for name, control in controls.items():
        control.setdefault("label", name.upper())
        control.setdefault("position", [10.0, 10.0])
        control.setdefault("hole", 5.0)
    return Device.model_validate(
        {
            "format": 1,
            "device": {"id": device_id, "name": f"Box {device_id}", **header},
            "plate": {"width": 200.0, "height": 100.0},
            "wiring": {"debounce": 3.0, "hold": 4.0, "pulse": 2.0, "gap": 3.0, **wiring},
            "controls": controls,
        }
    )


def make_bare_box() -> Device:
    """Four by four without diodes: ghosts, also on toggles that report edges."""
    keys = {
        f"key-{row}{column}": {"kind": "momentary", "crossing": [row, column]}
        for row in range(1, 5)
        for column in range(1, 4)
    }
    return make_device(
        "bare",
        {
            "rows": ["2", "3", "4", "5"],
            "columns": ["6", "7", "8", "9"],
            "numbering": "along-rows",
        },
        {
            **keys,
            "fan": {"kind": "latching", "crossing": [1, 4]},
            "pump": {
                "kind": "latching",
                "reports": "edges",
                "crossing": [2, 4],
                "inputs": {"off": 20},
            },
            "trim": {
                "kind": "rotary",
                "pins": {"clockwise": "A0", "anticlockwise": "A1"},
                "crossings": {"press": [3, 4]},
                "inputs": {"clockwise": 17, "anticlockwise": 18},
            },
            "arm": {
                "kind": "latching",
                "reports": "edges",
                "pin": "10",
                "inputs": {"on": 21, "off": 22},
            },
        },
    )


def make_diode_box() -> Device:
    """Three by six with a diode at every contact, columns driven, a rotary on crossings."""
    return make_device(
        "diodes",
        {
            "rows": ["2", "3", "4"],
            "columns": ["5", "6", "7", "8", "9", "10"],
            "driven": "columns",
            "diodes": "every",
            "numbering": "along-columns",
        },
        {
            **{
                f"key-{row}{column}": {"kind": "momentary", "crossing": [row, column]}
                for row in range(1, 4)
                for column in range(1, 3)
            },
            "knob": {
                "kind": "rotary",
                "crossings": {
                    "clockwise": [1, 3],
                    "anticlockwise": [2, 3],
                    "press": [3, 3],
                },
            },
            "mode": {
                "kind": "selector",
                "positions": 3,
                "reports": "edges",
                "crossings": {"position-1": [1, 4], "position-2": [2, 4], "position-3": [3, 4]},
            },
            "gear": {
                "kind": "latching",
                "reports": "edges",
                "crossings": {"on": [1, 5], "off": [2, 5]},
            },
            "lever": {"kind": "latching", "crossings": {"on": [3, 5], "off": [1, 6]}},
            "tap": {"kind": "latching", "crossing": [2, 6], "inputs": {"off": 19}},
        },
    )


def make_mixed_box() -> Device:
    """Four by four with diodes at some contacts, columns driven."""
    return make_device(
        "mixed",
        {
            "rows": ["2", "3", "4", "5"],
            "columns": ["6", "7", "8", "9"],
            "driven": "columns",
            "diodes": ["key-11", "key-23", "key-34", "key-42", "key-13"],
            "numbering": "along-rows",
        },
        {
            **{
                f"key-{row}{column}": {"kind": "momentary", "crossing": [row, column]}
                for row in range(1, 5)
                for column in range(1, 5)
            },
            "dial": {
                "kind": "rotary",
                "steps_per_detent": 2,
                "pins": {"clockwise": "A0", "anticlockwise": "A1"},
                "inputs": {"clockwise": 17, "anticlockwise": 18},
            },
        },
    )


def make_chain_box() -> Device:
    """No matrix: a shift-register chain of 12 bits, own pins, a rotary with one step a detent."""
    return make_device(
        "chain",
        {"chain": {"latch": "A3", "clock": "A4", "data": "A5", "length": 12}},
        {
            **{
                f"key-{bit}": {"kind": "momentary", "bit": bit, "input": 20 - bit}
                for bit in range(1, 7)
            },
            "range": {
                "kind": "selector",
                "positions": 4,
                "bits": {f"position-{at}": 7 + at for at in range(1, 5)},
                "inputs": {f"position-{at}": at for at in range(1, 5)},
            },
            "spin": {
                "kind": "rotary",
                "steps_per_detent": 1,
                "pins": {"clockwise": "2", "anticlockwise": "3"},
                "common": "4",
                "pulse": 4.0,
                "inputs": {"clockwise": 21, "anticlockwise": 22},
            },
            "hatch": {"kind": "latching", "pin": "7", "inputs": {"on": 23, "off": 24}},
        },
    )


def make_chains_box() -> Device:
    """Three chains: two share latch and clock, and the contacts of one of those are high."""
    chains = [
        {"latch": "A3", "clock": "A4", "data": "A5", "length": 4},
        {"latch": "A3", "clock": "A4", "data": "2", "length": 8, "active": "high"},
        {"latch": "3", "clock": "4", "data": "5", "length": 3},
    ]
    return make_device(
        "chains",
        {"chains": chains},
        {
            **{
                f"key-{bit}": {"kind": "momentary", "bit": bit, "input": bit}
                for bit in (1, 2, 4, 5, 7, 12, 13, 15)
            },
            "gear": {
                "kind": "latching",
                "reports": "edges",
                "bits": {"on": 3, "off": 8},
                "inputs": {"on": 20, "off": 21},
            },
            "spin": {
                "kind": "rotary",
                "bits": {"clockwise": 6, "anticlockwise": 14},
                "inputs": {"clockwise": 22, "anticlockwise": 23},
            },
            "beam": {"kind": "latching", "pin": "7", "input": 24},
        },
    )


def make_banks_box() -> Device:
    """Two expanders on one bus, one with its interrupt wired; a multiplexer; two ladders."""
    bus = {"kind": "expander", "sda": "2", "scl": "3"}
    steps = [2.4, 4.3, 8.2, 24.0]
    return make_device(
        "banks",
        {
            "banks": {
                "deck": {**bus, "chip": "mcp23017", "address": 0x21, "interrupt": "7"},
                "rail": {**bus, "chip": "pcf8574", "address": 0x38},
                "fan": {"kind": "multiplexer", "select": ["A3", "A4", "A5"], "pin": "5"},
                "rungs": {"kind": "ladder", "pin": "A0", "pull_up": 10.0, "steps": steps},
                "knobs": {"kind": "ladder", "pin": "A1", "pull_up": 10.0, "steps": steps[:3]},
            }
        },
        {
            **{
                f"key-{number}": {"kind": "momentary", "pin": pin, "input": number}
                for number, pin in enumerate(
                    ("deck.1", "deck.8", "deck.9", "rail.1", "rail.7", "fan.2", "fan.8"), 1
                )
            },
            "range": {
                "kind": "selector",
                "positions": 4,
                "pins": {f"position-{at}": f"knobs.{at}" for at in range(1, 5)},
                "inputs": {f"position-{at}": 10 + at for at in range(1, 5)},
            },
            "mode": {
                "kind": "selector",
                "positions": 5,
                "reports": "edges",
                "pins": {f"position-{at}": f"rungs.{at}" for at in range(1, 6)},
                "inputs": {f"position-{at}": 20 + at for at in range(1, 6)},
            },
            "gear": {
                "kind": "latching",
                "pins": {"on": "deck.16", "off": "fan.1"},
                "inputs": {"on": 8, "off": 9},
            },
            "spin": {
                "kind": "rotary",
                "pins": {"clockwise": "rail.3", "anticlockwise": "rail.4", "press": "10"},
                "inputs": {"clockwise": 15, "anticlockwise": 16, "press": 17},
            },
        },
    )


def make_lights_box() -> Device:
    """LEDs on pins, on a driver and in a matrix of two rows, each following something else."""
    led = {"forward_voltage": 2.0, "current": 5.0}
    return make_device(
        "lights",
        {
            "leds": {"rows": ["A0", "A1"], "columns": ["A2", "A3"]},
            "chain": {"latch": "4", "clock": "5", "data": "6", "length": 8},
        },
        {
            "horn": {"kind": "momentary", "pin": "2", "input": 1, "led": {**led, "pin": "8"}},
            "shift": {
                "kind": "momentary",
                "pin": "3",
                "input": 2,
                "led": {**led, "pin": "9", "follows": "shift", "driver": True, "lit": "low"},
            },
            "mode": {
                "kind": "latching",
                "bit": 1,
                "inputs": {"on": 3, "off": 4},
                "led": {**led, "pin": "10", "follows": "mode.off"},
            },
            "deck": {
                "kind": "momentary",
                "bit": 2,
                "input": 5,
                "led": {**led, "crossing": [1, 2], "follows": "shift + mode.on"},
            },
            "mast": {
                "kind": "momentary",
                "bit": 3,
                "input": 6,
                "led": {**led, "crossing": [2, 1], "follows": "mast"},
            },
            "keel": {
                "kind": "momentary",
                "bit": 4,
                "input": 7,
                "led": {**led, "crossing": [2, 2]},
            },
        },
    )


def make_kinds_box() -> Device:
    """Toggles and selectors as builders have them: positions with and without a contact of their
    own, springs, both ways on one input, contacts that overlap; a knob to press and to pull."""
    return make_device(
        "kinds",
        {
            "rows": ["2", "3", "4"],
            "columns": ["5", "6", "7", "8"],
            "diodes": "every",
        },
        {
            "flaps": {
                "kind": "latching",
                "pattern": "on-off-on",
                "crossings": {"up": [1, 1], "down": [2, 1]},
                "inputs": {"up": 1, "centre": 2, "down": 3},
            },
            "trim": {
                "kind": "latching",
                "pattern": "(on)-off-(on)",
                "crossings": {"up": [1, 2], "down": [2, 2]},
                "inputs": {"up": 4, "down": 5},
            },
            "pump": {
                "kind": "latching",
                "pattern": "on-on-(on)",
                "reports": "edges",
                "crossings": {"up": [1, 3], "centre": [2, 3], "down": [3, 3]},
                "inputs": {"up": 6, "centre": 7, "down": 8},
            },
            "fuel": {
                "kind": "latching",
                "pattern": "on-off-on",
                "reports": "edges",
                "pins": {"up": "9", "down": "10"},
                "inputs": {"up": 9, "centre": 10, "down": 11},
            },
            "beacon": {"kind": "latching", "reports": "changes", "pin": "11", "input": 12},
            "ignition": {
                "kind": "selector",
                "positions": 4,
                "off": [1],
                "spring": [4],
                "key_out": [1],
                "crossings": {"position-2": [1, 4], "position-3": [2, 4], "position-4": [3, 4]},
                "inputs": {f"position-{at}": 12 + at for at in range(1, 5)},
            },
            "range": {
                "kind": "selector",
                "positions": 2,
                "switching": "make-before-break",
                "crossings": {"position-1": [3, 1], "position-2": [3, 2]},
                "inputs": {"position-1": 17, "position-2": 18},
            },
            "tune": {
                "kind": "rotary",
                "steps_per_detent": 2,
                "gap": 5.0,
                "opposite": "cancel",
                "pins": {
                    "clockwise": "A0",
                    "anticlockwise": "A1",
                    "press": "A2",
                    "pull": "A3",
                },
                "inputs": {"clockwise": 19, "anticlockwise": 20, "press": 21, "pull": 22},
            },
        },
    )
