"""The screen from start to end: the terminal is sane afterwards, and unsaved work is safe."""

import sys
from pathlib import Path

from profiles.tui.app import PlatebookApp
from profiles.tui.recovery import Keeper


def run_screen(folder: Path) -> int:
    """Run the screen on a library's folder; returns the exit code.

    Where the screen fails the toolkit has put the terminal back before this says where unsaved
    work is kept.
    """
    app = PlatebookApp(folder)
    result = app.run()
    kept = Keeper(folder).path
    if app.return_code:
        sys.stderr.write("platebook: the screen has ended by a fault of its own\n")
        if kept.exists():
            sys.stderr.write(
                f"  Unsaved work is kept in {kept.name} and offered by the next `platebook open`.\n"
            )
        return int(app.return_code)
    return result or 0
