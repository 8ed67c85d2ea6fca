"""Every option and argument that takes a path, and what is no plain file to give for each.

A pipe would be waited for, a device may have no end or no room, a link may lead elsewhere, and what
is somebody's own is no place for an output. `{}` is where the path is typed, with the end of its
name; a path that is not here fails a test.
"""

import os
import socket
import stat
from collections.abc import Callable, Iterator
from pathlib import Path

import click

from profiles.cli.group import walk_commands
from profiles.sheets.requests import SHEETS

PATHS = ("DIR", "FILE", "PATH", "[LIBRARY]")
"""What the help calls a path that is read as a plain word."""

NO_PATHS = (
    *("APPLICATION", "CODE", "ID", "KIND", "NAME", "NEW", "PART", "PROFILE", "PROFILE..."),
    *("REVISION", "SIZE", "[WORD]...", "3xpush-16,rotary-7", "5x4", "35", "5,-2.5", "220x120"),
    *("MM", "MMxMM", "G/CM3", "PERCENT", "scale", "[pdf]"),
    *("board", "controls", "device", "profile"),
)
"""What the help calls any other word; the name of an argument that it calls nothing."""

READ = {
    "bundle make --recording": "bundle make harbour-desk --recording {}.jsonl",
    "bundle show file": "bundle show {}.zip",
    "bundle unpack file": "bundle unpack {}.zip new",
    "check --against": "check --against {}.txt",
    "convert file": "convert {}.toml --to yaml",
    "handover --recording": "handover desk --format pdf -o new.pdf --recording {}.jsonl",
    "new application --actions": "new application new --actions {}.txt",
    "new device --labels": "new device new --grid 2x1 --labels {}.txt",
    "new profile --from": "new profile new --from {}.txt",
    "press learn --from": "press learn desk --from {}.jsonl",
    "press measurements recording": "press measurements {}.jsonl",
    "press show --from": "press show harbour-desk --quiz --from {}.jsonl",
    "press test --from": "press test desk --from {}.jsonl",
}
"""Files that are read; a link leads to one."""

CHANGED = {
    "convert --into": "convert bindings.csv --csv --into {}.toml",
    "press learn --recording": "press learn desk --recording {}.jsonl",
    "press show --recording": "press show harbour-desk --quiz --recording {}.jsonl",
    "press test --recording": "press test desk --recording {}.jsonl",
    "session --state": "session harbour-desk --state {}.json",
}
"""Files that are read and written; no link is followed to one that is elsewhere."""

WRITTEN = {
    "bundle make --output": "bundle make harbour-desk -o {}.zip",
    "convert --output": "convert libraries/boxes/desk.toml --to yaml -o {}.yaml",
    "handover --output": "handover desk -o {}.html",
    **{f"new {one} --output": f"new {one} new -o {{}}.toml" for one in ("application", "board")},
    **{f"new {one} --output": f"new {one} new -o {{}}.toml" for one in ("device", "part")},
    "new profile --output": "new profile new -o {}.toml",
    "press measurements --svg": "press measurements sound.jsonl --svg {}.svg",
    "press test --report": "press test desk --from sound.jsonl --report {}.pdf",
    "session --sheet": "session harbour-desk --sheet {}.csv",
}
"""Files that are written, and are not there before."""

SHEET_FILES = {
    f"{command} --output": f"{command} --format {form} -o {{}}.{form}"
    for command, form in {
        "compare": "html",
        **dict.fromkeys(("print card", "print comparison", "print parts"), "html"),
        **dict.fromkeys(("print coupon", "print drill", "print legend", "print strip"), "dxf"),
        **dict.fromkeys(("print cut", "print plate", "print wiring"), "svg"),
        "print ruler": "pdf",
    }.items()
}
"""Files that are written; a folder is one to write them into."""

FOLDERS = {
    "bundle unpack folder": "bundle unpack sound.zip {}",
    "changes --labels": "changes libraries/older --labels {}",
    "changes --print": "changes libraries/older --print {}",
    "demo folder": "demo {}",
    "firmware --output": "firmware desk --for avr -o {}",
    "print all folder": "print all {}",
    "schema folder": "schema {}",
}
"""Folders that are written into."""

LIBRARIES = {
    "changes before": "changes {}",
    "check folder": "check {}",
    "open folder": "open {}",
    "new application --of": "new application new --of {}",
    "new profile --of": "new profile new --like harbour-desk --of {}",
}
"""Folders that are read; `--library` is one for every command."""

