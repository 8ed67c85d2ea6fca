"""The words of the trade with what Platebook means by them, as data: `glossary.toml`."""

from functools import cache
from pathlib import Path
from typing import NamedTuple

from profiles.text.suggest import fold


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
        word: Term(word, text["meaning"], tuple(text.get("also", ())), tuple(text.get("see", ())))
        for word, text in texts.items()
    }


def list_spellings() -> dict[str, Term]:
    """Every term by each word that stands for it, in small letters."""
    return {name: term for term in read_glossary().values() for name in (term.word, *term.also)}


def find_term(word: str) -> Term | None:
    """The term that a word stands for, in the singular or the plural, however it is spelt."""
    spellings = {fold(name): term for name, term in list_spellings().items()}
    folded = fold(word)
    return spellings.get(folded) or spellings.get(folded.removesuffix("s"))
