"""The surface for programs: load, check, print."""

import subprocess
import sys
from pathlib import Path
from typing import Any

import pypdfium2
import pytest

import profiles
from tests.cli.conftest import EXAMPLES

HARBOUR = EXAMPLES / "harbour"


def test_a_library_is_loaded_and_checked() -> None:
    checked = profiles.check(profiles.load(HARBOUR))
    assert checked.usable
    assert checked.at_least("warning") == ()


def test_findings_carry_their_places() -> None:
    checked = profiles.check(profiles.load(EXAMPLES / "faulty"))
    assert checked.findings
    assert all(one.place and Path(one.place.file).is_file() for one in checked.findings)


def test_a_sheet_is_printed_as_bytes() -> None:
    library = profiles.load(HARBOUR)
    printed, beside = profiles.print_sheets(
        library, "legend", profiles=["brackwater-bridge"], paper="a3"
    )
    assert beside.sheet.title == "Lookout box: faceplate legend"
    document = pypdfium2.PdfDocument(printed.data)
    assert len(document) == 1
    text = document[0].get_textpage().get_text_range()
    assert "Helm desk: faceplate legend" in text


@pytest.mark.parametrize(
    "wrong", [{"device": "nowhere"}, {"profiles": ["nowhere"]}, {"paper": "a9"}, {"form": "doc"}]
)
def test_a_name_that_leads_nowhere_is_a_key_error(wrong: dict[str, object]) -> None:
    given: dict[str, object] = {"profiles": ["brackwater-bridge"], **wrong}
    with pytest.raises(KeyError):
        profiles.print_sheet(profiles.load(HARBOUR), "legend", **given)


def test_several_devices_ask_for_one_to_be_named() -> None:
    with pytest.raises(ValueError, match="the library has 2 devices") as caught:
        profiles.print_sheet(profiles.load(HARBOUR), "legend")
    assert caught.value.__notes__ == ["Choose a device: `helm-desk` or `lookout-box`."]


@pytest.mark.parametrize(
    ("name", "given", "message"),
    [
        ("card", {"device": "helm-desk"}, "the library has 3 profiles"),
        ("legend", {"profiles": ["brackwater-bridge"] * 4}, "legend takes 0 to 3 profiles, not 4"),
        (
            "legend",
            {"profiles": ["cobblegate-on-helm-desk"], "device": "lookout-box"},
            "profile `cobblegate-on-helm-desk` does not bind device `lookout-box`",
        ),
        ("legend", {"device": "helm-desk", "form": "csv"}, "legend is written as pdf, svg, dxf"),
        ("drill", {"device": "helm-desk", "colour": 1}, "drill has no option `colour`"),
        ("drill", {"format": "svg"}, "drill has no option `format`"),
    ],
)
def test_what_a_sheet_does_not_take_is_a_value_error(
    name: str, given: dict[str, Any], message: str
) -> None:
    with pytest.raises(ValueError, match=message):
        profiles.print_sheet(profiles.load(HARBOUR), name, **given)


def test_the_format_is_found_by_whoever_names_it_in_full() -> None:
    with pytest.raises(profiles.RequestError) as caught:
        profiles.print_sheet(profiles.load(HARBOUR), "drill", format="svg")
    assert caught.value.remedy == "Did you mean `form`?"


def test_options_are_those_of_the_command_line() -> None:
    library = profiles.load(HARBOUR)
    front = profiles.print_sheet(library, "legend", device="helm-desk", form="svg")
    rear = profiles.print_sheet(library, "legend", device="helm-desk", form="svg", rear=True)
    assert front.data != rear.data


def test_the_package_loads_nothing_until_it_is_used() -> None:
    script = "import sys, profiles; print('pydantic' in sys.modules, dir(profiles))"
    ran = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True, check=True)
    assert ran.stdout.startswith("False ['Checked', 'Printed', 'RequestError', 'arrange'")


def test_an_unknown_name_is_an_attribute_error() -> None:
    with pytest.raises(AttributeError, match="has no attribute 'nothing'"):
        _ = profiles.nothing


def test_every_sheet_is_written_into_a_folder(tmp_path: Path) -> None:
    library = profiles.load(HARBOUR)
    steps = list(profiles.print_all(library, tmp_path, only_changed=True))
    assert [step.number for step in steps] == list(range(1, steps[0].total + 1))
    written = [path for step in steps for path in step.files]
    assert sorted(path.name for path in tmp_path.iterdir()) == sorted(
        [*(path.name for path in written), "sheets.json"]
    )


def test_two_states_of_a_library_are_compared() -> None:
    library = profiles.load(HARBOUR)
    assert profiles.find_changes(library, library).is_empty


def test_a_bundle_goes_out_and_comes_in(tmp_path: Path) -> None:
    (tmp_path / "b.zip").write_bytes(profiles.pack(profiles.load(HARBOUR), ["brackwater-bridge"]))
    paths = profiles.unpack(tmp_path / "b.zip", tmp_path / "theirs")
    assert len(paths) == 4
    assert profiles.check(profiles.load(tmp_path / "theirs")).findings == ()


def test_a_box_is_handed_over_as_bytes() -> None:
    library = profiles.load(HARBOUR)
    assert b"Sound the horn" in profiles.hand_over(library, "helm-desk")
    assert profiles.hand_over(library, "helm-desk", form="pdf").startswith(b"%PDF")


def test_a_profile_is_held_against_the_applications_own_file() -> None:
    library = profiles.load(HARBOUR)
    compared = profiles.compare_settings_file(library, HARBOUR / "settings" / "ninefold.txt")
    assert not compared.drifts
    assert len(compared.rows) > 30
