"""The parts list: counts, exact money, and the plate's mass."""

import csv
import io
import json
from math import pi
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from profiles import api
from profiles.sheets import drill
from profiles.sheets.bill import list_parts, money, sum_cost
from profiles.sheets.parts import make_sheet
from profiles.sheets.writing import write_sheet
from tests.conftest import EXAMPLES
from tests.drawing.pdf_reader import PdfReader
from tests.drawing.pictures import compare_with_kept
from tests.hostile import NAUGHTY
from tests.sheets.workshop import bench, momentary, order

KEPT = Path(__file__).parent / "kept"
PARTS = {
    "push": {"kind": "momentary", "name": "Push-button, 16 mm", "hole": 16.2, "unit_price": 2.4},
    "pin": {"kind": "momentary", "name": "Pin, 7 mm", "hole": 7.0, "unit_price": "0.125"},
}


def control(label: str, at: tuple[float, float], part: str, **more: Any) -> dict[str, Any]:
    return {"label": label, "position": list(at), "part": part, **more}


def stocked(**more: Any) -> dict[str, Any]:
    controls = {
        "horn": control("HORN", (30.0, 50.0), "push"),
        "bell": control("BELL", (60.0, 50.0), "push"),
        "light": control("LIGHT", (30.0, 22.0), "pin"),
        **more,
    }
    return {"controls": controls, "parts": PARTS}


def test_parts_are_counted_by_name_and_summed_exactly() -> None:
    facts = make_sheet(*order("parts", bench(**stocked()))).facts

    assert [(one["part"], one["count"], one["cost"]) for one in facts["parts"]] == [
        ("Push-button, 16 mm", 2, "4.80"),
        ("Pin, 7 mm", 1, "0.125"),
    ]
    assert facts["sum"] == "4.925"
    assert facts["currency"] == "EUR"


@given(st.lists(st.integers(0, 10**6), min_size=1, max_size=30))
def test_a_sum_of_cents_is_the_sum_of_whole_cents(cents: list[int]) -> None:
    """Integer arithmetic beside the decimals: no cent is lost or made."""
    parts = {
        f"p{n}": {"kind": "momentary", "hole": 3.0, "unit_price": f"{c // 100}.{c % 100:02}"}
        for n, c in enumerate(cents)
    }
    controls = {f"c{n}": control("C", (10.0, 10.0), part) for n, part in enumerate(parts)}
    total = sum(cents)
    listed = list_parts(bench(controls=controls, parts=parts))
    assert money(sum_cost(listed)) == f"{total // 100}.{total % 100:02}"


def test_what_has_no_part_or_price_is_named_with_its_place() -> None:
    extra = momentary("SPARE", (60.0, 20.0), 7.0)
    remarks = make_sheet(*order("parts", bench(**stocked(spare=extra)))).remarks

    told = [remark for remark in remarks if remark.spot]
    assert [remark.message for remark in told] == ["`spare` has no part and no unit price"]
    assert str(told[0].spot) == "bench:controls.spare"
    assert told[0].is_loss


def test_the_sum_says_how_many_it_does_not_count() -> None:
    extra = control("SPARE", (60.0, 20.0), "spare")
    box = stocked(spare=extra)
    box["parts"] = {**PARTS, "spare": {"kind": "momentary", "name": "Spare", "hole": 7.0}}
    rows = make_sheet(*order("parts", bench(**box))).table

    assert ("Sum, not counting 1 without a price", "", "4", "", "4.925", "EUR", "") in rows


USB = {"kind": "socket", "name": "USB-B socket", "hole": [12.0, 11.0], "unit_price": "1.35"}
EXTRAS = [
    {"name": "Controller board", "unit_price": 8.9, "covers": ["board"]},
    {"name": "Threaded insert M3", "quantity": 4, "unit_price": "0.11"},
    {"name": "Cable", "quantity": 1.5, "unit": "m", "unit_price": 2, "covers": ["wire"]},
    {"name": "Filament", "mass": 87.4, "price_per_kg": "21.90"},
    {"name": "Labels"},
]


def whole() -> dict[str, Any]:
    """Two lit buttons, one whose LED is not in its price; a socket; extras, one without a price."""
    light = {"forward_voltage": 2.1, "current": 5.0, "colour": "green"}
    spare = momentary("SPARE", (90.0, 20.0), 7.0, led={**light, "unit_price": "0.05"})
    return {
        **stocked(bell=control("BELL", (60.0, 50.0), "push", led=light), spare=spare),
        "fixtures": {"usb": {**USB, "position": [100.0, 60.0]}},
        "wiring": {"board": "atmega32u4"},
        "extras": EXTRAS,
    }


def test_the_whole_box_costs_what_its_lines_sum_to() -> None:
    """By hand: 2 x 2.40 + 0.125; 1.35; 0.05; 8.90 + 0.44 + 3.00 + 1.91 (0.0874 x 21.90 = 1.914)."""
    facts = make_sheet(*order("parts", bench(**whole()))).facts

    assert [(one["what"], one["cost"], one["unpriced"]) for one in facts["shares"]] == [
        ("controls", "4.925", 1),
        ("fixtures", "1.35", 0),
        ("LEDs", "0.05", 1),
        ("Controller board", "8.90", 0),
        ("Threaded insert M3", "0.44", 0),
        ("Cable", "3.00", 0),
        ("Filament", "1.91", 0),
        ("Labels", None, 1),
        ("also needed, without a line of its own", None, 2),
    ]
    assert facts["total"] == "20.575"
    assert facts["unpriced"] == 5
    assert facts["sum"] == "6.275"


