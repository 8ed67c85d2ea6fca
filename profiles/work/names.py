"""Finding what a person names in a library, with one close spelling where it is not there."""

from collections.abc import Mapping
from typing import TypeVar

from profiles.sheets.options import RequestError, UnknownNameError
from profiles.text.inert import escape_controls
from profiles.text.prose import join_words
from profiles.text.suggest import closest

T = TypeVar("T")

MOST_NAMED = 8
"""Ids listed at most where none was given."""


def find_named(kind: str, word: str, known: Mapping[str, T]) -> T:
    """The device, application, profile, board or part of this id.

    Raises:
        UnknownNameError: where the library has none.
    """
    if word in known:
        return known[word]
    near = closest(word, known)
    if near:
        hint = f"Did you mean `{near}`?"
    elif known:
        hint = f"It has {_ids(known)}."
    else:
        hint = f"Start one: `platebook new {kind} ID`."
    raise UnknownNameError(f"the library has no {kind} `{escape_controls(word)}`", hint)


def find_only(kind: str, known: Mapping[str, T]) -> T:
    """The only one there is.

    Raises:
        RequestError: where there is none, or several to choose from.
    """
    if len(known) == 1:
        return next(iter(known.values()))
    if not known:
        raise RequestError(f"the library has no {kind}", f"Start one: `platebook new {kind} ID`.")
    article = "an" if kind == "application" else "a"
    raise RequestError(
        f"the library has {len(known)} {kind}s", f"Choose {article} {kind}: {_ids(known)}."
    )


def _ids(known: Mapping[str, object]) -> str:
    words = [f"`{word}`" for word in sorted(known)]
    if len(words) <= MOST_NAMED:
        return join_words(words, last="or")
    return ", ".join(words[:MOST_NAMED]) + f" or {len(words) - MOST_NAMED} more"
