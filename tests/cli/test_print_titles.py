"""Printing what controls do: legend, strip, card, comparison, as a user would."""

import json
from pathlib import Path

import pytest

from profiles.sheets.requests import shorten_stem
from tests.cli.conftest import EXAMPLES, Run, edit

HARBOUR = EXAMPLES / "harbour"
TUG = "brackwater-bridge"


def test_the_legend_goes_to_the_folder_named(platebook: Run, library: Path, tmp_path: Path) -> None:
    ran = platebook(
        "print", "legend", "--library", library, "--profile", "harbour-desk", "-o", "out/"
    )
    assert ran.code == 0
    assert ran.out == "out/desk-harbour-desk-legend.pdf\n"
    assert ran.err == ""
    assert (tmp_path / "out/desk-harbour-desk-legend.pdf").read_bytes().startswith(b"%PDF")


def test_the_same_input_gives_the_same_bytes_without_a_date(
    platebook: Run, library: Path, tmp_path: Path
) -> None:
    for sheet, form in (
        ("legend", "pdf"),
        ("strip", "svg"),
        ("card", "pdf"),
        ("comparison", "html"),
    ):
        taken = []
        for place in ("one", "two"):
            ran = platebook(
                *("print", sheet, "--library", library, "--device", "desk", "--format", form),
                *("--no-date", "-o", f"{place}/"),
            )
            assert ran.code == 0
            taken.append((tmp_path / ran.out.strip()).read_bytes())
        assert taken[0] == taken[1]


@pytest.mark.parametrize("sheet", ["legend", "strip"])
def test_true_scale_cannot_be_scaled(platebook: Run, sheet: str) -> None:
    ran = platebook("print", sheet, "--library", HARBOUR, "--scale", "0.5")
    assert ran.code == 2
    assert ran.err.startswith("platebook: this sheet is true to scale and takes no --scale\n")


def test_a_list_has_no_scale(platebook: Run) -> None:
    ran = platebook("print", "card", "--library", HARBOUR, "--scale", "0.5")
    assert ran.code == 2
    assert ran.err.startswith("platebook: no option `--scale`\n")


LONG = "UNPRONOUNCEABLE-IDENTIFICATION-OF-EVERYTHING-HERE"


def crowd(library: Path) -> None:
    """Two neighbours so close that a long word has no room."""
    edit(library / "desk.toml", "width = 120.0", "width = 64.0")
    edit(library / "desk.toml", "height = 80.0", "height = 24.0")
    edit(library / "desk.toml", "position = [30.0, 40.0]", "position = [12.0, 12.0]")
    edit(library / "desk.toml", "position = [90.0, 40.0]", "position = [52.0, 12.0]")
    edit(library / "harbour.toml", 'legend = "HORN"', f'legend = "{LONG}"')


def test_what_has_no_room_is_told_and_strict_fails(platebook: Run, library: Path) -> None:
    crowd(library)
    words = ("print", "legend", "--library", library, "--profile", "harbour-desk", "-o", "out/")
    ran = platebook(*words)
    assert ran.code == 0
    assert f"moved: `{LONG}` at `horn.press`: number 1, explained by the key: " in ran.err
    assert "bindings.toml:9:1)" in ran.err

    assert platebook(*words, "--strict").code == 1


def test_check_finds_the_label_that_the_sheet_leaves_out(platebook: Run, library: Path) -> None:
    crowd(library)
    ran = platebook("check", library)
    assert f"`{LONG[:40]}…` has no place beside `horn.press`, which gets number 1: " in ran.out
    assert "label-without-room" in ran.out


def test_json_reports_the_height_of_every_label(platebook: Run, library: Path) -> None:
    ran = platebook("print", "legend", "--library", library, "--profile", "harbour-desk", "--json")
    document = json.loads(ran.out)
    assert document["files"] == ["desk-harbour-desk-legend.pdf"]
    assert document["remarks"] == []
    assert document["facts"]["proven"] is True
    for label in document["facts"]["labels"]:
        assert {"height", "needed", "slack", "place", "box"} <= set(label)


def test_several_profiles_share_a_plate_but_no_more_than_three(platebook: Run) -> None:
    three = [TUG, "cobblegate-on-helm-desk", "ninefold-on-helm-desk"]
    words = [word for name in three for word in ("--profile", name)]
    ran = platebook("print", "legend", "--library", HARBOUR, *words, "-o", "out/")
    assert ran.code == 0
    ran = platebook("print", "legend", "--library", HARBOUR, *words, "--profile", TUG)
    assert ran.code == 2
    assert ran.err.startswith("platebook: legend takes 0 to 3 profiles, not 4\n")