def test_an_extra_line_covers_what_it_says_and_no_more() -> None:
    facts = make_sheet(*order("parts", bench(**whole()))).facts

    paid = {one["what"].partition(",")[0]: one["paid_with"] for one in facts["needs"]}
    assert paid == {
        "controller board": "Controller board",
        "screw for a hole of 3.4 mm": None,
        "resistor": None,
        "wire": "Cable",
    }


def test_the_total_is_in_every_format_with_what_it_does_not_count() -> None:
    sheet = make_sheet(*order("parts", bench(**whole())))
    told = "Total, not counting 5 without a price"

    assert (told, "", "", "", "20.575", "EUR", "") in sheet.table
    for form in ("text", "csv", "html", "pdf"):
        data = write_sheet(sheet, form).data
        reader = PdfReader(data) if form == "pdf" else None
        pages = [reader.text(page) for page in range(len(reader))] if reader else [data.decode()]
        words = " ".join(" ".join(pages).split())
        for word in (told, "20.575", "Filament", "21.90 per kg", "USB-B socket", "LED, green"):
            assert word in words, (form, word)
    assert json.loads(write_sheet(sheet, "json").data)["total"] == "20.575"


def test_a_total_of_nothing_unknown_says_no_more() -> None:
    box = bench(**{**stocked(), "plate": {"width": 120.0, "height": 80.0}})
    rows = make_sheet(*order("parts", box)).table

    assert rows[-1] == ("Total", "", "", "", "4.925", "EUR", "")


def test_a_fixture_without_a_price_is_named_with_its_place() -> None:
    box = stocked()
    box["fixtures"] = {"vent": {"kind": "vent", "position": [100.0, 60.0], "hole": 8.0}}
    sheet = make_sheet(*order("parts", bench(**box)))

    (told,) = [remark for remark in sheet.remarks if remark.spot]
    assert told.message == "`vent` has no part and no unit price"
    assert str(told.spot) == "bench:fixtures.vent"


@given(
    st.lists(
        st.tuples(st.integers(1, 99), st.integers(0, 10**5)), min_size=1, max_size=12, unique=True
    )
)
def test_extras_sum_like_whole_cents(lines: list[tuple[int, int]]) -> None:
    """Integer arithmetic beside the decimals."""
    extras = [
        {"name": f"x{n}", "quantity": many, "unit_price": f"{cents // 100}.{cents % 100:02}"}
        for n, (many, cents) in enumerate(lines)
    ]
    facts = make_sheet(*order("parts", bench(controls={}, extras=extras))).facts
    total = sum(many * cents for many, cents in lines)
    assert facts["total"] == f"{total // 100}.{total % 100:02}"


def test_mass_is_area_by_thickness_density_and_infill() -> None:
    """120 x 80 mm with corners of 5 mm, 3 mm thick, less its holes; PLA of 1.24 g/cm3 at 40 %."""
    options = {"density": 1.24, "infill": 40.0}
    plate = make_sheet(*order("parts", bench(**stocked()), **options)).facts["plate"]

    holes = pi / 4 * (2 * 16.2**2 + 7.0**2 + 2 * 3.4**2)
    area = 120 * 80 - (4 - pi) * 25 - holes
    assert plate["volume"] == pytest.approx(area * 3 / 1000)
    assert plate["mass"] == pytest.approx(area * 3 / 1000 * 1.24 * 0.4)


def test_every_format_has_the_same_parts_and_costs() -> None:
    sheet = make_sheet(*order("parts", bench(**stocked())))
    rows = json.loads(write_sheet(sheet, "json").data)["parts"]
    assert [row["part"] for row in rows] == ["Push-button, 16 mm", "Pin, 7 mm"]
    for form in ("text", "csv", "html", "pdf"):
        data = write_sheet(sheet, form).data
        words = PdfReader(data).text(0) if form == "pdf" else data.decode("utf-8")
        for row in rows:
            for cell in (row["part"], row["cost"], ", ".join(row["controls"])):
                assert cell in words
        assert "4.925" in words


def test_the_arithmetic_of_the_mass_is_printed() -> None:
    options = {"density": 1.24, "infill": 40.0}
    reader = PdfReader(write_sheet(make_sheet(*order("parts", bench(), **options)), "pdf").data)

    assert "× 1.24 g/cm³ × 40 % infill =" in reader.text(0)


def test_without_a_density_the_missing_mass_is_told() -> None:
    sheet = make_sheet(*order("parts", bench(**stocked())))

    assert sheet.facts["plate"] is None
    assert [remark.message for remark in sheet.remarks] == [
        "no density is given, so the plate is not weighed; --density gives one"
    ]


