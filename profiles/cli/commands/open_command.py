"""`platebook open`: the screen on a library."""

import gc
import os
import sys
from pathlib import Path

import click

from profiles.cli.exits import Unusable
from profiles.cli.libraries import find_folder, library_option
from profiles.text.install import pip_command


@click.command(name="open")
@click.argument("folder", metavar="[LIBRARY]", required=False)
@library_option
@click.option(
    "--web",
    "is_served",
    is_flag=True,
    help="Serve the screen to a browser of this machine instead (extra `web`).",
)
@click.option(
    "--port",
    metavar="PORT",
    type=click.IntRange(1024, 65535),
    help="With --web: the port on 127.0.0.1.  [default: a free one]",
)
def command(
    folder: str | None, library_option: str | None, is_served: bool, port: int | None
) -> int:
    """Make boxes, bind, and resolve conflicts on the screen of this terminal.

    Nothing is written before you save. F1 on any view tells its keys.
    """
    if port is not None and not is_served:
        raise click.UsageError("--port goes with --web")
    found = find_folder(library_option if folder is None else folder)
    if is_served:
        return _serve(found, port or 0)
    is_served = "TEXTUAL_DRIVER" in os.environ  # the screen of `--web`, in its own process
    streams = (sys.stdin, sys.stdout, sys.stderr)
    if not is_served and not all(one is not None and one.isatty() for one in streams):
        raise Unusable(
            "the screen needs a terminal of its own",
            "Without one use `platebook check`, `suggest`, `print`; all write plain text.",
        )
    from profiles.tui.run import run_screen

    return run_screen(found)


def _serve(folder: Path, port: int) -> int:
    """Serve the screen to this machine's browser until Ctrl+C."""
    try:
        from profiles.tui.serving import serve_screen
    except ModuleNotFoundError as error:
        if (error.name or "").partition(".")[0] not in ("textual_serve", "aiohttp"):
            raise
        raise Unusable(
            "`open --web` needs a package that is not installed",
            f"Install it: {pip_command('textual-serve')}",
        ) from None
    gc.enable()  # the command line turns it off, for runs that end at once
    try:
        return serve_screen(folder, port)
    except OSError as error:
        raise Unusable(
            f"port {port} cannot be used: {error.strerror}", "Name another port, or none."
        ) from None
