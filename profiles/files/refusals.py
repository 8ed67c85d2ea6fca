"""What the model refuses, traced to the user's own paths: keys, and what does not go together.

The model judges a table only once each of its keys is sound, and a file only once all of its tables
are. Here the rest is judged all the same: keys that cannot be used are given as `Unsound`, which no
rule can rest on.
"""

from collections.abc import Iterable, Iterator, Sequence
from functools import cache
from typing import TYPE_CHECKING, Any, NamedTuple

from profiles.files.expectations import find_known_keys
from profiles.files.places import KeyPath, find_at
from profiles.model.base import Judged, Unsound, Value
from profiles.text.suggest import closest

if TYPE_CHECKING:
    from pydantic import BaseModel, ValidationError
    from pydantic_core import SchemaValidator

KINDS_BELOW = {"controls": 2, "parts": 2, "part": 1}
"""Where, below a table of a file, the name of a kind is put into the path of an error."""

UNSOUND = Unsound()

MOST_ROUNDS = 4
"""Times that the rest is read: what is wrong with a value that has several forms shows in turns."""


class Traced(NamedTuple):
    """One error with the user's own path; `on_key` where the key itself is wrong."""

    path: KeyPath
    on_key: bool
    kind: str
    context: dict[str, Any]


def trace_errors(
    model: "type[BaseModel]", content: dict[str, Any], error: "ValidationError"
) -> tuple[list[Traced], list[Traced]]:
    """Return what is wrong with single keys, and what does not go together in tables."""
    errors, judged = _split(content, error)
    rest, wrong = content, errors
    for _ in range(MOST_ROUNDS):
        rest = _mark(model, content, rest, wrong)
        found = _judge_rest(model, rest)
        if isinstance(found, list):
            return errors, found
        wrong, _ = _split(rest, found)
    return errors, judged


def _split(content: dict[str, Any], error: "ValidationError") -> tuple[list[Traced], list[Traced]]:
    """Errors of keys, and of tables; where a table was judged, it was not of another form."""
    errors, judged = list[Traced](), list[Traced]()
    for refused in error.errors(include_url=False, include_input=False):
        location = refused["loc"]
        path: list[str | int] = []
        value: Any = content
        for at, part in enumerate(location):
            is_branch = location[0] in KINDS_BELOW and at == KINDS_BELOW[str(location[0])]
            is_member = isinstance(value, list) and isinstance(part, int) and part < len(value)
            if not is_branch and (is_member or (isinstance(value, dict) and part in value)):
                path.append(part)
                value = value[part]
            elif refused["type"] == "missing" and at == len(location) - 1:
                path.append(part)
        on_key = bool(location) and location[-1] == "[key]"
        traced = Traced(tuple(path), on_key, refused["type"], refused.get("ctx", {}))
        is_table = isinstance(value, dict) and not on_key
        (judged if is_table and traced.kind == "value_error" else errors).append(traced)
    forms = {one.path for one in judged}
    return [one for one in errors if one.path not in forms], judged


def _judge_rest(
    model: "type[BaseModel]", content: dict[str, Any]
) -> "list[Traced] | ValidationError":
    """What does not go together in content whose wrong keys are marked, or what else is wrong."""
    from pydantic import ValidationError

    judged = Judged()
    try:
        value = _reader(model).validate_python(content, context=judged)
    except ValidationError as error:
        return error
    return [
        Traced(path, False, "value_error", {"error": fault})
        for path, one in _walk(value, ())
        for fault in judged.faults_of(one)
    ]


def _mark(
    model: "type[BaseModel]", given: dict[str, Any], content: Any, errors: Sequence[Traced]
) -> Any:
    """Content whose wrong keys are marked; an unknown one counts for a missing one it is close to.

    `given` is the content as the file has it, in which no key is marked yet.
    """
    content, marked = _copy(content), set[KeyPath]()
    inside = {one.path[:length] for one in errors for length in range(len(one.path))}
    for path, on_key, kind, _ in errors:
        if path in inside or any(path[:length] in marked for length in range(len(path))):
            continue
        is_unknown = kind == "extra_forbidden"
        path = path if isinstance(path[-1], str) else path[:-1]
        table, key = find_at(content, path[:-1]), path[-1]
        if on_key or is_unknown:
            table.pop(key, None)
            known = find_known_keys(model, given, path[:-1]) if is_unknown else ()
            key = closest(str(key), known) or ""
        if key != "" and not (is_unknown and key in table):
            table[key] = UNSOUND
            marked.add((*path[:-1], key))
    return content


def _copy(content: Any) -> Any:
    """The same tables and lists anew."""
    if isinstance(content, dict):
        return {key: _copy(one) for key, one in content.items()}
    return [_copy(one) for one in content] if isinstance(content, list) else content


@cache
def _reader(model: "type[BaseModel]") -> "SchemaValidator":
    """The model's own reader, which takes `Unsound` for any key."""
    from pydantic_core import SchemaValidator

    return SchemaValidator(_admit(model.__pydantic_core_schema__))


def _admit(schema: Any) -> Any:
    """The schema of a model, each of whose keys, and members of its tables, may be `Unsound`."""
    if isinstance(schema, list):
        return [_admit(one) for one in schema]
    if not isinstance(schema, dict):
        return schema
    changed = {key: _admit(one) for key, one in schema.items()}
    if changed.get("type") == "model":  # what is not built yet is not read by what is
        cls = changed["cls"]
        name, space = f"Unsound{cls.__name__}", {"__module__": cls.__module__}
        changed["cls"] = type(cls)(name, (cls,), space)
    for kind, key in (("model-field", "schema"), ("dict", "values_schema")):
        if changed.get("type") == kind and key in changed:
            inner = changed[key]
            if inner.get("type") == "default":
                changed[key] = {**inner, "schema": _wrap(inner["schema"])}
            else:
                changed[key] = _wrap(inner)
    return changed


def _wrap(schema: Any) -> Any:
    from pydantic_core import core_schema

    return core_schema.no_info_wrap_validator_function(
        lambda value, read: value if value is UNSOUND else read(value), schema
    )


def _walk(value: Any, path: KeyPath) -> Iterator[tuple[KeyPath, Value]]:
    """Every table of the model in a value, outer ones first, with its path."""
    inner: Iterable[tuple[str | int, Any]] = ()
    if isinstance(value, Value):
        yield path, value
        inner = ((name, getattr(value, name)) for name in type(value).model_fields)
    elif isinstance(value, dict):
        inner = value.items()
    elif isinstance(value, tuple):
        inner = enumerate(value)
    for key, one in inner:
        yield from _walk(one, (*path, key))
