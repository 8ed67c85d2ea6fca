"""The JSON Schemas: equal to the committed ones, valid, and as strict as the model.

Validator: the `jsonschema` package, an implementation of JSON Schema draft 2020-12.
"""

import copy
import json
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from jsonschema import Draft202012Validator
from pydantic import ValidationError

from profiles.files.documents import read_document
from profiles.files.schema import TITLES, schema_files, schemas
from profiles.model import Application, Board, Device, Part, Profile, Settings, parse_key
from profiles.model.base import Value
from profiles.model.binding import BindingKeyError
from profiles.work.outputs import stamp

ROOT = Path(__file__).parents[2]
COMMITTED = ROOT / "schemas"
EXAMPLES = sorted(
    path
    for path in (ROOT / "example_profiles" / "harbour").rglob("*")
    if path.suffix in {".toml", ".yaml", ".json"}
)
MODELS: dict[str, type[Value]] = {
    "device": Device,
    "application": Application,
    "profile": Profile,
    "board": Board,
    "part": Part,
    "settings": Settings,
}
BUILT = schemas()


def kind_of(content: dict[str, Any]) -> str:
    return next((kind for kind in MODELS if kind in content), "settings")


def complaints(kind: str, content: object) -> list[str]:
    return [error.message for error in Draft202012Validator(BUILT[kind]).iter_errors(content)]


@pytest.mark.parametrize("kind", TITLES)
def test_committed_schema_is_the_generated_one(kind: str) -> None:
    """`platebook schema schemas` brings the committed files up to date."""
    name = f"{kind}.schema.json"

    assert stamp(schema_files()[name].encode(), "json") == (COMMITTED / name).read_bytes()


def test_written_files_are_one_for_each_kind() -> None:
    written = schema_files()

    assert list(written) == [
        "device.schema.json",
        "application.schema.json",
        "profile.schema.json",
        "board.schema.json",
        "part.schema.json",
        "settings.schema.json",
    ]
    assert [json.loads(text) for text in written.values()] == list(BUILT.values())


@pytest.mark.parametrize("kind", TITLES)
def test_schema_is_valid_under_its_metaschema(kind: str) -> None:
    Draft202012Validator.check_schema(BUILT[kind])

    assert BUILT[kind]["$schema"] == "https://json-schema.org/draft/2020-12/schema"
    assert BUILT[kind]["$id"] == f"urn:platebook:schema:{kind}:1"


@pytest.mark.parametrize("kind", TITLES)
def test_every_key_is_explained(kind: str) -> None:
    """An editor shows it while one types: the key's own description, or that of its table."""
    owners = {"": BUILT[kind], **BUILT[kind].get("$defs", {})}
    bare = [
        f"{owner}.{key}"
        for owner, schema in owners.items()
        for key, value in schema.get("properties", {}).items()
        if "description" not in value and "$ref" not in value and key != "kind"
    ]

    assert bare == []


@pytest.mark.parametrize("path", EXAMPLES, ids=lambda path: path.name)
def test_example_file_validates(path: Path) -> None:
    content = read_document(path).content

    assert complaints(kind_of(content), content) == []


@pytest.mark.parametrize("path", EXAMPLES, ids=lambda path: path.name)
def test_example_names_the_schema_that_stands_beside_it(path: Path) -> None:
    """TOML and YAML files tell editors the schema in their first line; JSON has no comments."""
    if path.suffix == ".json":
        pytest.skip("JSON has no comments")
    first = path.read_text("utf-8").splitlines()[0]
    mark = "#:schema " if path.suffix == ".toml" else "# yaml-language-server: $schema="

    assert first.startswith(mark)
    kind = kind_of(read_document(path).content)
    named = (path.parent / first.removeprefix(mark)).resolve()
    assert named == COMMITTED / f"{kind}.schema.json"


