"""One file read into plain content: tables, lists, text, numbers and truth values.

The three formats give the same content for the same file, so a file can be turned from one into
another without loss. What only one of them could carry is refused: dates, nothing at all (null),
infinities, integers beyond 64 bits, keys that are not text.

Files come from strangers: size, encoding, depth and kind are checked before or while reading.
"""

import errno
import hashlib
import json
import os
import re
import stat
import tomllib
from collections.abc import Iterator
from contextlib import contextmanager
from math import isfinite
from pathlib import Path
from typing import Any, BinaryIO, NamedTuple, NoReturn

from profiles.files.faults import FileFaultError
from profiles.files.limits import (
    DEEPEST,
    DIGITS,
    LARGEST,
    LARGEST_INTEGER,
    MOST_VALUES,
    SMALLEST_INTEGER,
    refuse_crowd,
    refuse_depth,
)
from profiles.files.places import Format, KeyPath, Lines, Region, Span
from profiles.text.inert import escape_controls

FORMATS: dict[str, Format] = {".toml": "toml", ".yaml": "yaml", ".yml": "yaml", ".json": "json"}
"""Format by suffix."""

BYTE_ORDER_MARK = b"\xef\xbb\xbf"

LONG_KEY = re.compile(r"""(?<![\w.'"-])(?:(?:[\w-]++|"[^"\n]*+"|'[^'\n]*+')[ \t]*+\.[ \t]*+){64}""")
"""A dotted key of more than 64 parts, over which `tomllib` would take quadratic time."""

NO_VALUES = re.compile(
    r'''"""(?:[^\\]|\\.)*?(?:"{3,5}|\\?\Z)|'{3}.*?(?:'{3,5}|\Z)'''
    r"""|"(?:[^"\\\n]|\\.)*+"?|'[^'\n]*+'?|#[^\n]*+""",
    re.DOTALL,
)
"""Texts and comments of TOML, whose commas and equals signs separate nothing.

A text may end with two quotes of its own. One with no end goes on to the last place it could have:
`tomllib` reads no further, and to look for the end of each anew would take quadratic time.
"""

BAD_PATHS = (errno.ENOTDIR, errno.ENAMETOOLONG)
"""What the system says of a path through a file, and of too long a name."""

HALF_LETTER = re.compile(r"[\ud800-\udfff]")


class Document(NamedTuple):
    """The content of one file, and what it takes to find it unchanged again.

    `digest` is of the bytes on disk.
    """

    path: Path
    format: Format
    content: dict[str, Any]
    digest: bytes


def read_document(path: Path) -> Document:
    """Read one file.

    Raises:
        FileFaultError: where it cannot be read or is not in its format; what it
            says is not judged here.
    """
    file_format = find_format(path)
    data = read_bytes(path)
    content = parse_text(decode_text(data), file_format)
    return Document(path, file_format, content, digest_of(data))


def find_format(path: Path) -> Format:
    """Return the format by the file's suffix.

    Raises:
        FileFaultError: where the suffix is none of ours.
    """
    file_format = FORMATS.get(path.suffix.lower())
    if file_format is None:
        known = ", ".join(FORMATS)
        raise FileFaultError(
            "unreadable-file",
            f"`{escape_controls(path.name)}` has no suffix that is read here",
            f"Name it with one of {known}",
        )
    return file_format


def digest_of(data: bytes) -> bytes:
    """Return a short fingerprint of a file's bytes."""
    return hashlib.blake2b(data, digest_size=16).digest()


def read_bytes(path: Path, largest: int = LARGEST) -> bytes:
    """Return the bytes of a plain file of reasonable size.

    Raises:
        FileFaultError: where there is none, or it cannot be read.
    """
    with _open_plain(path) as file:
        size = os.fstat(file.fileno()).st_size
        data = file.read(largest + 1) if size <= largest else b""
    size = max(size, len(data))
    if size > largest:
        raise FileFaultError(
            "too-large",
            f"file of {size / 1024 / 1024:.1f} MB, more than the "
            f"{largest // 1024 // 1024} MB that are read",
            "Split it: one file holds one device, application, profile, board or part",
        )
    return data


def read_start(path: Path, most: int) -> bytes:
    """Return at most so many of the first bytes of a plain file.

    Raises:
        FileFaultError: where there is none, or it cannot be read.
    """
    with _open_plain(path) as file:
        return file.read(most)


