"""`platebook press measurements` and `press list`."""

import json
from pathlib import Path
from xml.etree import ElementTree

import pytest

from tests.cli.conftest import Run
from tests.cli.pressing import Stage, stage
from tests.cli.test_press_test import EXAMPLE, HARBOUR
from tests.live.virtual import VirtualBox

__all__ = ["stage"]

SVG = "{http://www.w3.org/2000/svg}"


def test_tables_stand_before_the_plots(platebook: Run) -> None:
    ran = platebook("press", "measurements", EXAMPLE, "--library", HARBOUR)
    lines = ran.out.splitlines()
    assert lines[:5] == [
        "Helm desk (helm-desk)",
        "",
        "Rotary                 Detents  Pulses  Pulses per detent  Fastest without a loss",
        "---------------------  -------  ------  -----------------  ----------------------",
        "trim.clockwise              10      10               1.00            17 detents/s",
    ]
    assert "Bounce: gaps within one press" in lines
    assert "Press times" in lines
    assert max(map(len, lines)) <= 130


def test_the_plots_are_written_as_svg_with_units(platebook: Run) -> None:
    ran = platebook(
        "press", "measurements", EXAMPLE, "--library", HARBOUR, "--svg", "plots.svg", "--no-plots"
    )
    assert ran.err == "plots: plots.svg\n"
    assert "Press times" not in ran.out
    root = ElementTree.parse("plots.svg").getroot()
    words = {"".join(one.itertext()) for one in root.iter(f"{SVG}text")}
    assert {"gap, ms", "time from down to up, ms", "debounce 7 ms", "horn.press"} <= words


def test_figures_as_json(platebook: Run) -> None:
    told = json.loads(
        platebook("press", "measurements", EXAMPLE, "--library", HARBOUR, "--json").out
    )
    bell = next(one for one in told["presses"] if one["contact"] == "bell.press")
    assert len(bell["bounces"]) == 1
    assert told["turns"][0]["pulses"] == 10


def test_a_record_in_which_nothing_was_pressed_has_no_measurements(platebook: Run) -> None:
    head = EXAMPLE.read_bytes().splitlines(keepends=True)[0]
    Path("empty.jsonl").write_bytes(head)
    ran = platebook("press", "measurements", "empty.jsonl", "--library", HARBOUR)
    assert ran.out == "Helm desk (helm-desk): nothing was pressed or turned in this recording\n"
    ran = platebook("press", "measurements", "empty.jsonl", "--library", HARBOUR, "--svg", "x.svg")
    assert (ran.code, ran.err) == (
        2,
        "platebook: there is nothing to plot in this recording\n  Press or turn something first.\n",
    )


def test_boxes_are_listed_with_identity_counts_and_the_devices_they_may_be(
    platebook: Run, stage: Stage
) -> None:
    with (
        VirtualBox(34, name="Helm desk"),
        VirtualBox(8, name="\x1b[2Jevil", vendor=0x1209, product=0x0099, axes=2, hats=1),
    ):
        ran = platebook("press", "list", "--library", HARBOUR)
        told = json.loads(platebook("press", "list", "--library", HARBOUR, "--json").out)
    assert ran.out == (
        "Box        USB identity  Serial  Buttons  Axes  Hats  Device\n"
        "---------  ------------  ------  -------  ----  ----  -------------------\n"
        "Helm desk  1209:0001     none    34       0     0     helm-desk\n"
        "␛[2Jevil   1209:0099     none    8        2     1     none of the library\n"
    )
    assert [box["devices"] for box in told["boxes"]] == [["helm-desk"], []]


@pytest.mark.usefixtures("stage")
def test_no_boxes_are_said_on_stderr(platebook: Run) -> None:
    ran = platebook("press", "list", "--library", HARBOUR)
    assert (ran.code, ran.out) == (0, "")
    assert ran.err.startswith("Nothing that reports as a game controller can be read here")
