"""`platebook open`: the screen on a library."""

import gc
import sys

import click

from profiles.cli.exits import Unusable
from profiles.cli.libraries import find_folder, library_option


@click.command(name="open")
@click.argument("folder", metavar="[LIBRARY]", required=False)
@library_option
def command(folder: str | None, library_option: str | None) -> int:
    """See the plate, bind, and resolve conflicts on the screen of this terminal.

    Nothing is written before you save. F1 on any view tells its keys.
    """
    found = find_folder(library_option if folder is None else folder)
    if not all(one.isatty() for one in (sys.stdin, sys.stdout, sys.stderr)):
        raise Unusable(
            "the screen needs a terminal of its own",
            "Without one use `platebook check`, `suggest`, `print`; all write plain text.",
        )
    gc.enable()  # the command line turns it off, for runs that end at once
    from profiles.tui.run import run_screen

    return run_screen(found)
