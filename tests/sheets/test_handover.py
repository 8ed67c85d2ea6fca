"""The page for somebody who did not build the box: in Chromium, by hand, keyboard and eye."""

import os
import re
from importlib import import_module
from pathlib import Path
from typing import Any

import pytest

from profiles.api import load
from profiles.sheets.handover import KINDS, write_handover
from tests.conftest import EXAMPLES
from tests.drawing.pdf_reader import PdfReader
from tests.hostile import OWN
from tests.needs import need_path, need_program
from tests.sheets.browser import DARK, print_page, show_page
from tests.sheets.titles import desk_library

WIDTHS = (360, 820, 1440)
html: Any = import_module("lxml.html")
LIBRARY = load(EXAMPLES / "harbour").library
HELM = LIBRARY.devices["helm-desk"]
LINKS = LIBRARY.profiles_of("helm-desk")
PAGE = write_handover(HELM, LINKS, "2025-05-01").decode("utf-8")


def axe_source() -> str:
    """axe-core (open source), the file that PLATEBOOK_AXE names."""
    return need_path(os.environ.get("PLATEBOOK_AXE", "axe.min.js")).read_text(encoding="utf-8")


def test_it_is_one_file_that_asks_for_nothing() -> None:
    document = html.fromstring(PAGE)
    assert document.xpath("//@src") == []
    assert document.xpath("//link") == []
    addresses = set(re.findall(r"https?://[^\s\"'<)]+", PAGE))
    assert addresses == {"http://www.w3.org/2000/svg"}  # the name of SVG, never fetched
    (policy,) = document.xpath('//meta[@http-equiv="Content-Security-Policy"]/@content')
    assert policy.startswith("default-src 'none'; style-src 'sha256-")
    assert "unsafe" not in policy


def test_every_control_of_every_application_says_what_it_does() -> None:
    document = html.fromstring(PAGE)
    views = document.xpath("//section[@data-app]")
    assert [view.get("aria-label") for view in views] == [
        *("Brackwater Towage", "Cobblegate Trams", "Ninefold Airship Post")
    ]
    for view, link in zip(views, LINKS, strict=True):
        assert {one.get("data-control") for one in view.xpath(".//button")} == set(HELM.controls)
        entries = {one.get("data-entry"): one.text_content() for one in view.xpath(".//article")}
        for bound in link.bound:
            if bound.acting.device == "helm-desk":
                assert bound.action.name in entries[bound.acting.control]


def test_every_button_is_over_its_own_front() -> None:
    """Each button's middle on the picture is the control's place on the plate, to 0.1 mm."""
    (svg,) = html.fromstring(PAGE).xpath("(//section)[1]//*[name()='svg']")
    wide, high = map(float, svg.get("viewbox", svg.get("viewBox")).split()[2:])
    style = PAGE.partition("<style>")[2].partition("</style>")[0]
    for at, button in enumerate(html.fromstring(PAGE).xpath("(//section)[1]//button"), 1):
        rule = re.findall(
            rf"\.at-{at}\{{left:(.*?)%;top:(.*?)%;width:(.*?)%;height:(.*?)%\}}", style
        )
        left, top = (float(one) / 100 for one in rule[0][:2])
        x, y = HELM.controls[button.get("data-control")].position
        offset = (wide - HELM.plate.width) / 2
        assert left * wide == pytest.approx(x + offset, abs=0.1)
        assert high - top * high == pytest.approx(y + offset, abs=0.1)


@pytest.mark.parametrize("flags", [(), (DARK,)], ids=["light", "dark"])
def test_nobody_is_shut_out(flags: tuple[str, ...], tmp_path: Path) -> None:
    """axe-core, all its rules, at three widths, with a control chosen and others lit."""
    act = """
    const find = page.getElementById("find");
    find.value = "a"; find.dispatchEvent(new window_.Event("input"));
    page.querySelector("section:not([hidden]) .spot").click();
    """
    chromium, axe = need_program("chromium"), axe_source()
    found = show_page(chromium, tmp_path, PAGE, *flags, axe=axe, widths=WIDTHS, act=act)
    assert {width: seen["axe"] for width, seen in found.items()} == {w: [] for w in WIDTHS}
    assert {width: seen["scroll"] for width, seen in found.items()} == {w: w for w in WIDTHS}


def test_touching_searching_and_switching_work_under_its_own_policy(tmp_path: Path) -> None:
    act = """
    const shown = () => page.querySelector("section:not([hidden])");
    const spot = name => shown().querySelector(`[data-control=${name}]`);
    const panel = () => page.getElementById("panel").textContent;
    const lit = () => [...shown().querySelectorAll(".lit")].map(one => one.dataset.control);
    const find = page.getElementById("find"), choice = page.getElementById("application");
    const say = words => { find.value = words; find.dispatchEvent(new window_.Event("input")); };
    told.views = page.querySelectorAll("section:not([hidden])").length;
    spot("horn").click();
    told.touched = [panel(), spot("horn").getAttribute("aria-pressed")];
    choice.value = "app-2"; choice.dispatchEvent(new window_.Event("change"));
    told.switched = panel();
    say("TRACK brake");
    told.lit = lit(); told.found = page.getElementById("found").textContent;
    say("no such thing"); told.none = page.getElementById("found").textContent;
    say(""); told.cleared = lit();
    spot("bell").focus(); told.focus = page.activeElement === spot("bell");
    told.least = Math.min(...[...shown().querySelectorAll(".spot")].map(
      one => Math.min(one.offsetWidth, one.offsetHeight)));
    """
    found = show_page(need_program("chromium"), tmp_path, PAGE, widths=WIDTHS, act=act)
    for width in WIDTHS:
        told = found[width]["told"]
        assert told["views"] == 1
        assert "Sound the horn" in told["touched"][0]
        assert told["touched"][1] == "true"
        assert "Sound the horn" not in told["switched"]
        assert (told["lit"], told["found"]) == (["stop"], "1 found, on 1 control.")
        assert (told["none"], told["cleared"]) == ("Nothing found.", [])
        assert told["focus"]
        assert told["least"] >= 24  # WCAG 2.2, 2.5.8


def test_paper_shows_plate_and_list(tmp_path: Path) -> None:
    reader = PdfReader(print_page(need_program("chromium"), tmp_path, PAGE, DARK))
    words = " ".join(reader.text(0).split())
    assert "Sound the horn" in words
    assert "Find a function" not in words
    assert reader.pixels(0).convert("L").getpixel((4, 4)) == 255


def test_texts_of_strangers_stay_texts() -> None:
    library = desk_library()
    link = library.links[0]
    desk = link.devices[0]
    assert link.application is not None
    for words in OWN:
        name = words.strip()[:60] or "-"
        header = link.application.application.model_copy(update={"name": name})
        application = link.application.model_copy(update={"application": header})
        control = desk.controls["horn"].model_copy(update={"label": name})
        device = desk.model_copy(update={"controls": {**desk.controls, "horn": control}})
        page = write_handover(device, [link._replace(application=application, devices=(device,))])
        document = html.fromstring(page.decode("utf-8"))
        assert len(document.xpath("//script")) == 1
        assert len(document.xpath("//section")) == 1
        assert document.xpath("//*[@onerror or @onload or @onclick]") == []


def test_every_kind_of_control_has_words() -> None:
    from profiles.facts.profile import BRACKETS

    assert set(KINDS) == set(BRACKETS)
