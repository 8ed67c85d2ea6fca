"""A file that cannot be used, corrected by hand: what is wrong with its text as it is typed."""

from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import NamedTuple

from profiles.files.documents import find_format, parse_text
from profiles.files.faults import FileFaultError
from profiles.files.locator import Locator
from profiles.files.validate import validate_content, validate_settings
from profiles.model import SETTINGS_NAME, Library


class Fault(NamedTuple):
    """One thing wrong with a text: line and column from 1, None where not known; what to do."""

    line: int | None
    column: int | None
    message: str
    remedy: str


def find_faults(path: Path, text: str, library: Library) -> tuple[Fault, ...]:
    """All that is wrong with the text of a file, in the order of its lines."""
    return tuple(
        sorted(_find(path, text, library), key=lambda one: (one.line or 0, one.column or 0))
    )


def _find(path: Path, text: str, library: Library) -> Iterator[Fault]:
    faults: Sequence[Exception] = ()
    locator = None
    try:
        content = parse_text(text, find_format(path))
        locator = Locator(text, find_format(path))
        if path.name == SETTINGS_NAME:
            validate_settings(content)
        else:
            validate_content(content, library=library)
    except FileFaultError as error:
        faults = (error,)
    except ExceptionGroup as group:
        faults = group.exceptions
    for fault in faults:
        assert isinstance(fault, FileFaultError)
        region = fault.region or (locator.locate(fault.path, fault.aim) if locator else None)
        line, column = (region.line, region.column) if region else (None, None)
        yield Fault(line, column, fault.message, fault.remedy)
