"""The commands of the command line, each imported only when it is called.

`--help` and `--version` read no library and load no command that they do not name.
"""

import importlib
from collections.abc import Iterable, Iterator, Mapping
from typing import Any

import click

COMMANDS: dict[str, str] = {
    "arrange": "Align, spread, mirror or shift controls on the plate.",
    "boards": "List boards, their pins and which are free.",
    "bundle": "Carry profiles with all they need in one file.",
    "changes": "Say what a change asks you to do and print again.",
    "check": "Find what clashes, is missing or cannot work.",
    "compare": "Compare what each control does in each application.",
    "convert": "Rewrite a file as TOML, YAML, JSON or CSV.",
    "delete": "Delete a document, told what names it.",
    "demo": "Copy the bundled library, check it and print its sheets.",
    "explain": "Explain a code, a word, a key, a command or an option.",
    "firmware": "Write the firmware of a device.",
    "handover": "Make a page or booklet for somebody who did not build the box.",
    "new": "Start a device, application, profile, board or part file.",
    "open": "Make boxes, bind and fix findings on the screen.",
    "press": "Test, learn or show a real box by pressing it.",
    "print": "Print sheets true to scale.",
    "rename": "Change the id of a document wherever it is named.",
    "schema": "Write the JSON Schemas of the file formats.",
    "session": "Bind in the application itself, step by step.",
    "suggest": "Propose controls for actions left unbound.",
    "wiring": "Show matrix, pins, ghosting, power, timing and host.",
}
"""Every command with its one line of help; the module of the same name holds it."""


class WholeGroup(click.Group):
    """A group that lists its commands with the first sentence of each, never cut."""

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        """List the commands; a line that is too long goes on below."""
        names = self.list_commands(ctx)
        found = [(name, self.get_command(ctx, name)) for name in names]
        rows = [(name, one.get_short_help_str(limit=500)) for name, one in found if one]
        with formatter.section("Commands"):
            formatter.write_dl(rows)


class LazyGroup(click.Group):
    """A group that imports a command only when it is called or its own help is asked.

    `known` has the line of help of each command, `module` the name of its module with `{}` in it.
    """

    def __init__(self, *given: Any, known: Mapping[str, str], module: str, **named: Any) -> None:
        super().__init__(*given, **named)
        self._known, self._module = known, module

    def list_commands(self, ctx: click.Context) -> list[str]:
        """Names of the commands, in alphabetical order."""
        return sorted(self._known)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        """Import and return the command, or None where there is none of this name."""
        if cmd_name not in self._known:
            return None
        command: click.Command = importlib.import_module(self._module.format(cmd_name)).command
        return command

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        """List the commands, importing none."""
        with formatter.section("Commands"):
            formatter.write_dl(sorted(self._known.items()))

    def resolve_command(
        self, ctx: click.Context, args: list[str]
    ) -> tuple[str | None, click.Command | None, list[str]]:
        """Find the command; one that is none is answered with what it means."""
        try:
            return super().resolve_command(ctx, args)
        except click.UsageError as error:
            from profiles.cli.meant import unknown_command

            raise click.UsageError(unknown_command(ctx, self, args[0]), ctx) from error


def _show_version(ctx: click.Context, _param: click.Parameter, wanted: bool) -> None:
    if not wanted or ctx.resilient_parsing:
        return
    from profiles.text.version import find_version

    click.echo(f"platebook {find_version()}")
    ctx.exit()


@click.group(
    cls=LazyGroup,
    known=COMMANDS,
    module="profiles.cli.commands.{}_command",
    context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 100},
)
@click.option(
    "--version",
    is_flag=True,
    is_eager=True,
    expose_value=False,
    callback=_show_version,
    help="Show the version and stop.",
)
def platebook() -> None:
    """Describe, check, print and test your own input boxes from plain files."""


def walk_commands(
    above: click.Context | None = None, names: Iterable[str] | None = None
) -> Iterator[tuple[str, click.Context]]:
    """Every command by its words, such as `print legend`, with its context; imports them all, or
    of the first ones those of `names`."""
    context = above or click.Context(platebook, info_name="platebook", **platebook.context_settings)
    group = context.command
    if isinstance(group, click.Group):
        for name in group.list_commands(context) if names is None else names:
            inner = group.get_command(context, name)
            if inner is not None:
                found = click.Context(inner, parent=context, info_name=name)
                yield found.command_path.removeprefix("platebook "), found
                yield from walk_commands(found)
