"""What a check is, and how it words a finding."""

from collections.abc import Callable, Iterable

from profiles.checks.codes import CODES
from profiles.facts.survey import Survey
from profiles.model import Finding, Related, Spot

Check = Callable[[Survey], Iterable[Finding]]
"""A function that looks for one pattern in a survey of the library."""


def report(
    code: str,
    message: str,
    remedy: str,
    spot: Spot,
    related: Iterable[Related] = (),
    about: str = "",
) -> Finding:
    """A finding of this code, in its default severity.

    `about` tells it from others of the code at the same spot, such as the action left unbound.
    """
    return Finding(code, CODES[code], message, remedy, spot, tuple(related), about=about)


def quote(words: str, most: int = 40) -> str:
    """Words of a label in backticks, on one line, cut where they are long."""
    line = " ".join(words.split())
    return f"`{line}`" if len(line) <= most else f"`{line[:most].rstrip()}…`"
