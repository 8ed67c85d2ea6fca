"""Hostile texts for every room's tests.

`NAUGHTY` holds a selection re-typed from the Big List of Naughty Strings by Max Woolf and
contributors (github.com/minimaxir/big-list-of-naughty-strings, MIT licence), some of each of its
classes, and a few of our own that this project's outputs care for. Where the environment variable
``PLATEBOOK_NAUGHTY_STRINGS`` names a copy of the list (``blns.json``), all of it is used as well.

`hostile_texts` is a hypothesis strategy for more of the kind.
"""

import json
import os
from pathlib import Path

from hypothesis import strategies as st

RETYPED = (
    "",
    "undefined",
    "null",
    "NaN",
    "-1e100",
    "0xffffffff",
    "1,000.00",
    "-0.0",
    ",./;'[]\\-=",
    '<>?:"{}|_+',
    "!@#$%^&*()`~",
    "\x01\x02\x03\x04\x05\x06\x07\x08\x0e\x0f\x10\x1b\x1c\x7f",
    "\x80\x81\x84\x86\x90\x9b\x9f",
    "\t\x0b\x0c\x85\xa0\u1680\u2003\u2028\u2029\u202f\u3000\u200b",
    "\xad\u0600\u061c\u180e\u200c\u200d\u200e\u202a\u2060\u206a\ufff9\U000e0001",
    "\ufeff",
    "\ufffe",
    "Ω≈ç√∫˜µ≤≥÷",
    "⁰⁴⁵₀₁₂",
    "ด้้้้้็็็็็้้้้้็็็็็",
    "'",
    '"',
    "''\"'\"'",
    "田中さんにあげて下さい",
    "𠜎𠜱𠝹𠱓",
    "表ポあA鷗ŒéＢ逍Üßªąñ丂㐀𠀀",
    "Ⱥ",
    "(╯°□°）╯︵ ┻━┻)",
    "👩🏽‍🚀 👨‍👩‍👧‍👦 🏴󠁧󠁢󠁥󠁮󠁧󠁿",
    "🇺🇸🇷🇺",
    "１２３",
    "الكل في المجمو عة (5)",
    "בראשית, ברא אלהים",
    "\u202a\u202atest\u202a",
    "\u2066test\u2067",
    "Ṱ̺̺̕o͞ ̷i̲̬͇̪͙n̝̗͕v̟̜̘̦͟o̶̙̰̠kè͚̮̺̪̹̱̤",
    "˙ɐnbᴉlɐ ɐuƃɐɯ",
    "Ｔｈｅ ｑｕｉｃｋ",
    "𝕿𝖍𝖊 𝖖𝖚𝖎𝖈𝖐",
    "<script>alert(0)</script>",
    "'><script>alert(1)</script>",
    "</textarea><script>alert(2)</script>",
    '" onfocus=JaVaSCript:alert(3) autofocus',
    "<img src=x onerror=alert(4) />",
    "<svg><script>0<1>alert('x')</script>",
    "javascript:alert(5)",
    '<a href="\\x0Bjavascript:javascript:alert(6)">test</a>',
    "--><!-- --\\x00> <img src=xxx:x onerror=alert(7)> -->",
    "]]><b>",
    "1;DROP TABLE users",
    "' OR 1=1 -- 1",
    "$(touch /tmp/fail)",
    "`ls -al /`",
    "eval(\"puts 'hello world'\")",
    '<?xml version="1.0"?><!DOCTYPE foo [<!ENTITY xxe SYSTEM "file:///etc/passwd">]>'
    "<foo>&xxe;</foo>",
    "$HOME",
    "%s%s%n%x",
    "{0}{self.__class__}",
    "../../../../../../etc/passwd%00",
    "..\\..\\windows\\system32",
    "CON",
    "LPT1",
    "=cmd|' /C calc'!A0",
    "@SUM(1+9)*cmd|' /C calc'!A0",
    "+1-1",
    "\x1b[0;1;31mred\x1b]0;title\x07\x9b2J",
    "[bold red]markup[/bold red] [@click=app.quit]out[/]",
    "Power\u0644\u064f\u0644\u064f\u0635\u0651\u0628\u064f\u0644\u064f\u0644 \u0963 \u0963h",
    "??/ ??= */ /* // \\",
    "%%c %%u %%065 \\P \\U+0041 ^I",
    "'=already quoted",
    "a" * 5_000,
)


def _read_whole_list() -> tuple[str, ...]:
    named = os.environ.get("PLATEBOOK_NAUGHTY_STRINGS", "")
    return tuple(json.loads(Path(named).read_text("utf-8"))) if named else ()


NAUGHTY: tuple[str, ...] = tuple(dict.fromkeys(RETYPED + _read_whole_list()))
"""Hostile texts without repeats, none with a lone surrogate: every one fits a UTF-8 file."""


def hostile_texts() -> st.SearchStrategy[str]:
    """Return a strategy for texts cut and joined from the hostile ones, and random letters."""
    numbers = st.tuples(st.integers(0, len(NAUGHTY) - 1), st.integers(0, 40))
    pieces = numbers.map(lambda pair: NAUGHTY[pair[0]][: pair[1]])
    letters = st.text(st.characters(codec="utf-8"), max_size=8)
    return st.lists(st.one_of(pieces, letters), max_size=3).map("".join)
