"""What can stand at a place of a file, from the published schemas: the ground of every form.

    for row in list_rows("device", content, ("controls", "horn")):
        print(row.key, row.value, row.help)

A place is a key path; the content of the file says which of several branches is meant there, such
as the kind of a control. `read_typed` makes a value of what was typed, as far as the schema goes;
the model stays the judge of it.
"""

import re
import tomllib
from collections.abc import Iterator, Mapping, Sequence
from typing import Any, NamedTuple

from profiles.files.keys import describe_type
from profiles.files.places import KeyPath, find_at
from profiles.files.schema import Schema, schemas
from profiles.files.toml_edit import write_value

ABSENT = object()
"""The value of a key that is not there."""

TYPES: dict[str, tuple[type, ...]] = {
    "object": (dict,),
    "array": (list,),
    "boolean": (bool,),
    "number": (int, float),
    "integer": (int,),
    "string": (str,),
}
"""What a value of each type of JSON Schema is here."""

CAPITALS = {"usb": "USB", "led": "LED", "leds": "LEDs"} | {
    bus: bus.upper() for bus in ("sda", "scl", "sck", "mosi", "miso")
}
"""Parts of keys that the trade writes in capitals."""

SIDES = re.compile(r"\s*([-+.\d]+)\s*[xX×]\s*([-+.\d]+)\s*(?:mm)?\s*")
"""Two sides as people write them: 19 x 13."""


class Row(NamedTuple):
    """One line of a form.

    `value` is `ABSENT` where the file has none, `takes` what may stand here in words. `branches`
    are the schemas of that. `choices` is empty where any value of the type may be given.
    """

    key: str | int
    path: KeyPath
    value: Any
    takes: str
    needed: bool
    default: str
    help: str
    choices: tuple[str, ...]
    branches: tuple[Schema, ...]

    @property
    def is_there(self) -> bool:
        """Whether the file has it."""
        return self.value is not ABSENT

    @property
    def is_closed(self) -> bool:
        """Whether nothing but its choices may be given."""
        return bool(self.choices) and all("enum" in one or "const" in one for one in self.branches)

    @property
    def holds_rows(self) -> bool:
        """Whether it is a form of its own, not a value to be typed."""
        if self.is_there and self.value != []:
            return holds_rows(self.value)
        return bool(self.branches) and all(_is_deep(one) for one in self.branches)


def find_branches(kind: str, content: Any, path: KeyPath) -> tuple[Schema, ...]:
    """The schemas of what may stand at a place of a file; empty where nothing may.

    Of the branches of a control only those of the kind that it names come back, at each level.
    """
    schema = schemas()[kind]
    definitions = schema["$defs"]
    found, value = tuple(_open(schema, definitions)), content
    for part in path:
        found = tuple(
            branch
            for holder in _fit(found, value)
            for branch in _open(_step(holder, part), definitions)
        )
        value = look_up(value, (part,))
    return found


def look_up(content: Any, path: KeyPath) -> Any:
    """The value at a path; `ABSENT` where there is none."""
    return find_at(content, path, ABSENT)


def list_rows(kind: str, content: Any, path: KeyPath) -> tuple[Row, ...]:
    """The lines of the form at a place: every key that it may have, or the members it has."""
    value, every = look_up(content, path), find_branches(kind, content, path)
    branches = _fit(every, value)
    if isinstance(value, list):
        return tuple(_make_row(kind, content, (*path, at), False) for at in range(len(value)))
    table = value if isinstance(value, dict) else {}
    known = dict.fromkeys(name for one in branches for name in one.get("properties", {}))
    if any("kind" in one.get("properties", {}) for one in every) and path:
        known = {"kind": None, **known}
    needed = {name for one in branches for name in one.get("required", ())}
    names = [name for one in branches for name in _list_names(one, schemas()[kind]["$defs"])]
    keys = dict.fromkeys((*known, *names, *table))
    return tuple(_make_row(kind, content, (*path, key), key in needed) for key in keys)