@contextmanager
def _open_plain(path: Path) -> Iterator[BinaryIO]:
    """Open a file, nothing else: a pipe would wait for ever, a device may do anything."""
    flags = os.O_RDONLY | getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_BINARY", 0)
    try:
        with os.fdopen(os.open(path, flags), "rb") as file:
            mode = os.fstat(file.fileno()).st_mode
            if not stat.S_ISREG(mode):
                raise _refuse_kind(path, "a folder" if stat.S_ISDIR(mode) else "a device or pipe")
            yield file
    except OSError as error:
        raise _explain_refusal(path, error) from None
    except ValueError:
        raise FileFaultError(
            "unreadable-file", "the name of the file holds a NUL", "Name another file"
        ) from None


def _refuse_kind(path: Path, kind: str) -> FileFaultError:
    return FileFaultError(
        "unreadable-file",
        f"`{escape_controls(path.name)}` is {kind}, not a file",
        "Name a file of its own",
    )


def _explain_refusal(path: Path, error: OSError) -> FileFaultError:
    name = escape_controls(path.name or str(path))
    reason = escape_controls(error.strerror or "no reason given")
    message, remedy = f"`{name}` cannot be read: {reason}", "Check the disk"
    if error.errno in BAD_PATHS:
        remedy = "Check the name, and the folder before it"
    elif isinstance(error, FileNotFoundError) and path.is_symlink():
        message = f"link `{name}` leads to nothing"
        remedy = "Remove the link, or put back the file that it names"
    elif isinstance(error, FileNotFoundError):
        message, remedy = f"there is no file `{name}`", "Check the name"
    elif isinstance(error, IsADirectoryError) or path.is_dir():
        message, remedy = f"`{name}` is a folder, not a file", "Name a file inside the folder"
    elif isinstance(error, PermissionError):
        message, remedy = f"`{name}` may not be read", "Allow yourself to read the file"
    elif error.errno == errno.ENXIO:  # a socket
        return _refuse_kind(path, "a device or pipe")
    elif path.is_symlink():
        message, remedy = f"link `{name}` leads in a circle", "Remove the link"
    return FileFaultError("unreadable-file", message, remedy)


def decode_text(data: bytes) -> str:
    """Return the text of UTF-8 bytes, without a byte order mark.

    Raises:
        FileFaultError: where the bytes are another encoding or hold a NUL.
    """
    if data.startswith((b"\xff\xfe", b"\xfe\xff")):
        raise FileFaultError("not-utf-8", "file is UTF-16, not UTF-8", "Save it as UTF-8")
    nul = data.find(0)
    if nul >= 0:
        raise FileFaultError(
            "not-utf-8",
            "a NUL byte, so this is no text",
            "Save the file as plain UTF-8 text",
            _region_of_byte(data, nul),
        )
    try:
        return data.removeprefix(BYTE_ORDER_MARK).decode("utf-8")
    except UnicodeDecodeError as error:
        at = len(data) - len(error.object) + error.start
        raise FileFaultError(
            "not-utf-8",
            f"byte 0x{data[at]:02x} is no UTF-8",
            "Save the file as UTF-8; it may be in an older Windows encoding",
            _region_of_byte(data, at),
        ) from None


def _region_of_byte(data: bytes, at: int) -> Region:
    before = data[:at].removeprefix(BYTE_ORDER_MARK)
    start = max(before.rfind(b"\n"), before.rfind(b"\r")) + 1
    line = before.count(b"\n") + before.count(b"\r") - before.count(b"\r\n") + 1
    column = len(before[start:].decode("utf-8", "replace")) + 1
    return Region(line, column, column + 1)


def parse_text(text: str, file_format: Format) -> dict[str, Any]:
    """Return the content of a text.

    Raises:
        FileFaultError: where the text breaks its format, or holds what Platebook does not read.
    """
    try:
        if file_format == "toml":
            match = LONG_KEY.search(text) if text.count(".") > DEEPEST else None
            if match is not None:
                raise refuse_depth(Lines(text).region(Span(*match.span())))
            _refuse_crowded_toml(text)
            content: Any = tomllib.loads(text)
        elif file_format == "json":
            content = _parse_json(text)
        else:
            from profiles.files.yaml_reader import read_yaml

            content = read_yaml(text)
    except RecursionError:
        raise refuse_depth() from None
    except FileFaultError:
        raise
    except ValueError as error:
        from profiles.files.syntax_faults import explain_toml

        raise explain_toml(text, error) from None
    if not isinstance(content, dict):
        raise FileFaultError(
            "broken-syntax",
            "file is empty" if content is None else "file is no table of keys",
            "Write `format` and the tables of one device, application, profile, board or part",
        )
    return content


