"""The Sheets view on a plain install, with every setting typed, and over files of other people."""

import sys
from pathlib import Path

import pytest
from textual.pilot import Pilot

from profiles.sheets.options import options_of
from profiles.sheets.requests import SHEETS
from profiles.tui.app import PlatebookApp
from profiles.tui.dialogs import Ask, Decide, Read
from profiles.tui.frame import Listing
from tests.tui.desks import opened, press, seen

EXTRAS = ("manifold3d", "numpy", "pypdfium2", "sdl2")


async def mark_sheet(app: PlatebookApp, pilot: Pilot[int], sheet: str) -> None:
    app.screen.query_one("#sheet-list", Listing).highlighted = list(SHEETS).index(sheet)
    await press(app, pilot)


async def type_setting(app: PlatebookApp, pilot: Pilot[int], name: str, words: str) -> None:
    """Mark the setting of this name, press Enter, type, press Enter."""
    listed = app.screen.query_one("#setting-list", Listing)
    lines = [str(listed.get_option_at_index(at).prompt) for at in range(listed.option_count)]
    listed.highlighted = next(at for at, line in enumerate(lines) if line.startswith(f"{name}: "))
    listed.focus()
    await press(app, pilot, "enter")
    assert isinstance(app.screen, Ask)
    app.screen.query_one("#field-0").value = words  # type: ignore[attr-defined]
    await press(app, pilot, "enter")


async def write_to(app: PlatebookApp, pilot: Pilot[int], target: Path) -> str:
    """Write the sheet there; what the screen then says."""
    await press(app, pilot, "w")
    app.screen.query_one("#field-0").value = f"{target}/"  # type: ignore[attr-defined]
    await press(app, pilot, "enter")
    await app.workers.wait_for_complete()
    await press(app, pilot)
    text = " ".join(seen(app).split())
    if isinstance(app.screen, Read):
        await press(app, pilot, "escape")
    return text


async def test_a_plain_install_prints_every_sheet_or_says_what_to_install(
    folder: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    for name in EXTRAS:
        monkeypatch.setitem(sys.modules, name, None)
    async with opened(folder, (250, 40)) as (app, pilot):
        await press(app, pilot, "4")
        for sheet, kind in SHEETS.items():
            await mark_sheet(app, pilot, sheet)
            said = await write_to(app, pilot, tmp_path / sheet)
            if kind.formats[0] == "stl":
                assert "A 3D model needs `manifold3d` and `numpy`" in said
                assert f"{sys.executable} -m pip install manifold3d numpy" in said
                assert not (tmp_path / sheet).exists()
            else:
                (path,) = (tmp_path / sheet).iterdir()
                begins = {"pdf": b"%PDF-", "dxf": b"999\nMade by Platebook"}
                assert path.read_bytes().startswith(begins[kind.formats[0]])
        assert app.return_code in (None, 0)


@pytest.mark.long
async def test_every_number_can_be_typed_and_is_held_to_its_range(folder: Path) -> None:
    async with opened(folder, (120, 40)) as (app, pilot):
        await press(app, pilot, "4")
        for sheet, kind in SHEETS.items():
            await mark_sheet(app, pilot, sheet)
            for name, option in options_of(kind).items():
                if option.is_flag or option.choices:
                    continue
                pair = "x100" if option.is_pair else ""
                await type_setting(app, pilot, name, f"{option.greatest + 1:g}{pair}")
                refusal = f"{name} must be {option.range}, not `{option.greatest + 1:g}{pair}`"
                assert f"{refusal[0].upper()}{refusal[1:]}; empty" in " ".join(seen(app).split())
                await press(app, pilot, "escape")
                await type_setting(app, pilot, name, f"{option.greatest:g}{pair}")
                assert f"{name}: {option.greatest:g}{pair}" in seen(app)
                await type_setting(app, pilot, name, "")
                assert "cannot be drawn" not in seen(app)


async def test_a_coupon_takes_nothing_below_the_size(folder: Path, tmp_path: Path) -> None:
    async with opened(folder, (120, 40)) as (app, pilot):
        await press(app, pilot, "4")
        await mark_sheet(app, pilot, "coupon")
        await type_setting(app, pilot, "below", "0")
        assert "below: 0 mm" in seen(app)
        await write_to(app, pilot, tmp_path / "out")
        assert [path.name for path in (tmp_path / "out").iterdir()] == ["desk-coupon-below-0.pdf"]


async def test_a_sheet_asks_before_it_replaces_what_platebook_did_not_make(
    folder: Path, tmp_path: Path
) -> None:
    async with opened(folder, (120, 40)) as (app, pilot):
        await press(app, pilot, "4")
        await mark_sheet(app, pilot, "drill")
        mine = tmp_path / "out" / "desk-drill.pdf"
        mine.parent.mkdir()
        mine.write_bytes(b"mine")
        said = await write_to(app, pilot, mine.parent)
        assert "is there already, and was not made by Platebook" in said
        assert isinstance(app.screen, Decide)
        await press(app, pilot, "escape")
        assert mine.read_bytes() == b"mine"
        await write_to(app, pilot, mine.parent)
        await press(app, pilot, "r")
        await app.workers.wait_for_complete()
        await press(app, pilot)
        assert mine.read_bytes().startswith(b"%PDF-")


async def test_the_profiles_of_a_sheet_can_all_be_taken_off(folder: Path) -> None:
    async with opened(folder, (120, 40)) as (app, pilot):
        await press(app, pilot, "4")
        assert "profiles: " in seen(app)
        await press(app, pilot, "t", "enter")
        assert "profiles: none" in seen(app)
