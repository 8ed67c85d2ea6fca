"""What a file most likely holds that cannot be used, or that nobody looked at."""

import os
import re
from contextlib import suppress
from pathlib import Path

from profiles.files.documents import FORMATS, Document, read_bytes, read_document
from profiles.files.faults import FileFaultError
from profiles.files.validate import KINDS, SCHEMA_ID, find_kind
from profiles.model import Unusable
from profiles.text.inert import escape_controls

_HEADER = re.compile(
    rf"""^[ \t]*+(?:\[[ \t]*+({"|".join(KINDS)})[ \t]*\]|({"|".join(KINDS)}):)"""
    rf"""|"({"|".join(KINDS)})"\s*:\s*\{{""",
    re.MULTILINE,
)
_WORD = re.compile(r"[A-Za-z0-9][A-Za-z0-9_-]*")
_ID = re.compile(rf"""["']?\bid["']?\s*[=:]\s*["']?({_WORD.pattern})""")


def guess_from_content(document: Document) -> Unusable:
    """What content that the model refuses would describe."""
    kinds = [kind for kind in KINDS if kind in document.content]
    headers = [one for one in document.content.values() if isinstance(one, dict)]
    words = [str(header.get("id", "")) for header in headers]
    word = next((word for word in words if _WORD.fullmatch(word)), None)
    return _name(kinds[0] if len(kinds) == 1 else None, word, document.path)


def guess_from_file(path: Path) -> Unusable:
    """What a file that breaks its format, or cannot be read, would describe."""
    if path.is_dir():
        return Unusable(None, None)
    try:
        text = read_bytes(path).decode("utf-8", "replace")
    except FileFaultError:
        text = ""
    header = _HEADER.search(text) if SCHEMA_ID not in text else None
    kind = next((word for word in header.groups() if word), None) if header else None
    word = _ID.search(text, header.end() if header else 0)
    return _name(kind, word[1] if word else None, path)


def holds_document(path: Path) -> bool:
    """Whether a file is one that a library would read as a document."""
    if path.suffix.lower() not in FORMATS or not path.is_file():
        return False
    try:
        return bool(find_kind(read_document(path).content))
    except FileFaultError:
        return False


MOST_LOOKED_AT = 200
"""Files whose first letters are read in search of a document; more would be a slow guess."""


def find_near_misses(folder: Path) -> list[str]:
    """Why files in or beside a folder without documents were not taken, a sentence each."""
    found = []
    hidden = [path for path in sorted(folder.glob(".*")) if path.is_dir()]
    paths = [path for path in sorted(folder.rglob("*")) if path.is_file()]
    for path in paths[:MOST_LOOKED_AT]:
        name = escape_controls(path.relative_to(folder).as_posix())
        inner = next((end for end in path.suffixes[:-1] if end.lower() in FORMATS), None)
        if any(folder_above in path.parents for folder_above in hidden):
            if path.suffix.lower() in FORMATS:
                found.append(f"`{name}` is in a hidden folder: move it out")
        elif path.name.startswith(".") or path.suffix.lower() in FORMATS:
            continue
        elif inner is not None:
            found.append(
                f"`{name}` ends with `{path.suffix}`: rename it to `{name[: -len(path.suffix)]}`"
            )
        elif guess_from_file(path).kind is not None:
            found.append(f"`{name}` reads like a document: give its name the ending `.toml`")
    here = folder.resolve()
    with suppress(OSError):  # beside it, folders may be closed to us
        for other in (here.parent, *sorted(here.parent.iterdir())):
            files = other.glob("*.*") if other != here and other.is_dir() else ()
            if any(path.suffix.lower() in FORMATS and guess_from_file(path).kind for path in files):
                shown = escape_controls(os.path.normpath(folder / os.path.relpath(other, here)))
                found.append(f"`{shown}` holds documents: run `platebook check {shown}`")
    return found


def _name(kind: str | None, word: str | None, path: Path) -> Unusable:
    """Where neither could be read, the file's own name is the best guess of the id."""
    return Unusable(kind, path.stem if kind is None and word is None else word)
