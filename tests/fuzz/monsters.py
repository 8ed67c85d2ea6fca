"""Files of about a megabyte that are one thing over and over, for every kind of file."""

from collections.abc import Iterator

from profiles.files.bundle import Bundle, write_bundle
from tests.fuzz import bundles
from tests.fuzz.targets import TARGETS, Case


def monsters(name: str) -> Iterator[Case]:
    """Files of about a megabyte that are one thing over and over, and little else."""
    seeds = TARGETS[name].seeds()
    for suffix in dict.fromkeys(seed.suffix for seed in seeds):
        sound = min((seed.data for seed in seeds if seed.suffix == suffix), key=len)
        if not sound.startswith(b"PK"):
            for unit in (b"a", b"1", b"[", b'"', b"#"):
                yield Case(suffix, sound + unit * (LARGE // len(unit)))
        for unit in UNITS:
            yield Case(suffix, unit * (LARGE // len(unit)))
        for head, unit in HEADS:
            yield Case(suffix, head + unit * (LARGE // len(unit)))
        for number in (b"%d = 1\n", b"k%d: 1\n", b'"%d": 1,\n', b"[t%d]\n", b"%d,a,b\n", b"# %d\n"):
            yield Case(suffix, b"".join(number % at for at in range(80_000)))
        for line in (b"%sa:\n", b"%s- a\n", b"%s[a]\n"):
            yield Case(suffix, b"".join(line % (b" " * depth) for depth in range(1_400)))
        for line in (b"[%s]\n", b"[[%s]]\n", b"%s = 1\n"):
            yield Case(suffix, b"".join(line % (b"a." * n + b"b") for n in range(1_000)))
        laughs = b"".join(
            b"a%d: &a%d [%s]\n" % (n, n, b"*a%d," % (n - 1) * 9) for n in range(1, 14_000)
        )
        yield Case(suffix, b"format: 1\na0: &a0 x\n" + laughs)
    for unit in UNITS if name == "bundle" else ():
        files = {**bundles.FILES, "devices/desk.toml": unit * (LARGE // len(unit))}
        yield Case("", write_bundle(Bundle(("harbour-desk",), files)))


LARGE = 1_000_000
"""Bytes of a monster, about."""

UNITS = (
    *(b"a", b"\t", b" ", b"\n", b"\r", b",", b";", b"[", b"{", b'"', b"'", b"#", b"-", b":"),
    *(b"\\", b".", b"=", b"<", b"&", b"a.", b"a=1\n", b"a: 1\n", b"[a]\n", b"[[a]]\n"),
    *(b'"a":1,', b"{a=", b"[[", b"- ", b"a,b\n", b'"",', b"0", b"1e1", b"\xc3\xa4", b"\x00"),
    *(b"<a>", b"<a/>", b"&a;", b"*a ", b"? ", b'"""', b"'''", b"|\n", b"\xf0\x9f\x98\x80"),
    *(b"{}\n", b"[]\n", b"1", b"- a\n", b"<a b='", b"%a ", b"!a ", b"a;b|c\t", b"PK\x03\x04"),
)
"""What monsters are made of."""

HEADS = (
    *((b"format = 1\n" + head, b"a") for head in (b"", b"x = '", b"# ", b"[device]\nname = '")),
    *((b"format = 1\nx = " + head, b"1") for head in (b"", b"0.", b"1e", b"-", b"0x")),
    *((b"format = 1\nx = [", unit) for unit in (b"1,", b"\t", b"[", b"'a',", b"{},")),
    *((b"format = 1\nx = {", unit) for unit in (b"a=1,", b"a={")),
    *((b"format = 1\nx", unit) for unit in (b".a", b" ", b"\t")),
    *(
        (b"x: " + head, unit)
        for head in (b"", b"[", b"&a [")
        for unit in (b"a ", b"1", b"a, ", b"*a,")
    ),
    *((b"x: " + head, unit) for head in (b"|\n ", b'"', b"!!") for unit in (b"a", b"\\n")),
    *(
        (b'{"format": 1, "x": ' + head, unit)
        for head in (b"", b'"', b"[", b"{")
        for unit in (b"1", b"a")
    ),
    *((b'{"format": 1, "x": [', unit) for unit in (b"1,", b"[", b'{"a":', b'"",')),
    *((b'{"format": 1, "x": "', unit) for unit in (b"\\u0041", b"\\ud800", b'\\"')),
    *((b"[desk]\na = ", unit) for unit in (b"1", b"a", b"b\nc = ", b"b\n ")),
    *((b"<s><keys>", unit) for unit in (b"<a>", b"<a/>", b"a", b"<!--", b"<a b='1'/>")),
    *((b"contact,action\n", unit) for unit in (b"a,b\n", b'"', b"a,", b'"a""', b"horn,a\n")),
    *((b"control;kind;x\n", unit) for unit in (b"a;momentary;1\n", b";", b"a;;1e9\n")),
)
"""How some begin, and what follows over and over."""
