"""`platebook press`: a real box tested, learnt, shown and measured by pressing it."""

import click

from profiles.cli.group import LazyGroup
from profiles.text.install import SDL, pip_command

KNOWN = {
    "measurements": "Show bounce, press times and turns of a recording.",
    "learn": "Write input numbers, or the file of a new box, by pressing.",
    "list": "List the boxes that are plugged in.",
    "show": "Show large what a control does in an application, or be quizzed.",
    "test": "Ask for every contact and name the wire that is wrong.",
}


HELP = f"""Test, learn, show or measure a real box by pressing it.

A recording (--from) replays without a box. Reading a box needs SDL, which is installed by:

\b
  {pip_command(*SDL)}
"""


@click.group(name="press", cls=LazyGroup, known=KNOWN, module="profiles.cli.press_{}", help=HELP)
def command() -> None:
    """Test, learn, show or measure a real box by pressing it."""
