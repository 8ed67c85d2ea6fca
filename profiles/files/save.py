"""Files replaced whole: whoever looks, at whatever moment, finds the old file or the new one.

The new bytes go to a hidden file in the same folder, reach the disk, and take the old file's
place in one step (POSIX rename; `MoveFileEx` on Windows). All the while the folder is locked, so
that of two savers one waits. A process killed at any moment leaves at most that hidden file behind,
which no library reads and the next save in that folder removes.
"""

import contextlib
import errno
import os
import shutil
import stat
import tempfile
from collections.abc import Iterator
from pathlib import Path

from profiles.files.documents import digest_of, read_bytes
from profiles.files.faults import FileFaultError
from profiles.files.folder import is_folder
from profiles.files.limits import LARGEST
from profiles.text.inert import escape_controls

try:
    import fcntl
except ImportError:  # Windows
    fcntl = None  # type: ignore[assignment]
    import msvcrt

_PREFIX, _SUFFIX = ".platebook-saving-", ".tmp"
"""Around the name of a file on its way to another's place."""

_LOCK = ".platebook-saving-lock"
"""The file that savers lock where folders cannot be locked (Windows)."""

_IN_USE = (32, 33, 1224)
"""Windows' errors for a file that another program has open: sharing violation, lock violation, user
mapped file (System Error Codes 0-499 and 1000-1299)."""


class SaveError(Exception):
    """A file was not saved, and stands as it was; the text says why and what to do."""


class ChangedOnDiskError(SaveError):
    """A file has changed since it was read, so saving would lose that change."""


def replace_file(path: Path, data: bytes, digest: bytes, largest: int = LARGEST) -> bytes:
    """Replace a file that was read before, keeping its mode, and return the new digest.

    `digest` is that of the bytes as read (`Document.digest`), at most `largest` of them. Where
    `path` is a link, the link stays and the file it leads to is replaced.

    Raises:
        ChangedOnDiskError: where the file is no longer as it was read.
        SaveError: where it is read-only, or cannot be written.
    """
    name = escape_controls(path.name)
    try:
        target = path.resolve(strict=True)
    except FileNotFoundError:
        raise ChangedOnDiskError(f"`{name}` is gone; read the library again") from None
    except (OSError, RuntimeError):
        raise SaveError(f"`{name}` cannot be reached; check where its link leads") from None
    _refuse_changed(target, digest, largest)
    with _explained(path), _temporary_file(target, data) as temporary:
        _refuse_read_only(target)
        status = target.stat()
        if hasattr(os, "chown") and (status.st_uid, status.st_gid) != (os.getuid(), os.getgid()):
            with contextlib.suppress(PermissionError):
                os.chown(temporary, status.st_uid, status.st_gid)
        temporary.chmod(stat.S_IMODE(status.st_mode))
        _refuse_changed(target, digest, largest)
        temporary.replace(target)
        _sync_folder(target.parent)
    return digest_of(data)


def create_file(path: Path, data: bytes) -> bytes:
    """Write a file that must not be there yet, whole or not at all, and return its digest.

    Raises:
        SaveError: where there is one already, or it cannot be written.
    """
    with _explained(path), _temporary_file(path, data) as temporary:
        mask = os.umask(0)
        os.umask(mask)
        temporary.chmod(0o666 & ~mask)
        try:
            os.link(temporary, path)
        except FileExistsError:
            name = escape_controls(path.name)
            raise SaveError(f"`{name}` is there already; choose another name") from None
        except OSError:  # a file system without links
            if os.path.lexists(path):
                raise
            temporary.replace(path)
        _sync_folder(path.parent)
    return digest_of(data)


def remove_file(path: Path, digest: bytes) -> None:
    """Remove a file that is still as it was written.

    Raises:
        ChangedOnDiskError: where it is not.
        SaveError: where it is read-only, or cannot be removed.
    """
    with _explained(path), _alone_in(path.parent):
        _refuse_changed(path, digest, LARGEST)
        _refuse_read_only(path)
        path.unlink()
        _sync_folder(path.parent)


def put_file(path: Path, data: bytes) -> None:
    """Write a file of the program's own, whole, whatever was there before. Raises OSError."""
    with _temporary_file(path, data) as temporary:
        temporary.replace(path)


def _refuse_changed(target: Path, digest: bytes, largest: int) -> None:
    try:
        same = digest_of(read_bytes(target, largest)) == digest
    except FileFaultError as fault:
        raise ChangedOnDiskError(f"{fault.message}; read the library again") from None
    if not same:
        raise ChangedOnDiskError(
            f"`{escape_controls(target.name)}` has changed on disk; read it again before "
            "you change it"
        )


def is_read_only(path: Path) -> bool:
    """Whether a file may not be written, by anybody or by us. Raises OSError."""
    return not path.stat().st_mode & 0o222 or not os.access(path, os.W_OK)