def _refuse_crowded_toml(text: str) -> None:
    """Refuse what `tomllib` would read for seconds; no value has more than two of these signs."""
    most = 2 * MOST_VALUES
    if text.count(",") + text.count("=") > most:
        bare = NO_VALUES.sub("", text)
        if bare.count(",") + bare.count("=") > most:
            raise refuse_crowd()


def _parse_json(text: str) -> Any:
    repeated = False

    def take_pairs(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
        nonlocal repeated
        table = dict(pairs)
        repeated = repeated or len(table) < len(pairs)
        return table

    def refuse_constant(name: str) -> NoReturn:
        raise FileFaultError(
            "foreign-value", f"`{name}` is no number in JSON", "Write a finite number"
        )

    try:
        content = json.loads(
            text,
            object_pairs_hook=take_pairs,
            parse_int=lambda digits: int(digits) if len(digits) <= DIGITS else 10**DIGITS,
            parse_constant=refuse_constant,
        )
    except json.JSONDecodeError as error:
        raise FileFaultError(
            "broken-syntax",
            f"JSON stops here: {escape_controls(error.msg.lower())}",
            "Correct the JSON at this place; it knows no comments and no comma at the end",
            Lines(text).point(error.pos),
        ) from None
    if repeated:
        from profiles.files.json_places import find_repeated_key

        path, span = find_repeated_key(text)
        message = f"key `{escape_controls(str(path[-1]))}` is a duplicate"
        region = Lines(text).region(span)
        raise FileFaultError("repeated-key", message, "Remove one of the two", region)
    return content


def share_texts(content: Any, texts: dict[str, str]) -> Any:
    """Return content in which equal texts are one object, those of `texts` included.

    Profiles repeat the same contacts and actions: a large library takes half the memory.
    """
    if type(content) is str:
        return texts.setdefault(content, content)
    if type(content) is dict:
        return {texts.setdefault(key, key): share_texts(one, texts) for key, one in content.items()}
    if type(content) is list:
        return [share_texts(one, texts) for one in content]
    return content


def find_foreign_values(content: dict[str, Any]) -> Iterator[FileFaultError]:
    """Find what not all three formats could carry, each with its path; none means none deeper."""
    waiting: list[tuple[KeyPath, Any]] = [((), content)]
    values = 0
    while waiting:
        path, holder = waiting.pop()
        values += len(holder)
        if values > MOST_VALUES:
            yield refuse_crowd()
            return
        if len(path) >= DEEPEST:
            yield refuse_depth()
            return
        pairs = holder.items() if type(holder) is dict else enumerate(holder)
        for key, value in pairs:
            kind = type(value)
            if kind is dict or kind is list:
                waiting.append(((*path, key), value))
            elif kind is not str or not value.isascii() or not str(key).isascii():
                fault = _judge(key, value)
                if fault is not None:
                    fault.path = (*path, key)
                    yield fault


def _judge(key: str | int, value: Any) -> FileFaultError | None:
    what, remedy = "a date or time", "Put it in quotes, to be read as text"
    if isinstance(key, str) and HALF_LETTER.search(key):
        what, remedy = "half a letter (a lone surrogate) in a key", "Write the whole letter"
    elif isinstance(value, bool):
        return None
    elif isinstance(value, str):
        if not HALF_LETTER.search(value):
            return None
        what, remedy = "half a letter (a lone surrogate)", "Write the whole letter"
    elif isinstance(value, int):
        if SMALLEST_INTEGER <= value <= LARGEST_INTEGER:
            return None
        what, remedy = "a number beyond 64 bits", "Write a smaller number"
    elif isinstance(value, float):
        if isfinite(value):
            return None
        what, remedy = "no finite number", "Write a finite number"
    elif value is None:
        what = f"key `{escape_controls(str(key))}` with no value"
        remedy = "Give it a value, or remove the key"
    return FileFaultError("foreign-value", f"{what} stands here", remedy)