def find_growth(kind: str, content: Any, path: KeyPath) -> str:
    """What can be added at a place: `name`, an entry with a name; `member`; or empty, nothing."""
    value = look_up(content, path)
    for one in _fit(find_branches(kind, content, path), value):
        if isinstance(value, list) or (one.get("type") == "array" and "items" in one):
            return "member" if "items" in one else ""
        if isinstance(one.get("additionalProperties"), dict):
            return "name"
    return ""


def list_first_rows(kind: str, content: Any, path: KeyPath) -> tuple[Row, ...]:
    """The lines that a new table at a place begins with: what it must have, or may have to."""
    rows = {row.key: row for row in list_rows(kind, content, path)}
    branches = _fit(find_branches(kind, content, path), look_up(content, path))
    wanted = [
        name
        for one in branches
        for part in (one, *one.get("anyOf", ()), *one.get("oneOf", ()))
        for name in part.get("required", ())
    ]
    return tuple(rows[name] for name in dict.fromkeys(wanted) if name in rows)


def read_typed(branches: Sequence[Schema], typed: str) -> Any:
    """What was typed as a value of these branches; text where it is of none of them."""
    words = typed.strip()
    for one in branches:
        for choice in _list_choices(one):
            if words == str(choice):
                return choice
    types = {str(one.get("type")) for one in branches if not _list_choices(one)}
    if "boolean" in types and words in ("true", "false", "yes", "no"):
        return words in ("true", "yes")
    number = _read_number(words)
    if number is not None and types & {"number", "integer"}:
        is_kept = "number" not in types or "string" in types  # amounts are kept as their digits
        return number if is_kept else float(number)
    sides = SIDES.fullmatch(words)
    lists = [one for one in branches if one.get("type") == "array"]
    if lists and sides:
        return [_read_number(side) or side for side in sides.groups()]
    if (lists or "object" in types) and words[:1] in ("[", "{"):
        try:
            return tomllib.loads(f"value = {words}")["value"]
        except tomllib.TOMLDecodeError:
            return words
    if lists and ("," in words or "string" not in types):
        return [_read_member(lists[0], at, one) for at, one in enumerate(_split(words))]
    return typed if types == {"string"} else words


def say_key(key: str) -> str:
    """A key of the schemas in words: `label_place` is label place, `usb_current` USB current."""
    return " ".join(CAPITALS.get(part, part) for part in key.split("_"))


def show_value(value: Any) -> str:
    """A value as it is typed; of a table its name or its first values."""
    if value is ABSENT:
        return ""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, float):
        return f"{value:g}" if float(f"{value:g}") == value else str(value)
    if isinstance(value, list):
        if any(isinstance(one, dict | list) for one in value):
            return "; ".join(show_value(one) for one in value)
        line = ", ".join(map(show_value, value))
        is_plain = _split(line) == list(map(show_value, value)) and line[:1] not in ("[", "{")
        return line if is_plain else write_value(value)
    if isinstance(value, dict):
        named = value.get("label", value.get("name"))
        shown = {key: one for key, one in value.items() if not isinstance(one, dict)}
        listed = ", ".join(f"{key} {show_value(one)}" for key, one in shown.items())
        return str(named) if isinstance(named, str) else listed
    return str(value)


def convert_value(value: Any, to: str, branches: Sequence[Schema]) -> Any:
    """A value in another form that may stand at its place: `text`, `list` or `table`."""
    inner = value[0] if isinstance(value, list) and len(value) == 1 else value
    if to == "list":
        return value if isinstance(value, list) else [value]
    table = next((one for one in branches if one.get("type") == "object"), {})
    first = next(iter(table.get("required", ())), "")
    if to == "table":
        return inner if isinstance(inner, dict) or not first else {first: inner}
    return inner.get(first, ABSENT) if isinstance(inner, dict) else inner


