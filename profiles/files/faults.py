"""What is wrong with one file, on its way to becoming a finding."""

from dataclasses import dataclass

from profiles.files.places import Aim, KeyPath, Region


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
