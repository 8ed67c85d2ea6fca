"""What the model refuses, in words of the file: its keys, text, numbers, lists and tables.

The validating library reports one error for every branch it tried; here they are traced back to
the user's own key paths, the branches of one value are joined into one sentence, and every
unknown word gets one close suggestion.
"""

import re
from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING, Any, NamedTuple

from profiles.files.expectations import (
    BANKS,
    describe_key,
    find_kinds,
    find_kinds_with,
    find_known_keys,
)
from profiles.files.faults import FileFaultError, count_rest
from profiles.files.places import KeyPath, find_at
from profiles.files.refusals import Traced, trace_errors
from profiles.files.unquoted import find_unquoted
from profiles.model.base import UnknownName, UnknownNamesError, UnknownSignError
from profiles.model.part import HOLDERS, OWN_KEYS
from profiles.text.finding import Spot
from profiles.text.inert import escape_controls
from profiles.text.prose import join_words
from profiles.text.suggest import closest

if TYPE_CHECKING:
    from pydantic import BaseModel, ValidationError

LONGEST_WORD = 40
"""Letters of a user's text that a message repeats."""

EXPECTED = {
    "string_type": "text",
    "int_type": "a whole number",
    "int_from_float": "a whole number",
    "float_type": "a number",
    "bool_type": "true or false",
    "dict_type": "a table",
    "model_type": "a table",
    "model_attributes_type": "a table",
    "tuple_type": "a list",
    "list_type": "a list",
}
"""What the model wanted, by the validating library's name for the mismatch."""

PATTERNS = {
    r"^[A-Za-z0-9][A-Za-z0-9_-]*$": "letters, digits, `-` and `_` only",
    r"^[A-Za-z0-9][A-Za-z0-9_./-]*$": "a pin as printed on the board, such as `A0`",
    r"^#([0-9A-Fa-f]{3}|[0-9A-Fa-f]{6})$": "a colour such as `#1a2b3c`",
    r"^[0-9A-Fa-f]{4}$": "four hexadecimal digits",
    r"^[A-Z]{3}$": "three capital letters such as `EUR`",
    r"\{n\}": "words with `{n}` where the number goes",
    r"^[0-9]{1,9}(\.[0-9]{1,4})?$": "an amount such as `1.25`",
}
"""What a text must look like, by the model's pattern."""

NUMBER = re.compile(r"([-+]?\d+(?:[.,]\d+)?)\s*(?:mm|ms|mA|g|V|°)?")
"""A number that was written as text, with or without its unit."""

KILOHM = re.compile(r"([-+]?\d+(?:[.,]\d+)?)\s*(?:k(?:Ω|ohm|ilohm)?)?", re.IGNORECASE)
"""The same of a resistance in kilohm."""

OWN_TABLE = "Make it a table of its own, under "
"""How the remedy begins for a table that stands inside another."""

QUOTED = re.compile(r"'([^']*)'|(-?\d+)")
QUOTED_KEY = re.compile("`([A-Za-z0-9_-]+)`")


class Subject(NamedTuple):
    """What the errors at one path are about."""

    model: "type[BaseModel]"
    content: dict[str, Any]
    path: KeyPath

    @property
    def name(self) -> str:
        """The path as one would write it, safe to show."""
        return name_path(self.path)

    @property
    def value(self) -> Any:
        """What the file holds there, or None."""
        return find_at(self.content, self.path)

    @property
    def about(self) -> str:
        """What the model says of the key, or of its nearest parent; empty if nothing."""
        return describe_key(self.model, self.content, self.path)


def name_path(path: KeyPath) -> str:
    """Return a key path as text for messages."""
    return shorten(str(Spot("", path))[1:], 2 * LONGEST_WORD)


def shorten(text: str, length: int = LONGEST_WORD) -> str:
    """Return text for a message: visible, and cut in the open where it is long."""
    return escape_controls(text if len(text) <= length else text[:length] + "…")


def explain_errors(
    model: "type[BaseModel]",
    content: dict[str, Any],
    error: "ValidationError",
    written: dict[str, Any] | None = None,
) -> list[FileFaultError]:
    """Return the faults behind a refusal, in the order of the model's fields.

    A key that is missing because it is misspelt is one fault.
    A key that is not in the file as `written` came from a part, and its fault is the part's.
    """
    written = content if written is None else written
    errors, judged = (
        [one._replace(path=_find_written(written, one.path)) for one in traced]
        for traced in trace_errors(model, content, error)
    )
    return explain_traced(model, content, errors, written, judged)