def test_strict_fails_where_a_label_is_a_number_but_not_where_labels_were_condensed(
    platebook: Run, library: Path
) -> None:
    words = ("--library", HARBOUR, "--device", "helm-desk", "--strict", "--profile", TUG)
    two = ("--profile", "cobblegate-on-helm-desk", "--profile", "ninefold-on-helm-desk")
    ran = platebook("print", "legend", *words, *two, "-o", "out/")
    assert (ran.code, ran.err) == (0, "condensed: 34 labels condensed to 90 %\n")
    crowd(library)
    edit(library / "harbour.toml", f'legend = "{LONG}"', 'legend = "WWWWWW"')
    ours = ("--library", library, "--profile", "harbour-desk", "--strict", "-o", "out/")
    ran = platebook("print", "legend", *ours)
    assert ran.code == 1
    assert ran.err.startswith("moved: `WWWWWW` at `horn.press`: number 1, explained by the key: ")


@pytest.mark.parametrize("labels", ["application", "both"])
def test_words_of_a_title_need_its_profile(platebook: Run, labels: str) -> None:
    words = ("--library", HARBOUR, "--device", "helm-desk", "--labels", labels)
    for sheet in ("legend", "strip"):
        assert platebook("print", sheet, *words).err == (
            f"platebook: labels `{labels}` need the profile of an application\n  Name one.\n"
        )


def test_the_overlap_has_limits(platebook: Run) -> None:
    ran = platebook(
        "print", "legend", "--library", HARBOUR, "--device", "helm-desk", "--overlap", "3"
    )
    assert ran.code == 2
    assert ran.err == "platebook: overlap must be 6 to 25 mm, not `3`\n"


def test_text_goes_to_stdout_and_nothing_is_written(
    platebook: Run, library: Path, tmp_path: Path
) -> None:
    ran = platebook("print", "card", "--library", library, "--format", "text")
    assert ran.code == 0
    assert ran.out.startswith("Harbour: reference card\nDesk\n\nON THE PLATE\n")
    assert [path.name for path in tmp_path.iterdir()] == ["boxes"]


def test_a_dash_sends_any_readable_format_to_stdout(platebook: Run, library: Path) -> None:
    words = ("print", "card", "--library", library, "-o", "-", "--format")
    assert platebook(*words, "csv").out.startswith("Device,Control,")
    assert platebook(*words, "html").out.startswith("<!DOCTYPE html>\n")
    assert json.loads(platebook(*words, "json").out)["sheet"] == "harbour-desk-card"

    ran = platebook(*words, "pdf")
    assert ran.code == 2
    assert ran.err == (
        "platebook: only one readable format can go to stdout\n  Name a file or folder.\n"
    )


def test_several_formats_go_to_one_place(platebook: Run, library: Path, tmp_path: Path) -> None:
    forms = [word for form in ("pdf", "text", "csv", "html", "json") for word in ("--format", form)]
    ran = platebook("print", "card", "--library", library, *forms, "-o", "out/")
    assert ran.code == 0
    names = sorted(path.name for path in (tmp_path / "out").iterdir())
    stem = "harbour-desk-card"
    assert names == [f"{stem}.{suffix}" for suffix in ("csv", "html", "json", "pdf", "txt")]


def test_compare_shows_a_table_at_once(platebook: Run, library: Path) -> None:
    ran = platebook("compare", "--library", library)
    assert ran.code == 0
    assert (
        ran.out
        == """\
Desk: applications compared

Control  Input  Harbour
-------  -----  --------------
HORN     1      Sound the horn
BELL     2      Ring the bell
"""
    )


def test_compare_as_json_is_for_machines(platebook: Run, library: Path) -> None:
    document = json.loads(platebook("compare", "--library", library, "--json").out)
    assert document["files"] == []
    assert document["facts"]["profiles"] == {"harbour-desk": "Harbour"}


def test_compare_writes_a_sheet_where_asked(platebook: Run, library: Path) -> None:
    ran = platebook("compare", "--library", library, "--format", "html", "-o", "out/")
    assert ran.out == "out/desk-comparison.html\n"


def test_a_strip_on_tape_names_what_does_not_fit(platebook: Run, library: Path) -> None:
    edit(library / "harbour.toml", 'legend = "HORN"', f'legend = "{LONG}"')
    ran = platebook(
        "print", "strip", "--library", library, "--profile", "harbour-desk", "--tape", "6"
    )
    assert ran.code == 0
    assert f"skipped: `{LONG}` at `horn.press` in Harbour: " in ran.err
    assert ran.out == "desk-harbour-desk-strip-tape-6.pdf\n"


