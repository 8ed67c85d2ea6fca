"""What is wrong with one file, on its way to becoming a finding."""

from collections.abc import Sequence
from dataclasses import dataclass

from profiles.files.places import Aim, KeyPath, Region

MOST_FAULTS = 100
"""Faults of one file that are told one by one; the rest is counted."""


@dataclass
class FileFaultError(Exception):
    """One thing that makes a file unusable.

    `code` is a word of `pages`; `region` is given where the parser knew it, else `path` may
    name the key that is meant, and `aim` whether the key or its value is.
    """

    code: str
    message: str
    remedy: str
    region: Region | None = None
    path: KeyPath = ()
    aim: Aim = "value"

    def __str__(self) -> str:
        return self.message


def count_rest(faults: Sequence[FileFaultError]) -> list[FileFaultError]:
    """Return the first faults of a file, and one that counts the rest where there are many."""
    if len(faults) <= MOST_FAULTS:
        return list(faults)
    message = f"{len(faults) - MOST_FAULTS} more problems in this file"
    return [*faults[:MOST_FAULTS], FileFaultError("more-problems", message, "Fix the first ones")]
