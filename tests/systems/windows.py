"""Rules of Windows laid on a run of the program on Linux, each from a published source.

`python -m tests.systems.windows [-c ENCODING] WORDS...` lays them on and runs the command line:

- What Python lacks there: functions marked "Availability: Unix" in the documentation of `os` and
  `signal`, and the modules listed under "Unix Specific Services".
- What it has instead to lock a file: `msvcrt.locking`, which waits (documentation of `msvcrt`).
- A file that this process has open, or one of its siblings, is neither replaced nor removed:
  DeleteFile and MoveFileEx fail with ERROR_SHARING_VIOLATION, 32, where it was opened without
  FILE_SHARE_DELETE, as Python does.
- Names: none of a device, none with `< > : " | ? *` or a control character, none that ends with a
  full stop or a space, and upper and lower case are one (Naming Files, Paths, and Namespaces).
- Streams that are no console have the encoding of the code page and end lines with CR LF
  (documentation of `sys.stdout` and `io.TextIOWrapper`).
- Text files opened without an encoding are read by the code page: `EncodingWarning` (PEP 597) is an
  error. Text files written without `newline` would get CR LF, and are refused too.
- A pipe that nobody reads any more may end with EINVAL (python/cpython, issue 79935).
"""

import builtins
import contextlib
import io
import os
import runpy
import shutil
import signal
import subprocess  # noqa: F401  the library's own modules come before the rules: here they are POSIX's
import sys
import tempfile  # noqa: F401
import warnings
from collections.abc import Callable, Iterator
from pathlib import Path
from types import ModuleType
from typing import Any

try:
    import fcntl  # kept here, since the rules take it away
except ImportError:
    fcntl = None  # type: ignore[assignment]

ABSENT_MODULES = ("fcntl", "grp", "pty", "pwd", "resource", "syslog", "termios", "tty")
ABSENT_FUNCTIONS = """
chown chroot confstr fchdir fchmod fchown fork forkpty fpathconf fstatvfs getegid geteuid getgid
getgroups getloadavg getpgid getpgrp getpriority getresuid getuid killpg lchown lockf major minor
makedev mkfifo mknod nice openpty pathconf pipe2 posix_fallocate pread preadv pwrite pwritev
register_at_fork sched_yield sendfile setegid seteuid setgid setpgid setsid setuid statvfs sync
sysconf tcgetpgrp tcsetpgrp ttyname uname wait wait3 wait4 writev
O_ASYNC O_CLOEXEC O_DIRECTORY O_DSYNC O_NOCTTY O_NOFOLLOW O_NONBLOCK O_SYNC
"""
ABSENT_SIGNALS = """
SIGALRM SIGCHLD SIGCONT SIGHUP SIGKILL SIGPIPE SIGQUIT SIGSTOP SIGTSTP SIGTTIN SIGTTOU SIGUSR1
SIGUSR2 SIGWINCH alarm pause pthread_kill pthread_sigmask setitimer sigpending sigwait
"""
DEVICE_NAMES = {"con", "prn", "aux", "nul"} | {
    port + digit for port in ("com", "lpt") for digit in "123456789¹²³"
}
SHARING_VIOLATION, ACCESS_DENIED, INVALID_NAME = 32, 5, 123
WRITING = os.O_WRONLY | os.O_RDWR | os.O_CREAT


def fail(code: int, number: int, words: str, path: object) -> OSError:
    """An error with Windows' own number in `winerror`, as Python gives it there."""
    error = OSError(code, words, str(path))
    error.winerror = number  # type: ignore[attr-defined,unused-ignore]
    return error


def name_fault(name: str) -> str:
    """What Windows has against a file of this name; empty where it takes it."""
    if name.partition(".")[0].rstrip(" ").lower() in DEVICE_NAMES:
        return "a device"
    if set(name) & set('<>:"|?*\\') or any(letter < " " for letter in name):
        return "a sign that is reserved"
    return "a full stop or space at the end" if name[-1:] in (".", " ") and name.strip(".") else ""


def refuse_name(path: object, *_rest: object) -> None:
    """Refuse to make a file of a name that Windows does not take, or that differs by case alone."""
    if not isinstance(path, str | os.PathLike):
        return
    whole = Path(os.fspath(path))
    if fault := name_fault(whole.name):
        raise fail(22, INVALID_NAME, f"name not allowed: {fault}", path)
    if whole.parent.is_dir():
        names = [other.name for other in whole.parent.iterdir() if other.name != whole.name]
        twins = [name for name in names if name.casefold() == whole.name.casefold()]
        if twins:
            raise fail(17, 183, f"the same file as {twins[0]}", path)


