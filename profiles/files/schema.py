"""JSON Schemas (draft 2020-12) of the six kinds of file, made from the model.

- `schemas`: every schema by kind
- `schema_files`: the text of each as a file, for editors

The model stays the judge. What its validators say in code is repeated here in the schema's own
words where those reach: which contacts a kind of control has, what a binding key looks like, that
a profile names either one device or several. What no schema can say, such as an id that leads
nowhere, is left to `check`.
"""

import json
from functools import cache
from itertools import combinations
from typing import TYPE_CHECKING, Any

from profiles.files.validate import SCHEMA_ID

if TYPE_CHECKING:
    from profiles.model import ControlValue

Schema = dict[str, Any]

DIALECT = "https://json-schema.org/draft/2020-12/schema"

TITLES = {
    "device": "Platebook device",
    "application": "Platebook application",
    "profile": "Platebook profile",
    "board": "Platebook board",
    "part": "Platebook part",
    "settings": "Platebook settings",
}
"""Title of the schema of each kind of file."""

_TABLES = {"input": "inputs", "crossing": "crossings", "pin": "pins", "bit": "bits"}

VARIANTS: dict[str, tuple[dict[str, Any], ...]] = {
    "Momentary": ({},),
    "Latching": ({}, {"pattern": "on-off-on"}),
    "Rotary": ({"labels": {"pull": "any"}},),
    "Selector": ({},),
}
"""Each kind of control, with keys that bring out all the contacts it can have."""

_NAME = "[A-Za-z0-9][A-Za-z0-9_-]*"
_CONTACT = rf"\s*({_NAME}/)?{_NAME}(\.{_NAME})?\s*"
BINDING_KEY = rf"^{_CONTACT}(\+{_CONTACT})*$"


@cache
def schemas() -> dict[str, Schema]:
    """Return the schema of each kind of file, by kind; made once, and not to be changed."""
    from profiles.model import Application, Board, Device, Part, Profile, Settings
    from profiles.model.base import Value
    from profiles.model.keys import describe_field

    models: tuple[type[Value], ...] = (Device, Application, Profile, Board, Part, Settings)
    waiting: list[type[Value]] = [Value]
    classes = {}
    while waiting:
        found = waiting.pop()
        classes[found.__name__] = found
        waiting += found.__subclasses__()
    made = {}
    for (kind, title), model in zip(TITLES.items(), models, strict=True):
        schema = _tidy(model.model_json_schema())
        for name, table in (*schema["$defs"].items(), (model.__name__, schema)):
            for key, value in table.get("properties", {}).items():
                value["description"] = describe_field(classes[name], key)
        if kind in ("device", "part"):
            _name_shapes(schema["$defs"]["Hole"])
        if kind == "device":
            _allow_parts(schema)
            fixture = schema["$defs"]["Fixture"]
            fixture["required"] = ["position"]
            fixture["anyOf"] = [{"required": ["kind", "hole"]}, {"required": ["part"]}]
            extra = schema["$defs"]["Extra"]
            extra["dependentRequired"] = {"price_per_kg": ["mass"]}
            extra["not"] = {"required": ["unit_price", "price_per_kg"]}
            _name_contacts(schema["$defs"])
        elif kind == "board":
            header = schema["$defs"]["BoardHeader"]
            header["dependentRequired"] = {"pull_up_most": ["pull_up_least"]}
        elif kind == "profile":
            header = schema["$defs"]["ProfileHeader"]
            header["oneOf"] = [{"required": ["device"]}, {"required": ["devices"]}]
            header["properties"]["devices"]["uniqueItems"] = True
            schema["properties"]["bindings"]["propertyNames"]["pattern"] = BINDING_KEY
        made[kind] = {
            "$schema": DIALECT,
            "$id": f"{SCHEMA_ID}{kind}:1",
            "title": title,
            **schema,
        }
    return made


def schema_files() -> dict[str, str]:
    """Return the text of each schema's file, by the file's name."""
    return {
        f"{kind}.schema.json": json.dumps(schema, indent=2, ensure_ascii=False) + "\n"
        for kind, schema in schemas().items()
    }


