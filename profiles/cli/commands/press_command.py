"""`platebook press`: a real box tested, learnt, shown and measured by pressing it."""

import click

from profiles.cli.group import LazyGroup

KNOWN = {
    "measurements": "Show bounce, press times and turns of a recording.",
    "learn": "Write input numbers into the device file by pressing.",
    "list": "List the boxes that are plugged in.",
    "show": "Show large what a control does in an application, or be quizzed.",
    "test": "Ask for every contact and name the wire that is wrong.",
}


@click.group(name="press", cls=LazyGroup, known=KNOWN, module="profiles.cli.press_{}")
def command() -> None:
    """Test, learn, show or measure a real box by pressing it.

    Needs SDL: pip install 'platebook[live]'. A recording (--from) replays without a box.
    """
