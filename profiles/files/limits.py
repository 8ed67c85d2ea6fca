"""Bounds that a file must keep, far above what any real one needs."""

from profiles.files.faults import FileFaultError
from profiles.files.places import Region

LARGEST = 2 * 1024 * 1024
"""Bytes of one file. A profile of 60 bindings has about three thousand."""

MOST_VALUES = 40_000
"""Keys and list members of one file. An application of a thousand actions has six thousand."""

DEEPEST = 64
"""Tables and lists within each other. The model needs seven."""

DIGITS = 400
"""Digits of a number that is still read, to be refused by its size."""

SMALLEST_INTEGER, LARGEST_INTEGER = -(2**63), 2**63 - 1
"""What TOML 1.0 promises to carry, and so what all three formats may hold."""


def refuse_crowd() -> FileFaultError:
    """Return the fault of a file that holds more values than any real one."""
    return FileFaultError(
        "too-large",
        f"more than {MOST_VALUES:,} values in one file",
        "Split it: one file holds one device, application, profile, board or part",
    )


def refuse_depth(region: Region | None = None) -> FileFaultError:
    """Return the fault of a file that nests tables or lists too deep."""
    return FileFaultError(
        "too-deep",
        f"tables or lists nest deeper than {DEEPEST} levels",
        "Flatten the file; no table of Platebook goes deeper than seven levels",
        region,
    )