def list_open_files() -> Iterator[Path]:
    """The handles of this process and of its siblings, as Linux shows them."""
    processes = {"self"}
    for children in Path(f"/proc/{os.getppid()}/task").glob("*/children"):
        processes |= {*children.read_text("ascii").split()}
    for process in processes:
        with contextlib.suppress(OSError):  # it is gone
            yield from Path(f"/proc/{process}/fd").iterdir()


def refuse_open_file(path: object, *_rest: object) -> None:
    """Refuse to touch a file that somebody has open, or the one named in `IN_USE`."""
    if not isinstance(path, str | os.PathLike) or not os.path.lexists(path):
        return
    if Path(os.fspath(path)).name == os.environ.get("IN_USE"):
        raise fail(13, SHARING_VIOLATION, "The process cannot access the file", path)
    status = os.lstat(path)
    for handle in list_open_files():
        try:
            other = handle.stat()
        except OSError:  # the handle of the listing itself, or closed meanwhile
            continue
        if (other.st_dev, other.st_ino) == (status.st_dev, status.st_ino):
            raise fail(13, SHARING_VIOLATION, "The process cannot access the file", path)


def before(module: Any, name: str, *refuse: Callable[..., None]) -> None:
    """Let a function of a module be refused first."""
    real = getattr(module, name)

    def guarded(*given: Any, **named: Any) -> Any:
        for check in refuse:
            check(*given)
        return real(*given, **named)

    setattr(module, name, guarded)


def refuse_opening(path: object, flags: int = os.O_RDONLY, *_rest: object) -> None:
    """What `os.open` refuses there: folders, and names of new files."""
    if isinstance(path, str | os.PathLike) and Path(os.fspath(path)).is_dir():
        raise fail(13, ACCESS_DENIED, "Access is denied", path)
    if flags & WRITING and path != os.devnull:
        refuse_name(path)


def refuse_text(file: object, mode: str = "r", *rest: object) -> None:
    """A text file for writing whose line ends Windows would change."""
    newline = rest[3] if len(rest) > 3 else None
    if isinstance(file, str | os.PathLike) and "b" not in mode and set(mode) & set("wax+"):
        assert newline is not None, f"{file} is written as text without newline"
        refuse_name(file)
    elif isinstance(file, str | os.PathLike) and set(mode) & set("wax+") and file != os.devnull:
        refuse_name(file)


def guard_opening() -> None:
    """`open` in all its names; arguments by name are put into their places first."""
    real = io.open
    order = ("file", "mode", "buffering", "encoding", "errors", "newline", "closefd", "opener")
    usual = (None, "r", -1, None, None, None, True, None)

    def guarded(*given: Any, **named: Any) -> Any:
        whole = [*given, *(named.get(order[n], usual[n]) for n in range(len(given), len(order)))]
        refuse_text(*whole[:6])
        return real(*whole)

    io.open = guarded
    builtins.open = guarded


def make_msvcrt() -> Any:
    """What this module of Windows has to lock files, by the locks of POSIX."""
    module: Any = ModuleType("msvcrt")
    module.LK_LOCK = 1

    def locking(handle: int, mode: int, count: int) -> None:
        assert mode == module.LK_LOCK
        fcntl.lockf(handle, fcntl.LOCK_EX, count)

    module.locking = locking
    return module


def lay_on(encoding: str = "cp1252") -> None:
    """Make this process obey the rules from here on."""
    for name in ABSENT_MODULES:
        sys.modules[name] = None  # type: ignore[assignment]
    sys.modules["msvcrt"] = make_msvcrt()
    for module, names in ((os, ABSENT_FUNCTIONS), (signal, ABSENT_SIGNALS)):
        for name in names.split():
            if hasattr(module, name):
                delattr(module, name)
    setattr(shutil, "_use_fd_functions", False)  # noqa: B010  folders removed by names, as there
    before(os, "open", refuse_opening)
    before(os, "mkdir", refuse_name)
    for name in ("unlink", "remove", "rmdir"):
        before(os, name, refuse_open_file)
    for name in ("replace", "rename"):
        before(os, name, lambda source, target, *_: refuse_open_file(source))
        before(os, name, lambda source, target, *_: refuse_open_file(target))
        before(os, name, lambda source, target, *_: refuse_name(target))
    before(os, "link", lambda source, target, *_: refuse_name(target))
    guard_opening()
    warnings.simplefilter("error", EncodingWarning)
    for stream in (sys.stdout, sys.stderr):
        assert isinstance(stream, io.TextIOWrapper)
        stream.reconfigure(encoding=encoding, newline="\r\n")


if __name__ == "__main__":
    words = sys.argv[1:]
    code_page = "cp1252"
    if words[:1] == ["-c"]:
        code_page, words = words[1], words[2:]
    sys.argv = ["platebook", *words]
    lay_on(code_page)
    runpy.run_module("profiles", run_name="__main__")
