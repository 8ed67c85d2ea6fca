"""A library read as any other program would read it: by the published schemas alone.

The schemas serve editors; here `jsonschema`, an implementation of draft 2020-12, applies them to
the same files. What it refuses and the model does not would mislead the owner of the files.
What a schema refuses is told as `check` tells it: by key, with what was expected.
"""

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING, Any, NamedTuple

from profiles.files.documents import decode_text, read_bytes, read_document
from profiles.files.explain import explain_traced
from profiles.files.faults import FileFaultError
from profiles.files.library import LoadedLibrary
from profiles.files.locator import Locator
from profiles.files.places import KeyPath
from profiles.files.refusals import Traced
from profiles.files.schema import BINDING_KEY, schemas
from profiles.files.validate import KINDS, check_format, find_kind, is_ours
from profiles.model import SETTINGS_NAME, Place, Settings

if TYPE_CHECKING:
    from jsonschema.exceptions import ValidationError

TYPES = {
    "string": "string_type",
    "integer": "int_type",
    "number": "float_type",
    "boolean": "bool_type",
    "object": "dict_type",
    "array": "list_type",
}
"""The types of JSON Schema by the words of the model's validating library."""

LIMITS = {
    "exclusiveMinimum": ("greater_than", "gt"),
    "minimum": ("greater_than_equal", "ge"),
    "exclusiveMaximum": ("less_than", "lt"),
    "maximum": ("less_than_equal", "le"),
    "pattern": ("string_pattern_mismatch", "pattern"),
    "maxLength": ("string_too_long", "max_length"),
    "maxItems": ("too_long", "max_length"),
    "minItems": ("too_short", "min_length"),
    "maxProperties": ("too_long", "max_length"),
    "minProperties": ("too_short", "min_length"),
}
"""The keywords that have one limit, by the word for their error and for the limit."""

SHAPES = {
    r"\S": "must hold at least one letter",
    BINDING_KEY: "is no contact such as `horn` or `trim.clockwise`",
}
"""What our own rules say in place of a pattern of the schemas."""


class Refusal(NamedTuple):
    """What the schemas, or `check` alone, refuse: where, why, and the way out."""

    place: Place
    message: str
    remedy: str


def verify_library(loaded: LoadedLibrary) -> Iterator[Refusal]:
    """Apply the published schemas to every file of a library; yield what they refuse.

    What only our own reading refuses, since no schema can say it, is told as well.

    Files that are not in their format, or of no kind, are left to the check of the library.
    """
    from jsonschema import Draft202012Validator

    validators = {kind: Draft202012Validator(schema) for kind, schema in schemas().items()}
    for shown, path in loaded.paths.items():
        try:
            document = read_document(path)
            content = document.content
            is_settings = path.name == SETTINGS_NAME
            if not is_settings and not is_ours(content):
                continue
            kind = "settings" if is_settings else find_kind(content)
            locator = Locator(decode_text(read_bytes(path)), document.format)
        except FileFaultError:
            continue
        errors = list(validators[kind].iter_errors(content))
        model = Settings if is_settings else KINDS[kind]
        traced = [one for one in _trace(errors) if one.path != ("format",)]
        faults = explain_traced(model, content, traced, content)
        try:
            check_format(content)
        except FileFaultError as newer:
            faults.insert(0, newer)
        for fault in faults:
            region = locator.locate(fault.path, fault.aim)
            place = Place(shown, *region) if region else Place(shown)
            yield Refusal(place, fault.message, fault.remedy)
        for problem in () if errors else loaded.problems:
            if problem.place is not None and problem.place.file == shown:
                message = f"`check` alone refuses it: {problem.message}"
                yield Refusal(problem.place, message, problem.remedy)


def _trace(errors: "Sequence[ValidationError]") -> Iterator[Traced]:
    """Yield the errors of a schema as the model's own, each with the path in the file."""
    for error in errors:
        is_key = "propertyNames" in error.absolute_schema_path
        path: KeyPath = tuple(error.absolute_path)
        value: Any = error.instance
        keys: list[str]
        wanted: Any = error.validator_value
        schema: Any = error.schema
        if error.validator == "additionalProperties":
            keys = [key for key in value if key not in schema.get("properties", {})]
            yield from (Traced((*path, key), False, "extra_forbidden", {}) for key in keys)
        elif error.validator in ("required", "dependentRequired"):
            if error.validator == "dependentRequired":
                wanted = [key for one in value for key in wanted.get(one, ())]
            keys = [key for key in dict.fromkeys(wanted) if key not in value]
            yield from (Traced((*path, key), False, "missing", {}) for key in keys)
        elif error.validator == "oneOf" and all({*branch} == {"required"} for branch in wanted):
            named = " or ".join(f"`{key}`" for branch in wanted for key in branch["required"])
            yield Traced(path, False, "value_error", {"error": f"needs either {named}"})
        elif error.validator in ("oneOf", "anyOf") and error.context:
            yield from _trace_branches(error, path)
        elif error.validator == "type" and not {"enum", "const"} & {*schema}:
            kinds = [wanted] if isinstance(wanted, str) else wanted
            yield from (Traced(path, False, TYPES[kind], {}) for kind in kinds)
        elif error.validator == "minItems" and "prefixItems" in schema:
            yield Traced((*path, len(value)), False, "missing", {})
        elif error.validator in ("enum", "const") and not is_key:
            words = wanted if error.validator == "enum" else [wanted]
            expected = ", ".join(f"'{word}'" for word in words)
            yield Traced(path, False, "literal_error", {"expected": expected})
        elif error.validator not in ("type", "not") or isinstance(value, dict):
            kind, limit = LIMITS.get(str(error.validator), ("value_error", "error"))
            if isinstance(wanted, str) and wanted in SHAPES:
                kind, limit = "value_error", "error"
            context = {limit: wanted if limit != "error" else _say(error)}
            yield Traced((*path, value) if is_key else path, is_key, kind, context)


def _trace_branches(error: "ValidationError", path: KeyPath) -> Iterator[Traced]:
    """Yield the errors of the branch that was meant: of the kind named, of the right type."""
    branches: dict[object, list[ValidationError]] = {}
    for inner in error.context or ():
        branches.setdefault(inner.relative_schema_path[0], []).append(inner)
    meant = [errors for errors in branches.values() if not any(map(_is_other, errors))]
    if meant or not isinstance(error.instance, dict) or path[:1] != ("controls",):
        yield from _trace(meant[0] if meant else error.context or ())
    else:
        yield Traced(path, False, "union_tag_invalid", {})


def _is_other(error: "ValidationError") -> bool:
    """Whether an error says that its branch is for values of another type or kind."""
    value: Any = error.instance
    schema: Any = error.schema
    if error.validator == "additionalProperties":
        return "kind" in value and "kind" not in schema.get("properties", {})
    if error.validator == "required":
        return "kind" not in value and bool(
            {key for key in schema["required"] if key not in value} & {"kind", "part"}
        )
    at_value = error.validator in ("type", "enum", "const") and not error.relative_path
    return at_value or [*error.relative_path] == ["kind"]


def _say(error: "ValidationError") -> str:
    """What the keywords refuse that have neither a limit nor branches, as the end of a sentence."""
    wanted: Any = error.validator_value
    if error.validator == "pattern":
        return SHAPES[wanted]
    if error.validator == "enum":
        return f"names no contact; known here: {', '.join(wanted)}"
    if error.validator == "not" and "required" in wanted:
        single, table = wanted["required"]
        return f"gives one contact both in `{single}` and in `{table}`"
    if error.validator == "uniqueItems":
        return "has a member twice"
    return "has a value that does not fit"
