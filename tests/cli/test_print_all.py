"""`platebook print all`: every sheet into a folder, and only what changed."""

import json
from pathlib import Path

import pytest

from profiles.sheets.requests import SHEETS
from tests.cli.conftest import EXAMPLES, Run, edit


def test_every_sheet_of_every_device_and_profile_is_printed(platebook: Run, library: Path) -> None:
    ran = platebook("print", "all", "out", "--library", library, "--no-date")
    names = sorted(path.name for path in Path("out").iterdir())
    assert ran.code == 0
    assert names == [
        "desk-comparison.pdf",
        "desk-coupon.pdf",
        "desk-drill.pdf",
        "desk-harbour-desk-cut.svg",
        "desk-harbour-desk-legend.pdf",
        "desk-harbour-desk-strip.pdf",
        "desk-parts.pdf",
        "desk-plate.svg",
        "desk-ruler.pdf",
        "desk-wiring.pdf",
        "harbour-desk-card.pdf",
        "sheets.json",
    ]
    assert sorted(ran.out.splitlines()) == [f"out/{name}" for name in names[:-1]]
    assert "1/11 legend of harbour-desk: desk-harbour-desk-legend.pdf\n" in ran.err
    assert len(names) - 1 == len(SHEETS)


def test_each_is_as_its_own_command_prints_it(platebook: Run, library: Path) -> None:
    platebook("print", "all", "out", "--library", library, "--no-date")
    platebook("print", "card", "--library", library, "--no-date", "-o", "one.pdf")
    assert Path("one.pdf").read_bytes() == Path("out/harbour-desk-card.pdf").read_bytes()


def test_with_changed_only_what_differs_is_printed(platebook: Run, library: Path) -> None:
    call = ("print", "all", "out", "--library", library, "--changed")
    platebook(*call)
    before = {path.name: path.read_bytes() for path in Path("out").iterdir()}
    assert platebook(*call).out == ""
    assert {path.name: path.read_bytes() for path in Path("out").iterdir()} == before
    edit(library / "bindings.toml", 'bell = "ring-bell"\n', "")
    ran = platebook(*call)
    assert ran.out.splitlines() == [
        f"out/{name}.pdf"
        for name in ("desk-harbour-desk-legend", "desk-harbour-desk-strip", "harbour-desk-card")
    ] + ["out/desk-comparison.pdf", "out/desk-harbour-desk-cut.svg"]
    assert "11/11 wiring of desk: as it was\n" in ran.err


def test_a_sheet_changed_by_hand_is_not_taken_for_ours(platebook: Run, library: Path) -> None:
    call = ("print", "all", "out", "--library", library, "--changed")
    platebook(*call)
    Path("out/desk-drill.pdf").write_bytes(b"mine")
    ran = platebook(*call)
    assert (ran.code, Path("out/desk-drill.pdf").read_bytes()) == (2, b"mine")
    assert ran.err.endswith(
        "platebook: `out/desk-drill.pdf` is there already, and was not made by Platebook\n"
        "  Choose another name, or delete that file first. Or add --replace.\n"
    )
    assert platebook(*call, "--replace").out.splitlines() == ["out/desk-drill.pdf"]


def test_a_sheet_no_longer_printed_is_named_and_left(platebook: Run, library: Path) -> None:
    call = ("print", "all", "out", "--library", library, "--no-date")
    platebook(*call)
    edit(library / "bindings.toml", 'id = "harbour-desk"', 'id = "mine"')
    ran = platebook(*call)
    assert (
        "note: out/harbour-desk-card.pdf is of an earlier run; delete it if no longer wanted\n"
    ) in ran.err
    assert Path("out/harbour-desk-card.pdf").exists()


def test_a_sheet_that_cannot_be_made_does_not_stop_the_others(
    platebook: Run, library: Path
) -> None:
    edit(library / "bindings.toml", 'device = "desk"', 'device = "dusk"')
    ran = platebook("print", "all", "out", "--library", library, "--json")
    made = json.loads(ran.out)
    assert ran.code == 1
    assert [one["sheet"] for one in made["skipped"]] == [
        f"{sheet} of harbour-desk" for sheet in ("legend", "strip", "card", "cut")
    ]
    assert any(name.endswith("desk-drill.pdf") for name in made["files"])


def test_a_device_without_profile_has_its_own_words(platebook: Run, library: Path) -> None:
    (library / "bindings.toml").unlink()
    ran = platebook("print", "all", "out", "--library", library)
    assert "out/desk-legend.pdf" in ran.out.splitlines()


@pytest.mark.parametrize("example", ["harbour", "boatyard"])
def test_all_of_the_examples_can_be_printed(platebook: Run, tmp_path: Path, example: str) -> None:
    ran = platebook("print", "all", "out", "--library", EXAMPLES / example, "--json")
    made = json.loads(ran.out)
    assert (ran.code, made["skipped"]) == (0, [])
    assert all((tmp_path / name).stat().st_size > 500 for name in made["files"])


def test_a_folder_with_nothing_to_print_is_refused(platebook: Run) -> None:
    ran = platebook("print", "all", "out")
    assert (ran.code, ran.out, ran.err) == (
        *(2, ""),
        "platebook: the library has no device\n  Start one: `platebook new device ID`.\n",
    )
    assert not Path("out").exists()
