"""Painted lines without the toolkit's caches.

The toolkit gives each piece of each line seven caches, to make which takes a third of the time of a
painting, and hardly anything is ever found in them.
"""

from typing import Any

from textual import strip


class _NothingKept(dict[Any, Any]):
    """A cache that takes nothing in."""

    def __setitem__(self, key: Any, value: Any) -> None: ...


def drop_caches() -> None:
    """Let lines that are made from now on keep nothing; what is painted stays the same."""
    nothing = _NothingKept()
    setattr(strip, "FIFOCache", lambda _most: nothing)  # noqa: B010 - it is a class there