def _make_row(kind: str, content: Any, path: KeyPath, needed: bool) -> Row:
    value, branches = look_up(content, path), find_branches(kind, content, path)
    if path[-1] == "kind" and len(path) > 1:
        holders = find_branches(kind, content, path[:-1])
        branches = tuple(b for one in holders if (b := one.get("properties", {}).get("kind")))
    meant = _fit(branches, value)
    first: Mapping[str, Any] = meant[0] if meant else {}
    default = first.get("default", "")
    described = dict.fromkeys(describe_type(one) for one in branches)
    return Row(
        path[-1],
        path,
        value,
        " or ".join(described) or "nothing: this key is not known here",
        needed,
        "" if isinstance(default, list | dict) else show_value(default),
        str(first.get("description", "")),
        tuple(dict.fromkeys(str(choice) for one in branches for choice in _list_choices(one))),
        branches,
    )


def _open(node: Schema, definitions: Schema) -> Iterator[Schema]:
    """Yield the branches of a node, references followed; words on the way win over theirs."""
    if not node:
        return
    if "$ref" in node:
        rest = {key: value for key, value in node.items() if key != "$ref"}
        node = {**definitions[node["$ref"].rpartition("/")[2]], **rest}
    inner = [
        branch
        for branch in (*node.get("anyOf", ()), *node.get("oneOf", ()))
        if not branch.keys().isdisjoint(("$ref", "type", "enum", "const", "anyOf"))
        and "required" not in branch
    ]
    words: Schema = {key: node[key] for key in ("description", "default") if key in node}
    types = node.get("type")
    if isinstance(types, list):
        inner = [{**node, "type": one} for one in types]
    if not inner:
        yield node
    for branch in inner:
        yield from _open({**branch, **words}, definitions)


def _step(node: Schema, part: str | int) -> Schema:
    if isinstance(part, int):
        members = node.get("prefixItems", ())
        found: Schema = members[part] if part < len(members) else node.get("items", {})
        return found
    known: Schema = node.get("properties", {})
    below = known.get(part, node.get("additionalProperties"))
    return below if isinstance(below, dict) else {}


def _fit(branches: Sequence[Schema], value: Any) -> tuple[Schema, ...]:
    """Those branches that a value is meant to be of; all where it is of none, or absent."""
    if value is ABSENT:
        return tuple(branches)
    found = [one for one in branches if isinstance(value, TYPES.get(str(one.get("type")), ()))]
    if isinstance(value, dict):
        with_kind = [one for one in found if "kind" in one.get("properties", {})]
        named = [
            one
            for one in with_kind
            if value.get("kind") in _list_choices(one["properties"]["kind"])
        ]
        without = [one for one in found if one not in with_kind]
        found = (named if "kind" in value else without) or found
    return tuple(found or branches)


def _list_names(node: Schema, definitions: Schema) -> Iterator[str]:
    """Yield the only names that the entries of a table may have, where there are such."""
    names = node.get("propertyNames", {})
    for one in _open(names, definitions):
        yield from one.get("enum", ())


def _list_choices(node: Schema) -> tuple[Any, ...]:
    if "const" in node:
        return (node["const"],)
    return tuple(node.get("enum", ()))


def holds_rows(value: Any) -> bool:
    """Whether a value is a form of its own: a table, or a list of tables or lists."""
    if isinstance(value, list):
        return any(isinstance(one, dict | list) for one in value)
    return isinstance(value, dict)


def _is_deep(node: Schema) -> bool:
    if node.get("type") == "array" and "items" in node:
        return "prefixItems" in node["items"] or "$ref" in node["items"]
    return node.get("type") == "object"


def _read_number(words: str) -> float | None:
    try:
        return int(words)
    except ValueError:
        pass
    try:
        number = float(words)
    except ValueError:
        return None
    return number if abs(number) < float("inf") else None


def _split(words: str) -> list[str]:
    return [one.strip() for one in words.split(",") if one.strip()]


def _read_member(node: Schema, at: int, words: str) -> Any:
    below = _step(node, at)
    typed = [one for one in (below, *below.get("anyOf", ())) if "type" in one]
    return read_typed(typed, words) if typed else _read_number(words) or words
