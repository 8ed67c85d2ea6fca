"""The screen from start to end: the terminal is sane afterwards, and unsaved work is safe."""

import sys
from pathlib import Path

from profiles.tui.app import PlatebookApp


def run_screen(folder: Path) -> int:
    """Run the screen on a library's folder; returns the exit code.

    Raises:
        Exception: a fault of the screen's own. The terminal is back in order by then, and where
            unsaved work is kept has been said.
    """
    app = PlatebookApp(folder)
    result = app.run()
    if app.fault is None:
        return result or int(app.return_code or 0)
    from profiles.work.recovery import Keeper

    kept = Keeper(folder).path
    sys.stderr.write("platebook: the screen has ended by a fault of its own\n")
    if kept.exists():
        sys.stderr.write(
            f"  Unsaved work is kept in {kept.name} and offered by the next `platebook open`.\n"
        )
    raise app.fault
