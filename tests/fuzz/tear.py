"""How files are torn: as bytes, and as the content of their format; always from one random source.

What comes out is mostly close to what is meant, since that goes deepest into the program.
"""

import copy
import json
from collections.abc import Iterator, Sequence
from pathlib import Path
from random import Random
from typing import Any

from profiles.files.documents import FORMATS, parse_text
from profiles.files.write import write_content
from tests.hostile import NAUGHTY

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


def make_case(random: Random, seeds: Sequence[Path]) -> tuple[str, bytes]:
    """The suffix and bytes of a torn document."""
    path = random.choice(seeds)
    data = path.read_bytes()
    if random.random() < 0.5:
        return path.suffix, tear_bytes(data, random)
    torn = tear_content(parse_text(data.decode(), FORMATS[path.suffix]), random)
    suffix = random.choice([".toml", ".yaml", ".json"])
    if suffix == ".json":
        return suffix, json.dumps(torn).encode()
    return suffix, write_content(torn, FORMATS[suffix]).encode("utf-8", "replace")