WORDS_OF = {
    "arrange": "arrange desk --shift 1,0",
    "boards": "boards",
    "bundle make": "bundle make harbour-desk",
    "bundle unpack": "bundle unpack sound.zip libraries/boxes/new",
    "changes": "changes libraries/older",
    "check": "check",
    "compare": "compare",
    "convert": "convert libraries/boxes/bindings.toml --csv",
    "delete": "delete desk --write",
    "firmware": "firmware desk",
    "handover": "handover desk",
    **{f"new {one}": f"new {one} new" for one in ("application", "board", "device", "part")},
    "new profile": "new profile new",
    "open": "open",
    **{f"press {one}": f"press {one} desk" for one in ("learn", "test")},
    "press list": "press list",
    "press measurements": "press measurements sound.jsonl",
    "press show": "press show harbour-desk",
    "print all": "print all new",
    **{f"print {one}": f"print {one}" for one in SHEETS},
    "rename": "rename desk table --write",
    "schema": "schema --verify",
    "session": "session harbour-desk",
    "suggest": "suggest harbour-desk",
    **{f"wiring {one}": f"wiring {one} desk" for one in ("descriptor", "host", "plan", "show")},
    "wiring renumber": "wiring renumber desk",
}
"""How a command is typed that takes `--library`."""

LIBRARIES |= {f"{name} --library": f"{words} --library {{}}" for name, words in WORDS_OF.items()}

TYPED = READ | CHANGED | WRITTEN | SHEET_FILES | FOLDERS | LIBRARIES
"""Every one of them."""


def list_paths() -> Iterator[str]:
    """Every option and argument that takes a path, such as `convert --into`, as the parser has it.

    Raises:
        AssertionError: for a word that is neither a path nor known to be none.
    """
    for name, context in walk_commands():
        for one in context.command.params:
            word = one.metavar or one.name
            is_word = isinstance(one.type, click.types.StringParamType)
            is_word = is_word and not getattr(one, "is_flag", False)
            if isinstance(one.type, click.Path) or (is_word and word in PATHS):
                yield f"{name} {one.opts[0]}"
            elif is_word:
                assert word in NO_PATHS or "|" in word, (name, word)


def make_device(minor: int) -> Callable[[Path], object]:
    """Make a device of the memory driver, as Linux numbers them (its devices.txt, major 1)."""
    return lambda path: os.mknod(path, stat.S_IFCHR | 0o666, os.makedev(1, minor))


def make_socket(path: Path) -> None:
    """Make what a process that listens leaves behind."""
    with socket.socket(socket.AF_UNIX) as one:
        one.bind(str(path))


DEVICES = {"takes anything": 3, "endless": 5, "full": 7}
"""Devices by their number: `null`, `zero` and `full`."""

KINDS: dict[str, Callable[[Path], object]] = {
    "pipe": os.mkfifo,
    **{name: make_device(minor) for name, minor in DEVICES.items()},
    "socket": make_socket,
    "folder": Path.mkdir,
    "theirs": lambda path: path.write_text("theirs\n", "utf-8"),
    "below a file": lambda path: path.parent.write_text("theirs\n", "utf-8"),
    "too long": lambda _: None,
    "link out": lambda path: path.symlink_to(f"../outside/sound{path.suffix}"),
    "link to a pipe": lambda path: path.symlink_to("../outside/pipe"),
    "link to nothing": lambda path: path.symlink_to("../outside/missing"),
    "link in a circle": lambda path: path.symlink_to(path.name),
    "link to the output": lambda path: path.symlink_to("/proc/self/fd/1"),
}
"""What is put in a file's place, by how it is made there."""

TAKEN = {
    **dict.fromkeys(READ, ("link out", "link to the output", "theirs")),
    **dict.fromkeys(CHANGED, ("theirs",)),
    **dict.fromkeys(SHEET_FILES | FOLDERS | LIBRARIES, ("folder",)),
    "demo folder": ("folder", "link to the output"),
}
"""What is used as anything else of its kind, or refused for what is in it."""


TELLS_FIRST = ("changes --labels", "changes --print")
"""What says what there is to do before it prints any of it."""

NEEDS_BOX = ("press learn --recording", "press show --recording", "press test --recording")
NO_BOX = "no box that is plugged in"
"""What says this where the file is not there yet: it is made once there is something to record."""


def name_of(kind: str, end: str) -> Path:
    """The path to type for a special file."""
    length = 300 if kind == "too long" else 0
    return Path("below" if kind == "below a file" else "", f"special{end}".rjust(length, "x"))


def read_all(folder: Path) -> dict[str, tuple[int, int, bytes]]:
    """Every entry of a folder: its kind, its number if it is a device, its content or its target.

    What is only made for its folder to be there is passed over.
    """
    found = {}
    for path in folder.rglob("*"):
        mode = path.lstat().st_mode
        data = b""
        if stat.S_ISREG(mode):
            data = path.read_bytes()
        elif stat.S_ISLNK(mode):
            data = os.fsencode(path.readlink())
        found[str(path.relative_to(folder))] = (stat.S_IFMT(mode), path.lstat().st_rdev, data)
    return found
