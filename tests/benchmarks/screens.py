"""Screens to measure: an empty one of the toolkit's, and ours.

Run as a program with `empty` or a library's folder, it shows that screen without a terminal, ends
at the first paint, and prints the seconds since the time given as the second word, then those of
the processor. With `plate` as the third word it ends when the plate is painted. Ours starts as
`platebook open` does, its parser included.
"""

import gc
import sys
import time
from pathlib import Path
from typing import Any

from textual.app import App, ComposeResult
from textual.widgets import Static


class EmptyApp(App[int]):
    """One line of text that a key changes."""

    BINDINGS = [("right", "count", "Count")]  # noqa: RUF012
    count = 0

    def compose(self) -> ComposeResult:
        """The line."""
        yield Static("0")

    def action_count(self) -> None:
        """Change the line."""
        self.count += 1
        self.query_one(Static).update(str(self.count))


def write_wide_desk(folder: Path, controls: int = 128) -> Path:
    """A library of one device with many controls, and a profile that binds them all."""
    folder.mkdir(parents=True)
    device = ['format = 1\n[device]\nid = "desk"\nname = "Desk"']
    device.append("[plate]\nwidth = 500.0\nheight = 300.0")
    title = ['format = 1\n[application]\nid = "harbour"\nname = "Harbour"']
    profile = ['format = 1\n[profile]\nid = "all"\napplication = "harbour"\ndevice = "desk"']
    profile.append("[bindings]")
    for n in range(controls):
        x, y = 20.0 + 30.0 * (n % 16), 25.0 + 34.0 * (n // 16)
        device.append(
            f'[controls.key-{n}]\nkind = "momentary"\nlabel = "KEY {n}"\nposition = [{x}, {y}]\n'
            f"hole = 16.2\nfront = 18.0\ninput = {n + 1}"
        )
        title.append(f'[actions.act-{n}]\nname = "Act {n}"\nlegend = "ACT {n}"')
        profile.append(f'key-{n} = "act-{n}"')
    for name, lines in (("desk", device), ("title", title), ("profile", profile)):
        (folder / f"{name}.toml").write_text("\n".join([*lines, ""]), "utf-8")
    return folder


def _has_plate(app: App[int]) -> bool:
    return any(rows.row(0) for rows in app.screen.query("PlateRows").results())  # type: ignore[attr-defined]


def _show(app: App[int], started: float, *, plate: bool = False) -> None:
    paint = app._display

    def display(*given: Any) -> None:
        paint(*given)
        if app._running and app.screen.query("*") and (not plate or _has_plate(app)):
            print(time.time() - started, time.process_time())
            app._display = paint  # type: ignore[method-assign]
            app.exit(0)

    app._display = display  # type: ignore[method-assign, assignment]
    app.run(headless=True, size=(120, 40))


if __name__ == "__main__":
    begun = float(sys.argv[2])
    if sys.argv[1] == "empty":
        _show(EmptyApp(), begun)
    else:
        gc.disable()
        import profiles.cli.commands.open_command  # noqa: F401
        from profiles.tui.app import PlatebookApp

        _show(PlatebookApp(Path(sys.argv[1]), watch=False), begun, plate="plate" in sys.argv)
