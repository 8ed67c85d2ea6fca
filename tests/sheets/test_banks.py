"""Banks on the wiring report, the wiring sheet and the list of what to buy."""

from profiles.model import Library
from profiles.report.data import plain_report
from profiles.sheets.bill import list_needs
from profiles.sheets.wiring import make_sheet
from profiles.sheets.wiring_report import report_wiring
from profiles.wiring.box import harness_of
from tests.checks.build import device
from tests.firmware.boxes import make_banks_box, make_chains_box
from tests.sheets.workshop import order


def test_the_report_shows_what_each_place_reads() -> None:
    box = make_banks_box()
    plain = plain_report(report_wiring(Library.of([box]), box))
    places = {row["place"]: row for row in plain["banks"]}

    assert places["deck.16"]["printed"] == "GPB7"
    assert places["rail.3"]["contact"] == {"contact": "spin.clockwise", "input": 15}
    assert places["rungs.3"]["resistor"] == 4.3
    assert places["rungs.3"]["reads"] == "38.6 to 41.8 %"
    assert not any("." in row["pin"] for row in plain["pins"])


def test_a_place_of_a_bank_has_its_wire_and_its_tests() -> None:
    harness = harness_of(make_banks_box())
    starts = {run.line.name: run.order[0].name for run in harness.runs}

    assert starts["place deck.9"] == "deck.9 (expander GPB0)"
    assert starts["place fan.8"] == "fan.8 (multiplexer Y7)"
    assert starts["place rungs.1"] == "rungs.1 (ladder 1)"
    assert starts["pin 10"] == "board pin 10"
    reds = [test.red for test in harness.tests]
    assert "rungs.1 (ladder 1)" in reds
    assert "board pin A0 to pin of rungs" in harness.unrouted


def test_the_sheet_lists_the_places() -> None:
    facts = make_sheet(*order("wiring", make_banks_box())).facts
    assert len(facts["banks"]) == 20


def test_what_banks_are_built_from_is_bought() -> None:
    needs = {need.what: need.amount for need in list_needs(make_banks_box())}

    assert needs["port expander, mcp23017"] == needs["port expander, pcf8574"] == "1"
    assert needs["resistor, 2.2 kohm"] == "2"
    assert needs["resistor, 10 kohm, 1 %"] == "2"
    assert needs["resistor, 24 kohm, 1 %"] == "1"
    assert needs["analog multiplexer of 8 places"] == "1"
    chains = {need.what: need.amount for need in list_needs(make_chains_box())}
    assert chains["shift register of 8 bits"] == "3"


def test_a_ladder_without_resistors_says_so() -> None:
    box = device(
        '[wiring.banks.rungs]\nkind = "ladder"\npin = "A1"\npull_up = 10.0\n'
        '[controls.horn]\npin = "rungs.1"'
    )
    words = [getattr(block, "words", "") for block in report_wiring(Library.of([box]), box).blocks]
    assert any("no resistors yet" in str(one) for one in words)
