"""Forty profiles on one device: what the screen shows for each is that profile's own."""

import random
from pathlib import Path

import pytest

from profiles.checks.registry import run_checks
from profiles.files.library import load_library
from profiles.model import SETTINGS_NAME, Finding
from profiles.tui.session import Session
from profiles.work.edits import bind
from profiles.work.judge import check_alone
from tests.tui.desks import flat, opened, press, said, seen
from tests.work.libraries import FILES, write_desk

PROFILES = 40
KEYS = ("horn", "bell", "spare", "lamp", "trim.press", "mode.position-1", "horn + bell")
ACTIONS = ("sound-horn", "ring-bell", "take-job", "drop-anchor", "deck-light", "sound-hron")


def write_many(folder: Path) -> Path:
    """A library of one desk and forty profiles, each with faults of its own."""
    write_desk(folder)
    for name in ("bindings", "tram-bindings"):
        (folder / f"{name}.toml").unlink()
    chance = random.Random(40)
    for number in range(PROFILES):
        chord = f'"{chance.choice(KEYS[:3])} + {chance.choice(KEYS[3:6])}"'
        keys = [*chance.sample(KEYS[:6], chance.randint(1, 5)), chord]
        lines = [f'{key if "+" in key else repr(key)} = "{chance.choice(ACTIONS)}"' for key in keys]
        (folder / f"p{number:02}.toml").write_text(
            f'format = 1\n[profile]\nid = "p{number:02}"\nname = "P {number}"\n'
            'application = "harbour"\ndevice = "desk"\n[bindings]\n' + "\n".join(lines) + "\n",
            "utf-8",
        )
    return folder


def checked_alone(folder: Path, profile: str, place: Path) -> tuple[Finding, ...]:
    """What the checks find in a library that holds this profile and no other."""
    place.mkdir()
    for name in ("desk", "harbour", profile):
        (place / f"{name}.toml").write_bytes((folder / f"{name}.toml").read_bytes())
    return run_checks(load_library(place).library).findings


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return write_many(tmp_path / "library")


def test_each_of_forty_profiles_shows_its_own_findings(folder: Path, tmp_path: Path) -> None:
    session = Session(load_library(folder))
    session.take_library_result(session.library, run_checks(session.library))
    told = 0
    for number in range(PROFILES):
        name = f"p{number:02}"
        session.choose_profile(name)
        assert session.findings == (), "those of the profile before"
        session.take_result(name, "desk", check_alone(session.library, name, "desk"))
        alone = checked_alone(folder, name, tmp_path / name)
        assert session.findings == alone
        about = {finding for facts in session.view.facts.values() for finding in facts.findings}
        assert about <= set(alone)
        told += len(alone)
    assert told > 2 * PROFILES
    assert len(session.library_findings) > told / 2


async def test_the_heading_counts_the_profile_and_names_the_count_of_the_library(
    folder: Path, tmp_path: Path
) -> None:
    alone = {name: checked_alone(folder, name, tmp_path / name) for name in ("p00", "p01")}
    whole = run_checks(load_library(folder).library).findings
    async with opened(folder, (160, 40)) as (app, pilot):
        for name, findings in alone.items():
            app.session.choose_profile(name)
            app.after_change()
            await press(app, pilot, "1")
            counts = [
                sum(one.severity == word for one in findings) for word in ("error", "warning")
            ]
            heading = said(app, "#heading")
            assert f"{counts[0]} error" in heading
            assert f"{counts[1]} warning" in heading
            errors = sum(one.severity == "error" for one in whole)
            assert f"library library: {errors} errors" in heading


async def test_the_list_shows_the_library_or_the_profile_and_names_which(
    folder: Path, tmp_path: Path
) -> None:
    alone = checked_alone(folder, "p00", tmp_path / "p00")
    whole = run_checks(load_library(folder).library).findings
    async with opened(folder, (120, 40)) as (app, pilot):
        await press(app, pilot, "2")
        assert said(app, "#filter-said").startswith(f"Library: {len(whole)} findings, ")
        await press(app, pilot, "m")
        words = f"{len(alone)} finding{'s' * (len(alone) != 1)}: all severities, this profile"
        assert words in said(app, "#filter-said")


def test_an_acceptance_for_another_profile_is_no_finding_of_this_one(folder: Path) -> None:
    (folder / SETTINGS_NAME).write_text(
        'format = 1\n[[accept]]\ncode = "must-unbound"\nsubject = "p01 drop-anchor"\nreason = "r"\n'
    )
    library = load_library(folder).library
    found = check_alone(library, "p00", "desk").findings
    assert "acceptance-unmatched" not in {one.code for one in found}


async def test_a_contact_that_a_chord_holds_is_not_called_free(tmp_path: Path) -> None:
    folder = write_desk(tmp_path / "library")
    path = folder / "bindings.toml"
    path.write_text(FILES["bindings"] + '"trim.press + horn" = "take-job"\n', "utf-8")
    async with opened(folder, (120, 40)) as (app, pilot):
        app.session.select("trim", "press")
        app.show_all()
        await press(app, pilot, "1")
        assert app.session.view.facts["trim"].badge == "<+>"
        panel = said(app, "#plate-panel")
        assert "held for HORN: Take the job" in panel
        assert "press, input 7 nothing bound" not in panel
        assert "+JOB" in flat(seen(app))


async def test_another_profile_is_checked_when_it_is_chosen(folder: Path, tmp_path: Path) -> None:
    alone = checked_alone(folder, "p07", tmp_path / "p07")
    async with opened(folder) as (app, pilot):
        await press(app, pilot, "p", "p", "0", "7", "enter")
        assert app.session.profile_id == "p07"
        assert app.session.findings == alone


async def test_an_edit_shows_its_own_findings_again(folder: Path) -> None:
    async with opened(folder) as (app, pilot):
        app.session.select("horn")
        link, slot = app.session.binds, app.session.slot
        assert slot is not None
        app.apply(bind(link, slot, "take-job", beside=True))
        await press(app, pilot, "1")
        session = app.session
        assert session.findings == check_alone(session.library, "p00", "desk").findings
