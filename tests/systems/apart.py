"""A child with file systems of its own: a small one that fills up, one that is read-only.

Namespaces of Linux (unshare(2), mount(2), user_namespaces(7)): what the child mounts nobody else
sees, and it is gone when the child ends. `drop_privileges` takes from root what lets it pass over
modes (CAP_DAC_OVERRIDE, CAP_DAC_READ_SEARCH and CAP_FOWNER; capabilities(7)).
"""

import ctypes
import json
import os
import struct
import sys
import traceback
from collections.abc import Callable
from pathlib import Path
from typing import Any

NEW_MOUNTS, NEW_USER = 0x00020000, 0x10000000
"""CLONE_NEWNS and CLONE_NEWUSER."""
READ_ONLY, REMOUNT, BIND, RECURSIVE, PRIVATE = 1, 32, 4096, 16384, 1 << 18
"""MS_RDONLY, MS_REMOUNT, MS_BIND, MS_REC and MS_PRIVATE."""

PASSING_OVER = 1 << 1 | 1 << 2 | 1 << 3
"""CAP_DAC_OVERRIDE, CAP_DAC_READ_SEARCH and CAP_FOWNER."""

CAPABILITY_VERSION = 0x20080522
"""_LINUX_CAPABILITY_VERSION_3."""


def run_apart(deed: Callable[[], Any]) -> Any:
    """Do something in a child that has mounts of its own, and return what it returned (as JSON).

    Raises:
        OSError: where the system gives the child no mounts of its own.
        RuntimeError: where the deed failed; its text is the child's traceback.
    """
    reader, writer = os.pipe()
    child = os.fork()
    if child:
        os.close(writer)
        with os.fdopen(reader, "rb") as pipe:
            told = json.loads(pipe.read() or b'{"failed": "the child was killed"}')
        os.waitpid(child, 0)
        if "refused" in told:
            raise OSError(*told["refused"])
        if "failed" in told:
            raise RuntimeError(told["failed"])
        return told["done"]
    try:
        try:
            _unshare()
        except OSError as error:
            told = {"refused": [error.errno, error.strerror]}
        else:
            told = {"done": deed()}
    except BaseException:
        told = {"failed": traceback.format_exc()}
    with os.fdopen(writer, "wb") as pipe:
        pipe.write(json.dumps(told).encode())
    os._exit(0)


def has_apart() -> bool:
    """Whether this system gives a child mounts of its own."""
    if sys.platform != "linux":
        return False
    try:
        return bool(run_apart(lambda: True))
    except OSError:
        return False


def _call(name: str, *arguments: object) -> None:
    library = ctypes.CDLL(None, use_errno=True)
    if getattr(library, name)(*arguments):
        number = ctypes.get_errno()
        raise OSError(number, os.strerror(number))


def _unshare() -> None:
    user, group = os.getuid(), os.getgid()
    _call("unshare", NEW_MOUNTS | (NEW_USER if user else 0))
    if user:
        own = Path("/proc/self")
        (own / "setgroups").write_text("deny", "ascii")
        (own / "uid_map").write_text(f"0 {user} 1", "ascii")
        (own / "gid_map").write_text(f"0 {group} 1", "ascii")
    _call("mount", b"none", b"/", None, RECURSIVE | PRIVATE, None)


def mount_memory(folder: Path, size: int) -> None:
    """Mount an empty file system of so many bytes in memory."""
    _call("mount", b"none", os.fsencode(folder), b"tmpfs", 0, f"size={size}".encode())


def mount_read_only(folder: Path) -> None:
    """Let a folder and all below it be read only."""
    place = os.fsencode(folder)
    _call("mount", place, place, None, BIND, None)
    _call("mount", None, place, None, REMOUNT | BIND | READ_ONLY, None)


def unmount(folder: Path) -> None:
    """Take the last mount of a folder away."""
    _call("umount", os.fsencode(folder))


def drop_privileges() -> None:
    """From now on this process is held to the modes of files, even as root."""
    header = struct.pack("Ii", CAPABILITY_VERSION, 0)
    sets = ctypes.create_string_buffer(24)
    _call("capget", header, sets)
    kept = [*struct.unpack("6I", sets.raw)]  # effective, permitted, inheritable; lower half first
    kept[:2] = [each & ~PASSING_OVER for each in kept[:2]]
    _call("capset", header, struct.pack("6I", *kept))
