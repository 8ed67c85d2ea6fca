"""Banks: places that are not there, ladders that cannot tell, addresses on a bus."""

from tests.checks.build import application, codes, device, find, profile, told

DECK = """
[wiring.banks.deck]
kind = "expander"
chip = "pcf8574"
address = 0x20
sda = "2"
scl = "3"
"""
FAN = '[wiring.banks.fan]\nkind = "multiplexer"\nselect = ["5", "6"]\npin = "A0"\n'
RUNGS = '[wiring.banks.rungs]\nkind = "ladder"\npin = "A1"\npull_up = 10.0\n'
SAIL = '[controls.sail]\nkind = "axis"\naxis = "x"\nhole = 7.0\n'


def test_a_place_beyond_the_bank_is_an_error() -> None:
    box = device(f'{DECK}{FAN}[controls.horn]\npin = "deck.9"\n[controls.bell]\npin = "fan.0"')

    assert told("bank-outside", box) == [
        (
            "`bell` sits at `fan.0`, but `fan` has 4 places",
            "Write a place from 1 to 4",
            "desk:controls.bell.pin",
        ),
        (
            "`horn` sits at `deck.9`, but `deck` has 8 places",
            "Write a place from 1 to 8",
            "desk:controls.horn.pin",
        ),
    ]


def test_an_axis_wants_a_multiplexer() -> None:
    assert told("bank-outside", device(f'{DECK}{SAIL}pin = "deck.1"')) == [
        (
            "`sail` sits at `deck.1`, but `deck` has no place that measures",
            "Move it to a multiplexer",
            "desk:controls.sail.pin",
        )
    ]
    assert find("bank-outside", device(f'{FAN}{SAIL}pin = "fan.4"')) == []


def test_a_line_of_the_matrix_cannot_sit_at_a_bank() -> None:
    assert told("bank-outside", device(f'[wiring]\nrows = ["deck.1"]\n{DECK}')) == [
        (
            "row 1 sits at `deck.1`, but a bank only reads contacts",
            "Write a pin of the board",
            "desk:wiring.rows.0",
        )
    ]


def test_contacts_and_axes_need_multiplexers_of_their_own() -> None:
    box = device(f'{FAN}{SAIL}pin = "fan.1"\n[controls.horn]\npin = "fan.2"')

    assert told("multiplexer-mixed", box) == [
        (
            "`fan` has contacts and axes",
            "Give the contacts or the axes a multiplexer of their own",
            "desk:wiring.banks.fan",
        )
    ]


def test_a_ladder_without_resistors_gets_some_proposed() -> None:
    """IEC 60063, E24: three contacts and none closed, a third of the supply apart."""
    box = device(f'{RUNGS}[controls.horn]\npin = "rungs.1"\n[controls.bell]\npin = "rungs.3"')

    assert told("ladder-empty", box) == [
        (
            "`rungs` has no resistors for its 3 contacts",
            "Set rungs.steps to [5.1, 15.0] (E24, kohm)",
            "desk:wiring.banks.rungs",
        )
    ]
    solved = device(
        f'{RUNGS}steps = [5.1, 15.0]\n[controls.horn]\npin = "rungs.1"\n'
        '[controls.bell]\npin = "rungs.3"'
    )
    assert not {"ladder-empty", "ladder-overlap"} & codes(solved)


def test_contacts_that_may_read_alike_are_an_error() -> None:
    box = device(f'{RUNGS}steps = [4.7, 0.1]\ntolerance = 5.0\n[controls.horn]\npin = "rungs.2"')

    assert told("ladder-overlap", box) == [
        (
            "`rungs` cannot tell `horn` from place 3: they read 28.8 to 35.4 % and 29.3 to 35.9 % "
            "of the supply",
            "Set rungs.steps to [5.1, 16.0] (E24, kohm)",
            "desk:wiring.banks.rungs.steps",
        )
    ]


def test_a_last_resistor_too_large_reads_as_none_closed() -> None:
    box = device(f'{RUNGS}steps = [2000.0]\n[controls.horn]\npin = "rungs.2"')

    assert [one.message for one in find("ladder-overlap", box)] == [
        "`rungs` cannot tell `horn` from none closed: they read 98.5 to 100.0 % and "
        "99.0 to 100.0 % of the supply"
    ]


def test_too_many_contacts_for_the_resistors_are_split() -> None:
    steps = ", ".join(["1.0"] * 15)
    box = device(f"{RUNGS}steps = [{steps}]\ntolerance = 20.0")

    assert [one.remedy for one in find("ladder-overlap", box)] == [
        "Take resistors of less tolerance, or split it into two ladders"
    ]


LADDER = f"""{RUNGS}
steps = [5.1, 15.0]
[controls.horn]
pin = "rungs.1"
input = 1
[controls.bell]
pin = "rungs.2"
input = 2
"""


def test_a_control_that_stays_hides_others_of_its_ladder() -> None:
    box = device(f'{LADDER}[controls.gear]\nkind = "latching"\npin = "rungs.3"')

    assert [(one.message, one.subject) for one in find("ladder-held", box)] == [
        (
            "`rungs` tells only the first of `horn` and `gear`, which can be closed at the same "
            "time",
            "desk:controls.gear.pin",
        )
    ]
    assert find("ladder-held", device(LADDER)) == []


def test_a_chord_on_one_ladder_is_told() -> None:
    box = device(LADDER)
    play = profile('[bindings]\n"horn + bell" = "go"')

    assert [one.message for one in find("ladder-held", box, application("[actions.go]"), play)] == [
        "`rungs` tells only the first of `horn` and `bell`, which can be closed at the same time"
    ]


def test_addresses_must_be_possible_and_their_own() -> None:
    rail = DECK.replace("banks.deck", "banks.rail")
    mast = DECK.replace("banks.deck", "banks.mast").replace("0x20", "0x48")

    assert told("address-shared", device(DECK + rail)) == [
        (
            "`deck` and `rail` share address 0x20 on one bus",
            "Set `rail` to another address, on its pins and in the file",
            "desk:wiring.banks.rail.address",
        )
    ]
    assert told("address-impossible", device(mast)) == [
        (
            "`mast` has address 0x48, which no pcf8574 can have",
            "Write its address: 0x20 to 0x27 or 0x38 to 0x3F",
            "desk:wiring.banks.mast.address",
        )
    ]
    assert find("address-shared", device(DECK + rail.replace('"2"', '"4"'))) == []


def test_expanders_share_a_bus_and_a_bus_needs_its_pins() -> None:
    rail = DECK.replace("banks.deck", "banks.rail").replace("0x20", "0x21")
    board = '[wiring]\nboard = "rp2040"\n'
    pins = (DECK + rail).replace('"2"', '"GP0"')
    box = device(board + pins.replace('"3"', '"GP1"'))
    assert not {"pin-shared", "pin-unable"} & codes(box)

    crossed = device(board + DECK.replace('"2"', '"GP0"').replace('"3"', '"GP3"'))
    assert [one.message for one in find("pin-unable", crossed)] == [
        "pins `GP0` and `GP3` of `rp2040` are wires of different buses"
    ]
    unable = device(board + DECK.replace('"2"', '"GP0"').replace('"3"', '"GP22"'))
    assert [one.message for one in find("pin-unable", unable)] == [
        "pin `GP22` of `rp2040` is no clock wire of a two-wire bus, which deck scl needs"
    ]
