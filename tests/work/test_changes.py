"""What a change asks for: numbers, wires, firmware, bindings, and sheets by their bytes."""

from typing import Any

import pytest

from profiles.work.changes import (
    Changes,
    NumberChange,
    Rebinding,
    SheetChange,
    WireChange,
    find_changes,
)
from tests.work.changes_oracle import Content, build, find_disagreements, open_example


@pytest.fixture(scope="module")
def harbour() -> Content:
    return open_example("harbour")


def change(content: Content, *edits: tuple[tuple[str, ...], Any]) -> Changes:
    """What lies between a library and itself with values put at these paths."""
    before = build(content)
    for path, value in edits:
        table: Any = content
        content = dict(content)
        table = content
        for word in path[:-1]:
            table[word] = dict(table[word])
            table = table[word]
        table[path[-1]] = value
    return find_changes(before, build(content))


def test_nothing_changed_is_nothing_to_do(harbour: Content) -> None:
    assert change(harbour).is_empty


def test_two_swapped_crossings_name_numbers_wires_and_bindings(harbour: Content) -> None:
    desk = ("helm-desk", "controls")
    found = change(
        harbour, ((*desk, "stop", "crossing"), [3, 1]), ((*desk, "radio", "crossing"), [2, 5])
    )
    assert found.numbers == (
        NumberChange("helm-desk", "stop", "STOP", 10, 11),
        NumberChange("helm-desk", "radio", "RADIO", 11, 10),
    )
    assert found.firmware == ("helm-desk",)
    assert (
        WireChange("helm-desk", "stop.press", "column 5 and row 2", "column 1 and row 3")
        in found.wires
    )
    assert {one.what for one in found.wires} == {
        *("stop.press", "radio.press", "diode at stop.press", "diode at radio.press")
    }
    assert (
        Rebinding(
            *("cobblegate-on-helm-desk", "Cobblegate Trams", "Drop the track brake"),
            *(("B10",), ("B11",)),
        )
        in found.rebindings
    )
    names = {one.name for one in found.sheets}
    assert {"helm-desk-wiring.pdf", "cobblegate-on-helm-desk-card.pdf"} <= names
    assert "helm-desk-drill.pdf" not in names


def test_a_row_on_another_pin_is_one_wire(harbour: Content) -> None:
    wiring = harbour["helm-desk"]["wiring"]
    rows = [*wiring["rows"][:-1], "15"]
    found = change(harbour, (("helm-desk", "wiring", "rows"), rows))
    last = len(rows)
    assert found.wires == (
        WireChange("helm-desk", f"row {last}", f"board pin {wiring['rows'][-1]}", "board pin 15"),
    )
    assert found.firmware == ("helm-desk",)
    assert (found.numbers, found.rebindings) == ((), ())


def test_words_alone_ask_for_paper_alone(harbour: Content) -> None:
    found = change(harbour, (("helm-desk", "controls", "horn", "label"), "HOOTER"))
    assert (found.numbers, found.rebindings, found.wires, found.firmware) == ((), (), (), ())
    assert found.sheets
    assert {one.how for one in found.sheets} == {"changed"}


def test_how_the_application_counts_asks_to_bind_all_again(harbour: Content) -> None:
    path = ("cobblegate", "application", "number_format")
    found = change(harbour, (path, "Key {n}"))
    assert found.rebindings
    assert {one.profile for one in found.rebindings} == {"cobblegate-on-helm-desk"}


def test_an_action_unbound_and_a_profile_gone_are_told(harbour: Content) -> None:
    bindings = dict(harbour["cobblegate-on-helm-desk"]["bindings"])
    del bindings["mains"]
    found = change(harbour, (("cobblegate-on-helm-desk", "bindings"), bindings))
    assert [(one.action, one.before, one.after) for one in found.rebindings] == [
        (harbour["cobblegate"]["actions"]["battery"]["name"], ("B1",), ())
    ]
    less = {key: one for key, one in harbour.items() if key != "cobblegate-on-helm-desk"}
    gone = find_changes(build(harbour), build(less))
    assert SheetChange("cobblegate-on-helm-desk-card.pdf", "gone") in gone.sheets
    new = find_changes(build(less), build(harbour))
    assert SheetChange("cobblegate-on-helm-desk-card.pdf", "new") in new.sheets


def test_what_no_sheet_shows_lays_out_no_page(
    harbour: Content, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A note of the device is part of all that its sheets are made from."""

    def refuse(*_given: Any, **_more: Any) -> None:
        raise AssertionError("pages are laid out")

    for room in ("legend", "strip", "drill", "coupon", "wiring", "report_sheet"):
        monkeypatch.setattr(f"profiles.sheets.{room}.bind", refuse)
    assert change(harbour, (("helm-desk", "device", "note"), "Other words.")).is_empty
    told = change(harbour, (("helm-desk", "controls", "stop", "label"), "HALT")).sheets
    assert SheetChange("helm-desk-drill.pdf", "changed") in told


@pytest.mark.long
@pytest.mark.parametrize(("name", "edits", "seed"), [("small", 12, 3), ("harbour", 2, 4)])
def test_the_sheets_told_are_those_whose_bytes_differ(name: str, edits: int, seed: int) -> None:
    problems, differed = find_disagreements(name, edits, seed)
    assert problems == []
    assert differed > 0


def test_only_labels_that_differ_are_on_the_sheet_to_cut(harbour: Content) -> None:
    import pypdfium2

    from profiles.work.changes import make_changed_label_sheets

    bindings = {**harbour["cobblegate-on-helm-desk"]["bindings"]}
    bindings["horn"] = {"action": bindings["horn"], "legend": "HOOT"}
    changed = {**harbour}
    changed["cobblegate-on-helm-desk"] = {
        **harbour["cobblegate-on-helm-desk"],
        "bindings": bindings,
    }
    ((name, data),) = make_changed_label_sheets(build(harbour), build(changed), "")
    assert name == "helm-desk-cobblegate-on-helm-desk-changed-labels.pdf"
    page = pypdfium2.PdfDocument(data)[0].get_textpage()
    text = page.get_text_range()
    assert "HOOT" in text
    assert "BELL" not in text
    assert list(make_changed_label_sheets(build(harbour), build(harbour), "")) == []
