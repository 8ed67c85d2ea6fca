"""`platebook press`: a real box tested, learnt, shown and measured by pressing it."""

import importlib

import click

WAYS: dict[str, tuple[str, str]] = {
    "measurements": ("press_measuring", "Bounce, press times and turns of a recording."),
    "learn": ("press_learning", "Write input numbers into the device file by pressing."),
    "list": ("press_listing", "List the boxes that are plugged in."),
    "show": ("press_showing", "Show large what a control does in an application, or be quizzed."),
    "test": ("press_testing", "Ask for every contact and name the wire that is wrong."),
}
"""Module and line of help of each."""


class LazyPress(click.Group):
    """Imports one way of pressing when it is called."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        """Their names, in alphabetical order."""
        return sorted(WAYS)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        """The command of this name, or None."""
        if cmd_name not in WAYS:
            return None
        module = importlib.import_module(f"profiles.cli.{WAYS[cmd_name][0]}")
        found: click.Command = module.command
        return found

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        """List them without importing any."""
        with formatter.section("Commands"):
            formatter.write_dl([(name, line) for name, (_, line) in sorted(WAYS.items())])


@click.group(name="press", cls=LazyPress)
def command() -> None:
    """Test, learn, show or measure a real box by pressing it.

    Needs SDL: pip install 'platebook[live]'. A recording (--from) replays without a box.
    """
