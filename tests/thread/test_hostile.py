"""Hostile text through the whole thread: files, model, checks, terminal, sheets, tables.

Sources: Big List of Naughty Strings (see `tests.hostile`); XML 1.0, production Char; OWASP, CSV
Injection; CWE-150 for terminals.
"""

import csv
import io
import json
import re
import xml.etree.ElementTree as ET
from importlib import import_module
from pathlib import Path
from typing import Any

import pypdfium2
import pytest

from profiles.api import print_sheet
from profiles.files.library import load_library
from profiles.text.inert import escape_controls
from tests.cli.conftest import Run
from tests.drawing.pdf_reader import PdfReader
from tests.hostile import NAUGHTY, OWN
from tests.thread.inert import assert_inert, is_whole

html: Any = import_module("lxml.html")

BATCH = 40
BATCHES = [NAUGHTY[start : start + BATCH] for start in range(0, len(NAUGHTY), BATCH)]


def write_library(folder: Path, texts: tuple[str, ...]) -> list[str]:
    """A library whose labels, legends, names and notes are these texts; returns those kept."""
    usable = [text for text in texts if text.strip() and len(text) <= 400 and is_whole(text)]
    controls = {
        f"control-{n}": {
            "kind": "momentary",
            "label": text,
            "position": [30.0 + 60.0 * (n % 8), 30.0 + 60.0 * (n // 8)],
            "hole": 12.0,
            "input": n + 1,
            "note": text,
            "part": f"part-{n}",
        }
        for n, text in enumerate(usable)
    }
    parts = {f"part-{n}": {"kind": "momentary", "name": text} for n, text in enumerate(usable)}
    actions = {f"action-{n}": {"name": text, "legend": text} for n, text in enumerate(usable)}
    bindings = {
        f"control-{n}": {"action": f"action-{n}", "legend": text} for n, text in enumerate(usable)
    }
    name = usable[0] if usable else "plain"
    plate = {"width": 500.0, "height": 400.0}
    documents = {
        "device": {
            "device": {"id": "d", "name": name},
            "plate": plate,
            "controls": controls,
            "parts": parts,
        },
        "application": {"application": {"id": "a", "name": name}, "actions": actions},
        "profile": {
            "profile": {"id": "p", "application": "a", "device": "d"},
            "bindings": bindings,
        },
    }
    for stem, content in documents.items():
        text = json.dumps({"format": 1, **content})
        (folder / f"{stem}.json").write_text(text, encoding="utf-8")
    return usable


@pytest.mark.parametrize("texts", BATCHES)
@pytest.mark.parametrize("form", [[], ["--json"], ["--sarif"]])
def test_nothing_escapes_into_the_terminal(
    platebook: Run, tmp_path: Path, texts: tuple[str, ...], form: list[str]
) -> None:
    write_library(tmp_path, texts)
    ran = platebook("check", *form)
    assert ran.code in (0, 1)
    assert_inert(ran.out + ran.err)
    if form:
        json.loads(ran.out)


@pytest.mark.parametrize("texts", BATCHES)
def test_sheets_are_valid_files(tmp_path: Path, texts: tuple[str, ...]) -> None:
    usable = write_library(tmp_path, texts)
    library = load_library(tmp_path)
    assert library.problems == ()
    pdf = print_sheet(library, "legend", profiles=["p"])
    assert len(pypdfium2.PdfDocument(pdf.data)) >= 1
    svg = print_sheet(library, "legend", profiles=["p"], form="svg")
    root = ET.fromstring(svg.data)
    assert_inert("".join(root.itertext()))
    names = {element.tag.rsplit("}")[-1] for element in root.iter()}
    assert names <= {"svg", "title", "g", "path", "circle", "text", "clipPath", "style", "defs"}
    placed = {one["id"] for one in svg.sheet.facts["labels"]}
    assert placed == {f"control-{n}.press" for n in range(len(usable))}


@pytest.mark.parametrize("texts", BATCHES)
def test_bindings_survive_a_spreadsheet(
    platebook: Run, tmp_path: Path, texts: tuple[str, ...]
) -> None:
    write_library(tmp_path, texts)
    before = load_library(tmp_path).library.profiles["p"].bindings
    assert platebook("convert", "profile.json", "--to", "toml", "-o", "p.toml").code == 0
    Path("profile.json").unlink()
    assert platebook("convert", "p.toml", "--csv", "-o", "p.csv").code == 0
    for line in Path("p.csv").read_text(encoding="utf-8").splitlines():
        assert not re.match(r'"?[=+\-@\t\r]', line)
    assert platebook("convert", "p.csv", "--csv", "--into", "p.toml").out == "nothing changed\n"
    assert load_library(tmp_path).library.profiles["p"].bindings == before


@pytest.mark.parametrize("texts", BATCHES)
def test_a_hostile_id_or_path_is_refused_or_used_but_never_harms(
    platebook: Run, tmp_path: Path, texts: tuple[str, ...]
) -> None:
    for text in texts:
        for words in (
            ["new", "device", "--", text],
            ["print", "legend", "--device", text],
            ["print", "legend", "--profile", text],
            ["explain", "--", text],
            ["check", "--library", text or "nowhere"],
        ):
            ran = platebook(*words)
            assert ran.code in (0, 1, 2), (words, ran)
            assert_inert(ran.out + ran.err)
    assert all(path.parent == tmp_path for path in tmp_path.rglob("*.toml"))


@pytest.mark.parametrize("words", [("handover", "d"), ("session", "p")], ids=" ".join)
def test_what_is_handed_on_asks_for_nothing_and_computes_nothing(
    platebook: Run, tmp_path: Path, words: tuple[str, ...]
) -> None:
    """The booklet and the page for others, and the steps to tick off, of hostile words."""
    usable = write_library(tmp_path, OWN)
    option = "-o" if words[0] == "handover" else "--sheet"
    for form in ("pdf", "html") if option == "-o" else ("pdf", "html", "csv"):
        given = ("--format", form) if option == "-o" else ()
        ran = platebook(*words, *given, "--no-date", option, f"out.{form}")
        assert ran.code in (0, 1), ran.err
        assert_inert(ran.out + ran.err)
    assert PdfReader(Path("out.pdf").read_bytes()).actions() == 0
    page = html.fromstring(Path("out.html").read_bytes())
    names = {key for element in page.iter() for key in element.attrib}
    assert not [name for name in names if name.startswith("on")]
    assert not page.xpath("//img | //iframe | //a[not(starts-with(@href, '#'))] | //svg//script")
    for script in page.xpath("//script[not(@type='application/json')]"):
        assert "alert" not in script.text
    for text in usable:
        assert escape_controls(text) in page.text_content()
    if option == "-o":
        return
    table = Path("out.csv").read_text("utf-8")
    for separator in (",", ";", "|", "\t"):
        for row in csv.reader(io.StringIO(table, newline=""), delimiter=separator):
            assert not [cell for cell in row if cell.lstrip(' "').startswith(("=", "+", "-", "@"))]
