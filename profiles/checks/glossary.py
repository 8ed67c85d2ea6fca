"""The words of the trade with what Platebook means by them, as data: `glossary.toml`."""

from functools import cache
from pathlib import Path
from typing import NamedTuple


class Term(NamedTuple):
    """A word, its meaning, what else makers call it, and codes, keys and words to see next."""

    word: str
    meaning: str
    also: tuple[str, ...]
    see: tuple[str, ...]


@cache
def read_glossary() -> dict[str, Term]:
    """Every term by its word, in alphabetical order."""
    import tomllib

    texts = tomllib.loads(Path(__file__).with_name("glossary.toml").read_text(encoding="utf-8"))
    return {
        word: Term(word, text["meaning"], tuple(text.get("also", ())), tuple(text["see"]))
        for word, text in texts.items()
    }


def list_spellings() -> dict[str, Term]:
    """Every term by each word that stands for it, in small letters."""
    return {name: term for term in read_glossary().values() for name in (term.word, *term.also)}
