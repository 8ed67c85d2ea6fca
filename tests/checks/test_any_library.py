"""Whatever a library holds: the checks end, name registered codes, and point into its documents."""

from typing import Any

from hypothesis import given, settings
from hypothesis import strategies as st

from profiles.checks.codes import CODES
from profiles.checks.registry import run_checks
from profiles.model import Application, Device, Library, Profile
from profiles.text.sign_words import find_unknown_sign
from tests.any_box import HOLES
from tests.hostile import hostile_texts

CONTACTS = {
    "momentary": ("press",),
    "latching": ("on", "off"),
    "rotary": ("clockwise", "anticlockwise", "press"),
    "selector": ("position-1", "position-2", "position-3"),
}
CONTROLS = ("horn", "bell", "trim", "mode", "gear")
ACTIONS = ("sound", "dim", "up", "down", "moor")
PINS = ("A0", "A1", "2", "3", "A9", "GND")
PLACES = ("deck.1", "deck.16", "deck.17", "fan.0", "fan.3", "rungs.1", "rungs.3", "nobody.1")
FOLLOWS = ("power", "horn", "mode.on", "horn + gear", "trim.clockwise", "nobody", "+")

POINTS = st.tuples(st.integers(0, 130), st.integers(0, 70)).map(
    lambda at: [1.0 * at[0], 1.0 * at[1]]
)
TURNS = st.sampled_from([0.0, 90.0, -30.0])

words = (
    hostile_texts()
    .map(lambda text: text[:400])
    .filter(lambda text: text.strip() != "" and not find_unknown_sign(text))
)


CROSSINGS = st.tuples(st.integers(1, 3), st.integers(1, 3)).map(list)
PIN_NAMES = st.sampled_from(PINS)
PLACE_NAMES = st.sampled_from(PINS + PLACES)
KINDS = st.sampled_from(sorted(CONTACTS))
BY_CONTACT = {
    kind: st.fixed_dictionaries(
        {
            "inputs": st.dictionaries(contact, st.integers(1, 140), max_size=3),
            "crossings": st.dictionaries(contact, CROSSINGS, max_size=3),
            "pins": st.dictionaries(contact, PLACE_NAMES, max_size=2),
            "bits": st.dictionaries(contact, st.integers(1, 20), max_size=1),
            "labels": st.dictionaries(contact, words, max_size=1),
        }
    )
    for kind, contact in ((kind, st.sampled_from(names)) for kind, names in CONTACTS.items())
}
"""What a control of each kind has of its contacts."""
REPORTS = st.sampled_from(["state", "edges"])
FRONTS = st.sampled_from([5.0, 18.0, [12.0, 24.0]])
LEDS = st.sampled_from(FOLLOWS)
LED_PLACES = st.one_of(
    st.fixed_dictionaries({"pin": PLACE_NAMES, "driver": st.booleans()}),
    st.fixed_dictionaries({"crossing": CROSSINGS}),
)


@st.composite
def controls(draw: st.DrawFn) -> dict[str, Any]:
    """One control of any kind, wired and numbered in any way."""
    kind = draw(KINDS)
    control: dict[str, Any] = {
        "kind": kind,
        "label": draw(words),
        "position": draw(POINTS),
        "hole": draw(HOLES),
        **draw(BY_CONTACT[kind]),
    }
    if kind == "selector":
        control["positions"] = 3
    if kind in ("latching", "selector"):
        control["reports"] = draw(REPORTS)
    if draw(st.booleans()):
        control["front"] = draw(FRONTS)
    if draw(st.booleans()):
        follows = {"forward_voltage": 2.0, "current": 15.0, "follows": draw(LEDS)}
        control["led"] = {**follows, **draw(LED_PLACES)}
    return control


CHAIN = {"latch": "2", "clock": "3", "data": "A0", "length": 8}
STEPS = st.lists(st.sampled_from([0.001, 2.2, 10.0, 1000.0]), max_size=3)


@st.composite
def banks(draw: st.DrawFn) -> dict[str, Any]:
    """Up to three banks, sound or not, with chains and a matrix of LEDs beside them."""
    pin = PIN_NAMES
    found: dict[str, Any] = {
        "deck": {
            "kind": "expander",
            "chip": draw(st.sampled_from(["mcp23017", "pcf8574"])),
            "address": draw(st.integers(8, 119)),
            "sda": draw(pin),
            "scl": draw(pin),
        },
        "fan": {"kind": "multiplexer", "select": draw(st.lists(pin, min_size=1, max_size=4))},
        "rungs": {"kind": "ladder", "pull_up": 10.0, "steps": draw(STEPS)},
    }
    found["fan"]["pin"], found["rungs"]["pin"] = draw(pin), draw(pin)
    chosen = draw(st.sets(st.sampled_from(sorted(found))))
    wiring: dict[str, Any] = {"banks": {name: found[name] for name in sorted(chosen)}}
    wiring |= draw(st.sampled_from([{}, {"chain": CHAIN}, {"chains": [CHAIN, CHAIN]}]))
    if draw(st.booleans()):
        wiring["leds"] = {"rows": [draw(pin)], "columns": [draw(pin), draw(pin)]}
    return wiring


