"""Hats and axes as checks see them: shared, dropped by hosts, on pins that cannot measure."""

import pytest
from pydantic import ValidationError

from tests.checks.build import application, device, profile, told

AXIS = '[controls.sail]\nkind = "axis"\naxis = "x"\npin = "A0"\n'


def test_an_axis_of_two_controls_is_an_error() -> None:
    box = device(AXIS + '[controls.keel]\nkind = "axis"\naxis = "x"\npin = "A1"')

    assert told("input-repeated", box) == [
        (
            "axis X serves `sail` and `keel`",
            "Give `keel` an axis of its own",
            "desk:controls.keel.pin",
        )
    ]


def test_linux_carries_one_hat() -> None:
    """drivers/hid/hid-input.c ignores a usage whose code is taken."""
    box = device(
        '[controls.look]\nkind = "hat"\npins = { up = "2", down = "3" }\n'
        '[controls.view]\nkind = "hat"\npins = { up = "4", down = "5" }'
    )

    assert told("axis-dropped", box) == [
        (
            "Linux drops hat 2 of `view`: it lands on the codes of hat 1",
            "Report its ways as buttons",
            "desk:controls.view hat 2",
        )
    ]


def test_windows_carries_eight_axes() -> None:
    """Six axes and two sliders: learn.microsoft.com, DIJOYSTATE2."""
    box = device("[device.report]\naxes = 8\n" + AXIS.replace('"x"', '"brake"'))

    assert told("axis-dropped", box) == [
        (
            "Windows (DIJOYSTATE2) drops axis Brake of `sail`: it carries 8 axes",
            "Choose another axis",
            "desk:controls.sail axis Brake",
        )
    ]


def test_an_application_that_reads_few_axes_misses_the_rest() -> None:
    """JOYINFO has X, Y and Z (learn.microsoft.com, joystickapi)."""
    sea = application(
        '[application]\ninterface = "windows-joyinfo"\n[actions.steer]\nbehaviour = "axis"'
    )
    box = device("[device.report]\naxes = 3\n" + AXIS.replace('"x"', '"rx"'))

    assert told("input-never-arrives", box, sea, profile('[bindings]\nsail = "steer"')) == [
        (
            "`sail` is axis Rx, `windows-joyinfo` drops it: it carries 3 axes",
            "Bind `steer` elsewhere",
            "play:bindings.sail desk/sail.axis",
        )
    ]


def test_an_axis_wants_a_pin_that_measures() -> None:
    """ADC0, 1 and 4 to 13 (ATmega16U4/32U4 data sheet 7766F, pin functions)."""
    box = device('[wiring]\nboard = "atmega32u4"\n' + AXIS.replace("A0", "2"))
    bare = device('[wiring]\nrows = ["2"]\n' + AXIS.replace('pin = "A0"', ""))

    assert [message for message, _, _ in told("pin-unable", box)] == [
        "pin `2` of `atmega32u4` measures no voltage, which `sail` needs"
    ]
    assert told("contact-unwired", bare) == [
        ("`sail` has no wire", "Give `sail` a pin", "desk:controls.sail")
    ]


@pytest.mark.parametrize(
    ("control", "behaviour", "message"),
    [
        (AXIS, "pulse", "`sail` is an axis, but `do` wants a button"),
        ("[controls.sail]\ninput = 1", "axis", "`sail` is a button, but `do` wants an axis"),
    ],
)
def test_buttons_and_axes_want_actions_of_their_own(
    control: str, behaviour: str, message: str
) -> None:
    sea = application(f'[actions.do]\nbehaviour = "{behaviour}"')

    found = told("axis-mismatched", device(control), sea, profile('[bindings]\nsail = "do"'))

    assert [words for words, _, _ in found] == [message]


def test_an_axis_on_an_axis_and_a_way_on_a_press_are_fine() -> None:
    sea = application('[actions.steer]\nbehaviour = "axis"\n[actions.look]')
    box = device(AXIS + '[controls.hat]\nkind = "hat"\npins = { up = "2" }')
    play = profile('[bindings]\nsail = "steer"\n"hat.up" = "look"')

    for code in ("axis-mismatched", "contact-without-input", "input-never-arrives"):
        assert told(code, box, sea, play) == []


@pytest.mark.parametrize(
    ("keys", "words"),
    [
        ("range = [60.0, 40.0]", "has a `range` that does not rise"),
        ("dead_band = 2.0", "has a `dead_band` but no `centre`"),
        ("centre = 97.0\ndead_band = 2.0", "that reaches an end of its `range`"),
        ("input = 3", "has `input`, but an axis is measured at a `pin` of its own"),
        ('scale = { marks = ["0", "9"] }', "wants `angle` of a knob or `stroke` of a slide"),
    ],
)
def test_an_axis_that_cannot_be_is_refused(keys: str, words: str) -> None:
    with pytest.raises(ValidationError, match=words):
        device(AXIS + keys)


def test_a_hat_that_reports_as_one_has_no_numbers() -> None:
    with pytest.raises(ValidationError, match="gives `up` an input, which wants"):
        device('[controls.look]\nkind = "hat"\ninputs = { up = 1 }')
