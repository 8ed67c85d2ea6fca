"""Every key of every kind of file, as data: what a manual and `explain` tell of it.

All comes from the published schemas, so a key cannot be described in two ways.
"""

from collections.abc import Iterator
from functools import cache
from typing import Any, NamedTuple

from profiles.files.schema import schemas
from profiles.text.suggest import fold

TYPE_WORDS = {
    "string": "text",
    "number": "number",
    "integer": "whole number",
    "boolean": "true or false",
    "array": "list",
    "object": "table",
}


class Key(NamedTuple):
    """One key: its kind of file, its path with `*` for a name of yours, and what it takes.

    `needed` is True where the table that holds it must have it; `default` is empty if none.
    """

    kind: str
    path: str
    takes: str
    needed: bool
    default: str
    description: str


@cache
def list_keys() -> tuple[Key, ...]:
    """Return every key of every kind of file; of keys that several controls share, one each."""
    found: dict[tuple[str, str], Key] = {}
    for kind, schema in schemas().items():
        for key in _walk(kind, schema, schema["$defs"], ""):
            earlier = found.setdefault((kind, key.path), key)
            words = [*earlier.takes.split(" or "), *key.takes.split(" or ")]
            takes = " or ".join(dict.fromkeys(words))
            found[kind, key.path] = earlier._replace(takes=takes)
    return tuple(found.values())


def find_keys(word: str) -> list[Key]:
    """Return the keys of this name or path: `front`, `controls.front` or `controls.horn.front`.

    Letter case and `-` or a space for `_` are free. A word that a key takes finds it as well.
    """
    folded = fold(word)
    parts = folded.split(".")

    def is_meant(key: Key) -> bool:
        known = fold(key.path).split(".")
        pairs = zip(known, parts, strict=False)
        if len(known) == len(parts) and all(one in ("*", part) for one, part in pairs):
            return True
        named = [part for part in known if part != "*"]
        return named[-len(parts) :] == parts or f"`{folded}`" in key.takes.split(" or ")

    return [key for key in list_keys() if is_meant(key)]


def _walk(kind: str, node: Any, definitions: Any, path: str) -> Iterator[Key]:
    """Yield the keys below a node of a schema, branches and members of lists included."""
    node = {**definitions[node["$ref"].rpartition("/")[2]], **node} if "$ref" in node else node
    for branch in (*node.get("anyOf", ()), *node.get("oneOf", ())):
        if "$ref" in branch or "type" in branch:
            yield from _walk(kind, branch, definitions, path)
    for name, value in node.get("properties", {}).items():
        below = f"{path}.{name}" if path else name
        inner = definitions[value["$ref"].rpartition("/")[2]] if "$ref" in value else value
        needed = name in node.get("required", ())
        default = value.get("default", "")
        default = str(default).lower() if isinstance(default, bool) else str(default)
        about = value.get("description") or inner.get("description", "")
        yield Key(kind, below, describe_type({**inner, **value}), needed, default, about)
        yield from _walk(kind, value, definitions, below)
    if isinstance(node.get("additionalProperties"), dict):
        yield from _walk(kind, node["additionalProperties"], definitions, f"{path}.*")
    if isinstance(node.get("items"), dict):
        yield from _walk(kind, node["items"], definitions, path)


def describe_type(node: Any) -> str:
    """What a node of a schema takes, in words: `number above 0`, "`left` or `right`"."""
    if "enum" in node or "const" in node:
        choices = node.get("enum") or [node["const"]]
        return " or ".join(f"`{choice}`" for choice in choices)
    branches = (*node.get("anyOf", ()), *node.get("oneOf", ()))
    if branches:
        return " or ".join(dict.fromkeys(describe_type(branch) for branch in branches))
    types = node.get("type")
    names = types if isinstance(types, list) else [types]
    words = " or ".join(TYPE_WORDS.get(str(name), "table") for name in names)
    if "prefixItems" in node:
        words = f"list of {len(node['prefixItems'])}"
    bounds = (("minimum", "from"), ("exclusiveMinimum", "above"), ("maximum", "to"))
    limits = [f"{word} {node[end]:g}" for end, word in bounds if end in node]
    return " ".join([words, *limits])