SHAPES: list[tuple[dict[str, Any], bool]] = [
    ({"diameter": 16.2}, True),
    ({"diameter": 12.0, "across_flats": 10.5, "flats": 1, "angle": 90.0}, True),
    ({"diameter": 22.3, "keyway": [3.2, 1.8]}, True),
    ({"diameter": 3.4, "countersink": {"diameter": 6.6, "angle": 90.0}}, True),
    ({"width": 19.0, "height": 13.0, "corner_radius": 2.0}, True),
    ({"length": 30.0, "width": 6.0}, True),
    ({}, False),
    ({"width": 6.0}, False),
    ({"diameter": 6.0, "width": 6.0}, False),
    ({"width": 6.0, "height": 6.0, "length": 9.0}, False),
    ({"length": 9.0, "width": 6.0, "corner_radius": 1.0}, False),
    ({"length": 9.0, "width": 6.0, "keyway": [2.0, 1.0]}, False),
    ({"diameter": 6.0, "flats": 1}, False),
    ({"diameter": 6.0, "keyway": [2.0, 1.0], "across_flats": 5.0}, False),
    ({"diamter": 6.0}, False),
]


@pytest.mark.parametrize(("hole", "is_sound"), SHAPES, ids=lambda one: str(one)[:30])
def test_schema_and_model_agree_on_the_shape_of_a_hole(
    hole: dict[str, Any], is_sound: bool
) -> None:
    path = ROOT / "example_profiles" / "boatyard" / "devices" / "winch-house.toml"
    content = copy.deepcopy(read_document(path).content)
    content["fixtures"]["usb"]["hole"] = hole

    assert (complaints("device", content) == []) is is_sound
    try:
        Device.model_validate(content)
    except ValidationError:
        assert not is_sound
    else:
        assert is_sound


def tables(content: object, path: tuple[str | int, ...] = ()) -> list[tuple[str | int, ...]]:
    """Paths of all tables whose keys are fixed by the format."""
    free = {
        "bindings",
        "actions",
        "controls",
        "parts",
        "severity",
        "inputs",
        "crossings",
        "pins",
        "labels",
    }
    found: list[tuple[str | int, ...]] = []
    if isinstance(content, dict):
        if not path or path[-1] not in free:
            found.append(path)
        for key, value in content.items():
            found.extend(tables(value, (*path, key)))
    elif isinstance(content, list):
        for place, value in enumerate(content):
            found.extend(tables(value, (*path, place)))
    return found


def test_unknown_key_is_refused_in_every_table_of_the_examples() -> None:
    """Model and schema agree, table by table, on a key that nobody knows."""
    tried = 0
    for path in EXAMPLES:
        content = read_document(path).content
        kind = kind_of(content)
        seen = set()
        for place in tables(content):
            shape = (kind, tuple(part for part in place if part in {"led", "usb", "screws"}))
            if (shape, len(place)) in seen:
                continue
            seen.add((shape, len(place)))
            changed = copy.deepcopy(content)
            table: Any = changed
            for part in place:
                table = table[part]
            table["colr"] = "x"
            assert complaints(kind, changed), (path.name, place)
            with pytest.raises(ValidationError):
                MODELS[kind].model_validate(changed)
            tried += 1
    assert tried >= 20


CONTROL = {"kind": "momentary", "label": "HORN", "position": [10, 10], "hole": 16.2}
ROTARY = {**CONTROL, "kind": "rotary"}
SELECTOR = {**CONTROL, "kind": "selector", "positions": 3}


def device(control: dict[str, Any], **plate: Any) -> dict[str, Any]:
    return {
        "format": 1,
        "device": {"id": "box", "name": "Box"},
        "plate": {"width": 100, "height": 60, **plate},
        "controls": {"horn": control},
    }


def profile(**header: Any) -> dict[str, Any]:
    return {"format": 1, "profile": {"application": "ferry", **header}}


