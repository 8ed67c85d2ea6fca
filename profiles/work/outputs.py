"""Files that Platebook makes from a library: written whole, and never over somebody else's work.

Every output carries a mark with a digest of its own bytes, where its format has a place that
readers pass over: a comment in PDF, SVG, HTML, DXF and programs, a text chunk in PNG (PNG, 11.3.4),
the header of binary STL, the archive comment of 3MF and ZIP, `$comment` in JSON. A file with a mark
that fits its bytes is as Platebook made it and may be replaced; any other is not. CSV and plain
text have no such place, so a file of these is replaced only where it is asked for by name.

A file with the ending of a library's (`.toml`, `.yaml`, `.yml`, `.json` without a mark) or of a
recording, or that is a recording, is never replaced at all, nor is a link, a device, or a file that
may not be written.

- `write_outputs`, `write_output`: files to disk, all judged before the first is written
- `judge_place`: a place before anything is worked out for it
- `stamp`: the bytes of a file with their mark
- `is_own`: whether bytes carry a mark that fits them
"""

import json
import os
import re
import struct
import zlib
from collections.abc import Callable, Sequence
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path

from profiles.files.documents import digest_of, read_bytes
from profiles.files.faults import FileFaultError
from profiles.files.folder import NO_FOLDER, explain_unmade, is_folder
from profiles.files.save import SaveError, create_file, is_read_only, remove_leftovers, replace_file
from profiles.files.validate import MADE_BY, is_output
from profiles.text.inert import escape_controls

LARGEST = 512 * 1024 * 1024
"""Bytes of a file that is read to find whether it may be replaced."""

LIBRARY_SUFFIXES = (".toml", ".yaml", ".yml", ".json", ".jsonl")
"""Endings of what people keep in a library, recordings among them."""

_CHOOSE_ANOTHER = "Choose another name, or delete that file first."
_WORDS = MADE_BY.encode()
_MARK = re.compile(_WORDS + rb"[0-9a-f]{32}")
_PNG_KEYWORD = b"tEXtComment\0"


class OutputError(Exception):
    """A file was not written, and whatever is there is as it was.

    `remedy` is a sentence; `may_replace` says that asking to replace the file would do.
    """

    def __init__(self, message: str, remedy: str = "", *, may_replace: bool = False) -> None:
        super().__init__(message)
        self.remedy = remedy
        self.may_replace = may_replace


@dataclass(frozen=True, slots=True)
class Output:
    """A file to be written: where, and its bytes.

    `form` is the format's name, such as `pdf`; empty where the path's ending says it.
    """

    path: Path
    data: bytes
    form: str = ""

    @property
    def kind(self) -> str:
        """The format's name, in small letters."""
        return (self.form or self.path.suffix.removeprefix(".")).lower()


def write_output(path: Path, data: bytes, form: str = "", *, replace: bool = False) -> bool:
    """Write one file, its folder made where it is missing; whether one was there before.

    Raises:
        OutputError: where it is not Platebook's to replace, or cannot be written.
    """
    return write_outputs([Output(path, data, form)], replace=replace)[0]


def write_outputs(outputs: Sequence[Output], *, replace: bool = False) -> list[bool]:
    """Write files, each whole or not at all, and say of each whether one was there before.

    All are judged before the first is written, and all that are refused are named, a line each.
    `replace` allows to replace files without a mark,
    other than those of a library.

    Raises:
        OutputError: where one is not Platebook's to replace, or cannot be written.
    """
    found: list[bytes | None] = []
    refused: list[OutputError] = []
    for output in outputs:
        try:
            found.append(_judge(output, replace=replace))
        except OutputError as error:
            refused.append(error)
    if refused:
        remedies = dict.fromkeys(error.remedy for error in refused if error.remedy)
        if len(refused) > 1 and [*remedies] == [_CHOOSE_ANOTHER]:
            remedies = {"Choose other names, or delete those files first.": None}
        raise OutputError(
            "\n".join(map(str, refused)),
            " ".join(remedies),
            may_replace=all(error.may_replace for error in refused),
        )
    for folder in {output.path.parent for output in outputs}:
        remove_leftovers(folder)
    for output, old in zip(outputs, found, strict=True):
        data = stamp(output.data, output.kind)
        if data == old:
            continue
        try:
            output.path.parent.mkdir(parents=True, exist_ok=True)
            if old is None:
                create_file(output.path, data)
            else:
                replace_file(output.path, data, digest_of(old), LARGEST)
        except SaveError as error:
            raise OutputError(str(error)) from None
        except OSError as error:
            raise OutputError(
                f"{_name(output.path)} cannot be written: {explain_unmade(error)}",
                "Choose another folder.",
            ) from None
    return [old is not None for old in found]


def _judge(output: Output, *, replace: bool) -> bytes | None:
    """The bytes of the file that is to be replaced, None where there is none.

    Raises:
        OutputError: where it may not be replaced, or the name is not one for an output.
    """
    old = judge_place(output.path, output.kind, replace=replace)
    if old is not None and not is_own(old) and old != stamp(output.data, output.kind):
        _refuse_others(output.path, output.kind, old, replace=replace)
    return old


