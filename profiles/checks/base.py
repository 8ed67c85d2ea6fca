"""What a check is: a function over a survey of the library, and the pages it may report."""

from collections.abc import Callable, Iterable
from typing import NamedTuple

from profiles.facts.survey import Survey
from profiles.model import Finding, Page, Related, Spot


class Check(NamedTuple):
    """A function that looks for one pattern, and the page of every code it reports."""

    run: Callable[[Survey], Iterable[Finding]]
    pages: tuple[Page, ...]


def report(
    page: Page,
    message: str,
    remedy: str,
    spot: Spot,
    related: Iterable[Related] = (),
    about: str = "",
) -> Finding:
    """A finding under this page's code and default severity.

    `about` tells it from others of the code at the same spot, such as the action left unbound.
    """
    return Finding(page.code, page.severity, message, remedy, spot, tuple(related), about=about)


def quote(words: str, most: int = 40) -> str:
    """Words of a label in backticks, on one line, cut where they are long."""
    line = " ".join(words.split())
    return f"`{line}`" if len(line) <= most else f"`{line[:most].rstrip()}…`"
