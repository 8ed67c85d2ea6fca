"""Which command a word means that is none: its own word of the trade, or a part of a command."""

from collections.abc import Iterable, Mapping

import click

from profiles.text.inert import escape_controls
from profiles.text.prose import join_words
from profiles.text.suggest import closest

MEANT: Mapping[str, tuple[str, ...]] = {
    word: commands
    for words, commands in {
        "label labels lettering inscription": ("print strip", "print legend"),
        "faceplate panel overlay": ("print legend", "print plate"),
        "template holes drilling": ("print drill",),
        "cutout engrave engraving laser": ("print cut",),
        "3d stl 3mf nozzle": ("print plate",),
        "calibrate printer": ("print ruler",),
        "bom bill shopping order": ("print parts",),
        "manual reference": ("print card",),
        "pdf svg dxf sheet sheets draw page poster paper": ("print",),
        "try testing quiz practice verify-box": ("press test",),
        "record detect listen identify bought": ("press learn",),
        "pins pinout pin": ("boards", "wiring show"),
        "matrix diodes crossings": ("wiring plan", "wiring show"),
        "usb hid": ("wiring descriptor", "wiring host"),
        "lint validate verify errors problems findings": ("check",),
        "fix repair correct": ("check --fix",),
        "gui ui tui screen edit editor window": ("open",),
        "export import csv spreadsheet yaml json toml": ("convert",),
        "build compile flash upload sketch code program": ("firmware",),
        "init create start add make": ("new",),
        "box controls": ("new device",),
        "actions game simulator": ("new application",),
        "bind map assign propose bindings": ("suggest",),
        "align layout position move spread grid mirror": ("arrange",),
        "diff": ("compare",),
        "id mv": ("rename",),
        "remove rm erase": ("delete",),
        "docs doc describe what why man glossary": ("explain",),
        "example examples sample tutorial": ("demo",),
        "help": ("--help",),
        "version": ("--version",),
    }.items()
    for word in words.split()
}
"""Everyday words and those of the trade, with the commands that do what they say."""

BELOW: Mapping[str, tuple[str, ...]] = {
    "bundle": ("make", "show", "unpack"),
    "new": ("application", "board", "device", "part", "profile"),
    "press": ("learn", "list", "measurements", "show", "test"),
    "print": (
        *("all", "card", "comparison", "coupon", "cut", "drill"),
        *("legend", "parts", "plate", "ruler", "strip", "wiring"),
    ),
    "wiring": ("descriptor", "host", "plan", "renumber", "show"),
}
"""Names of the commands below a command, for those who want no more and should import none."""


def unknown_command(context: click.Context, group: click.Group, word: str) -> str:
    """That a group has no such command, with the one close spelling or what the word means."""
    root = context.find_root().command
    is_root = group is root or not isinstance(root, click.Group)
    near = closest(word, group.list_commands(context))
    meant: Iterable[str] = [near] if near else []
    if not near and is_root:
        meant = [f"platebook {part}" for part in _find_parts(context, group, word)]
    elif not near:
        own = f"{context.info_name} "
        named = MEANT.get(word.casefold(), ())
        meant = [one.removeprefix(own) for one in named if one.startswith(own)]
        meant = meant or [f"platebook {one}" for one in named]
    hint = join_words([f"`{one}`" for one in meant], last="or")
    return f"no command `{escape_controls(word)}`" + (f"; did you mean {hint}?" if hint else "")


def _find_parts(context: click.Context, group: click.Group, word: str) -> list[str]:
    """Return the commands below a group's own that have this name, or what it means."""
    below = {
        f"{name} {part}": part
        for name in group.list_commands(context)
        for part in BELOW.get(name, ())
    }
    folded = word.casefold()
    found = [whole for whole, part in below.items() if part == folded]
    if found or folded in MEANT:
        return found or list(MEANT[folded])
    near = closest(word, below.values())
    return [whole for whole, part in below.items() if part == near]