def judge_place(path: Path, kind: str, *, replace: bool) -> bytes | None:
    """Judge a place before what is to be written there is worked out; returns what is there.

    Raises:
        OutputError: where nothing of this kind can be written there, whatever it is.
    """
    name = _name(path)
    judge_name(path, kind)
    try:
        with suppress(FileNotFoundError, NotADirectoryError, ValueError):
            path.lstat()  # raises for a name too long, and whatever else is no name
        if path.is_symlink():
            raise OutputError(
                f"{name} is a link, and links are not followed", "Name a file itself."
            )
        if not os.path.lexists(path) and "\0" not in str(path):
            above = (one for one in path.parents if os.path.lexists(one))
            if not is_folder(next(above, path.parent)):
                raise OutputError(
                    f"{name} cannot be written: {NO_FOLDER}", "Choose another folder."
                )
            return None
        old = read_bytes(path, LARGEST)
    except OSError as error:
        reason = explain_unmade(error)
        raise OutputError(f"{name} cannot be written: {reason}", "Choose another name.") from None
    except FileFaultError as fault:
        raise OutputError(fault.message, f"{fault.remedy}.") from None
    if is_read_only(path):
        raise OutputError(f"{name} is read-only", "Allow writing to it, or choose another name.")
    if kind in _FORMS and not is_own(old):
        _refuse_others(path, kind, old, replace=replace)
    return old


def judge_name(path: Path, kind: str) -> None:
    """Raise an OutputError where a path is named as a file of a library, and not as its format."""
    suffix = path.suffix.lower()
    if suffix in LIBRARY_SUFFIXES and suffix != f".{kind}":
        raise OutputError(
            f"{_name(path)} is named as a file of a library, which is never replaced",
            f"Choose a name that ends with .{'txt' if kind == 'text' else kind}.",
        )


def _refuse_others(path: Path, kind: str, old: bytes, *, replace: bool) -> None:
    """Raise the OutputError of a file that is not as Platebook made it, save where asked not to."""
    is_library = path.suffix.lower() in LIBRARY_SUFFIXES and not _was_output(old)
    is_recording = _is_recording(old)
    if is_library:
        why = "may be a file of a library, which is never replaced"
    elif is_recording:
        why = "is a recording, which is never replaced"
    elif replace:
        return
    elif _MARK.search(old):
        why = "has been changed since Platebook made it"
    elif kind in _FORMS:
        why = "is there already, and was not made by Platebook"
    else:
        why = "is there already with other content"
    raise OutputError(
        f"{_name(path)} {why}",
        "Choose another name." if is_recording else _CHOOSE_ANOTHER,
        may_replace=not is_library and not is_recording,
    )


def _is_recording(data: bytes) -> bool:
    """Whether the first line is the header of a recording."""
    with suppress(ValueError, RecursionError):
        header = json.loads(data.split(b"\n", 1)[0])
        return isinstance(header, dict) and "recording" in header
    return False


def _was_output(data: bytes) -> bool:
    """Whether JSON is a sheet or a schema that Platebook wrote, changed by hand or not."""
    with suppress(ValueError, RecursionError):
        content = json.loads(data)
        return isinstance(content, dict) and is_output(content)
    return False


def _name(path: Path) -> str:
    return f"`{escape_controls(path.as_posix())}`"


def is_own(data: bytes) -> bool:
    """Whether bytes carry a mark that fits them, so that nobody has changed them since."""
    marks = list(_MARK.finditer(data))
    return any(
        _marked(data[: mark.start()], data[mark.end() :]) == data
        for mark in {*marks[:1], *marks[-1:]}
    )


def stamp(data: bytes, form: str) -> bytes:
    """The bytes of a file with their mark; as they are where the form has no place for one."""
    return data if form not in _FORMS or is_own(data) else _marked(*_FORMS[form](data))


def _marked(before: bytes, after: bytes) -> bytes:
    """The bytes with a mark between; its digest is that of the same with zeros for its digits."""
    if not before.endswith(_PNG_KEYWORD):
        digest = digest_of(before + _WORDS + 32 * b"0" + after)
        return before + _WORDS + digest.hex().encode() + after
    digest = digest_of(before + after[4:])
    body = _PNG_KEYWORD + _WORDS + digest.hex().encode()
    return before[: -len(_PNG_KEYWORD)] + body + struct.pack(">I", zlib.crc32(body)) + after[4:]


def _split_pdf(data: bytes) -> tuple[bytes, bytes]:
    """A comment before `startxref`, to which no offset of the file leads (ISO 32000-1, 7.5.5)."""
    before, word, after = data.rpartition(b"startxref")
    return before + b"% ", b"\n" + word + after


def _split_json(data: bytes) -> tuple[bytes, bytes]:
    """One more member of the outermost object, under the key JSON Schema has for comments."""
    return data.rstrip().removesuffix(b"}").rstrip() + b',\n  "$comment": "', b'"\n}\n'


def _split_png(data: bytes) -> tuple[bytes, bytes]:
    """A text chunk before the last chunk, its checksum yet to come (PNG, 5.3 and 11.3.4.3)."""
    length = struct.pack(">I", len(_PNG_KEYWORD) - 4 + len(_WORDS) + 32)
    return data[:-12] + length + _PNG_KEYWORD, b"...." + data[-12:]


def _split_zip(data: bytes) -> tuple[bytes, bytes]:
    """The comment of the archive, whose length is before it (APPNOTE.TXT, 4.3.16)."""
    return data[:-2] + struct.pack("<H", len(_WORDS) + 32), b""


_FORMS: dict[str, Callable[[bytes], tuple[bytes, bytes]]] = {
    "pdf": _split_pdf,
    "dxf": lambda data: (b"999\n", b"\n" + data),
    "png": _split_png,
    "stl": lambda data: (b"", b", lengths in mm".ljust(80 - len(_WORDS) - 32) + data[80:]),
    "3mf": _split_zip,
    "zip": _split_zip,
    "json": _split_json,
    **dict.fromkeys(("svg", "html"), lambda data: (data.rstrip() + b"\n<!-- ", b" -->\n")),
    **dict.fromkeys(("c", "h", "ino"), lambda data: (data.rstrip() + b"\n\n// ", b"\n")),
    "py": lambda data: (data.rstrip() + b"\n\n# ", b"\n"),
}
"""What comes before and after the mark in each format."""
