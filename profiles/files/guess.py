"""What a file that cannot be used most likely holds: its kind and id, so that it stays known."""

import re
from pathlib import Path

from profiles.files.documents import Document, read_bytes
from profiles.files.faults import FileFaultError
from profiles.files.validate import KINDS
from profiles.model import Unusable

_HEADER = re.compile(
    rf"""^\s*(?:\[\s*({"|".join(KINDS)})\s*\]|({"|".join(KINDS)}):)"""
    rf"""|"({"|".join(KINDS)})"\s*:\s*\{{""",
    re.MULTILINE,
)
_WORD = re.compile(r"[A-Za-z0-9][A-Za-z0-9_-]*")
_ID = re.compile(rf"""["']?\bid["']?\s*[=:]\s*["']?({_WORD.pattern})""")


def guess_from_content(document: Document) -> Unusable:
    """What content that the model refuses would describe."""
    kinds = [kind for kind in KINDS if kind in document.content]
    headers = [one for one in document.content.values() if isinstance(one, dict)]
    words = [str(one.get("id", "")) for one in headers]
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
    header = _HEADER.search(text)
    kind = next((word for word in header.groups() if word), None) if header else None
    word = _ID.search(text, header.end() if header else 0)
    return _name(kind, word[1] if word else None, path)


def _name(kind: str | None, word: str | None, path: Path) -> Unusable:
    """Where neither could be read, the file's own name is the best guess of the id."""
    return Unusable(kind, path.stem if kind is None and word is None else word)
