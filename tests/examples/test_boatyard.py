"""The boatyard: every way to wire a contact or an LED, each from its file to the host.

Checks, sheets, host view and press test of the winch house; its firmware on a simulated chip, and
the same tables behind an interpreter.
"""

import random
from pathlib import Path
from typing import get_args

import pytest

from profiles.checks.registry import run_checks
from profiles.facts.device import DeviceFacts
from profiles.files.library import LoadedLibrary, load_library
from profiles.firmware import plan_firmware
from profiles.host.device_view import view_device
from profiles.live.diagnosis import diagnose
from profiles.live.session import Session
from profiles.model import Contact, Device, Fixture, Rotary, Selector, as_hole
from profiles.report.data import plain_report
from profiles.sheets.parts import make_sheet as make_parts
from profiles.sheets.wiring import make_sheet
from profiles.sheets.wiring_report import report_wiring
from tests.facts.said import wired
from tests.firmware.presses import Wires, list_buttons
from tests.firmware.test_chip import REASON, build_host, run_host
from tests.firmware.test_interpreter import Board, run_board
from tests.live.test_examples import hear_all
from tests.needs import skip_unless
from tests.sheets.workshop import order

FOLDER = Path(__file__).parents[2] / "example_profiles" / "boatyard"


@pytest.fixture(scope="module")
def boatyard() -> LoadedLibrary:
    return load_library(FOLDER)


@pytest.fixture(scope="module")
def house(boatyard: LoadedLibrary) -> Device:
    return boatyard.library.devices["winch-house"]


def find_buttons(device: Device, closed: set[Contact]) -> set[int]:
    """Inputs down while these contacts are closed, as the file numbers them."""
    return {device.declared_inputs[one] for one in closed if one in device.declared_inputs}


def close_some(device: Device, rng: random.Random) -> set[Contact]:
    """Any contacts, of a selector one; no rotary turns."""
    closed = set()
    for key, control in device.controls.items():
        ways = [one for one in wired(device) if one.control == key]
        if isinstance(control, Selector):
            closed.add(rng.choice(ways))
        elif isinstance(control, Rotary):
            closed |= {Contact(key, "press")} if rng.random() < 0.5 else set()
        else:
            closed |= {one for one in ways if rng.random() < 0.5}
    return closed


def find_lit(closed: set[Contact]) -> set[str]:
    """LEDs that are lit, in the words of the file's comments."""
    down = {one.control for one in closed}
    lit = {"horn"} | ({"hoist", "pump", "bell", "shore"} & down)
    return lit | ({"mast"} if {"hoist", "pump"} <= down else set())


def test_every_file_is_read_and_nothing_is_found(boatyard: LoadedLibrary) -> None:
    assert (boatyard.problems, boatyard.notes, len(boatyard.sources)) == ((), (), 7)
    assert run_checks(boatyard.library).findings == ()


def test_every_way_of_wiring_is_there(house: Device) -> None:
    wiring = house.wiring
    assert [chain.active for chain in wiring.chains] == ["low", "high"]
    assert [bank.kind for bank in wiring.banks.values()] == [
        "expander",
        "multiplexer",
        "multiplexer",
        "ladder",
    ]
    leds = [control.led for control in house.controls.values() if control.led]
    assert {(led.follows == "power", led.driver, led.crossing is not None) for led in leds} == {
        (True, False, False),
        (False, True, False),
        (False, False, True),
    }


def test_the_plate_has_every_fixture_and_every_shape_of_hole(house: Device) -> None:
    kinds = get_args(Fixture.model_fields["kind"].annotation)
    assert {one.kind for one in house.fixtures.values()} == set(kinds)
    holes = [as_hole(one.hole) for one in (*house.mounted.values(), *house.plate.screws)]
    assert {hole.shape for hole in holes} == {"round", "rectangle", "slot"}
    for key in ("corner_radius", "across_flats", "keyway", "countersink"):
        assert any(getattr(hole, key) for hole in holes), key