def explain_traced(
    model: "type[BaseModel]",
    content: dict[str, Any],
    traced: Sequence[Traced],
    written: dict[str, Any],
    judged: Sequence[Traced] = (),
) -> list[FileFaultError]:
    """Return the faults behind errors that are traced to the user's own paths, in their order.

    `judged` are what does not go together in tables.
    """
    typos = find_unquoted(content)
    kindless = {error.path[1] for error in traced if error.path[:1] == ("parts",) and _tags(error)}
    left = [
        error
        for error in traced
        if error.path[:2] not in typos
        if not (_tags(error) and _takes_kind(written, error.path) in kindless)
    ]
    faults = []
    lists: set[KeyPath] = set()
    for place, group in _reduce(left, ()) if left else ():
        members, holder = find_at(content, place[:-1]), place[:-1]
        if holder in lists:
            continue
        are_numbers = isinstance(members, list) and all(type(member) is int for member in members)
        if group[0].kind == "string_type" and are_numbers:  # told once for the list
            lists.add(holder)
            quoted = shorten(", ".join(f'"{member}"' for member in members))
            message = f"`{name_path(holder)}` is a list of numbers, not of text"
            fault = FileFaultError("wrong-value", message, f"Write `[{quoted}]`", path=holder)
            faults.append(fault)
            continue
        subject = Subject(model, content, place)
        # What came to judge the content tells more than a branch of the wrong type.
        first = min(group, key=lambda error: error.kind in EXPECTED)
        if first.on_key:
            said = _judge(first) or "is no key that fits here"
            key = shorten(str(place[-1]))
            message = f"key `{key}` in `{name_path(place[:-1])}` {said}"
            fault = FileFaultError("wrong-value", message, "Rename the key", path=place, aim="key")
            faults.append(fault)
        else:
            faults.append(EXPLAINERS.get(first.kind, _explain_value)(subject, first, group))
    for error in {(one.path, str(one.context["error"])): one for one in judged}.values():
        subject, reason = Subject(model, content, error.path), error.context["error"]
        if error.path[:2] in typos:
            continue
        if isinstance(reason, UnknownNamesError):
            faults += [_explain_name(subject, name, written) for name in reason.names]
        else:
            faults.append(_explain_own(subject, error, []))
    renamed = {
        (*fault.path[:-1], fault.remedy.removeprefix("Write ").strip("`"))
        for fault in faults
        if fault.code == "unknown-key"
    }
    renamed |= {fault.path[1:] for fault in faults if fault.remedy.startswith(OWN_TABLE)}
    faults = [one for one in faults if one.code != "missing-key" or one.path not in renamed]
    return count_rest([*faults, *(fault for found in typos.values() for fault in found)])


def _find_written(written: dict[str, Any], path: KeyPath) -> KeyPath:
    """Where a file gives the key of a control: in the control, its part, or as the part's name."""
    if len(path) < 3 or path[0] not in HOLDERS or path[2] in OWN_KEYS:
        return path
    if path[2] in find_at(written, path[:2]):
        return path
    word = find_at(written, (*path[:2], "part"))
    in_part = ("parts", word, *path[2:])
    return (
        path if word is None else in_part if find_at(written, in_part[:2]) else (*path[:2], "part")
    )


def _tags(error: Traced) -> bool:
    """Whether the kind of a control or part is what is wrong."""
    return error.kind in ("union_tag_invalid", "union_tag_not_found")


def _takes_kind(written: dict[str, Any], path: KeyPath) -> str | None:
    """The part that a control has its kind from; None where it gives a kind itself, or is none."""
    control = find_at(written, path) if path[:1] == ("controls",) else None
    word = control.get("part") if isinstance(control, dict) and "kind" not in control else None
    return word if isinstance(word, str) else None


def _reduce(errors: Sequence[Traced], path: KeyPath) -> Iterator[tuple[KeyPath, list[Traced]]]:
    """Group errors by path, keeping of a value's branches those that came deepest."""
    depth = len(path)
    inner: dict[str | int, list[Traced]] = {}
    here = []
    for error in errors:
        if len(error.path) > depth:
            inner.setdefault(error.path[depth], []).append(error)
        else:
            here.append(error)
    if not inner:
        yield path, here
        return
    for part, group in inner.items():
        yield from _reduce(group, (*path, part))


def _explain_missing(subject: Subject, first: Traced, errors: list[Traced]) -> FileFaultError:
    key, holder = subject.path[-1], subject.path[:-1]
    about = f": {subject.about}" if subject.about else ""
    if isinstance(key, int):
        found = describe(find_at(subject.content, holder))
        message = f"`{name_path(holder)}` is {found}, too short"
        return FileFaultError("wrong-value", message, f"Complete the list{about}", path=holder)
    has = f"`{name_path(holder)}` has" if holder else "the file has"
    return FileFaultError(
        "missing-key", f"{has} no `{key}`", f"Add `{key}`{about}", path=subject.path, aim="key"
    )


