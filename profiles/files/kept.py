"""What was worked out from a folder of files, kept for the next run with the very same files.

It lies in the user's own cache folder, never beside the library: a library comes from anyone. Only
what this user wrote and nobody else may write is read back. The key of what is kept is made of
every file of the library, of the program and of the Python it runs on, byte by byte, so a change
of any of them is a miss, and nothing is ever wrong because of a clock. What cannot be kept or read
is worked out anew, without a word.

`PLATEBOOK_CACHE` names another folder; empty, nothing is kept.
"""

import hashlib
import os
import stat
import sys
from collections.abc import Callable, Iterable, Mapping
from contextlib import suppress
from functools import cache
from pathlib import Path

from profiles.files.documents import read_bytes
from profiles.files.faults import FileFaultError
from profiles.files.folder import find_own_folder

ENVIRONMENT_NAME = "PLATEBOOK_CACHE"
"""Environment variable that names the folder of what is kept."""

LARGEST = 4 * 1024 * 1024
"""Bytes of one entry; reading more would save little against working it out."""

MOST = 64
"""Entries, one for each library; the oldest make room."""

PACKAGES = ("pydantic", "pydantic_core", "yaml")
"""Packages of others that findings come from; a folder of packages changes with each install."""


def find_store(environ: Mapping[str, str]) -> Path | None:
    """Return the folder for what is kept, or None where there is to be none.

    Source: XDG Base Directory Specification 0.8 (`XDG_CACHE_HOME`, `~/.cache`). Unverified:
    `LOCALAPPDATA` on Windows, `~/Library/Caches` on macOS.
    """
    return find_own_folder(
        environ,
        ENVIRONMENT_NAME,
        "XDG_CACHE_HOME",
        windows="LOCALAPPDATA",
        macos="Library/Caches",
        unix=".cache",
    )


def make_key(folder: Path, files: Iterable[Path]) -> str | None:
    """Return what stands for a folder's files and the program; None where it cannot be told.

    A link, or a file that cannot be read, may be another thing for each reader, so nothing is kept
    of a folder that holds one.
    """
    try:
        spell = [digest_program(), _spell(folder)]
        for path in files:
            if path.is_symlink():
                return None
            spell += [_spell(path), hashlib.blake2b(read_bytes(path)).digest()]
    except (FileFaultError, OSError):
        return None
    return hashlib.blake2b(b"".join(spell), digest_size=32).hexdigest()


@cache
def digest_program() -> bytes:
    """What stands for the program: each of its files, its Python, the packages it stands on.

    Raises:
        OSError: where a file of it cannot be read.
    """
    from importlib.util import find_spec

    digest = hashlib.blake2b(f"{sys.version} {sys.platform}".encode())
    for name in PACKAGES:
        spec = find_spec(name)
        if spec is not None and spec.origin:
            shelf = Path(spec.origin).parent.parent
            digest.update(_spell(shelf) + str(shelf.stat().st_mtime_ns).encode())
    waiting = [str(Path(__file__).parent.parent)]
    while waiting:
        with os.scandir(waiting.pop()) as listed:
            for entry in sorted(listed, key=lambda entry: entry.path):
                if not entry.is_dir():
                    with open(entry.path, "rb") as file:  # noqa: PTH123  hundreds of files
                        data = file.read()
                    digest.update(_spell(entry.path) + hashlib.blake2b(data).digest())
                elif entry.name != "__pycache__":
                    waiting.append(entry.path)
    return digest.digest()


def _spell(path: str | Path) -> bytes:
    """A path in bytes of one length, whatever letters it holds."""
    return hashlib.blake2b(str(path).encode("utf-8", "surrogatepass")).digest()


def read_kept(folder: Path, store: Path | None) -> bytes | None:
    """Return what was kept of a library's folder, or None; only its owner can have written it."""
    if store is None or not _is_own(store, stat.S_ISDIR):
        return None
    flags = os.O_RDONLY | getattr(os, "O_NOFOLLOW", 0) | getattr(os, "O_NONBLOCK", 0)
    flags |= getattr(os, "O_BINARY", 0)
    with (
        suppress(OSError),
        os.fdopen(os.open(_name_entry(folder, store), flags), "rb") as file,
    ):
        if _is_own(file.fileno(), stat.S_ISREG):
            data = file.read(LARGEST + 1)
            return data if len(data) <= LARGEST else None
    return None


def keep(folder: Path, store: Path | None, data: bytes) -> None:
    """Keep something of a library's folder, if it can be done and is worth it."""
    if store is None or len(data) > LARGEST:
        return
    from profiles.files.save import put_file

    with suppress(OSError):
        store.mkdir(mode=0o700, parents=True, exist_ok=True)
        if not _is_own(store, stat.S_ISDIR):
            return
        entry = _name_entry(folder, store)
        entries = sorted(store.glob("*.json"), key=lambda one: one.stat().st_mtime)
        if entry not in entries:
            for one in entries[: max(0, len(entries) - MOST + 1)]:
                one.unlink(missing_ok=True)
        put_file(entry, data)


def _name_entry(folder: Path, store: Path) -> Path:
    """The file for a library, as its folder was named: findings name their files by it."""
    named = _spell(Path.cwd()) + _spell(folder)
    return store / f"{hashlib.blake2b(named, digest_size=16).hexdigest()}.json"


def _is_own(target: Path | int, is_kind: Callable[[int], bool]) -> bool:
    """Whether a folder or open file is of this kind, and nobody else may write it."""
    try:
        status = os.fstat(target) if isinstance(target, int) else os.lstat(target)
    except OSError:
        return False
    if not hasattr(os, "geteuid"):  # Windows: the folder of the user is the user's
        return is_kind(status.st_mode)
    is_ours = status.st_uid == os.geteuid() and not status.st_mode & 0o022
    return is_kind(status.st_mode) and is_ours
