"""What to do on the screen, in place of the options and commands that rooms below name."""

import re
from collections.abc import Mapping

OPTION = re.compile(r"(?<![\w`-])--([a-z][a-z-]*)")

COMMANDS = {
    r"`platebook check[^`]*`": "the Findings view (2)",
    r"`platebook boards`": "the form of its wiring (Ctrl+E)",
    r"`platebook new [^`]*`": "Ctrl+N",
    r"`platebook firmware[^`]*`": "Firmware under Find (:)",
    r"`platebook press test[^`]*`": "t in the Press view (7)",
    r"--json lists all": "n in the matrix goes through all of them",
    r"--every lists all": "the list beside the plate has all",
}
"""A command, or what an option does, and what does the same on the screen."""

PLAN = {
    "rewire": "`r` when you plan (W)",
    "renumber": "`n` when you plan (W)",
}
"""The ways to plan a wiring, by their options."""


def say_here(words: str, options: Mapping[str, str] | None = None) -> str:
    """A sentence as it is true on the screen.

    An option is the question or setting of its own name, unless `options` has something else.
    """
    if "`platebook " not in words and "--" not in words:
        return words
    for command, here in COMMANDS.items():
        words = re.sub(command, here, words)
    return OPTION.sub(lambda match: (options or {}).get(match[1], f"`{match[1]}`"), words)
