"""What the model expects at a key path: the field there, and the keys known beside it."""

from collections.abc import Iterator
from types import UnionType
from typing import TYPE_CHECKING, Annotated, Any, Union, get_args, get_origin

from profiles.files.places import KeyPath
from profiles.model.keys import describe_field

if TYPE_CHECKING:
    from pydantic import BaseModel

BANKS = ("wiring", "banks")
"""Where the banks of a device are."""


def find_known_keys(
    model: "type[BaseModel]", content: dict[str, Any], path: KeyPath
) -> tuple[str, ...]:
    """Return the keys that the table at `path` may hold, in the model's order."""
    names = [name for kind, table in _walk(model, content, path) for name in _list_fields(kind)]
    return tuple(dict.fromkeys(names))


def find_kinds(model: "type[BaseModel]", content: dict[str, Any], path: KeyPath) -> tuple[str, ...]:
    """Return the kinds that the control at `path` may name, whatever it does name."""
    holder = [kind for kind, _ in _walk(model, content, path[:-1])]
    types = [one for kind in holder for one, _ in _step(kind, {}, path[-1])]
    return tuple(word for one in types for word in get_args(_list_fields(one)["kind"].annotation))


def find_kinds_with(
    model: "type[BaseModel]", content: dict[str, Any], path: KeyPath
) -> tuple[str, ...]:
    """Return the other kinds of control or bank that have the key at the end of `path`."""
    if path[:-2] not in (("controls",), BANKS):
        return ()
    holder = [kind for kind, _ in _walk(model, content, path[:-2])]
    types = [one for kind in holder for one, _ in _step(kind, {}, path[-2])]
    fields = [_list_fields(one) for one in types]
    return tuple(
        word for one in fields if path[-1] in one for word in get_args(one["kind"].annotation)
    )


def describe_key(model: "type[BaseModel]", content: dict[str, Any], path: KeyPath) -> str:
    """Return what the model says of the key at the end of `path`, or of its nearest parent."""
    for length in range(len(path), 0, -1):
        for kind, _ in _walk(model, content, path[: length - 1]):
            if path[length - 1] in _list_fields(kind):
                return describe_field(kind, str(path[length - 1])).rstrip(".")
    return ""


def _walk(
    model: "type[BaseModel]", content: dict[str, Any], path: KeyPath
) -> list[tuple[Any, Any]]:
    """Return the types that may stand at `path`, each with what does stand there."""
    found: list[tuple[Any, Any]] = [(model, content)]
    for part in path:
        found = [step for kind, value in found for step in _step(kind, value, part)]
    return found


def _step(kind: Any, value: Any, part: str | int) -> Iterator[tuple[Any, Any]]:
    """Yield the types that may stand below a type; of controls only the kind that it names."""
    try:
        inner = value[part]
    except (KeyError, IndexError, TypeError):
        inner = None
    field = _list_fields(kind).get(part)
    if field is not None:
        annotation = field.annotation
    elif get_origin(kind) in (dict, tuple):
        annotation = get_args(kind)[1 if get_origin(kind) is dict else 0]
    else:
        return
    for below in _open_unions(annotation):
        tag = _list_fields(below).get("kind")
        named = isinstance(inner, dict) and "kind" in inner
        if tag is None or not named or inner["kind"] in get_args(tag.annotation):
            yield below, inner


def _list_fields(kind: Any) -> Any:
    fields = getattr(kind, "model_fields", None)
    return fields if isinstance(fields, dict) and isinstance(kind, type) else {}


def _open_unions(annotation: Any) -> Iterator[Any]:
    origin = get_origin(annotation)
    if origin is Annotated:
        yield from _open_unions(get_args(annotation)[0])
    elif origin in (Union, UnionType):
        for arg in get_args(annotation):
            yield from _open_unions(arg)
    else:
        yield annotation
