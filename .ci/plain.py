"""Print every sheet in every format and go through the screen, where no extra is installed.

Whatever needs an extra must say so and end with 2; all else must be made. Run by `.ci/plain`.
"""

import asyncio
import importlib.util
import subprocess
import sys
import tempfile
from pathlib import Path

from profiles.files.bundled import copy_bundled
from profiles.sheets.requests import SHEETS
from profiles.tui.app import PlatebookApp
from profiles.tui.dialogs import Dialog
from profiles.tui.frame import VIEWS, Line, Listing

NEEDS = {"stl": "manifold3d numpy", "3mf": "manifold3d numpy", "png": "pypdfium2"}
"""What each format needs that a plain install does not have."""


def print_everything(library: Path, folder: Path) -> int:
    """Every sheet in every format, by the command line; how many were made or refused plainly."""
    count = 0
    for name, kind in SHEETS.items():
        subject = ["--profile", "brackwater-bridge"] if kind.takes[1] else ["--device", "helm-desk"]
        for form in kind.formats:
            words = ["print", name, "--library", library, *subject, "--format", form]
            run = subprocess.run(
                [sys.executable, "-m", "profiles", *words, "-o", f"{folder}/{name}-{form}/"],
                capture_output=True,
                text=True,
                check=False,
            )
            if form in NEEDS:
                said = f"Install it: {sys.executable} -m pip install {NEEDS[form]}\n"
                assert (run.returncode, run.stdout) == (2, ""), (name, form, run)
                assert run.stderr.endswith(said), (name, form, run)
            else:
                assert run.returncode == 0, (name, form, run)
                assert all(Path(line).stat().st_size for line in run.stdout.splitlines()), run
            count += 1
    return count


async def see_everything(library: Path, folder: Path) -> int:
    """Every view of the screen, and every sheet written from it in its default format."""
    app = PlatebookApp(library, watch=False)
    async with app.run_test(size=(200, 50)) as pilot:

        async def press(*keys: str) -> None:
            for key in keys:
                await pilot.press(key)
            await app.workers.wait_for_complete()
            await pilot.pause()

        await press()
        for number in range(1, len(VIEWS) + 1):
            await press(str(number))
        await press("4")
        for number, (name, kind) in enumerate(SHEETS.items()):
            app.screen.query_one("#sheet-list", Listing).highlighted = number
            await press("w")
            app.screen.query_one("#field-0").value = f"{folder}/{name}/"
            await press("enter")
            await press()
            made = list((folder / name).iterdir()) if (folder / name).exists() else []
            assert bool(made) == (kind.formats[0] not in NEEDS), (name, made)
            while isinstance(app.screen, Dialog):
                await press("escape")
            if not made:
                said = "\n".join(str(line.render()) for line in app.screen.query(Line))
                assert NEEDS[kind.formats[0]] in said, said
    assert not app.return_code, app.return_code
    return len(SHEETS)


def main() -> None:
    """Prove that it is a plain install, then print and see everything."""
    for name in {package for needed in NEEDS.values() for package in needed.split()}:
        assert importlib.util.find_spec(name) is None, f"{name} is installed"
    with tempfile.TemporaryDirectory() as place:
        library = copy_bundled("example_profiles", Path(place) / "examples") / "harbour"
        printed = print_everything(library, Path(place) / "printed")
        seen = asyncio.run(see_everything(library, Path(place) / "seen"))
    print(f"{printed} sheets and formats printed or refused plainly; {seen} written on the screen")


if __name__ == "__main__":
    main()