def _refuse_read_only(target: Path) -> None:
    if is_read_only(target):
        name = escape_controls(target.name)
        raise SaveError(f"`{name}` is read-only; allow writing to it, then save again")


@contextlib.contextmanager
def _alone_in(folder: Path) -> Iterator[bool]:
    """Let no other saver of ours write into a folder; whether it is certain that none does."""
    place, flags = folder / _LOCK, os.O_RDWR | os.O_CREAT
    if fcntl:  # a pipe in a folder's place would wait for a writer
        place, flags = folder, os.O_RDONLY | os.O_DIRECTORY
    handle, is_alone = None, False
    try:
        with contextlib.suppress(OSError):  # not to be read, or a file system without locks
            handle = os.open(place, flags)
            _lock(handle)
            is_alone = True
        yield is_alone
    finally:
        if handle is not None:
            os.close(handle)
        if fcntl is None:
            with contextlib.suppress(OSError):  # another saver has it open, and removes it
                place.unlink()


def _lock(handle: int) -> None:
    """Wait until nobody else has an open folder or file locked. Raises OSError."""
    if fcntl:
        fcntl.flock(handle, fcntl.LOCK_EX)
        return
    while True:
        try:
            msvcrt.locking(handle, msvcrt.LK_LOCK, 1)  # type: ignore[attr-defined,unused-ignore]
        except OSError as error:
            if error.errno != errno.EDEADLK:  # given up after ten tries, a second apart
                raise
        else:
            return


@contextlib.contextmanager
def _explained(path: Path) -> Iterator[None]:
    try:
        yield
    except OSError as error:
        if not is_folder(path.parent):
            folder = escape_controls(path.parent.as_posix())
            words = f"there is no folder `{folder}`; make it first"
            if os.path.lexists(path.parent):
                words = f"`{folder}` is no folder; choose another"
            raise SaveError(words) from None
        reason = escape_controls(error.strerror or "no reason given").lower()
        if getattr(error, "winerror", None) in _IN_USE:
            reason = "it is open in another program; close it there, and try again"
        raise SaveError(f"`{escape_controls(path.name)}` cannot be written: {reason}") from None


@contextlib.contextmanager
def _temporary_file(target: Path, data: bytes) -> Iterator[Path]:
    """Write bytes to a hidden file beside `target`, down to the disk; removed if still there.

    No other saver writes into that folder meanwhile; what killed ones left is removed first.
    """
    with _alone_in(target.parent) as is_alone:
        if is_alone:
            _sweep(target.parent)
        handle, name = tempfile.mkstemp(_SUFFIX, _PREFIX, target.parent)
        temporary = Path(name)
        try:
            with os.fdopen(handle, "wb") as file:
                file.write(data)
                file.flush()
                os.fsync(file.fileno())
            yield temporary
        finally:
            with contextlib.suppress(OSError):
                temporary.unlink(missing_ok=True)


def _sweep(folder: Path) -> None:
    for path in folder.glob(f"{_PREFIX}*{_SUFFIX}"):
        with contextlib.suppress(OSError):
            path.unlink()


def remove_leftovers(folder: Path) -> None:
    """Remove the hidden files that killed runs left in a folder; those in use stay."""
    with _alone_in(folder) as is_alone:
        if is_alone:
            _sweep(folder)


def remove_folders(folder: Path, prefix: str) -> None:
    """Remove the hidden folders of this prefix that killed runs left; those in use stay."""
    if fcntl is None:  # Windows: nothing tells whether one is in use
        return
    for path in folder.glob(f"{prefix}*"):
        with contextlib.suppress(OSError):
            handle = os.open(path, os.O_RDONLY | os.O_NOFOLLOW | os.O_DIRECTORY)
            try:
                fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
                shutil.rmtree(path, ignore_errors=True)
            finally:
                os.close(handle)


@contextlib.contextmanager
def hidden_folder(parent: Path, prefix: str) -> Iterator[Path]:
    """Make a hidden folder that is removed at the end.

    While it is in use it is locked. Raises OSError where it cannot be made.
    """
    path = Path(tempfile.mkdtemp(prefix=prefix, dir=parent))
    handle = None
    try:
        if fcntl is not None:
            handle = os.open(path, os.O_RDONLY)
            with contextlib.suppress(OSError):  # a file system without locks
                fcntl.flock(handle, fcntl.LOCK_EX)
        yield path
    finally:
        if handle is not None:
            os.close(handle)
        shutil.rmtree(path, ignore_errors=True)


def _sync_folder(folder: Path) -> None:
    """Bring the folder's entry to disk where the system lets folders be opened (not Windows)."""
    if os.name != "posix":
        return
    with contextlib.suppress(OSError):
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)