def test_only_tapes_that_exist_can_be_asked_for(platebook: Run, library: Path) -> None:
    ran = platebook("print", "strip", "--library", library, "--tape", "10")
    assert ran.code == 2
    assert ran.err == "platebook: tape must be paper, 6, 9, 12, 18, 24 or 36, not `10`\n"


@pytest.mark.parametrize("sheet", ["legend", "strip", "comparison"])
def test_a_profile_of_two_devices_is_printed_for_both(
    platebook: Run, tmp_path: Path, sheet: str
) -> None:
    words = ("print", sheet, "--library", HARBOUR, "--profile", TUG, "--strict", "--no-date")
    names = [f"{device}-{TUG}-{sheet}" for device in ("helm-desk", "lookout-box")]

    assert platebook(*words).out == "".join(f"{name}.pdf\n" for name in names)
    assert platebook(*words, "-o", "mine.pdf").out == ("mine-helm-desk.pdf\nmine-lookout-box.pdf\n")
    document = json.loads(platebook(*words, "-o", "out/", "--json").out)
    assert [made["sheet"] for made in document["sheets"]] == names
    assert [made["files"] for made in document["sheets"]] == [[f"out/{name}.pdf"] for name in names]
    alone = platebook(*words, "--device", "lookout-box", "-o", "alone.pdf")
    assert (alone.code, alone.out) == (0, "alone.pdf\n")
    assert (tmp_path / "alone.pdf").read_bytes() == (tmp_path / f"{names[1]}.pdf").read_bytes()


def test_applications_are_compared_for_both_devices_of_a_profile(platebook: Run) -> None:
    words = ("compare", "--library", HARBOUR, "--profile", TUG)
    out = platebook(*words).out
    assert out.index("Helm desk: applications compared") < out.index(
        "Lookout box: applications compared"
    )
    refused = platebook(*words, "--format", "csv", "-o", "-")
    assert (refused.code, refused.out) == (2, "")
    assert refused.err == (
        "platebook: 2 sheets as csv cannot share stdout\n"
        "  Name one with --device, or a folder with --output.\n"
    )


def test_sheets_of_different_options_have_different_names(platebook: Run) -> None:
    words = ("print", "legend", "--library", HARBOUR, "--profile", TUG, "--device", "lookout-box")
    options = [
        (),
        ("--rear",),
        ("--colours",),
        ("--colours", "--rear"),
        *(("--labels", labels) for labels in ("application", "fixed", "both")),
        *(("--format", form) for form in ("svg", "dxf")),
        ("--paper", "a3"),
        ("--landscape",),
        ("--overlap", "20"),
    ]
    names = [platebook(*words, *option).out for option in options]
    assert len(set(names)) == len(options)
    tapes = [
        platebook("print", "strip", *words[2:], "--tape", tape).out
        for tape in ("paper", "12", "18")
    ]
    assert len(set(tapes)) == 3
    cards = ("print", "card", "--library", HARBOUR, "--profile", TUG)
    assert platebook(*cards).out != platebook(*cards, "--device", "helm-desk").out
    several = ("print", "comparison", "--library", HARBOUR, "--device", "helm-desk")
    assert platebook(*several).out != platebook(*several, "--profile", TUG).out


def test_a_name_too_long_for_a_file_is_cut_and_stays_its_own() -> None:
    name = "desk-" + "-".join(f"profile-number-{number}" for number in range(20))
    cut, other = shorten_stem(name), shorten_stem(f"{name}x")
    assert len(cut) == len(other) <= 120
    assert cut != other
    assert shorten_stem("desk-card") == "desk-card"


def test_an_output_whose_ending_is_no_format_is_refused(
    platebook: Run, library: Path, tmp_path: Path
) -> None:
    words = ("print", "legend", "--library", library, "--profile", "harbour-desk")
    ran = platebook(*words, "-o", "legend.docx")

    assert (ran.code, ran.out, ran.err) == (
        2,
        "",
        "platebook: `legend.docx` ends as no format of this sheet\n"
        "  Choose a name that ends with .pdf, .svg, .dxf or .png, or name a format with it.\n",
    )
    assert not (tmp_path / "legend.docx").exists()
    assert platebook(*words, "-o", "legend.docx", "--format", "pdf").code == 0
    assert platebook(*words, "-o", "legend-v1.2").code == 0


def test_the_ending_that_a_text_is_to_have_is_one_that_is_known(
    platebook: Run, library: Path
) -> None:
    ran = platebook("compare", "--library", library, "-o", library / "desk.toml")

    assert ran.code == 2
    assert ran.err.endswith("  Choose a name that ends with .txt.\n")
