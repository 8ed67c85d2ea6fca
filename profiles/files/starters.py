"""Commented starter files, for a first device, application, profile, board or part.

The texts lie in `starters/`, one TOML file for each kind, with `"@id@"` and the like where names
go. What is put there is inert: ids are held to the letters of ids, names are written as TOML
strings, and nothing put in is looked at again.
"""

import re
from pathlib import Path
from typing import Literal, get_args

from profiles.files.documents import HALF_LETTER
from profiles.text.inert import escape_controls

StarterKind = Literal["device", "application", "profile", "board", "part"]

_PLACES = Path(__file__).parent / "starters"
_MARK = re.compile(r'"@([a-z]+)@"')
_ID = re.compile(r"[A-Za-z0-9][A-Za-z0-9_-]{0,63}")
_LONGEST_NAME = 400
_FREE_WORDS = "name"
_SHOWN = 64


class StarterError(ValueError):
    """A name that cannot go into a starter file."""


def starter(kind: StarterKind, **names: str) -> str:
    """Return the starter file of a kind with these names in it, as TOML text.

    A profile takes `id`, `name`, `application` and `device`, every other kind `id` and `name`.

    Raises:
        StarterError: where a kind or name is missing, unknown or cannot be used.
    """
    if kind not in get_args(StarterKind):
        raise StarterError(
            f"no starter for `{kind}`: choose device, application, profile, board or part"
        )
    template = (_PLACES / f"{kind}.toml").read_text(encoding="utf-8")
    wanted = set(_MARK.findall(template))
    for name in sorted(wanted - set(names)):
        raise StarterError(f"starter of a {kind} needs `{name}`")
    for name in sorted(set(names) - wanted):
        raise StarterError(f"starter of a {kind} takes no `{name}`")
    quoted = {}
    for key, value in names.items():
        if key == _FREE_WORDS:
            if not value.strip():
                raise StarterError("name is empty: write at least one letter")
            if len(value) > _LONGEST_NAME:
                raise StarterError(f"name has {len(value)} letters: write at most {_LONGEST_NAME}")
            if HALF_LETTER.search(value):
                raise StarterError(
                    "name holds half a letter (a lone surrogate): write the whole letter"
                )
        else:
            check_id(key, value)
        quoted[key] = quote_toml(value)
    return _MARK.sub(lambda match: quoted[match[1]], template)


def check_id(key: str, value: str) -> None:
    """Raise the StarterError of a word that is no id."""
    if not _ID.fullmatch(value):
        shown = escape_controls(value[:_SHOWN])
        raise StarterError(
            f"{key} `{shown}` is no id: write letters, digits, `-` and `_`, at most 64"
        )


def quote_toml(text: str) -> str:
    """Write a text as a TOML basic string; all that does not print becomes an escape."""
    written = []
    for letter in text:
        code = ord(letter)
        escape = f"\\u{code:04x}" if code <= 0xFFFF else f"\\U{code:08x}"
        shown = letter if letter.isprintable() else escape
        written.append("\\" + letter if letter in '"\\' else shown)
    return f'"{"".join(written)}"'
