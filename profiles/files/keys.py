"""Every key of every kind of file, as data: what a manual and `explain` tell of it.

All comes from the published schemas, so a key cannot be described in two ways.
"""

from collections.abc import Iterator
from functools import cache
from typing import Any, NamedTuple

from profiles.files.schema import schemas
from profiles.text.prose import join_words
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
    `of` are the kinds of control or bank that have it, empty where all do alike.
    """

    kind: str
    path: str
    takes: str
    needed: bool
    default: str
    description: str
    of: tuple[str, ...] = ()


@cache
def list_keys() -> tuple[Key, ...]:
    """Return every key of every kind of file; of keys that several controls share, one each."""
    found: dict[tuple[str, str], list[Key]] = {}
    for kind, schema in schemas().items():
        for key in _walk(kind, schema, schema["$defs"], ""):
            found.setdefault((kind, key.path), []).append(key)
    return tuple(
        _join(keys, found.get((kind, f"{path.rpartition('.')[0]}.kind"), keys))
        for (kind, path), keys in found.items()
    )


def _join(keys: list[Key], beside: list[Key]) -> Key:
    """One key for that of several kinds of table, whose words say of which where they differ;
    `beside` are the keys that name all kinds."""
    words = dict.fromkeys(word for key in keys for word in key.takes.split(" or "))
    about: dict[str, list[str]] = {}
    for key in keys:
        about.setdefault(key.description, []).extend(key.of)
    first = keys[0]._replace(takes=" or ".join(words), of=())
    of = tuple(dict.fromkeys(word for key in keys for word in key.of))
    if len(about) == 1 and {*of} == {word for key in beside for word in key.of}:
        return first
    whose = [f"{join_words(kinds)}: {text}" for text, kinds in about.items()]
    return first._replace(description=" ".join(whose), of=of)


def find_keys(word: str) -> list[Key]:
    """Return the keys of this name or path: `front`, `controls.front` or `controls.horn.front`.

    Letter case and `-` or a space for `_` are free. A word that a key takes finds it as well, and a
    kind of control or bank the keys that not every one has.
    """
    folded = fold(word)
    parts = folded.split(".")

    def is_meant(key: Key) -> bool:
        known = fold(key.path).split(".")
        pairs = zip(known, parts, strict=False)
        if len(known) == len(parts) and all(one in ("*", part) for one, part in pairs):
            return True
        named = [part for part in known if part != "*"]
        is_own = folded in key.of and known[0] not in ("parts", "part")
        is_taken = f"`{folded}`" in key.takes.split(" or ")
        return named[-len(parts) :] == parts or is_taken or is_own

    return [key for key in list_keys() if is_meant(key)]


def _walk(kind: str, node: Any, definitions: Any, path: str) -> Iterator[Key]:
    """Yield the keys below a node of a schema, branches and members of lists included."""
    node = {**definitions[node["$ref"].rpartition("/")[2]], **node} if "$ref" in node else node
    for branch in (*node.get("anyOf", ()), *node.get("oneOf", ())):
        if "$ref" in branch or "type" in branch:
            yield from _walk(kind, branch, definitions, path)
    properties = node.get("properties", {})
    word = properties.get("kind", {})
    own = (word["const"],) if "const" in word else tuple(word.get("enum", ()))
    for name, value in properties.items():
        below = f"{path}.{name}" if path else name
        inner = definitions[value["$ref"].rpartition("/")[2]] if "$ref" in value else value
        needed = name in node.get("required", ())
        default = value.get("default", "")
        default = str(default).lower() if isinstance(default, bool) else str(default)
        about = value.get("description") or inner.get("description", "")
        takes = describe_type({**inner, **value})
        yield Key(kind, below, takes, needed, default, about, own)
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
