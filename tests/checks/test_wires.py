"""Bits, contacts wired twice, half-wired rotaries, controls that report nothing."""

import pytest

from profiles.model import Related, Spot
from tests.checks.build import application, device, find, profile, told

CHAIN = '[wiring.chain]\nlatch = "7"\nclock = "8"\ndata = "9"\nlength = 8\n'


def test_a_bit_beyond_the_chain_is_an_error() -> None:
    (found,) = find("bit-outside", device(f"{CHAIN}[controls.horn]\nbit = 9"))

    assert found.message == "`horn` sits at bit 9, but the chain has 8"
    assert found.remedy == "Correct the bit, or the length of the chain"
    assert found.spot == Spot("desk", ("controls", "horn", "bit"))
    there = Spot("desk", ("wiring", "chain", "length"))
    assert found.related == (Related("its length", there),)


def test_bits_are_counted_through_several_chains() -> None:
    chains = CHAIN.replace("[wiring.chain]", "[[wiring.chains]]") * 2
    box = device(f"{chains}[controls.horn]\nbit = 16\n[controls.bell]\nbit = 17")

    assert told("bit-outside", box) == [
        (
            "`bell` sits at bit 17, but the chains have 16",
            "Correct the bit, or the length of the chain",
            "desk:controls.bell.bit",
        )
    ]


def test_a_bit_without_a_chain_is_an_error() -> None:
    assert told("bit-outside", device("[controls.horn]\nbit = 1")) == [
        (
            "`horn` sits at bit 1, but there is no chain",
            "Describe the shift-register chain",
            "desk:controls.horn.bit",
        )
    ]


def test_one_bit_for_two_contacts_is_an_error() -> None:
    box = device(
        f'{CHAIN}[controls.horn]\nbit = 3\n[controls.gear]\nkind = "latching"\nbits = {{ off = 3 }}'
    )

    (found,) = find("bit-shared", box)

    assert found.message == "`horn` and `gear.off` share bit 3"
    assert found.remedy == "Move `gear.off` to a free bit"
    assert found.spot == Spot("desk", ("controls", "gear", "bits", "off"))
    there = Spot("desk", ("controls", "horn", "bit"))
    assert found.related == (Related("`horn` sits there", there),)


def test_bits_of_their_own_within_the_chain_are_silent() -> None:
    box = device(f"{CHAIN}[controls.horn]\nbit = 1\n[controls.bell]\nbit = 8")

    assert find("bit-outside", box) == []
    assert find("bit-shared", box) == []


def test_a_contact_wired_in_two_ways_is_an_error() -> None:
    box = device(
        '[wiring]\nrows = ["A0"]\ncolumns = ["2"]\n[controls.horn]\ncrossing = [1, 1]\npin = "5"'
    )

    (found,) = find("wired-twice", box)

    assert found.message == "`horn` has a crossing and a pin"
    assert found.remedy == "Keep the one that is soldered, and remove the other"
    assert found.spot == Spot("desk", ("controls", "horn", "crossing"))
    there = Spot("desk", ("controls", "horn", "pin"))
    assert found.related == (Related("is wired here too", there),)


def test_contacts_of_one_control_may_be_wired_in_different_ways() -> None:
    """A rotary on pins with its push in the matrix: one way each."""
    box = device(
        '[wiring]\nrows = ["A0"]\ncolumns = ["2"]\n[controls.trim]\nkind = "rotary"\n'
        'common = "GND"\npins = { clockwise = "5", anticlockwise = "6" }\n'
        "crossings = { press = [1, 1] }"
    )

    assert find("wired-twice", box) == []
    assert find("rotary-half-wired", box) == []


def test_a_rotary_with_one_channel_is_an_error() -> None:
    box = device(
        '[controls.trim]\nkind = "rotary"\npins = { clockwise = "5" }\n'
        "inputs = { anticlockwise = 1 }"
    )

    assert told("rotary-half-wired", box) == [
        (
            "`trim` is numbered anticlockwise only",
            "Give the other direction its place and its number",
            "desk:controls.trim numbered",
        ),
        (
            "`trim` is wired clockwise only",
            "Give the other direction its place and its number",
            "desk:controls.trim wired",
        ),
    ]


def test_a_number_that_the_wiring_gives_counts_for_a_rotary_too() -> None:
    """`clockwise` is input 1 by its crossing: only the other channel's wire is missing."""
    box = device(
        '[wiring]\nrows = ["A0"]\ncolumns = ["2"]\nnumbering = "along-rows"\n'
        '[controls.trim]\nkind = "rotary"\ncrossings = { clockwise = [1, 1] }\n'
        "inputs = { anticlockwise = 5 }"
    )

    assert [message for message, _, _ in told("rotary-half-wired", box)] == [
        "`trim` is wired clockwise only"
    ]


def test_a_rotary_without_channels_is_silent() -> None:
    """One that is used for its push alone."""
    box = device('[controls.trim]\nkind = "rotary"\ninputs = { press = 1 }')

    assert find("rotary-half-wired", box) == []


def test_a_control_without_an_input_is_a_note() -> None:
    box = device("[controls.horn]\ninput = 1\n[controls.bell]")

    assert told("control-without-input", box) == [
        (
            "`bell` has no input",
            "Give it an input number, or a place in the numbered wiring",
            "desk:controls.bell",
        )
    ]


