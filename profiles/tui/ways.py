"""What to do on the screen, in place of the options and commands that rooms below name."""

import re
from collections.abc import Mapping

OPTION = re.compile(r"(?<![\w`-])--([a-z][a-z-]*)")

COMMANDS = {
    "`platebook check` names": "the Findings view (2) names",
    "`platebook boards` lists": "the form of its wiring (Ctrl+E) lists",
}
"""The command of a sentence with its verb, and what does the same on the screen."""

PLAN = {
    "rewire": "`r` when you plan (W)",
    "renumber": "`n` when you plan (W)",
}
"""The ways to plan a wiring, by their options."""


def say_here(words: str, options: Mapping[str, str] | None = None) -> str:
    """A sentence as it is true on the screen.

    An option is the question or setting of its own name, unless `options` has something else.
    """
    for command, here in COMMANDS.items():
        words = words.replace(command, here)
    return OPTION.sub(lambda match: (options or {}).get(match[1], f"`{match[1]}`"), words)
