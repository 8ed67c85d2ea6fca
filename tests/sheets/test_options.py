"""What is asked of a sheet is understood as people write it: case, units, spaces and commas."""

import pytest

from profiles.sheets.options import Option, RequestError, UnknownNameError, options_of
from profiles.sheets.requests import SHEETS

PAPER = options_of(SHEETS["legend"])["paper"]
OVERLAP = options_of(SHEETS["drill"])["overlap"]
TAPE = options_of(SHEETS["strip"])["tape"]


@pytest.mark.parametrize(
    ("option", "typed", "meant"),
    [
        *((PAPER, typed, "a4") for typed in ("a4", "A4", " A 4 ", "DIN A4", "ISO-A4", "A4 paper")),
        *((PAPER, typed, "letter") for typed in ("Letter", "US Letter", "us-letter")),
        *((TAPE, typed, "12") for typed in ("12", "12mm", "12 MM", "12.0mm", "12,0 mm")),
        *((TAPE, typed, "12") for typed in ("12 mm tape", "tape 12", "12-mm", 12, 12.0)),
        *((TAPE, typed, "paper") for typed in ("paper", "Paper", "PAPER ")),
        *((OVERLAP, typed, 12.0) for typed in ("12", "12mm", "12 mm", "1.2 cm", "12,0", 12)),
        *((OVERLAP, typed, 12.7) for typed in ("0.5 in", "0,5inch", '.5"')),
        (Option("Infill", least=1, greatest=100, unit="%"), "20 %", 20.0),
        (Option("Density", least=0, greatest=20, unit="g/cm³"), "1,24 g/cm³", 1.24),
    ],
)
def test_what_people_write_is_understood(option: Option, typed: object, meant: object) -> None:
    assert option.read("it", typed) == meant


@pytest.mark.parametrize(
    ("option", "typed", "message", "remedy"),
    [
        (PAPER, "a44", "it must be a3, a4, a5, legal or letter, not `a44`", "Did you mean `a4`?"),
        (
            PAPER,
            "lettre",
            "it must be a3, a4, a5, legal or letter, not `lettre`",
            "Did you mean `letter`?",
        ),
        (PAPER, "b5", "it must be a3, a4, a5, legal or letter, not `b5`", ""),
        (TAPE, "11mm", "it must be paper, 6, 9, 12, 18, 24 or 36, not `11mm`", ""),
        (OVERLAP, "1 foot", "it must be 6 to 25 mm, not `1 foot`", ""),
        (OVERLAP, "12 cm", "it must be 6 to 25 mm, not `120`", ""),
    ],
)
def test_what_is_no_choice_is_refused(
    option: Option, typed: str, message: str, remedy: str
) -> None:
    with pytest.raises(RequestError) as refused:
        option.read("it", typed)
    assert (str(refused.value), refused.value.remedy) == (message, remedy)
    assert isinstance(refused.value, UnknownNameError) is bool(option.choices)


@pytest.mark.parametrize("given", [0, "0", True, False])
def test_a_number_that_must_be_above_its_least_is_neither_that_nor_true_or_false(
    given: object,
) -> None:
    option = Option("Any", greatest=5, is_above=True, unit="mm", default=1.0)
    assert option.read("any", 0.001) == 0.001
    with pytest.raises(RequestError) as caught:
        option.read("any", given)
    assert str(caught.value) == f"any must be above 0 and up to 5 mm, not `{given}`"
