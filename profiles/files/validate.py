"""From plain content to the model's values, and what is wrong in words of the file.

`validate_content` decides the kind of file, checks its format number and hands the content to
the model; `explain` turns what the model refuses into faults that name the user's own keys.
"""

from contextlib import suppress
from typing import TYPE_CHECKING, Any, Literal, TypeVar

from profiles.files.documents import find_foreign_values, share_texts
from profiles.files.faults import FileFaultError, count_rest
from profiles.model import Application, Board, Device, LibraryDocument, Profile, Settings
from profiles.text.inert import escape_controls
from profiles.text.prose import join_words
from profiles.text.suggest import closest

if TYPE_CHECKING:
    from collections.abc import Sequence

KINDS: dict[str, type[LibraryDocument]] = {
    "device": Device,
    "application": Application,
    "profile": Profile,
    "board": Board,
}
"""What a file may hold, by the table that says so."""

FORMAT_NUMBER: Literal[1] = 1
"""Version of the file format that this Platebook reads."""

SCHEMA_ID = "urn:platebook:schema:"
"""How the id of each schema of the file formats begins."""
MADE_BY = "Made by Platebook, digest "
"""How the mark of each output begins; see `work.outputs`."""

AnyValue = LibraryDocument | Settings
T = TypeVar("T", LibraryDocument, Settings)


def is_ours(content: dict[str, Any]) -> bool:
    """Whether content claims to be for Platebook: by its `format`, or by one of its tables."""
    return "format" in content or any(kind in content for kind in KINDS)


def is_output(content: dict[str, Any]) -> bool:
    """Whether content is a sheet or a schema that Platebook wrote, not a document of a library."""
    is_marked = str(content.get("$comment", "")).startswith(MADE_BY)
    return is_marked or str(content.get("$id", "")).startswith(SCHEMA_ID)


def find_kind(content: dict[str, Any]) -> str:
    """Return the word of `KINDS` that says what content describes.

    Raises:
        FileFaultError: where none or several of these tables are there.
    """
    found = [kind for kind in KINDS if kind in content]
    if len(found) == 1:
        return found[0]
    if found:
        tables = join_words([f"`{kind}`" for kind in found])
        raise FileFaultError(
            "mixed-kinds",
            f"one file holds {tables}",
            "Give each a file of its own",
            path=(found[1],),
            aim="key",
        )
    word = next((key for key in content if closest(key, KINDS)), "")
    meant = closest(word, KINDS)
    remedy = (
        f"Rename `{escape_controls(word)}` to `{meant}`" if meant else "Add one of these tables"
    )
    raise FileFaultError(
        "missing-key",
        f"no table {join_words([f'`{kind}`' for kind in KINDS], last='or')}",
        remedy,
        path=(word,) if meant else (),
        aim="key",
    )


def validate_content(
    content: dict[str, Any], texts: dict[str, str] | None = None
) -> LibraryDocument:
    """Return the device, application, profile or board that content describes.

    Given `texts`, equal texts of all contents validated with it become one object.

    Raises:
        ExceptionGroup: of `FileFaultError`, all that is wrong.
    """
    _refuse_foreign(content)
    try:
        _check_format(content)
        model = KINDS[find_kind(content)]
    except FileFaultError as fault:
        raise ExceptionGroup("unusable content", [fault]) from None
    return _validate(model, content if texts is None else share_texts(content, texts))


def validate_settings(content: dict[str, Any]) -> Settings:
    """Return the settings that content describes.

    Raises:
        ExceptionGroup: of `FileFaultError`, all that is wrong.
    """
    _refuse_foreign(content)
    try:
        _check_format(content)
    except FileFaultError as fault:
        raise ExceptionGroup("unusable content", [fault]) from None
    return _validate(Settings, content)


def salvage_settings(content: dict[str, Any]) -> Settings:
    """Return what is sound by itself in unsound settings, so that a typo voids no neighbour."""
    severity, accept = content.get("severity"), content.get("accept")
    pairs = severity.items() if isinstance(severity, dict) else ()
    parts: list[dict[str, Any]] = [{"severity": dict([pair])} for pair in pairs]
    parts += [{"accept": [one]} for one in accept] if isinstance(accept, list) else []
    sound = []
    for part in parts:
        with suppress(ExceptionGroup):
            sound.append(validate_settings({"format": FORMAT_NUMBER, **part}))
    return Settings(
        format=FORMAT_NUMBER,
        severity=dict(pair for one in sound for pair in one.severity.items()),
        accept=tuple(accepted for one in sound for accepted in one.accept),
    )


def _refuse_foreign(content: dict[str, Any]) -> None:
    faults = list(find_foreign_values(content))
    if faults:
        raise ExceptionGroup("unusable content", count_rest(faults))


def _check_format(content: dict[str, Any]) -> None:
    number = content.get("format")
    if number == FORMAT_NUMBER and type(number) is int:
        return
    write = f"Write `format = {FORMAT_NUMBER}`"
    if number is None:
        raise FileFaultError("missing-key", "no `format`", f"{write} at the top of the file")
    if type(number) is int and number > FORMAT_NUMBER:
        raise FileFaultError(
            "newer-format",
            f"format {number} is newer than the {FORMAT_NUMBER} read here",
            "Update Platebook to read this file",
            path=("format",),
        )
    raise FileFaultError("wrong-value", f"`format` is not {FORMAT_NUMBER}", write, path=("format",))


def _validate(model: type[T], content: dict[str, Any]) -> T:
    from pydantic import ValidationError

    try:
        return model.model_validate(content)
    except ValidationError as error:
        from profiles.files.explain import explain_errors

        faults: Sequence[FileFaultError] = explain_errors(model, content, error)
    raise ExceptionGroup("unusable content", faults)
