"""The recording of a press test: JSON Lines, one thing that happened a line, never rewritten.

- `Recorder` writes: whole lines, each batch forced to the disk before it counts as recorded. On a
  full disk it raises a LiveError, cuts off what was half written and keeps the rest waiting.
- `start_recording` and `resume_recording` open one for writing.
- `read_recording` reads: a last line that was cut short is ignored and reported; other damage is
  refused, all of it in one message with its lines.
"""

import errno
import os
from contextlib import suppress
from pathlib import Path

from profiles.files.documents import read_bytes
from profiles.files.faults import FileFaultError
from profiles.live.events import LiveError
from profiles.live.lines import (
    Answer,
    DamageError,
    Entry,
    Header,
    NewerError,
    Recording,
    parse_line,
    write_line,
)
from profiles.text.inert import escape_controls

LARGEST = 8 * 1024 * 1024
"""Bytes of one recording: about a hundred thousand events. A test of 64 contacts has a thousand."""

MOST_PROBLEMS = 1000
"""Damaged lines after which the rest is not read: a megabyte of line ends has a million."""

SHOWN_PROBLEMS = 10
"""Damaged lines that one message names; the others are counted."""


class FileSink:
    """A file opened for adding at its end, without a buffer; the methods raise OSError."""

    def __init__(self, path: Path, *, new: bool) -> None:
        flags = os.O_WRONLY | os.O_APPEND | getattr(os, "O_BINARY", 0)
        flags |= (os.O_CREAT | os.O_EXCL) if new else 0
        self._file = os.open(path, flags, 0o644)

    def write(self, data: bytes) -> int:
        """Add bytes at the end and return how many went in."""
        return os.write(self._file, data)

    def sync(self) -> None:
        """Return once all of it is on the disk."""
        os.fsync(self._file)

    def cut(self, size: int) -> None:
        """Drop all but the first `size` bytes."""
        os.ftruncate(self._file, size)

    def close(self) -> None:
        """Let go."""
        os.close(self._file)


class Recorder:
    """Writes a recording. What `add` returned from is on the disk.

    After a LiveError the lines that did not fit are in `waiting`; the next `add` (or `add()` with
    nothing new) tries them again, in order.
    """

    def __init__(self, sink: FileSink, name: str, size: int = 0) -> None:
        self._sink = sink
        self._name = escape_controls(name)
        self._size = size
        self.waiting: list[bytes] = []

    def add(self, *entries: Header | Entry) -> None:
        """Record these, the header first. Raises LiveError where the disk is full or gone."""
        self.waiting.extend(write_line(entry) for entry in entries)
        if not self.waiting:
            return
        data = b"".join(self.waiting)
        rest = memoryview(data)
        try:
            while rest:
                rest = rest[self._sink.write(bytes(rest)) :]
            self._sink.sync()
        except OSError as error:
            self.cut()
            words = f"Cannot write to {self._name}: {_reason(error)}; everything before is safe"
            raise LiveError(words, _remedy(error)) from error
        self._size += len(data)
        self.waiting.clear()

    def cut(self) -> None:
        """Cut off what was half written; if even that fails, a reader ignores the cut line."""
        with suppress(OSError):
            self._sink.cut(self._size)

    def close(self) -> None:
        """Let go of the file; lines still waiting are tried once more. Raises LiveError."""
        try:
            self.add()
        finally:
            self._sink.close()


def _reason(error: OSError) -> str:
    return error.strerror or "unknown reason"


def _remedy(error: OSError) -> str:
    if error.errno in (errno.ENOSPC, getattr(errno, "EDQUOT", -1), errno.EFBIG):
        return "Free some room on the disk, then continue: nothing is lost meanwhile"
    return "Check the disk and the folder's permissions, then continue"


def start_recording(path: Path, header: Header) -> Recorder:
    """Begin a new recording. Raises LiveError, also where the file is there already."""
    recorder = Recorder(_open(path, new=True), str(path))
    recorder.add(header)
    return recorder


def resume_recording(path: Path) -> tuple[Recording, Recorder]:
    """Read a recording and resume it; a line that was cut short is dropped. Raises LiveError."""
    if path.is_symlink():
        name = escape_controls(str(path))
        raise LiveError(f"{name} is a link, and links are not followed", "Name a file itself")
    data = _read_bytes(path)
    recording = parse_recording(data, str(path))
    kept = data[: data.rfind(b"\n") + 1] if recording.cut else data
    recorder = Recorder(_open(path, new=False), str(path), len(kept))
    if recording.cut:
        recorder.cut()
    elif not kept.endswith(b"\n"):
        recorder.waiting.append(b"\n")
    return recording, recorder


def _open(path: Path, *, new: bool) -> FileSink:
    name = escape_controls(str(path))
    try:
        return FileSink(path, new=new)
    except FileExistsError as error:
        raise LiveError(f"{name} exists already", "Choose another name, or resume it") from error
    except OSError as error:
        raise LiveError(f"Cannot open {name}: {_reason(error)}", _remedy(error)) from error


def read_recording(path: Path, kind: str = "") -> Recording:
    """Read a recording, of this kind if one is named.

    Raises LiveError if it cannot be read, is damaged or is of another kind.
    """
    recording = parse_recording(_read_bytes(path), str(path))
    found = recording.header.recording
    if kind and found != kind:
        name = escape_controls(str(path))
        raise LiveError(
            f"{name} is a recording of a {found}, not of a {kind}", "Choose another recording"
        )
    return recording


def _read_bytes(path: Path) -> bytes:
    try:
        return read_bytes(path, LARGEST)
    except FileFaultError as fault:
        name = escape_controls(str(path))
        is_large = fault.code == "too-large"
        remedy = "Test the box in several shorter runs" if is_large else fault.remedy
        raise LiveError(f"Cannot read {name}: {fault.message}", remedy) from fault


def parse_recording(data: bytes, name: str) -> Recording:
    """Read a recording's bytes; `name` is the word for it in messages. Raises LiveError."""
    name = escape_controls(name)
    lines = data.split(b"\n")
    if not lines[-1].strip():
        lines.pop()
    entries: list[Entry] = []
    header: Header | None = None
    problems: list[str] = []
    cut = False
    for number, line in enumerate(lines, 1):
        if len(problems) == MOST_PROBLEMS:
            break
        try:
            entry = parse_line(line, is_first=number == 1)
        except NewerError as newer:
            raise LiveError(f"{name} {newer}", "Use a newer Platebook") from None
        except DamageError as damage:
            cut = number == len(lines) > 1 and not data.endswith(b"\n")
            if not cut:
                problems.append(f"line {number}: {damage}")
            continue
        if isinstance(entry, Header):
            header = entry
            continue
        entries.append(entry)
        is_typed = isinstance(entry, Answer) and entry.kind == "typed"
        if is_typed and header is not None and header.recording != "discovery":
            problems.append(f"line {number}: holds typed words, which only a discovery has")
    if header is None and not problems:
        problems = ["line 1: holds no header"]
    if problems or header is None:
        shown = "; ".join(problems[:SHOWN_PROBLEMS])
        more = len(problems) - SHOWN_PROBLEMS
        at_least = "at least " * (len(problems) == MOST_PROBLEMS)
        rest = f"; and {at_least}{more} more" if more > 0 else ""
        raise LiveError(
            f"{name} is damaged: {shown}{rest}",
            "Use an undamaged copy, or test the box again",
        )
    return Recording(header, tuple(entries), cut)
