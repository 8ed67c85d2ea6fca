"""From plain content to the model's values, and what is wrong in words of the file.

`validate_content` decides the kind of file, checks its format number and hands the content to
the model; `explain` turns what the model refuses into faults that name the user's own keys.
"""

from contextlib import suppress
from typing import TYPE_CHECKING, Any, Literal, TypeVar

from profiles.files.documents import find_foreign_values, share_texts
from profiles.files.faults import FileFaultError, count_rest
from profiles.model import (
    Application,
    Board,
    Device,
    Library,
    LibraryDocument,
    Part,
    Profile,
    Settings,
)
from profiles.model.part import fill_in, parts_named
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
    "part": Part,
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
    content: dict[str, Any], texts: dict[str, str] | None = None, library: Library | None = None
) -> LibraryDocument:
    """Return the device, application, profile, board or part that content describes.

    Given `texts`, equal texts of all contents validated with it become one object. A device may
    name the parts of `library` besides its own.

    Raises:
        ExceptionGroup: of `FileFaultError`, all that is wrong.
    """
    _refuse_foreign(content)
    try:
        check_format(content)
        model = KINDS[find_kind(content)]
    except FileFaultError as fault:
        raise ExceptionGroup("unusable content", [fault]) from None
    if texts is not None:
        content = share_texts(content, texts)
    if model is not Device:
        return _validate(model, content)
    return _validate_device(content, library or Library())


def names_others_parts(content: dict[str, Any]) -> bool:
    """Whether content is a device that names a part which it does not describe itself."""
    own = content.get("parts")
    return any(not isinstance(own, dict) or word not in own for *_, word in parts_named(content))


def _validate_device(content: dict[str, Any], library: Library) -> LibraryDocument:
    """Return a device, its parts filled in from its own and from those of the library."""
    own = content.get("parts", {})
    named = [] if not isinstance(own, dict) else parts_named(content)
    used = {word: library.parts[word] for *_, word in named if word in library.parts}
    parts = {
        word: {key: one for key, one in part.part.plain().items() if key != "id"}
        for word, part in used.items()
    }
    whole = fill_in({**content, "parts": parts | own} if parts else content)
    missing = [one for one in named if one[2] not in own and one[2] not in parts]
    if not missing:
        return _validate(Device, whole, content)
    faults = []
    for holder, key, word in missing:
        name, about = escape_controls(word[:64]), f"`{holder}.{escape_controls(key[:64])}` names"
        near = closest(word, [*own, *library.parts])
        message, remedy = f"{about} no part `{name}`", f"Describe it as `parts.{name}`"
        if near:
            remedy = f"Write `{near}`"
        elif library.may_define("part", word):
            message = f"{about} part `{name}`, whose file cannot be used"
            remedy = "Correct that file first"
        faults.append(FileFaultError("wrong-value", message, remedy, path=(holder, key, "part")))
    blind = {one[:2] for one in missing}
    try:
        _validate(Device, whole, content)
    except ExceptionGroup as group:
        faults += [
            fault
            for fault in group.exceptions
            if isinstance(fault, FileFaultError)
            if fault.code != "missing-key" or fault.path[:2] not in blind
        ]
    raise ExceptionGroup("unusable content", count_rest(faults))


def validate_settings(content: dict[str, Any]) -> Settings:
    """Return the settings that content describes.

    Raises:
        ExceptionGroup: of `FileFaultError`, all that is wrong.
    """
    _refuse_foreign(content)
    try:
        check_format(content)
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


def check_format(content: dict[str, Any]) -> None:
    """Raise the FileFaultError of content in another version of the format, or in none."""
    number = content.get("format")
    if number == FORMAT_NUMBER and type(number) is int:
        return
    write = f"Write `format = {FORMAT_NUMBER}`"
    typo = next((key for key in content if closest(key, ["format"])), None)
    if number is None and typo is not None:
        message = f"unknown key `{escape_controls(typo)}`"
        raise FileFaultError("unknown-key", message, "Write `format`", path=(typo,), aim="key")
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


def _validate(model: type[T], content: dict[str, Any], written: dict[str, Any] | None = None) -> T:
    """The value of content; `written` is what the file holds where parts were filled in."""
    from pydantic import ValidationError

    try:
        return model.model_validate(content)
    except ValidationError as error:
        from profiles.files.explain import explain_errors

        faults: Sequence[FileFaultError] = explain_errors(model, content, error, written)
    raise ExceptionGroup("unusable content", faults)
