"""Hostile words in a board file are inert wherever a board is shown, printed or compiled.

Sources as in `test_hostile`; the Python that is written is compiled.
"""

import csv
import io
import json
from pathlib import Path

import pypdfium2
import pytest

from profiles.files.library import load_library
from tests.conftest import Run
from tests.hostile import NAUGHTY
from tests.thread.inert import assert_inert, is_whole

TEXTS = [text for text in NAUGHTY if text.strip() and len(text) <= 400 and is_whole(text)]
BATCH = 24
BATCHES = [TEXTS[start : start + BATCH] for start in range(0, len(TEXTS), BATCH)]


def write_library(folder: Path, texts: list[str]) -> None:
    """A device on a board whose name, source, chip's names of pins and notes are these texts."""
    pins = {f"GP{n}": text for n, text in enumerate(texts)}
    board = {
        "board": {"id": "own", "name": texts[0], "supply": 5.0, "note": texts[-1]},
        "limits": {"pin": 20.0, "board": 90.0, "source": texts[-1], "pin_source": texts[0]},
        "pins": {**pins, "A0": "PF7", "A1": "PF6"},
        "notes": dict(pins),
        "groups": {"all": {"limit": 50.0, "pins": list(pins)}},
    }
    led = {"forward_voltage": 2.0, "current": 8.0, "pin": "GP0"}
    control = {"kind": "momentary", "label": "HORN", "hole": 12.0, "position": [30.0, 30.0]}
    device = {
        "device": {"id": "d", "name": "Desk"},
        "plate": {"width": 100.0, "height": 60.0},
        "wiring": {"board": "own"},
        "controls": {"horn": {**control, "pin": "A0", "common": "GND", "input": 1, "led": led}},
    }
    for stem, content in {"own": board, "d": device}.items():
        (folder / f"{stem}.json").write_text(json.dumps({"format": 1, **content}), "utf-8")


@pytest.mark.parametrize("texts", BATCHES)
def test_hostile_words_of_a_board_stay_words(
    platebook: Run, tmp_path: Path, texts: list[str]
) -> None:
    library = tmp_path / "library"
    library.mkdir()
    write_library(library, texts)
    assert load_library(library).problems == ()
    for words in (
        ("check", library),
        ("check", library, "--json"),
        ("wiring", "show", "--library", library),
        ("wiring", "show", "--library", library, "--json"),
        ("print", "parts", "--library", library, "-o", "-"),
        ("print", "wiring", "--library", library, "-o", "w.csv"),
        ("print", "wiring", "--library", library, "-o", "w.pdf"),
        ("firmware", "--library", library, "--for", "python", "-o", "code"),
    ):
        ran = platebook(*words)
        assert ran.code == 0, (words, ran)
        assert_inert(ran.out + ran.err)
    assert len(pypdfium2.PdfDocument(Path("w.pdf").read_bytes())) >= 1
    for row in csv.reader(io.StringIO(Path("w.csv").read_text("utf-8"), newline="")):
        assert not any(cell.lstrip().startswith(("=", "+", "-", "@")) for cell in row), row
    for path in Path("code").rglob("*.py"):
        compile(path.read_text("utf-8"), path.name, "exec")
