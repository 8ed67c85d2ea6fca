"""Pictures of the screen as SVG, made by the screen itself on the bundled library.

    python -m tests.tui.pictures docs/pictures

Each picture is what a person sees after pressing some keys. The files ask no font of any host.
"""

import asyncio
import re
import sys
from collections.abc import Sequence
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

import pytest
from textual.app import App
from textual.pilot import Pilot

from profiles.files.bundled import copy_bundled
from profiles.tui.app import PlatebookApp

SIZE = (120, 36)
"""Columns and rows of every picture."""

PICTURES: dict[str, tuple[str, ...]] = {
    "plate": ("right", "right", "down", "down"),
    "binding": ("down", "enter", "w", "h", "e", "e", "l"),
    "findings": ("x", "down", "x", "right", "x", "2"),
    "compare": ("3", "down", "down", "right"),
    "sheets": ("4",),
    "wiring": ("5", "h"),
    "device": ("6", "down", "down", "m", "right", "right"),
}
"""Each picture's name, and the keys that lead to it."""

LARGE_AND_SMALL = {"small": (80, 24), "vast": (200, 60)}
"""Pictures of the plate at other sizes."""

OTHER_LOOKS = {"paper": "paper", "contrast": "high contrast", "plain": "night bridge"}
"""Pictures of the plate in other looks; `plain` is without colour."""

LEFT_OUT = re.compile(
    r"@font-face\s*\{[^}]*\}|<!--.*?-->|<g transform=\"translate\(26,22\)\">.*?</g>", re.DOTALL
)
"""Fonts of other hosts, remarks, and the buttons of a window that is none."""


def make_pictures(
    folder: Path, names: Sequence[str] = (*PICTURES, *LARGE_AND_SMALL, *OTHER_LOOKS)
) -> list[Path]:
    """Write the pictures and return their paths."""
    folder.mkdir(parents=True, exist_ok=True)
    return [_make(folder, name) for name in names]


def _make(folder: Path, name: str) -> Path:
    path = folder / f"{name}.svg"
    with TemporaryDirectory() as place:
        examples = Path(place) / "examples"
        copy_bundled("example_profiles", examples)
        with pytest.MonkeyPatch.context() as patch:
            patch.setenv("PLATEBOOK_CONFIG", "")
            if name == "plain":
                patch.setenv("NO_COLOR", "1")
            keys = PICTURES.get(name, PICTURES["plate"])
            size, look = LARGE_AND_SMALL.get(name, SIZE), OTHER_LOOKS.get(name, "night bridge")
            picture = asyncio.run(_take(examples / "harbour", keys, size, look))
        path.write_text(picture, "utf-8")
    return path


async def _take(library: Path, keys: Sequence[str], size: tuple[int, int], look: str) -> str:
    app = PlatebookApp(library, watch=False)
    async with app.run_test(size=size) as pilot:
        await wait_until_still(app, pilot)
        app.theme = look
        for key in keys:
            await pilot.press(key)
            await wait_until_still(app, pilot)
        return LEFT_OUT.sub("", app.export_screenshot(title="platebook open"))


async def wait_until_still(app: App[Any], pilot: Pilot[Any]) -> None:
    """Wait until no work goes on and everything is painted."""
    still = 0
    while still < 2:
        await pilot.pause()
        busy = [one for one in app.workers if one.is_running]
        still = 0 if busy or not getattr(app, "_loaded", True) else still + 1
        await asyncio.gather(*(one.wait() for one in busy), return_exceptions=True)


def main() -> None:
    """Write all pictures into the folder named, and say where they went."""
    if len(sys.argv) != 2:
        sys.stderr.write("usage: python -m profiles.tui.pictures FOLDER\n")
        sys.exit(2)
    for path in make_pictures(Path(sys.argv[1])):
        sys.stdout.write(f"{path}\n")


if __name__ == "__main__":
    main()