REFUSED = {
    "format 2": ("device", {**device(CONTROL), "format": 2}),
    "no controls": ("device", {k: v for k, v in device(CONTROL).items() if k != "controls"}),
    "a kind nobody knows": ("device", device({**CONTROL, "kind": "joystick"})),
    "a contact the kind lacks": ("device", device({**CONTROL, "inputs": {"on": 1}})),
    "a position the selector can never have": (
        "device",
        device({**SELECTOR, "inputs": {"position-49": 1}}),
    ),
    "one input for a rotary": ("device", device({**ROTARY, "input": 1})),
    "one crossing for a selector": ("device", device({**SELECTOR, "crossing": [1, 1]})),
    "one contact given twice": ("device", device({**CONTROL, "input": 1, "inputs": {"press": 2}})),
    "input zero": ("device", device({**CONTROL, "input": 0})),
    "an input as text": ("device", device({**CONTROL, "input": "1"})),
    "a crossing of three": ("device", device({**CONTROL, "crossing": [1, 2, 3]})),
    "a blank label": ("device", device({**CONTROL, "label": "  "})),
    "a price with a comma": ("device", device({**CONTROL, "unit_price": "2,40"})),
    "a price below zero": ("device", device({**CONTROL, "unit_price": -1})),
    "a colour by name": ("device", device(CONTROL, colour="red")),
    "a plate without width": ("device", device(CONTROL, width=0)),
    "a control id with a blank": (
        "device",
        {**device(CONTROL), "controls": {"fog horn": CONTROL}},
    ),
    "an action id with a dot": (
        "application",
        {
            "format": 1,
            "application": {"id": "ferry", "name": "Ferry"},
            "actions": {"sound.horn": {"name": "Sound the horn"}},
        },
    ),
    "no device": ("profile", profile()),
    "device and devices": ("profile", profile(device="a", devices=["b"])),
    "one device twice": ("profile", profile(devices=["a", "a"])),
    "an empty list of actions": ("profile", {**profile(device="a"), "bindings": {"horn": []}}),
    "a binding key with two dots": (
        "profile",
        {**profile(device="a"), "bindings": {"horn.press.twice": "sound-horn"}},
    ),
    "an acceptance without a reason": (
        "settings",
        {"format": 1, "accept": [{"code": "number-gap", "subject": "box"}]},
    ),
    "a severity nobody knows": ("settings", {"format": 1, "severity": {"number-gap": "bad"}}),
}


@pytest.mark.parametrize("name", REFUSED)
def test_what_the_model_refuses_the_schema_refuses(name: str) -> None:
    kind, content = REFUSED[name]

    with pytest.raises(ValidationError):
        MODELS[kind].model_validate(content)
    assert complaints(kind, content)


TAKEN = {
    "a price as a number": ("device", device({**CONTROL, "unit_price": 2.4})),
    "a price as text": ("device", device({**CONTROL, "unit_price": "2.40"})),
    "the last position a selector can have": (
        "device",
        device({**SELECTOR, "positions": 48, "inputs": {"position-48": 1}}),
    ),
    "a rectangular hole": ("device", device({**CONTROL, "hole": [12.0, 20.0]})),
    "one device": ("profile", profile(device="a")),
    "two devices": ("profile", profile(devices=["a", "b"])),
    "a severity switched off": ("settings", {"format": 1, "severity": {"number-gap": "off"}}),
}


@pytest.mark.parametrize("name", TAKEN)
def test_what_the_model_takes_the_schema_takes(name: str) -> None:
    kind, content = TAKEN[name]

    MODELS[kind].model_validate(content)
    assert complaints(kind, content) == []


PARTS = st.sampled_from(["horn", "trim.clockwise", "desk/horn", "a/b.c", "-x", "a b", "", "a..b"])


@given(st.lists(PARTS, max_size=3, unique=True), st.sampled_from(["+", " + ", "  +", ",", "++"]))
def test_schema_and_model_read_the_same_binding_keys(parts: list[str], joint: str) -> None:
    """Law: a key validates in the schema where `parse_key` can read it, and only there."""
    key = joint.join(parts)
    content = {**profile(device="a"), "bindings": {key: "sound-horn"}}

    assert (not complaints("profile", content)) == can_read(key)


def can_read(key: str) -> bool:
    try:
        parse_key(key)
    except BindingKeyError:
        return False
    return True
