"""Names pasted as a list, one a line: labels of controls, actions under headings.

A heading ends with a colon, or begins with `#`; what stands under it is of that group. Bullets and
numbers before a name are no part of it, nor are blank lines. Ids are made from names.
"""

import re
import unicodedata
from collections.abc import Container
from typing import NamedTuple

_BULLET = re.compile(r"(?:[-*•–]|\d{1,3}[.)])\s+")
_HASHES = re.compile(r"#+\s*")

LONGEST_ID = 60
"""Letters of an id made from a name; room is left for a number behind it."""


class Entry(NamedTuple):
    """A name, and the heading it stands under; empty for none."""

    name: str
    group: str = ""


class Pasted(NamedTuple):
    """A whole list: its names, and every heading in it."""

    entries: tuple[Entry, ...]
    headings: tuple[str, ...] = ()


def read_list(text: str) -> Pasted:
    """Return the names of a list in their order, each with its heading.

    Tabs and runs of spaces inside a name are one space.
    """
    found, headings, group = [], list[str](), ""
    for line in (" ".join(one.split()) for one in text.splitlines()):
        if line.startswith("#") or (line.endswith(":") and len(line) > 1):
            group = _HASHES.sub("", line.removesuffix(":")).strip()
            headings.append(group)
        elif name := _BULLET.sub("", line, count=1).strip():
            found.append(Entry(name, group))
    return Pasted(tuple(found), tuple(dict.fromkeys(filter(None, headings))))


def make_id(name: str, taken: Container[str] = (), default: str = "item") -> str:
    """Return an id that a name suggests and that is not taken: `Fog signal` gives `fog-signal`.

    The number behind it is the next where all before it are taken.
    """
    plain = unicodedata.normalize("NFKD", name.casefold()).encode("ascii", "ignore").decode()
    words = re.sub(r"[^a-z0-9]+", "-", plain).strip("-")[:LONGEST_ID].rstrip("-") or default
    if words not in taken:
        return words
    last, free = 1, 2
    while f"{words}-{free}" in taken:
        last, free = free, 2 * free
    while free - last > 1:  # many have this name: halve the gap instead of trying each number
        middle = (last + free) // 2
        last, free = (middle, free) if f"{words}-{middle}" in taken else (last, middle)
    return f"{words}-{free}"
