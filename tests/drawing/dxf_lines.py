"""What a DXF file may hold where all letters are drawn: lines, on layers of ours, and nothing else.

Stricter than any reader: an entity, a group or a name that is not among these is refused, so words
from a file have nowhere to stand. The forms are those of R12 (DXF reference, ENTITIES section).
"""

import re

NUMBER = r"-?\d+\.\d+\n"
ENTITIES = "0\nSECTION\n2\nENTITIES\n"
LAYER = re.compile(r"0\nLAYER\n2\n([0-9a-z_-]+)\n70\n0\n62\n[1-7]\n6\nCONTINUOUS\n")
DASH = r"(?:6\nDASH\d+\n)?"


def place(code: int) -> str:
    """A point, whose x has this group code."""
    return f"{code}\n{NUMBER}{code + 10}\n{NUMBER}{code + 20}\n0\\.0\n"


def read_rest(head: str) -> str:
    """What a head holds beside layers and numbers."""
    return re.sub(r"(LAYER\n70\n)\d+\n", r"\1", re.sub(NUMBER, "", LAYER.sub("", head)))


def assert_only_lines(data: bytes, plain: bytes, *more: str) -> None:
    """Hold a file against one made of plain words: it has its head, and beyond that lines only.

    `more` are layers that it may have besides.
    """
    head, _, entities = data.decode("ascii").partition(ENTITIES)
    known, _, _ = plain.decode("ascii").partition(ENTITIES)
    layers = set(LAYER.findall(head))
    assert layers <= {*LAYER.findall(known), *more}
    assert read_rest(head) == read_rest(known)
    layer = f"8\n(?:{'|'.join(layers)})\n"
    corner = f"0\nVERTEX\n{layer}{place(10)}(?:42\n{NUMBER})?"
    kinds = (
        f"POLYLINE\n{layer}{DASH}66\n1\n{place(10)}70\n[01]\n(?:{corner}){{2,}}+0\nSEQEND\n{layer}",
        f"LINE\n{layer}{DASH}{place(10)}{place(11)}",
        f"CIRCLE\n{layer}{DASH}{place(10)}40\n{NUMBER}",
        f"ARC\n{layer}{DASH}{place(10)}40\n{NUMBER}50\n{NUMBER}51\n{NUMBER}",
    )
    lines = re.match(f"(?:0\n(?:{'|'.join(kinds)}))*+", entities)
    assert lines
    assert entities[lines.end() :][:200] == "0\nENDSEC\n0\nEOF\n"
