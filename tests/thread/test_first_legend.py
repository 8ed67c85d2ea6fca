"""From an empty folder to the first right legend: all that is typed, and what comes of it."""

import json
import os
import subprocess
import sys
import tomllib
from pathlib import Path

import pypdfium2
import pytest

from tests.conftest import ROOT

TYPED = r"""printf '%s\n' Horn Bell Mark Gear Flap Trim Lamp Mast Hook Boom Door Fan Heat Pump Map Log Tow Aft Bow Tide >f
printf '%s\n' Horn Bell Mark Gear Jet Net Reel Line Haul Veer Hatch Light Mute Zoom View Chat Quit Dive Rise Halt >g
platebook new device box --grid 5x4 --pitch 35 --labels f
platebook new application ferry --actions f
platebook new application tug --actions g
platebook new profile p --application ferry
platebook new profile q --application tug --like p
platebook suggest q --may --write
platebook check
platebook print legend --profile p --profile q
"""  # noqa: E501  what is typed is one line

MOST_LINES, MOST_LETTERS = 30, 600


@pytest.mark.skipif(os.name == "nt", reason="typed as POSIX shells take it")
def test_twenty_buttons_and_two_applications_are_typed_in_thirty_lines(tmp_path: Path) -> None:
    assert len(TYPED.splitlines()) <= MOST_LINES
    assert len(TYPED) <= MOST_LETTERS
    tools, folder = tmp_path / "tools", tmp_path / "box"
    tools.mkdir()
    folder.mkdir()
    tool = tools / "platebook"
    tool.write_text(f'#!/bin/sh\nPYTHONPATH="{ROOT}" exec "{sys.executable}" -m profiles "$@"\n')
    tool.chmod(0o755)
    env = {**os.environ, "PATH": f"{tools}{os.pathsep}{os.environ['PATH']}"}
    ran = subprocess.run(
        ["sh", "-e", "-c", TYPED], cwd=folder, env=env, capture_output=True, text=True, check=False
    )
    assert ran.returncode == 0, ran.stderr
    checked = subprocess.run(
        [tool, "check", "--json"], cwd=folder, env=env, capture_output=True, check=True
    )
    assert "error" not in {one["severity"] for one in json.loads(checked.stdout)["findings"]}
    device = tomllib.loads((folder / "box.toml").read_text("utf-8"))
    assert len(device["controls"]) == 20
    for profile in "pq":
        bindings = tomllib.loads((folder / f"{profile}.toml").read_text("utf-8"))["bindings"]
        assert len(bindings) == len(set(bindings.values())) == 20
    pages = pypdfium2.PdfDocument(folder / "box-p-q-legend.pdf")
    words = " ".join(page.get_textpage().get_text_bounded() for page in pages)
    assert {"Horn", "Tide", "Hatch", "Halt"} <= set(words.split())
