"""The manual as a site: built without a warning, whole by itself, and shown in Chromium."""

import os
import re
import subprocess
import sys
from importlib import import_module
from pathlib import Path
from typing import Any

import pytest

from tests.docs.pages import DOCS
from tests.needs import need_module, need_path, need_program
from tests.sheets.browser import DARK, show_page

WIDTHS = (390, 1440)
PAGES = [
    *sorted(path.relative_to(DOCS).with_suffix(".html") for path in DOCS.rglob("*.md")),
    Path("search.html"),
]
html: Any = import_module("lxml.html")


@pytest.fixture(scope="module")
def site(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The site as `docs/conf.py` says; a link that leads nowhere is an error."""
    for name in ("sphinx", "myst_parser", "furo"):
        need_module(name)
    folder = tmp_path_factory.mktemp("site")
    words = ["sphinx", "-q", "-W", "--keep-going", "-d", str(folder / "trees")]
    done = subprocess.run(
        [sys.executable, "-m", *words, str(DOCS), str(folder / "html")],
        capture_output=True,
        text=True,
        check=False,
    )
    assert (done.returncode, done.stderr) == (0, "")
    return folder / "html"


def test_it_has_every_page_and_asks_no_other_host(site: Path) -> None:
    """Links may lead out; what a page needs to be shown may not."""
    made = {path.relative_to(site) for path in site.rglob("*.html")}
    assert made >= set(PAGES)
    for path in made:
        document = html.fromstring((site / path).read_bytes())
        needed = document.xpath("//script/@src | //img/@src | //link[@rel='stylesheet']/@href")
        assert needed
        for target in needed:
            assert (site / path).parent.joinpath(target.partition("?")[0]).is_file(), target
    for sheet in site.rglob("*.css"):
        named = re.findall(r"url\(['\"]?([^)'\"]+)", sheet.read_text(encoding="utf-8"))
        assert [one for one in named if not one.startswith(("data:", "#"))] == []
        assert "@import" not in sheet.read_text(encoding="utf-8")


@pytest.mark.parametrize("page", PAGES, ids=str)
def test_a_page_shuts_nobody_out_on_a_phone_and_a_desk(page: Path, site: Path) -> None:
    """axe-core (open source, the file that PLATEBOOK_AXE names), all its rules."""
    axe = need_path(os.environ.get("PLATEBOOK_AXE", "axe.min.js")).read_text(encoding="utf-8")
    text = (site / page).read_text(encoding="utf-8")
    folder = (site / page).parent
    found = show_page(need_program("chromium"), folder, text, axe=axe, widths=WIDTHS)
    assert {width: seen["axe"] for width, seen in found.items()} == {w: [] for w in WIDTHS}
    assert {width: seen["scroll"] for width, seen in found.items()} == {w: w for w in WIDTHS}


def test_it_can_be_read_in_the_dark(site: Path) -> None:
    axe = need_path(os.environ.get("PLATEBOOK_AXE", "axe.min.js")).read_text(encoding="utf-8")
    text = (site / "tutorial.html").read_text(encoding="utf-8")
    found = show_page(need_program("chromium"), site, text, DARK, axe=axe, widths=WIDTHS)
    assert {width: seen["axe"] for width, seen in found.items()} == {w: [] for w in WIDTHS}
