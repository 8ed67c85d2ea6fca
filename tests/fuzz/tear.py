"""How files are torn: as bytes, and as the content of their format; always from one random source.

What comes out is mostly close to what is meant, since that goes deepest into the program. The
contents are those of `tests.work.contents`, which have every key of the schemas.
"""

import copy
import json
from collections.abc import Callable, Iterator, Mapping, Sequence
from functools import cache
from pathlib import Path
from random import Random
from typing import Any

from profiles.files.documents import FORMATS
from profiles.files.write import write_content
from tests.hostile import NAUGHTY
from tests.work.contents import list_contents

LARGEST = 40_000
"""Letters of a document that is torn: larger ones say the same more often."""

PIECES = [b"[", b"]", b"{", b"}", b'"', b"'", b'"""', b"#", b"=", b":", b"\n", b"\r", b"\t", b","]
PIECES += [
    b"\x00",
    b"\xff",
    b"\xc3",
    b"\xef\xbb\xbf",
    b"- ",
    b"&a ",
    b"*a",
    b"<<: ",
    b"!!x ",
    b"? ",
]
PIECES += [b"1e999", b"nan", b"null", b"-", b".", b"\\", b"\\ud800", b"---\n", b"[[x]]\n", b"..."]
VALUES: list[Any] = [0, -1, 2**63, 1e308, "", [], {}, [[]], [{}], True, "on", 0.5, [1, 2], "a b"]


def tear_bytes(data: bytes, random: Random) -> bytes:
    """Cut, repeat, swap or add pieces of a file, some times over."""
    for _ in range(random.randint(1, 4)):
        start = random.randint(0, len(data))
        end = min(len(data), start + random.randint(0, 30))
        new = random.choice(
            [
                b"",
                random.choice(PIECES),
                random.choice(PIECES) * random.randint(1, 200),
                data[end : end + 40] + data[start:end],
                bytes([random.randrange(256)]),
                random.choice(NAUGHTY)[:60].encode(),
            ]
        )
        data = data[:start] + new + data[end:]
    return data


def _list_holders(content: Any) -> Iterator[Any]:
    if isinstance(content, dict | list):
        yield content
        for inner in content.values() if isinstance(content, dict) else content:
            yield from _list_holders(inner)


def list_tables(content: Any) -> list[dict[str, Any]]:
    """Every table within some content, itself among them."""
    return [one for one in _list_holders(content) if isinstance(one, dict)]


def tear_content(content: dict[str, Any], random: Random) -> dict[str, Any]:
    """Replace, remove, rename or move what a file holds."""
    content = copy.deepcopy(content)
    for _ in range(random.randint(1, 4)):
        holder = random.choice(list(_list_holders(content)))
        keys: list[Any] = list(holder) if isinstance(holder, dict) else list(range(len(holder)))
        if not keys:
            continue
        key = random.choice(keys)
        value = copy.deepcopy(random.choice([*VALUES, random.choice(NAUGHTY), content]))
        match random.randrange(4):
            case 0:
                holder[key] = value
            case 1:
                del holder[key]
            case 2 if isinstance(holder, dict):
                holder[random.choice(NAUGHTY)[:70]] = holder.pop(key)
            case _ if isinstance(holder, dict):
                holder[random.choice(["note", "kind", "input", "x", *map(str, keys)])] = value
            case _:
                holder.append(value)
    return content


def graft(content: dict[str, Any], other: dict[str, Any], random: Random) -> dict[str, Any]:
    """Give a table a key that a table like it has in another document of the same kind."""
    content = copy.deepcopy(content)
    table = random.choice(list_tables(content))
    alike = [
        one for one in list_tables(other) if one.keys() & table.keys() and one.keys() - table.keys()
    ]
    if alike:
        found = random.choice(alike)
        key = random.choice(sorted(found.keys() - table.keys()))
        table[key] = copy.deepcopy(found[key])
    return content


def bend_content(content: dict[str, Any], random: Random) -> dict[str, Any]:
    """Change some values to others of their own kind, so that most of it can still be used."""
    content = copy.deepcopy(content)
    for _ in range(random.randint(1, 4)):
        holder = random.choice([one for one in _list_holders(content) if one])
        key = random.choice(list(holder) if isinstance(holder, dict) else range(len(holder)))
        match holder[key]:
            case bool(value):
                holder[key] = not value
            case int(value):
                holder[key] = value + random.choice([-1, 1, 100, 10_000])
            case float(value):
                holder[key] = value * random.choice([-1, 0.001, 0.5, 1.1, 10, 200]) + 0.1
            case str():
                holder[key] = random.choice(NAUGHTY)[:70]
            case list(value) if value:
                value.insert(0, copy.deepcopy(random.choice(value)))
            case _ if random.random() < 0.2:
                del holder[key]
    return content


@cache
def known_contents() -> Mapping[str, list[dict[str, Any]]]:
    """What is torn, by the kind of document."""
    found: dict[str, list[dict[str, Any]]] = {}
    for kind, content in list_contents():
        if len(str(content)) < LARGEST:
            found.setdefault(kind, []).append(content)
    return found


def make_case(random: Random, seeds: Sequence[Path], kind: str = "") -> tuple[str, bytes]:
    """The suffix and bytes of a torn document, of a kind if one is named."""
    if random.random() < 0.5:
        path = random.choice(seeds)
        return path.suffix, tear_bytes(path.read_bytes(), random)
    return make_content(random, tear_content, kind)


def make_content(
    random: Random, change: Callable[[dict[str, Any], Random], dict[str, Any]], kind: str = ""
) -> tuple[str, bytes]:
    """The suffix and bytes of a document whose content is changed, of a kind if one is named."""
    known = known_contents()[kind or random.choice(sorted(known_contents()))]
    content = random.choice(known)
    for _ in range(random.randint(0, 3)):
        content = graft(content, random.choice(known), random)
    torn = change(content, random)
    suffix = random.choice([".toml", ".yaml", ".json"])
    if suffix == ".json":
        return suffix, json.dumps(torn).encode()
    return suffix, write_content(torn, FORMATS[suffix]).encode("utf-8", "replace")
