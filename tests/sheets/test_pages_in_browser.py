"""The HTML of reference card and comparison in Chromium: phone, desktop, dark, axe, inert."""

import os
from pathlib import Path

import pytest

from profiles.sheets.card import make_sheet as make_card
from profiles.sheets.comparison import make_sheet as make_comparison
from profiles.sheets.sheet import PrintedSheet
from profiles.sheets.writing import write_sheet
from tests.drawing.pdf_reader import PdfReader
from tests.needs import need_path, need_program
from tests.sheets.browser import DARK, DESKTOP, PHONE, print_page, show_page
from tests.sheets.titles import harbour_order

TUG = "brackwater-bridge"
POLICY = '<meta http-equiv="Content-Security-Policy"'


def page_of(sheet: PrintedSheet) -> str:
    return write_sheet(sheet, "html").data.decode("utf-8")


def pages() -> dict[str, str]:
    return {
        "card": page_of(make_card(*harbour_order("card", "helm-desk", TUG))),
        "comparison": page_of(make_comparison(*harbour_order("comparison", "helm-desk"))),
    }


def axe_source() -> str:
    """axe-core (open source), the file that PLATEBOOK_AXE names."""
    return need_path(os.environ.get("PLATEBOOK_AXE", "axe.min.js")).read_text(encoding="utf-8")


@pytest.mark.parametrize("name", ["card", "comparison"])
def test_nothing_scrolls_sideways_on_a_phone_or_a_desktop(name: str, tmp_path: Path) -> None:
    """The page is shown as it is, its own policy in force; a margin of 0 proves its style was."""
    found = show_page(need_program("chromium"), tmp_path, pages()[name])
    assert set(found) == {PHONE, DESKTOP}
    for width, seen in found.items():
        assert seen["scroll"] == width
        assert seen["wide"] == []
        assert seen["margin"] == "0px"
        assert seen["scripts"] == 0


def test_long_words_do_not_make_a_page_scroll(tmp_path: Path) -> None:
    page = pages()["card"].replace("Sound the horn", "Donaudampfschifffahrt" * 19)
    found = show_page(need_program("chromium"), tmp_path, page)
    assert {width: seen["scroll"] for width, seen in found.items()} == {
        PHONE: PHONE,
        DESKTOP: DESKTOP,
    }


@pytest.mark.parametrize("flags", [(), (DARK,)], ids=["light", "dark"])
@pytest.mark.parametrize("name", ["card", "comparison"])
def test_nobody_is_shut_out(name: str, flags: tuple[str, ...], tmp_path: Path) -> None:
    """axe-core, all its rules, at both widths, light and dark."""
    chromium, axe = need_program("chromium"), axe_source()
    found = show_page(chromium, tmp_path, pages()[name], *flags, axe=axe)
    assert [seen["axe"] for seen in found.values()] == [[], []]
    dark = [sum(map(int, seen["background"][4:-1].split(","))) < 300 for seen in found.values()]
    assert dark == [bool(flags)] * 2


def test_the_check_for_access_finds_what_is_wrong(tmp_path: Path) -> None:
    """A page without a language, its second voice too pale: both are told."""
    page = pages()["card"].replace('<html lang="en">', "<html>").replace("#555c64", "#c0c0c0")
    found = show_page(need_program("chromium"), tmp_path, page, axe=axe_source())
    assert {rule for rule, _ in found[PHONE]["axe"]} == {"html-has-lang", "color-contrast"}


@pytest.mark.parametrize("name", ["card", "comparison"])
def test_paper_gets_black_on_white_whatever_the_screen_prefers(name: str, tmp_path: Path) -> None:
    printed = print_page(need_program("chromium"), tmp_path, pages()[name], DARK)
    reader = PdfReader(printed)
    words = " ".join(reader.text(0).split())
    assert "MAINS, on" in words
    assert "Battery mains" in words
    picture = reader.pixels(0).convert("L")
    assert picture.getpixel((4, 4)) == 255
    assert min(picture.tobytes()) < 40


INTRUDER = '<script>window.ran = true</script><img src="x" onerror="window.ran = true" alt="">'


def test_the_page_forbids_scripts_even_where_one_got_in(tmp_path: Path) -> None:
    """The same script runs where the policy is taken out: it is the policy that stops it."""
    chromium, page = need_program("chromium"), pages()["card"]
    found = show_page(chromium, tmp_path, page, extra=INTRUDER)
    assert [seen["ran"] for seen in found.values()] == [False, False]

    start, _, rest = page.partition(POLICY)
    bare = start + rest.partition(">")[2]
    found = show_page(chromium, tmp_path, bare, extra=INTRUDER)
    assert [seen["ran"] for seen in found.values()] == [True, True]


def test_dark_and_light_have_enough_contrast() -> None:
    """WCAG 2.2, 1.4.3: 4.5 to 1 for text; formula of relative luminance as there."""
    style = pages()["card"]
    for paper, ink, second in (
        ("#fdfcf9", "#1b2026", "#555c64"),
        ("#14181c", "#e8e6df", "#a9afb6"),
        ("#fff", "#000", "#444"),
    ):
        assert f"--paper: {paper}; --ink: {ink}; --second: {second}" in style
        assert contrast(paper, ink) >= 7
        assert contrast(paper, second) >= 4.5


def contrast(one: str, other: str) -> float:
    high, low = sorted((luminance(one), luminance(other)), reverse=True)
    return (high + 0.05) / (low + 0.05)


def luminance(colour: str) -> float:
    digits = colour[1:] if len(colour) == 7 else "".join(2 * digit for digit in colour[1:])
    red, green, blue = (int(digits[at : at + 2], 16) / 255 for at in (0, 2, 4))
    return 0.2126 * linear(red) + 0.7152 * linear(green) + 0.0722 * linear(blue)


def linear(share: float) -> float:
    return share / 12.92 if share <= 0.03928 else float(((share + 0.055) / 1.055) ** 2.4)
