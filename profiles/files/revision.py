"""The files of a library as a git revision has them, copied into a folder of their own.

The `git` program is called without a shell and asked for objects only: no filter, hook or link of
the repository is followed, nothing is fetched, and the repository and its work tree stay as they
are. What does not lead to a plain file of our formats below the folder is left out.
"""

import os
import shutil
import subprocess
from collections.abc import Iterator, Sequence
from pathlib import Path, PurePosixPath
from typing import NamedTuple

from profiles.files.documents import FORMATS
from profiles.files.limits import LARGEST
from profiles.text.inert import escape_controls

MOST_FILES = 5_000
"""Files of a library at one revision, far above what any real one has."""

MOST_BYTES = 32 * 1024 * 1024
"""Bytes of files that one call of git gives, so that not all are in memory at once."""

LONGEST_WAIT = 60
"""Seconds that one call of git may take."""


class RevisionError(Exception):
    """A revision that cannot be read; `remedy` is a sentence."""

    def __init__(self, message: str, remedy: str = "") -> None:
        super().__init__(message)
        self.remedy = remedy


class Blob(NamedTuple):
    """A file of a revision: its place below the folder, git's id of what it held, and its bytes."""

    place: PurePosixPath
    object_id: bytes
    size: int


def copy_revision(folder: Path, revision: str, target: Path) -> str:
    """Copy the library in `folder` as a revision has it into `target`; return the commit's id.

    Raises:
        RevisionError: where git is missing, the folder is in no repository, or there is no such
            revision of it.
    """
    shown = escape_controls(revision)
    if not revision.isprintable() or revision.startswith("-") or not revision:
        raise RevisionError(f"`{shown}` is no name of a revision", "Name a commit, branch or tag.")
    inside = _call(folder, "rev-parse", "--is-inside-work-tree")
    if inside is None:
        raise RevisionError(
            f"`{escape_controls(folder.as_posix())}` is in no git repository",
            "Name the folder of an earlier state instead.",
        )
    commit = _call(
        folder, "rev-parse", "--verify", "--quiet", "--end-of-options", f"{revision}^{{commit}}"
    )
    if commit is None and revision == "HEAD":
        raise RevisionError(
            "the git repository has no commit yet",
            "Commit first, or name the folder of an earlier state.",
        )
    if commit is None:
        raise RevisionError(
            f"git knows no revision `{shown}`",
            "Name a commit, branch or tag: `git log` lists them.",
        )
    name = commit.decode("ascii", "replace").strip()
    # With a path of ".", names come as they are below the folder.
    listed = _call(folder, "ls-tree", "-r", "-z", "-l", name, ".") or b""
    entries = [entry for entry in listed.split(b"\0") if entry]
    if len(entries) > MOST_FILES:
        raise RevisionError(f"revision `{shown}` has more than {MOST_FILES} files there")
    wanted: list[Blob] = []
    for entry in entries:
        about, _, path = entry.partition(b"\t")
        mode, kind, object_id, size = about.split()
        place = PurePosixPath(os.fsdecode(path))
        if (
            kind == b"blob"
            and mode in (b"100644", b"100755")
            and place.suffix.lower() in FORMATS
            and is_below(place)
            and int(size) <= LARGEST
        ):
            wanted.append(Blob(place, object_id, int(size)))
    while wanted:
        share, total = list[Blob](), 0
        while wanted and (not share or total + wanted[-1].size <= MOST_BYTES):
            share.append(wanted.pop())
            total += share[-1].size
        for place, data in _read_blobs(folder, share):
            if data is None:
                raise RevisionError(f"git cannot read `{escape_controls(str(place))}` at `{shown}`")
            (target / place).parent.mkdir(parents=True, exist_ok=True)
            (target / place).write_bytes(data)
    return name


def _read_blobs(
    folder: Path, blobs: Sequence[Blob]
) -> Iterator[tuple[PurePosixPath, bytes | None]]:
    """What each of these files held, from one run of git; None where it gives something else."""
    asked = b"".join(blob.object_id + b"\n" for blob in blobs)
    said, at = _call(folder, "cat-file", "--batch", asked=asked) or b"", 0
    for blob in blobs:
        head = b"%s blob %d\n" % (blob.object_id, blob.size)
        start, end = at + len(head), at + len(head) + blob.size
        is_whole = said.startswith(head, at) and said[end : end + 1] == b"\n"
        yield blob.place, said[start:end] if is_whole else None
        at = end + 1


def is_below(place: PurePosixPath) -> bool:
    """Whether a path that a stranger gives stays below the folder it is put into."""
    words = place.parts
    return bool(words) and not any(
        word in ("..", "/", ".git") or "\\" in word or ":" in word or "\0" in word for word in words
    )


def _call(folder: Path, *words: str, asked: bytes = b"") -> bytes | None:
    """What git says, `asked` on its standard input too, or None where it ends with a fault.

    Raises:
        RevisionError: where git cannot be started or does not end.
    """
    program = shutil.which("git")
    if program is None:
        raise RevisionError("git is not installed", "Name the folder of an earlier state instead.")
    quiet = {"GIT_OPTIONAL_LOCKS": "0", "GIT_NO_LAZY_FETCH": "1", "GIT_TERMINAL_PROMPT": "0"}
    own = {key: value for key, value in os.environ.items() if not key.startswith("GIT_")}
    try:
        ran = subprocess.run(
            [program, "-c", "core.fsmonitor=false", "-C", str(folder.resolve()), *words],
            input=asked,
            capture_output=True,
            check=False,
            timeout=LONGEST_WAIT,
            env={**own, **quiet, "LC_ALL": "C"},
        )
    except (OSError, subprocess.TimeoutExpired):
        raise RevisionError("git cannot be run") from None
    return ran.stdout if ran.returncode == 0 else None
