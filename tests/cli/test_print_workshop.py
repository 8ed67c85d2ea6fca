"""`platebook print drill`, `coupon`, `plate`, `parts` and `wiring` as a user runs them."""

import csv
import io
import json
import shutil
from pathlib import Path
from xml.etree import ElementTree

import pytest
from pypdfium2 import PdfDocument

from profiles.wiring.boards import PACKAGED as BOARDS
from tests.conftest import EXAMPLES, Run, edit
from tests.needs import need_module

HARBOUR = EXAMPLES / "harbour"
DESK = ("--library", HARBOUR, "--device", "helm-desk", "--no-date")


@pytest.mark.parametrize("sheet", ["drill", "coupon", "parts", "wiring"])
def test_the_sheet_goes_to_a_pdf_in_the_folder(platebook: Run, tmp_path: Path, sheet: str) -> None:
    ran = platebook("print", sheet, *DESK)

    assert ran.code == 0
    assert ran.out == f"helm-desk-{sheet}.pdf\n"
    assert (tmp_path / f"helm-desk-{sheet}.pdf").read_bytes().startswith(b"%PDF-")


def test_drill_tells_every_hole_as_json(platebook: Run) -> None:
    ran = platebook("print", "drill", *DESK, "--paper", "a3", "--json", "--strict")
    document = json.loads(ran.out)

    assert ran.code == 0
    assert len(document["facts"]["holes"]) == 28
    assert document["facts"]["holes"][0]["control"] == "mains"
    assert document["pages"] == 2


def test_drill_in_every_format_loses_nothing(platebook: Run) -> None:
    forms = [word for form in ("pdf", "svg", "dxf", "csv") for word in ("--format", form)]
    ran = platebook("print", "drill", *DESK, "--paper", "a3", *forms, "-o", "out/", "--strict")

    assert (ran.code, ran.err) == (0, "")
    assert len(ran.out.splitlines()) == 4


def test_the_long_side_is_across_where_it_is_asked_for(platebook: Run, tmp_path: Path) -> None:
    """The desk needs fewer upright sheets of Legal; who asks for landscape gets landscape."""
    for words, upright in (((), True), (("--landscape",), False)):
        ran = platebook("print", "legend", *DESK, "--paper", "legal", "-o", "legend.pdf", *words)
        sizes = {page.get_size() for page in PdfDocument(tmp_path / "legend.pdf")}
        assert ran.code == 0
        assert {height > width for width, height in sizes} == {upright}


def test_a_device_that_no_profile_binds_is_named(platebook: Run) -> None:
    shutil.copytree(HARBOUR, "mine")
    platebook("new", "device", "spare", "--library", "mine")
    ran = platebook("print", "card", "--library", "mine", "--device", "spare")
    assert (ran.code, ran.out) == (2, "")
    assert ran.err == (
        "platebook: no profile binds device `spare`\n"
        "  Choose another device, or start a profile: `platebook new profile ID`.\n"
    )


def test_the_name_of_the_file_says_the_format(platebook: Run, tmp_path: Path) -> None:
    platebook("print", "drill", *DESK, "-o", "drill.svg")
    assert ElementTree.parse(tmp_path / "drill.svg").getroot().tag.endswith("}svg")


def test_a_file_named_as_another_format_is_refused(platebook: Run, tmp_path: Path) -> None:
    asked = platebook("print", "drill", *DESK, "-o", "drill.svg", "--format", "pdf")
    assert (asked.code, asked.out) == (2, "")
    assert asked.err == (
        "platebook: `drill.svg` is named as svg, but pdf is asked for\n"
        "  Remove the format, or choose another name.\n"
    )
    unmade = platebook("print", "drill", *DESK, "-o", "drill.stl")
    assert unmade.err == ("platebook: drill is written as pdf, svg, dxf, csv or png, not `stl`\n")
    assert list(tmp_path.iterdir()) == []


def test_what_can_be_read_goes_to_stdout_unasked(platebook: Run) -> None:
    assert platebook("print", "drill", *DESK, "-o", "-").out.startswith("no.,control,label,x,y,")
    assert platebook("print", "parts", *DESK, "-o", "-").out.startswith("Helm desk: parts list\n\n")


def test_a_profile_named_twice_is_refused(platebook: Run) -> None:
    twice = ("--profile", "brackwater-bridge") * 2
    assert platebook("print", "legend", *DESK, *twice).err == (
        "platebook: profile `brackwater-bridge` is named twice\n  Name each profile once.\n"
    )


def with_own_board(folder: Path) -> Path:
    """The example with a board of its own under the desk."""
    shutil.copytree(HARBOUR, folder)
    text = (BOARDS / "atmega32u4.toml").read_text(encoding="utf-8")
    text = text.replace('id = "atmega32u4"', 'id = "attic"').replace("ATmega32U4 board", "Attic")
    (folder / "attic.toml").write_text(text, encoding="utf-8")
    desk = next(folder.rglob("helm-desk.toml"))
    edit(desk, 'board = "atmega32u4"', 'board = "attic"')
    return folder


def test_a_board_of_the_library_is_known_to_the_parts_list(platebook: Run, tmp_path: Path) -> None:
    folder = with_own_board(tmp_path / "own")
    ran = platebook("print", "parts", "--library", folder, "--device", "helm-desk", "--json")
    needs = {need["what"] for need in json.loads(ran.out)["facts"]["needs"]}
    assert {"controller board, Attic", "resistor, 390 ohm"} <= needs


