"""Lists and numbers as words of a sentence."""

from collections.abc import Iterable, Sequence


def join_words(words: Sequence[str], last: str = "and") -> str:
    """Return words as prose: ``a``, ``a and b``, ``a, b and c``."""
    if len(words) < 2:
        return "".join(words)
    return f"{', '.join(words[:-1])} {last} {words[-1]}"


def list_some(words: Sequence[str], most: int = 3) -> str:
    """Return words as prose, cut after the first few: ``a, b, c and 4 more``."""
    if len(words) <= most + 1:
        return join_words(words)
    return f"{', '.join(words[:most])} and {len(words) - most} more"


def group_runs(words: Iterable[str]) -> list[list[str]]:
    """Return words in runs that count up at their end: ``[[0, 1], [3], [A3, A4]]``."""
    runs: list[list[str]] = []
    for word in words:
        stem = word.rstrip("0123456789")
        before = runs[-1][-1] if runs else ""
        follows = before[: len(stem)] == stem and before[len(stem) :].isdigit() and word != stem
        if follows and int(word[len(stem) :]) == int(before[len(stem) :]) + 1:
            runs[-1].append(word)
        else:
            runs.append([word])
    return runs


def count(number: int, noun: str, plural: str | None = None) -> str:
    """Return a number with its noun: ``1 control``, ``2 controls``, ``2 switches``."""
    if number == 1:
        return f"1 {noun}"
    return f"{number} {plural or _pluralise(noun)}"


def _pluralise(noun: str) -> str:
    if noun.endswith(("s", "x", "z", "ch", "sh")):
        return noun + "es"
    if noun.endswith("y") and not noun.endswith(("ay", "ey", "oy", "uy")):
        return noun[:-1] + "ies"
    return noun + "s"
