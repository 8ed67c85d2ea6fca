"""Whether anything in the library's folder has changed, seen by size and time of its files."""

from pathlib import Path

from profiles.files.library import find_files

Signature = dict[str, tuple[int, int]]


class Watch:
    """Remembers the files of a folder as they were at the last look."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self._seen = sign(folder)

    def look(self) -> bool:
        """Whether any file came, went or changed since the last look."""
        before, self._seen = self._seen, sign(self.folder)
        return before != self._seen


def sign(folder: Path) -> Signature:
    """Size and time of change of every file that a library would read."""
    found: Signature = {}
    for path in find_files(folder):
        try:
            status = path.stat()
        except OSError:
            continue
        found[str(path)] = (status.st_size, status.st_mtime_ns)
    return found
