"""Signs within words: arrows and plain pictograms, by their names in braces.

In a legend `{up} RAISE` is an arrow and a word, and `{{up}` the letters `{up}`. Braces around
anything but small letters, digits and hyphens are braces. Within the program a sign is one letter
of the private use area (Unicode, plane 15), which every face has, so that words with signs are
measured, wrapped and set like any others.

- `set_signs`, `spell_signs`, `say_signs`: from braces to letters; back; into plain words
- `spell_braces`: to braces, where no sign is meant; `speak`: from braces into plain words
- `find_unknown_sign`: a name in braces that is no sign

What they look like is in `lettering.signs`.
"""

import re

SIDE = 0.1
"""Clear space at each side of a sign, capital heights."""

SIGN_WIDTHS: dict[str, float] = {
    "up": 1.0,
    "down": 1.0,
    "left": 1.0,
    "right": 1.0,
    "up-down": 1.0,
    "left-right": 1.0,
    "turn": 1.0,
    "turn-left": 1.0,
    "turn-right": 1.0,
    "push": 1.0,
    "pull": 1.0,
    "start": 0.9,
    "stop": 0.88,
    "pause": 0.76,
    "power": 1.0,
    "lamp": 1.0,
    "light": 1.0,
    "horn": 1.06,
    "bell": 1.0,
    "talk": 0.8,
    "warning": 1.0,
    "lock": 0.76,
    "unlock": 1.17,
    "heat": 0.92,
    "fan": 1.0,
    "pump": 1.0,
    "valve": 1.2,
    "anchor": 1.0,
}
"""Every sign with its width in capital heights, `SIDE` left out."""

SIGN_PATTERN = r"\{(\{?)([a-z][a-z0-9-]*)\}"
"""A name in braces, with one brace more if it is meant as it stands."""

SIGN_LETTERS = {name: chr(0xF0000 + place) for place, name in enumerate(SIGN_WIDTHS)}
"""The letter that stands for a sign."""
SIGN_NAMES = {letter: name for name, letter in SIGN_LETTERS.items()}
"""The sign that a letter stands for."""


def set_signs(words: str) -> str:
    """The words of a file with a letter for each sign; a brace for two before a name.

    A letter that stands for a sign only within the program is one that faces lack.
    """
    if has_signs(words):
        words = "".join("\ufffd" if letter in SIGN_NAMES else letter for letter in words)
    if "{" not in words:
        return words
    return re.sub(
        SIGN_PATTERN,
        lambda found: found[0][1:] if found[1] else SIGN_LETTERS.get(found[2], found[0]),
        words,
    )


def find_unknown_sign(words: str) -> str:
    """The first name in braces that is no sign; empty for none."""
    if "{" not in words:
        return ""
    names = (name for brace, name in re.findall(SIGN_PATTERN, words) if not brace)
    return next((name for name in names if name not in SIGN_WIDTHS), "")


def spell_braces(words: str) -> str:
    """Words in which no sign is meant as a file has them: a name in braces has one brace more."""
    return re.sub(r"\{[a-z][a-z0-9-]*\}", r"{\g<0>", words) if "{" in words else words


def spell_signs(words: str) -> str:
    """Words with signs as a file has them."""
    words = spell_braces(words)
    if words.isascii():
        return words
    spelt = {letter: f"{{{name}}}" for letter, name in SIGN_NAMES.items()}
    return "".join(spelt.get(letter, letter) for letter in words)


def say_signs(words: str) -> str:
    """Words with signs in plain words, for where nothing can be drawn."""
    if words.isascii():
        return words
    return "".join(
        SIGN_NAMES[letter].replace("-", " ") if letter in SIGN_NAMES else letter for letter in words
    )


def speak(words: str) -> str:
    """The words of a file with signs in plain words."""
    return say_signs(set_signs(words))


def has_signs(words: str) -> bool:
    """Whether some letters stand for signs."""
    return not words.isascii() and not SIGN_NAMES.keys().isdisjoint(words)