def test_the_bill_counts_the_whole_house(house: Device) -> None:
    """By hand, EUR: controls 11.60 + 15.40 + 6.40 + 5.20 + 2.20 + 2.40; fixtures 15.05; extras 9.50
    + 0.60 + 0.20 + 1.98 + 4.50 + 6.79 (310 g at 21.90 a kilogram)."""
    facts = make_parts(*order("parts", house)).facts
    shares = {one["what"]: one["cost"] for one in facts["shares"]}

    assert (shares["controls"], shares["fixtures"]) == ("43.20", "15.05")
    assert facts["total"] == "81.82"
    assert facts["unpriced"] == sum(one["paid_with"] is None for one in facts["needs"])


def test_the_report_shows_every_place(boatyard: LoadedLibrary, house: Device) -> None:
    plain = plain_report(report_wiring(boatyard.library, house))
    assert len(plain["banks"]) == 9 + 4 + 2 + 5 - 1
    assert [row["bit"] for row in plain["bits"]] == [1, 2, 3, 5, 9, 10, 11, 12]
    assert plain["free_pins"] == ["13"]
    assert all(load["state"] == "fine" for load in plain["loads"])


def test_every_sheet_of_the_wiring_is_drawn(house: Device) -> None:
    sheet = make_sheet(*order("wiring", house))
    words = {row["line"] for row in sheet.facts["lines"]}
    assert {"bit 9", "place deck.9", "place rungs.5", "LED row 2", "common supply"} <= words


def test_the_host_sees_every_input(house: Device) -> None:
    inputs = DeviceFacts(house).inputs.values()
    view = view_device(house, inputs, ["linux-evdev", "windows-dijoystate2"])
    assert [row.input for row in view.rows][:28] == list(range(1, 29))
    assert not any(map(view.list_dropped, view.interfaces))


def test_a_faultless_house_passes_its_press_test(house: Device) -> None:
    session = Session(house, "full")
    told = [one for one in session.steps if one.gesture not in ("to-low", "to-high")]
    heard = [one for one in hear_all(session, ()) if one.step in told]
    assert diagnose(session.model, heard).is_sound


@skip_unless(not REASON, REASON)
def test_the_chip_reports_and_lights_what_the_file_says(house: Device, tmp_path: Path) -> None:
    """Twelve random states of all contacts, each of 36 ms: debounced in 21 ms there."""
    build_host(tmp_path)
    plan = plan_firmware(house)
    wires = Wires(house, plan)
    rng = random.Random("house")
    states = [close_some(house, rng) for _ in range(12)]
    rows = [wires.row(frozenset(one)) for one in states for _ in range(12)]

    _, changes, lit = run_host(house, wires.diodes, rows, tmp_path)

    for at, closed in enumerate(states):
        end = 12 * at + 11
        report = [report for row, report in changes if row <= end][-1]
        assert set(list_buttons(report & (1 << 28) - 1)) == find_buttons(house, closed)
        assert {plan.lights[one].control for one in lit[end]} == find_lit(closed)


def test_an_interpreter_reports_and_lights_what_the_file_says(
    house: Device, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    board = Board(house, closed=[(0, 0)])
    board.low = {"12"}
    board.bits = {0: bytes([0, 1, 0, 0, 1, 0, 0, 0]), 1: bytes([0, 0, 1, 0, 0, 0, 0, 0])}
    board.places = {"deck.3", "deck.16", "fan.4", "rungs.2"}
    board.voltages = {0: 0xFFFF, 1: 0x8000}
    board.watched = {("MOSI", "A1"): "pump", ("MISO", "A1"): "mast", ("MISO", "A5"): "shore"}

    run_board(house, board, tmp_path, monkeypatch)

    names = ("hoist", "brake", "call", "pump", "shore", "horn", "starboard")
    closed = {Contact(name, house.controls[name].main_contact or "") for name in names}
    closed |= {Contact("gear", "position-2"), Contact("range", "position-2")}
    report = int.from_bytes(board.reports[-1][0], "little")
    assert set(list_buttons(report & (1 << 28) - 1)) == find_buttons(house, closed)
    assert board.lit == {"pump", "mast", "shore"}
    assert (board.pins["0"].out, board.pins["6"].out) == (True, True)
