"""JSON Schemas (draft 2020-12) of the five kinds of file, made from the model.

- `schemas`: every schema by kind
- `schema_files`: the text of each as a file, for editors

The model stays the judge. What its validators say in code is repeated here in the schema's own
words where those reach: which contacts a kind of control has, what a binding key looks like, that
a profile names either one device or several. What no schema can say, such as an id that leads
nowhere, is left to `check`.
"""

import json
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
    "settings": "Platebook settings",
}
"""Title of the schema of each kind of file."""

_TABLES = {"input": "inputs", "crossing": "crossings", "pin": "pins", "bit": "bits"}

_NAME = "[A-Za-z0-9][A-Za-z0-9_-]*"
_CONTACT = rf"\s*({_NAME}/)?{_NAME}(\.{_NAME})?\s*"
_BINDING_KEY = rf"^{_CONTACT}(\+{_CONTACT})*$"


def schemas() -> dict[str, Schema]:
    """Return the schema of each kind of file, by kind."""
    return {kind: _build(kind) for kind in TITLES}


def schema_files() -> dict[str, str]:
    """Return the text of each schema's file, by the file's name."""
    return {
        f"{kind}.schema.json": json.dumps(schema, indent=2, ensure_ascii=False) + "\n"
        for kind, schema in schemas().items()
    }


def _build(kind: str) -> Schema:
    from profiles.model import Application, Board, Device, Profile, Settings
    from profiles.model.base import Value

    models: dict[str, type[Value]] = {
        "device": Device,
        "application": Application,
        "profile": Profile,
        "board": Board,
        "settings": Settings,
    }
    schema = _tidy(models[kind].model_json_schema())
    if kind == "device":
        _name_contacts(schema["$defs"])
    if kind == "board":
        schema["$defs"]["BoardHeader"]["dependentRequired"] = {"pull_up_most": ["pull_up_least"]}
    if kind == "profile":
        _describe_profile(schema)
    head = {"$schema": DIALECT, "$id": f"{SCHEMA_ID}{kind}:1", "title": TITLES[kind]}
    return {**head, **schema}


def _tidy(node: Any) -> Any:
    """Drop what the files cannot hold or an editor has no use for, all the way down."""
    if isinstance(node, list):
        return [_tidy(one) for one in node]
    if not isinstance(node, dict):
        return node
    kept = _close_names(_drop_null(node))
    return {
        key: _tidy_value(key, value) for key, value in kept.items() if not _is_noise(key, value)
    }


def _tidy_value(key: str, value: Any) -> Any:
    if key in {"properties", "$defs"}:
        return {name: _tidy(one) for name, one in value.items()}
    return _tidy(value)


def _is_noise(key: str, value: object) -> bool:
    """Titles made from names say nothing new; `discriminator` is no word of JSON Schema."""
    return (key == "title" and isinstance(value, str)) or key == "discriminator"


def _drop_null(node: Schema) -> Schema:
    """No file holds a null: a key that may be left out is left out."""
    branches = node.get("anyOf", [])
    if {"type": "null"} not in branches:
        return node
    rest = {key: value for key, value in node.items() if key not in {"anyOf", "default"}}
    others = [one for one in branches if one != {"type": "null"}]
    return {**(others[0] if len(others) == 1 else {"anyOf": others}), **rest}


def _close_names(node: Schema) -> Schema:
    """Refuse the keys that a pattern does not cover, where all keys are of one pattern."""
    patterns = node.get("patternProperties", {})
    if len(patterns) != 1 or "additionalProperties" in node:
        return node
    ((pattern, value),) = patterns.items()
    rest = {key: one for key, one in node.items() if key != "patternProperties"}
    names = {**rest.pop("propertyNames", {}), "pattern": pattern}
    return {**rest, "propertyNames": names, "additionalProperties": value}


def _name_contacts(definitions: Schema) -> None:
    """Hold the tables of each kind of control to the contacts it has."""
    for kind in ("Momentary", "Latching", "Rotary", "Selector"):
        schema = definitions[kind]
        control = _sample(kind, schema)
        definitions[f"{kind}Contact"] = {"enum": list(control.contacts)}
        for table in (*_TABLES.values(), "labels"):
            schema["properties"][table]["propertyNames"] = {"$ref": f"#/$defs/{kind}Contact"}
        if control.main_contact is None:
            _drop_singles(schema["properties"])
        else:
            schema["allOf"] = _refuse_both(control.main_contact)


def _sample(kind: str, schema: Schema) -> "ControlValue":
    """A control of this kind, with as many contacts as it can have."""
    from profiles import model

    content = {"kind": kind.lower(), "label": "any", "position": (0.0, 0.0), "hole": 1.0}
    if "positions" in schema["properties"]:
        content["positions"] = schema["properties"]["positions"]["maximum"]
    control: type[ControlValue] = getattr(model, kind)
    return control.model_validate(content)


def _drop_singles(properties: Schema) -> None:
    for single in _TABLES:
        del properties[single]


def _refuse_both(contact: str) -> list[Schema]:
    """The singular key and the table may not both give the main contact."""
    return [
        {"not": {"required": [single, table], "properties": {table: {"required": [contact]}}}}
        for single, table in _TABLES.items()
    ]


def _describe_profile(schema: Schema) -> None:
    header = schema["$defs"]["ProfileHeader"]
    header["oneOf"] = [{"required": ["device"]}, {"required": ["devices"]}]
    header["properties"]["devices"]["uniqueItems"] = True
    schema["properties"]["bindings"]["propertyNames"]["pattern"] = _BINDING_KEY