def test_diodes_resistors_and_wire_are_counted_from_the_wiring() -> None:
    """Blue LED of 3.2 V at 10 mA on 5 V: 180 ohm, a value of E24 (IEC 60063)."""
    led = {"forward_voltage": 3.2, "current": 10.0, "pin": "A0"}
    lit = control("LIT", (90.0, 50.0), "push", led=led, crossing=[1, 1])
    wiring = {"rows": ["2"], "columns": ["3"], "diodes": "every", "gauge": 28}
    needs = make_sheet(*order("parts", bench(**stocked(lit=lit), wiring=wiring))).facts["needs"]

    amounts = {one["what"]: one["amount"] for one in needs}
    assert amounts["screw for a hole of 3.4 mm"] == "2"
    assert amounts["diode, small signal"] == "1"
    assert amounts["resistor, 180 ohm"] == "1"
    assert amounts["wire, AWG 28, yellow"].endswith(" m")


def test_hostile_part_names_stay_words_in_every_format() -> None:
    words = [text for text in NAUGHTY if text.strip() and len(text) <= 400]
    parts = {
        f"p{n}": {"kind": "momentary", "name": text, "hole": 3.0, "unit_price": 1}
        for n, text in enumerate(words)
    }
    controls = {f"c{n}": control("C", (10.0, 10.0), part) for n, part in enumerate(parts)}
    sheet = make_sheet(*order("parts", bench(controls=controls, parts=parts)))

    rows = list(csv.reader(io.StringIO(write_sheet(sheet, "csv").data.decode())))
    assert {len(row) for row in rows} == {7}
    assert not any(cell.startswith(("=", "@", "+", "-")) for row in rows for cell in row)
    text = write_sheet(sheet, "text").data.decode()
    assert not any(ord(letter) < 32 and letter != "\n" for letter in text)
    assert PdfReader(write_sheet(sheet, "pdf").data).actions() == 0


def test_hostile_fixtures_and_extras_stay_words_in_bill_and_drill_sheet() -> None:
    words = [text for text in NAUGHTY if text.strip() and len(text) <= 400][:200]
    fixtures = {
        f"f{n}": {"kind": "vent", "name": text, "position": [10.0, 10.0], "hole": 3.0}
        for n, text in enumerate(words)
    }
    extras = [{"name": text, "unit": text, "note": text} for text in words]
    box = bench(controls={}, fixtures=fixtures, extras=extras)

    for sheet in (make_sheet(*order("parts", box)), drill.make_sheet(*order("drill", box))):
        rows = list(csv.reader(io.StringIO(write_sheet(sheet, "csv").data.decode())))
        assert len({len(row) for row in rows}) == 1
        assert not any(cell.startswith(("=", "@", "+", "-")) for row in rows for cell in row)
        assert PdfReader(write_sheet(sheet, "pdf").data).actions() == 0
    text = write_sheet(make_sheet(*order("parts", box)), "text").data.decode()
    assert not any(ord(letter) < 32 and letter != "\n" for letter in text)


def test_the_same_parts_give_the_same_bytes() -> None:
    for form in ("pdf", "csv", "text", "html", "json"):
        first = write_sheet(make_sheet(*order("parts", bench())), form).data
        assert write_sheet(make_sheet(*order("parts", bench())), form).data == first


def test_picture_of_the_list() -> None:
    """Three tables under each other: parts with a bold sum line, counts and money at the right of
    their columns; screws and wire; the plate's arithmetic with a bold mass; no ruler."""
    stock = stocked(spare=momentary("SPARE", (90.0, 20.0), 7.0))
    stock["controls"]["horn"]["crossing"] = [1, 1]
    box = bench(**stock, wiring={"rows": ["2"], "columns": ["3"]})
    sheet = make_sheet(*order("parts", box, density=1.24))
    compare_with_kept(sheet.document.pages[0], KEPT / "parts.png")


@pytest.mark.parametrize(
    ("library", "device"),
    [
        ("harbour", "helm-desk"),
        ("harbour", "lookout-box"),
        ("boatyard", "winch-house"),
        ("boatyard", "chart-table"),
    ],
)
def test_the_wire_of_the_parts_list_is_that_of_the_cut_list(library: str, device: str) -> None:
    """By gauge and colour: as many pieces, and the sum of their lengths in cm."""
    loaded = api.load(EXAMPLES / library)
    (sheet,) = api.print_sheets(loaded, "wiring", device=device, form="csv")
    cuts = [row for row in csv.DictReader(io.StringIO(sheet.data.decode())) if row["list"] == "cut"]
    (parts,) = api.print_sheets(loaded, "parts", device=device, form="json")
    needs = {
        line["what"]: (line["amount"], line["for"].split(" ")[0])
        for line in json.loads(parts.data)["needs"]
        if line["what"].startswith("wire, ")
    }
    lengths: dict[str, list[int]] = {}
    for row in cuts:
        lengths.setdefault(f"wire, AWG {row['AWG']}, {row['colour']}", []).append(
            int(row["cut mm"])
        )

    assert lengths
    assert needs == {
        wire: (f"{sum(all_of) / 1000:.2f} m", str(len(all_of))) for wire, all_of in lengths.items()
    }
