"""`platebook handover`: the page and the booklet as files."""

import json
from pathlib import Path

import pypdfium2
import pytest

from profiles.api import load
from profiles.drawing.surface import TooLargeError
from profiles.work.handing_over import make_booklet
from tests.cli.conftest import EXAMPLES, Run

HARBOUR = EXAMPLES / "harbour"


def test_the_page_is_written_and_named_after_the_device(platebook: Run, library: Path) -> None:
    ran = platebook("handover", "--library", library, "--no-date")
    assert (ran.code, ran.out, ran.err) == (0, "desk-handover.html\n", "")
    page = Path("desk-handover.html").read_text("utf-8")
    assert "Sound the horn" in page
    platebook("handover", "--library", library, "--no-date", "-o", "again.html")
    assert Path("again.html").read_text("utf-8") == page


def test_the_booklet_has_plate_card_wiring_parts_and_the_last_press_test(platebook: Run) -> None:
    recording = HARBOUR / "recordings" / "helm-desk-press.jsonl"
    words = ("--library", HARBOUR, "--format", "pdf", "--recording", recording)
    ran = platebook("handover", "helm-desk", *words)
    assert ran.code == 0, ran.err
    document = pypdfium2.PdfDocument("helm-desk-handover.pdf")
    text = [page.get_textpage().get_text_range() for page in document]
    titles = ("faceplate legend", "reference card", "wiring", "parts list", "press test")
    places = [next(at for at, one in enumerate(text) if title in one.lower()) for title in titles]
    assert places == sorted(places)
    assert "unplug" in " ".join(text).lower()


def test_only_the_profiles_asked_for_are_handed_over(platebook: Run) -> None:
    words = ("--library", HARBOUR, "--profile", "cobblegate-on-helm-desk")
    assert platebook("handover", "helm-desk", *words).code == 0
    page = Path("helm-desk-handover.html").read_text("utf-8")
    assert "Cobblegate" in page
    assert "Brackwater" not in page


def test_a_box_without_a_profile_has_its_own_words(platebook: Run, library: Path) -> None:
    (library / "bindings.toml").unlink()
    assert platebook("handover", "--library", library).code == 0
    assert "HORN: no application" in Path("desk-handover.html").read_text("utf-8")
    assert platebook("handover", "--library", library, "--format", "pdf").code == 0


def test_a_profile_of_another_box_is_refused(platebook: Run) -> None:
    words = ("--library", HARBOUR, "--profile", "cobblegate-on-helm-desk")
    ran = platebook("handover", "lookout-box", *words)
    assert (ran.code, ran.out) == (2, "")


def test_what_was_made_is_told_as_json(platebook: Run) -> None:
    words = ("--library", HARBOUR, "--profile", "cobblegate-on-helm-desk", "--json")
    assert json.loads(platebook("handover", "helm-desk", *words).out) == {
        "format": 1,
        "device": "helm-desk",
        "profiles": ["cobblegate-on-helm-desk"],
        "files": ["helm-desk-handover.html"],
        "remarks": [],
    }


@pytest.mark.parametrize("words", [("--paper", "a5"), ("--recording", "x.jsonl")])
def test_what_only_the_booklet_has_goes_with_it(
    platebook: Run, library: Path, words: tuple[str, str]
) -> None:
    ran = platebook("handover", "--library", library, *words)
    assert (ran.code, ran.out, ran.err) == (
        *(2, ""),
        f"platebook: {words[0]} goes with --format pdf\n  see `platebook handover --help`\n",
    )


def test_a_booklet_of_too_many_applications_is_refused_before_a_sheet_is_made(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    def refuse(*_given: object) -> None:
        raise AssertionError("a sheet is made")

    monkeypatch.setattr("profiles.work.handing_over.make_sheet", refuse)
    library = load(EXAMPLES / "harbour").library
    device = library.devices["helm-desk"]
    links = library.profiles_of(device.id)[:1] * 130
    with pytest.raises(TooLargeError) as refused:
        make_booklet(library, device, links)
    assert str(refused.value) == "a PDF file would have 260 pages, more than 250"