def _explain_unknown_key(subject: Subject, first: Traced, errors: list[Traced]) -> FileFaultError:
    key = str(subject.path[-1])
    holder = f" in `{name_path(subject.path[:-1])}`" if subject.path[1:] else ""
    known = find_known_keys(subject.model, subject.content, subject.path[:-1])
    meant = closest(key, known)
    kinds = find_kinds_with(subject.model, subject.content, subject.path)
    if kinds:
        others = join_words([f'`kind = "{kind}"`' for kind in kinds], "or")
        what = "bank" if subject.path[:2] == BANKS else "control"
        remedy = f"Remove it, or write {others}: no other kind of {what} has it"
    elif len(subject.path) == 2 and key in find_known_keys(subject.model, subject.content, ()):
        remedy = f"{OWN_TABLE}`[{key}]`"
    else:
        remedy = f"Write `{meant}`" if meant else f"Remove it; known here: {', '.join(known)}"
    message = f"unknown key `{shorten(key)}`{holder}"
    return FileFaultError("unknown-key", message, remedy, path=subject.path, aim="key")


def _explain_tag(subject: Subject, first: Traced, errors: list[Traced]) -> FileFaultError:
    kinds = find_kinds(subject.model, subject.content, subject.path)
    kind_path = (*subject.path, "kind")
    found = find_at(subject.content, kind_path)
    known = join_words([f"`{kind}`" for kind in kinds], "or")
    keys = subject.value if isinstance(subject.value, dict) else ()
    typo = next((key for key in keys if closest(key, ["kind"])), None)
    if found is None and typo is not None:
        message = f"unknown key `{shorten(typo)}` in `{subject.name}`"
        path = (*subject.path, typo)
        return FileFaultError("unknown-key", message, "Write `kind`", path=path, aim="key")
    if found is None:
        message, remedy = f"`{subject.name}` has no `kind`", f"Add `kind`: {known}"
        return FileFaultError("missing-key", message, remedy, path=kind_path, aim="key")
    meant = closest(found, kinds) if isinstance(found, str) else None
    remedy = f"Write `{meant}`" if meant else f"Write {known}"
    what = "bank" if subject.path[:2] == BANKS else "control"
    message = f"`{name_path(kind_path)}` is no kind of {what}"
    return FileFaultError("wrong-value", message, remedy, path=kind_path)


def _explain_value(subject: Subject, first: Traced, errors: list[Traced]) -> FileFaultError:
    reason = _judge(first)
    if reason is not None:
        remedy = reason.replace("must be", "Write", 1) if reason.startswith("must be") else None
        if first.kind == "too_long" and all(isinstance(one, int) for one in subject.value):
            found = subject.value[: 2 * first.context["max_length"]]
            couples = (found[at : at + 2] for at in range(0, len(found), 2))
            written = ", ".join(".".join(map(str, couple)) for couple in couples)
            remedy = f"Write decimals with a point, such as `[{written}]`"
        elif " " in str(subject.value) and subject.path[:1] == ("bindings",):
            message = f"`{subject.name}` is {describe(subject.value)}, which is no id of an action"
            remedy = "Write the id, as written in `[actions.id]` of the application"
            return FileFaultError("wrong-value", message, remedy, path=subject.path)
        return _refuse_value(subject, f"`{subject.name}` {reason}", remedy)
    words = []
    for error in errors:
        if error.kind == "literal_error":
            pairs = QUOTED.findall(error.context.get("expected", ""))
            words += [f"`{text or number}`" for text, number in pairs]
        elif error.kind in EXPECTED:
            words.append(EXPECTED[error.kind])
    expected = join_words(list(dict.fromkeys(words)), "or") or "a value that fits"
    message = f"`{subject.name}` is {describe(subject.value)}, not {expected}"
    corrected = _rewrite(subject.value, words, is_kilo="kilohm" in subject.about)
    if corrected is not None:
        return _refuse_value(subject, message, corrected)
    meant = None
    if isinstance(subject.value, str):
        meant = closest(subject.value, [word.strip("`") for word in words if word[0] == "`"])
    return _refuse_value(subject, message, f"Write `{meant}`" if meant else f"Write {expected}")