def _tidy(node: Any) -> Any:
    """Drop what the files cannot hold or an editor has no use for, all the way down.

    No file holds a null: a key that may be left out is left out. Titles made from names say
    nothing new; `discriminator` is no word of JSON Schema. Keys that one pattern covers are all
    the keys there are.
    """
    if isinstance(node, list):
        return [_tidy(member) for member in node]
    if not isinstance(node, dict):
        return node
    branches = node.get("anyOf", [])
    if {"type": "null"} in branches:
        others = [branch for branch in branches if branch != {"type": "null"}]
        rest = {key: value for key, value in node.items() if key not in {"anyOf", "default"}}
        node = {**(others[0] if len(others) == 1 else {"anyOf": others}), **rest}
    patterns = node.get("patternProperties", {})
    if len(patterns) == 1 and "additionalProperties" not in node:
        ((pattern, value),) = patterns.items()
        rest = {key: inner for key, inner in node.items() if key != "patternProperties"}
        names = {**rest.pop("propertyNames", {}), "pattern": pattern}
        node = {**rest, "propertyNames": names, "additionalProperties": value}
    tidied = {}
    for key, value in node.items():
        if key in {"properties", "$defs"}:
            tidied[key] = {name: _tidy(inner) for name, inner in value.items()}
        elif (
            (key, value) != ("default", None)
            and key != "discriminator"
            and not (key == "title" and isinstance(value, str))
        ):
            tidied[key] = _tidy(value)
    return tidied


def _allow_parts(device: Schema) -> None:
    """Let a control leave to its part what it must have: its kind too, and then its keys vary."""
    branches = device["properties"]["controls"]["additionalProperties"]["oneOf"]
    definitions: Schema = device["$defs"]
    keys: dict[str, list[Schema]] = {}
    for branch in branches:
        schema = definitions[branch["$ref"].rpartition("/")[2]]
        light = schema["properties"]["led"]
        schema["properties"]["led"] = {**light, "$ref": "#/$defs/LedOfPart"}
        for key, value in schema["properties"].items():
            if key != "kind" and value not in keys.setdefault(key, []):
                keys[key].append(value)
        own = [key for key in schema["required"] if key in ("kind", "label")]
        others = [key for key in schema["required"] if key not in (*own, "position")]
        schema["required"] = own
        alone = {"required": ["position", *others], "properties": {"led": light}}
        schema["anyOf"] = [
            alone,
            {"required": ["position", "part"]},
            {"required": ["concentric_with"]},
        ]
    definitions["LedOfPart"] = {**definitions["Led"], "required": []}
    branches.append({"$ref": "#/$defs/ControlOfPart"})
    definitions["ControlOfPart"] = {
        "description": "A control whose part says of what kind it is.",
        "type": "object",
        "properties": {
            key: {"anyOf": found, "description": found[0].get("description", "")}
            if len(found) > 1
            else dict(found[0])
            for key, found in keys.items()
        },
        "required": ["label", "part"],
        "anyOf": [{"required": ["position"]}, {"required": ["concentric_with"]}],
        "additionalProperties": False,
    }


def _name_shapes(hole: Schema) -> None:
    """Hold a hole to one shape, and what only a round hole may have to that."""
    keys: list[tuple[str, ...]] = [("diameter",), ("width", "height"), ("length", "width")]
    sizes = dict.fromkeys(key for shape in keys for key in shape)
    hole["oneOf"] = [
        {
            "required": list(shape),
            "not": {"anyOf": [{"required": [key]} for key in sizes if key not in shape]},
        }
        for shape in keys
    ]
    round_ones = ("across_flats", "keyway", "countersink")
    hole["dependentRequired"] = {
        **{key: ["diameter"] for key in round_ones},
        "flats": ["across_flats"],
        "corner_radius": ["height"],
    }
    hole["allOf"] = [
        {"not": {"required": [one, other]}} for one, other in combinations(round_ones, 2)
    ]


def _name_contacts(definitions: Schema) -> None:
    """Hold the tables of each kind of control to the contacts it has."""
    from profiles import model

    for kind in VARIANTS:
        schema = definitions[kind]
        sample = {"kind": kind.lower(), "label": "any", "position": (0.0, 0.0), "hole": 1.0}
        if "positions" in schema["properties"]:
            sample["positions"] = schema["properties"]["positions"]["maximum"]
        controls: list[ControlValue] = [
            getattr(model, kind).model_validate({**sample, **more}) for more in VARIANTS[kind]
        ]
        names = dict.fromkeys(name for control in controls for name in control.contacts)
        definitions[f"{kind}Contact"] = {"enum": list(names)}
        for table in (*_TABLES.values(), "labels"):
            schema["properties"][table]["propertyNames"] = {"$ref": f"#/$defs/{kind}Contact"}
        main = controls[0].main_contact
        if main is None:
            for single in _TABLES:
                del schema["properties"][single]
        else:  # the singular key and the table may not both give the main contact
            schema["allOf"] = [
                {"not": {"required": [single, table], "properties": {table: {"required": [main]}}}}
                for single, table in _TABLES.items()
            ]