@pytest.mark.parametrize(
    ("wiring", "lack"),
    [
        ("", "an input number, and a crossing, a pin or a bit"),
        ('[wiring]\nnumbering = "along-rows"\n', "a crossing, a pin or a bit"),
    ],
)
def test_in_a_wired_box_a_number_alone_is_not_advised(wiring: str, lack: str) -> None:
    box = device(f"{wiring}[controls.horn]\n{PIN}")
    play = profile('[bindings]\nhorn = "sound"')

    assert [remedy for _, remedy, _ in told("control-without-input", box)] == [f"Give it {lack}"]
    bound = told("contact-without-input", box, application("[actions.sound]"), play)
    assert [remedy for _, remedy, _ in bound] == [f"Give it {lack}, or remove the binding"]


def test_a_wired_contact_without_a_number_lacks_the_number_alone() -> None:
    box = device(f'[controls.horn]\npin = "4"\n{PIN}')

    assert [one[1] for one in told("control-without-input", box)] == ["Give it an input number"]


def test_a_control_that_a_profile_binds_is_told_once() -> None:
    box = device("[controls.horn]\ninput = 1\n[controls.bell]")
    play = profile('[bindings]\nbell = "sound"')

    assert find("control-without-input", box, application("[actions.sound]"), play) == []
    assert len(find("contact-without-input", box, application("[actions.sound]"), play)) == 1


def test_a_device_that_is_only_drawn_yet_is_silent() -> None:
    """A plate comes before its wiring."""
    assert find("control-without-input", device("[controls.horn]\n[controls.bell]")) == []


PIN = '[controls.bell]\ninput = 2\npin = "2"\n'


def test_a_numbered_contact_without_a_wire_is_a_warning() -> None:
    (found,) = find("contact-unwired", device(f"[controls.horn]\ninput = 1\n{PIN}"))

    assert found.severity == "warning"
    assert found.message == "`horn` has an input number but no wire"
    assert found.remedy == ("Give `horn` a crossing, a pin or a bit, or remove the input number")
    assert found.spot == Spot("desk", ("controls", "horn", "input"))


def test_a_bought_box_whose_wiring_is_not_described_is_silent() -> None:
    assert find("contact-unwired", device("[controls.horn]\ninput = 1")) == []
    named = device('[wiring]\nboard = "rp2040"\n[controls.horn]\ninput = 1')
    assert find("contact-unwired", named) == []


def test_an_action_that_must_be_bound_on_a_contact_without_a_wire_is_an_error() -> None:
    box = device(f"[controls.horn]\ninput = 1\n{PIN}")
    actions = application('[actions.stop]\nname = "Stop"\nneed = "must"')

    (found,) = find("must-unwired", box, actions, profile('[bindings]\nhorn = "stop"'))
    assert (found.severity, found.message) == (
        "error",
        "`Stop` must be bound, but `horn` has no wire",
    )
    assert found.related == (Related("`Stop` is bound here", Spot("play", ("bindings", "horn"))),)
    assert find("contact-unwired", box, actions, profile('[bindings]\nhorn = "stop"')) == []
    both = profile('[bindings]\nhorn = "stop"\nbell = "stop"')
    assert find("must-unwired", box, actions, both) == []
    assert len(find("contact-unwired", box, actions, both)) == 1


def test_the_side_of_a_toggle_that_the_board_makes_needs_no_wire() -> None:
    box = device(
        '[controls.gear]\nkind = "latching"\ninputs = { on = 1, off = 2 }\npins = { on = "2" }'
    )
    assert find("contact-unwired", box) == []


def test_a_rotary_without_any_channel_wired_is_told_once() -> None:
    knob = '[controls.trim]\nkind = "rotary"\ninputs = { clockwise = 3, anticlockwise = 4 }\n'
    (found,) = find("contact-unwired", device(f"{PIN}{knob}"))

    assert found.message == (
        "`trim.clockwise` and `trim.anticlockwise` have an input number but no wire"
    )
    half = device(f'{PIN}{knob}pins = {{ clockwise = "4" }}')
    assert find("contact-unwired", half) == []


SPLIT = """
[wiring]
rows = ["2", "3"]
columns = ["4", "5"]
[controls.range]
kind = "selector"
positions = 3
[controls.range.crossings]
position-1 = [1, 1]
position-2 = [1, 2]
position-3 = [2, 1]
"""


def test_a_selector_whose_common_would_join_two_lines_is_a_warning() -> None:
    assert told("common-split", device(SPLIT)) == [
        (
            "`range` is on 2 rows and 2 columns, but its common takes one line",
            "Move its contacts to one row or one column",
            "desk:controls.range.crossings.position-1",
        )
    ]


@pytest.mark.parametrize(
    "box",
    [
        SPLIT.replace("position-3 = [2, 1]\n", ""),
        SPLIT.replace("position-2 = [1, 2]\n", ""),
        SPLIT.replace("position-2 = [1, 2]\nposition-3 = [2, 1]\n", ""),
    ],
    ids=["one row", "one column", "one contact"],
)
def test_contacts_that_share_a_line_have_their_common_there(box: str) -> None:
    assert find("common-split", device(box)) == []


def test_the_push_switch_of_a_rotary_needs_no_common_line() -> None:
    box = device(
        '[wiring]\nrows = ["2", "3"]\ncolumns = ["4", "5"]\n[controls.trim]\nkind = "rotary"\n'
        "crossings = { clockwise = [1, 1], anticlockwise = [1, 2], press = [2, 1] }"
    )

    assert find("common-split", box) == []