def _rewrite(value: Any, expected: Sequence[str], *, is_kilo: bool = False) -> str | None:
    """Return the remedy that writes a value as it was probably meant; None if that is not clear."""
    match value:
        case str() if "a number" in expected or "a whole number" in expected:
            number = (KILOHM if is_kilo else NUMBER).fullmatch(value.strip())
            return f"Write `{number[1].replace(',', '.')}` without quotes" if number else None
        case {"x": int() | float() as x, "y": int() | float() as y} if "a list" in expected:
            return f"Write `[{x}, {y}]`"
        case int() | float() if expected == ["text"] and not isinstance(value, bool):
            return f'Write `"{value}"`'
        case [str() as only] if expected == ["text"]:
            return f'Write `"{shorten(only)}"`'
    return None


def _refuse_value(subject: Subject, message: str, remedy: str | None) -> FileFaultError:
    if remedy is None:
        remedy = f"Change it: {subject.about}" if subject.about else "Change it"
    elif subject.about and not remedy.startswith("Write `"):
        remedy = f"{remedy}: {subject.about}"
    return FileFaultError("wrong-value", message, remedy, path=subject.path)


_KNOWN_SIGNS = "`platebook explain sign` names the signs"


def _explain_own(subject: Subject, first: Traced, errors: list[Traced]) -> FileFaultError:
    """Explain what a rule of the model itself refused."""
    cause = first.context.get("error")
    reason = escape_controls(str(cause))
    holder = f"`{subject.name}`" if subject.path else "the file"
    remedy = None
    if isinstance(cause, UnknownSignError):
        meant = closest(cause.word, cause.known)
        letters = f"`{{{{{cause.word}}}` for the letters"
        remedy = (
            f"Write `{{{meant}}}`, or {letters}" if meant else f"Write {letters}; {_KNOWN_SIGNS}"
        )
    named = _find_key(subject.value, reason)
    if remedy is None and named:
        remedy = f"Correct or remove `{name_path(named)}`"
        path = (*subject.path, *named)
        return FileFaultError("wrong-value", f"{holder} {reason}", remedy, path=path)
    return _refuse_value(subject, f"{holder} {reason}", remedy)


def _find_key(table: Any, words: str) -> KeyPath:
    """The first key of a table, or of a table in it, that words name; empty where there is none."""
    for word in QUOTED_KEY.findall(words) if isinstance(table, dict) else ():
        if word in table:
            return (word,)
        for key, inner in table.items():
            if isinstance(inner, dict) and word in inner:
                return (key, word)
    return ()


def _explain_name(subject: Subject, name: UnknownName, written: dict[str, Any]) -> FileFaultError:
    """Explain a name that leads nowhere within its own table."""
    path = _find_written(written, (*subject.path, *name.path))
    meant = closest(name.word, name.known)
    known = join_words([f"`{escape_controls(word)}`" for word in name.known], "or")
    message = f"`{name_path(path[:-1])}` names no {name.kind} `{shorten(name.word)}`"
    remedy = f"Write `{escape_controls(meant)}`" if meant else f"Write {known}"
    return FileFaultError("wrong-value", message, remedy, path=path, aim="key")


def _judge(error: Traced) -> str | None:
    """Return what is wrong with a value of the right type, as the end of a sentence."""
    context = error.context
    bounds = {
        "greater_than": ("must be a number above", "gt"),
        "greater_than_equal": ("must be a number of at least", "ge"),
        "less_than": ("must be a number below", "lt"),
        "less_than_equal": ("must be a number of at most", "le"),
    }
    if error.kind in bounds:
        words, key = bounds[error.kind]
        return f"{words} {context[key]:g}"
    if error.kind == "string_pattern_mismatch":
        return f"must be {PATTERNS.get(context['pattern'], 'written another way')}"
    if error.kind == "string_too_long":
        return f"has more than {context['max_length']} letters"
    if error.kind == "too_long":
        return f"has more than {context['max_length']} members"
    if error.kind == "too_short":
        return f"has fewer than {context['min_length']} members"
    if error.kind == "value_error":
        return escape_controls(str(context.get("error")))
    return "must be a finite number" if error.kind == "finite_number" else None


def describe(value: Any) -> str:
    """Return what a value is, in words of the file."""
    match value:
        case str():
            return f"`{shorten(value)}`" if len(value) <= LONGEST_WORD else "a long text"
        case bool():
            return "true" if value else "false"
        case int() | float():
            return f"{value:g}" if isinstance(value, float) else str(value)
        case list():
            return "an empty list" if not value else f"a list of {len(value)}"
        case dict():
            return "a table"
        case _:
            return "nothing"


EXPLAINERS = {
    "missing": _explain_missing,
    "extra_forbidden": _explain_unknown_key,
    "union_tag_invalid": _explain_tag,
    "union_tag_not_found": _explain_tag,
    "value_error": _explain_own,
}