def test_a_broken_board_file_stops_a_sheet_as_it_stops_a_check(
    platebook: Run, tmp_path: Path
) -> None:
    folder = with_own_board(tmp_path / "own")
    edit(folder / "attic.toml", "supply = 5.0", 'supply = "lots"')
    ran = platebook("print", "parts", "--library", folder, "--device", "helm-desk")
    assert (ran.code, ran.out) == (2, "")
    assert "`board.supply` is `lots`, not a number" in ran.err


@pytest.mark.parametrize("sheet", ["drill", "coupon", "plate"])
def test_true_scale_sheets_refuse_to_be_scaled(platebook: Run, sheet: str) -> None:
    ran = platebook("print", sheet, *DESK, "--scale", "0.5")
    assert ran.code == 2
    assert ran.err.startswith("platebook: this sheet is true to scale and takes no --scale\n")


def test_coupon_takes_its_steps_from_the_options(platebook: Run) -> None:
    need_module("manifold3d")
    ran = platebook(
        "print", "coupon", *DESK, "--below", "0.1", "--above", "0.1", "--step", "0.05",
        "--thickness", "2", "--format", "stl", "--format", "3mf", "--json",
    )  # fmt: skip
    document = json.loads(ran.out)

    assert document["facts"]["rows"][1]["trials"] == [6.9, 6.95, 7.0, 7.05, 7.1]
    assert document["facts"]["size"][2] == 2.0
    assert document["files"] == [
        f"helm-desk-coupon-below-0.1-above-0.1-step-0.05-thickness-2.{form}"
        for form in ("stl", "3mf")
    ]


def test_plate_goes_to_a_3d_model(platebook: Run, tmp_path: Path) -> None:
    need_module("manifold3d")
    ran = platebook("print", "plate", *DESK, "--strict")

    assert (ran.code, ran.out) == (0, "helm-desk-plate.stl\n")
    assert "note: the words `HELM DESK` are not cut into the plate (" in ran.err
    assert (tmp_path / "helm-desk-plate.stl").stat().st_size > 1000


def test_parts_to_the_terminal_show_sum_and_mass(platebook: Run) -> None:
    out = platebook("print", "parts", *DESK, "--format", "text", "--infill", "40").out

    assert "Sum" in out
    assert "64.00" in out
    assert "× 40 % infill" in out


def test_a_part_without_a_price_fails_a_strict_run_with_its_place(
    platebook: Run, library: Path
) -> None:
    ran = platebook("print", "parts", "--library", library, "--no-date", "--strict")

    assert ran.code == 1
    place = f"{library / 'desk.toml'}:11:11"
    assert f"skipped: `horn` has no part and no unit price ({place})\n" in ran.err


def test_wiring_as_csv_lists_the_work(platebook: Run, tmp_path: Path) -> None:
    platebook("print", "wiring", *DESK, "--format", "csv")
    rows = list(csv.reader(io.StringIO((tmp_path / "helm-desk-wiring.csv").read_text())))

    assert rows[0][0] == "list"
    assert [row[0] for row in rows[1:]].count("diode") == 25


@pytest.mark.parametrize("sheet", ["drill", "coupon", "parts", "wiring"])
def test_the_same_call_gives_the_same_bytes(platebook: Run, tmp_path: Path, sheet: str) -> None:
    for name in ("one.pdf", "two.pdf"):
        platebook("print", sheet, *DESK, "-o", name)
    assert (tmp_path / "one.pdf").read_bytes() == (tmp_path / "two.pdf").read_bytes()


@pytest.mark.parametrize(
    "words",
    [
        ("print", "card", "--profile", "brackwater-bridge"),
        ("print", "plate", "--device", "helm-desk", "--format", "svg"),
        ("compare", "--device", "helm-desk", "--format", "json"),
        ("compare", "--device", "helm-desk"),
    ],
)
@pytest.mark.parametrize("name", ["helm-desk.toml", "brackwater-bridge.toml", "platebook.toml"])
def test_no_sheet_takes_the_place_of_a_file_of_the_library(
    platebook: Run, words: tuple[str, ...], name: str
) -> None:
    shutil.copytree(HARBOUR, "mine")
    path = next(Path("mine").rglob(name), Path("mine", name))
    before = path.read_bytes() if path.exists() else None
    ran = platebook(*words, "-o", path, "--library", "mine")
    assert ran.code == 2
    assert f"`{path}` is named as a file of a library, which is never replaced\n" in ran.err
    assert (path.read_bytes() if path.exists() else None) == before


def test_a_name_without_an_ending_that_is_taken_is_the_file_that_is_meant(
    platebook: Run, tmp_path: Path
) -> None:
    (tmp_path / "notes").write_text("mine")
    ran = platebook("print", "drill", *DESK, "-o", "notes")
    assert ran.code == 2
    assert ran.err.startswith(
        "platebook: `notes` is there already, and was not made by Platebook\n"
    )
    assert {path.name for path in tmp_path.iterdir()} == {"notes"}


def test_the_null_device_gets_no_file_beside_it(platebook: Run) -> None:
    ran = platebook("print", "drill", *DESK, "-o", "/dev/null")
    assert ran.code == 2
    assert ran.err.startswith("platebook: `null` is a device or pipe, not a file\n")