@st.composite
def devices(draw: st.DrawFn, name: str) -> Device:
    """A device of up to five controls."""
    wiring: dict[str, Any] = {
        "rows": draw(st.lists(st.sampled_from(PINS), max_size=3)),
        "columns": draw(st.lists(st.sampled_from(PINS), max_size=3)),
        "diodes": draw(st.sampled_from(["every", "none", ["horn", "nobody", "bell.press"]])),
        "driven": draw(st.sampled_from(["rows", "columns"])),
        **draw(banks()),
    }
    if draw(st.booleans()):
        wiring["numbering"] = draw(st.sampled_from(["along-rows", "along-columns"]))
    if draw(st.booleans()):
        wiring["board"] = draw(st.sampled_from(["atmega32u4", "nobody"]))
    names = draw(st.lists(st.sampled_from(CONTROLS), unique=True, max_size=5))
    return Device.model_validate(
        {
            "format": 1,
            "device": {"id": name, "name": draw(words)},
            "plate": {
                "width": 120.0,
                "height": 60.0,
                "colour": "#888888",
                "screws": [
                    {"position": draw(POINTS), "hole": one}
                    for one in draw(st.lists(HOLES, max_size=2))
                ],
            },
            "wiring": wiring,
            "controls": {key: draw(controls()) for key in names},
            "fixtures": {
                key: {
                    "kind": "vent",
                    "position": draw(POINTS),
                    "hole": draw(HOLES),
                    "rotation": draw(TURNS),
                }
                for key in draw(st.sets(st.sampled_from(["usb", "load", "cable"])))
            },
        }
    )


@st.composite
def applications(draw: st.DrawFn) -> Application:
    """An application of up to five actions."""
    action = st.fixed_dictionaries(
        {
            "name": words,
            "behaviour": st.sampled_from(["pulse", "held", "follows", "step"]),
            "need": st.sampled_from(["must", "want", "may"]),
            "contexts": st.lists(st.sampled_from(["sea", "port"]), max_size=2),
            "group": st.sampled_from(["one", "two"]),
        },
        optional={
            "partner": st.sampled_from([*ACTIONS, "nobody"]),
            "direction": st.sampled_from(["increase", "decrease"]),
        },
    )
    header = {
        "id": "title",
        "name": draw(words),
        "buttons": draw(st.integers(1, 40)),
        "chords": draw(st.booleans()),
        "interface": draw(st.sampled_from(["linux-joydev", "windows-joyinfo", "nobody"])),
    }
    actions = draw(st.dictionaries(st.sampled_from(ACTIONS), action, max_size=5))
    return Application.model_validate({"format": 1, "application": header, "actions": actions})


@st.composite
def profiles(draw: st.DrawFn, name: str) -> Profile:
    """A profile of up to six bindings, some to nothing."""
    ends = [f"{control}{end}" for control in CONTROLS for end in ("", ".press", ".clockwise")]
    keys = st.lists(st.sampled_from(ends), min_size=1, max_size=3, unique=True).map(" + ".join)
    uses = st.one_of(
        st.sampled_from([*ACTIONS, "nobody"]),
        st.lists(st.sampled_from(ACTIONS), min_size=1, max_size=3),
        st.fixed_dictionaries({"action": st.sampled_from(ACTIONS), "legend": words}),
    )
    return Profile.model_validate(
        {
            "format": 1,
            "profile": {"id": name, "application": "title", "devices": ["desk", "side"]},
            "bindings": draw(st.dictionaries(keys, uses, max_size=6)),
        }
    )


@st.composite
def libraries(draw: st.DrawFn) -> Library:
    """Two devices, one application, two profiles."""
    return Library.of(
        [
            draw(devices("desk")),
            draw(devices("side")),
            draw(applications()),
            draw(profiles("first")),
            draw(profiles("second")),
        ]
    )


@given(libraries())
@settings(max_examples=80, deadline=None)
def test_any_library_is_checked_to_the_end(library: Library) -> None:
    """Only registered codes, every spot in a document of the library, no finding twice, and no two
    that share code and subject, so that an acceptance names one finding and no other."""
    findings = run_checks(library).findings
    documents = {*library.devices, *library.applications, *library.profiles}

    for one in findings:
        assert one.code in CODES
        assert {one.spot.document, *(other.spot.document for other in one.related)} <= documents
        assert "\n" not in one.message
    assert len(findings) == len(set(findings))
    assert len(findings) == len({(one.code, one.subject) for one in findings})


@given(libraries())
@settings(max_examples=40, deadline=None)
def test_checking_twice_finds_the_same_in_the_same_order(library: Library) -> None:
    """Nothing is kept from the first time: the documents are read anew, in another order."""
    documents: list[Device | Application | Profile] = [*library.profiles.values()]
    documents += [*library.applications.values(), *reversed(list(library.devices.values()))]
    again = Library.of([type(one).model_validate(one.plain()) for one in documents])

    assert run_checks(library) == run_checks(again)
