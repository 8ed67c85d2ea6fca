"""What is to say of every kind of wiring error: how likely it is, its words, its remedy."""

from collections.abc import Mapping
from typing import Literal, NamedTuple, get_args

FaultKind = Literal[
    "swapped",
    "rotated",
    "shifted",
    "reversed",
    "transposed",
    "offset",
    "exchanged",
    "dead",
    "bridged",
    "joined",
    "stuck",
    "open",
    "diode-reversed",
    "diode-missing",
    "diodes-reversed",
    "turns-back",
    "skips",
    "multiplies",
    "bounces",
    "grounded",
    "supplied",
    "miswired",
    "broken",
    "inverted",
    "latches",
    "springs",
    "common-lost",
    "knobs-exchanged",
    "bank-silent",
    "places-lost",
    "bits-shifted",
    "resistor-wrong",
    "select-stuck",
    "selects-exchanged",
    "banks-exchanged",
    "axis-backwards",
    "axis-silent",
    "axes-exchanged",
    "unnamed",
]
FAULT_KINDS: tuple[FaultKind, ...] = get_args(FaultKind)


class FaultType(NamedTuple):
    """What holds of every fault of a kind.

    `subject` is what its places count; `weight` how likely a box has one fault of this kind;
    `words` and `remedy` are templates without a full stop, the remedy verb first. `whole` is the
    remedy for a box whose file says nothing of wires, such as one that was bought; a kind without
    one is not thought of there, and of the words only those before a colon count.
    """

    subject: Literal[
        "lines",
        "side",
        "numbering",
        "contacts",
        "diode",
        "rotary",
        "leg",
        "chain",
        "bank",
        "axis",
        "unknown",
    ]
    weight: float
    words: str
    remedy: str
    whole: str = ""


_ORDER = "Put the wires of the {side} on pins {pins} in this order"
_SETTING = "in the device file as the board does it, or correct the firmware"
_BAND = "the diode at {0}: its band (cathode) belongs toward {cathode}"

FAULT_TYPES: Mapping[FaultKind, FaultType] = {
    "swapped": FaultType("lines", 0.12, "{all} are swapped at the board", "Exchange {wires}"),
    "rotated": FaultType("side", 0.03, "the {side} are moved round by {by}: {where}", _ORDER),
    "shifted": FaultType("side", 0.03, "the {side} are shifted by {by}: {where}", _ORDER),
    "reversed": FaultType("side", 0.04, "the {side} sit on their pins in reverse order", _ORDER),
    "transposed": FaultType(
        "numbering", 0.05, "the board numbers {other}", f"Set `numbering` {_SETTING}"
    ),
    "offset": FaultType(
        "numbering",
        0.06,
        "every input is {step} too {height}",
        f"Set `first_input` {_SETTING}",
        "Correct the inputs in the device file by {step}",
    ),
    "exchanged": FaultType(
        "contacts",
        0.12,
        "{all} are exchanged",
        "Exchange the wires of {all}",
        "Exchange the inputs of {all} in the device file",
    ),
    "dead": FaultType(
        "lines",
        0.10,
        "{0} is off its pin",
        "Look at the joint of {wires}, and along its first stretch",
    ),
    "bridged": FaultType(
        "lines",
        0.08,
        "{0} touches {1}",
        "Look for solder or a stray strand between {wires}",
    ),
    "joined": FaultType(
        "diode",
        0.03,
        "{all} touch between switch and diode",
        "Look for solder between the diodes of {all}",
    ),
    "stuck": FaultType(
        "contacts",
        0.04,
        "{0} is closed all the time",
        "Unsolder one end of {0} and measure: the switch, or a bridge beside it",
        "Work {0} a few times: it may hang, or something holds it down",
    ),
    "open": FaultType(
        "contacts",
        0.12,
        "{0} never closes",
        "Look at both joints of {0}{legs}, then at the switch",
        "Work {0} firmly a few times; if another input is heard, put it into the device file",
    ),
    "diode-reversed": FaultType("diode", 0.08, "the diode at {0} is reversed", f"Turn {_BAND}"),
    "diode-missing": FaultType(
        "diode", 0.04, "the diode at {0} is missing or shorted", f"Look at {_BAND}"
    ),
    "diodes-reversed": FaultType(
        "numbering",
        0.03,
        "every diode is reversed, or the board drives the other side",
        "Set `driven` as the board does it, or turn every diode",
    ),
    "turns-back": FaultType(
        "rotary",
        0.10,
        "{0} counts backwards: its two channels are exchanged",
        "Exchange the wires of {channels}",
        "Exchange the inputs of {channels} in the device file",
    ),
    "skips": FaultType(
        "rotary",
        0.05,
        "{0} skips detents",
        "Look at the joints of {0}, then turn it slowly: a worn one still skips",
        "Turn {0} slowly: a worn one still skips",
    ),
    "multiplies": FaultType(
        "rotary",
        0.04,
        "{0} gives {rate:g} pulses per detent",
        "Set the pulses per detent of {0} in the firmware",
        "Bind {0} with {rate:g} pulses per detent in mind",
    ),
    "bounces": FaultType(
        "contacts",
        0.06,
        "{0} bounces for longer than the debounce time",
        "Raise the debounce time above {debounce:g} ms, or change the switch",
        "Press {0} firmly: a worn one still bounces",
    ),
    "grounded": FaultType(
        "lines",
        0.04,
        "{0} touches ground",
        "Look for solder, a stray strand or a bare edge between {wires} and ground",
    ),
    "supplied": FaultType(
        "lines",
        0.01,
        "{0} touches the supply",
        "Unplug the box at once; look for solder or a stray strand between {wires} and the supply",
    ),
    "miswired": FaultType(
        "leg",
        0.06,
        "{0} has one leg on {line}, not on {own}",
        "Move that leg of {0} from {line} to {own}",
    ),
    "broken": FaultType(
        "chain",
        0.10,
        "{line} is broken between {before} and {after}",
        "Look at the joints of {before} and {after} on {line}, and at the wire between",
    ),
    "inverted": FaultType(
        "contacts",
        0.06,
        "{0} is closed at rest and opens when moved",
        "Use the normally open terminal of {0}, or turn the switch round",
        "Work {0} a few times; if it stays so, bind it with that in mind",
    ),
    "latches": FaultType(
        "contacts",
        0.04,
        "{0} stays as pressed until it is pressed again",
        "Fit a switch that springs back at {0}, or describe it as latching",
        "Describe {0} as latching in the device file",
    ),
    "springs": FaultType(
        "contacts",
        0.04,
        "{0} springs back and does not stay as put",
        "Fit a switch that stays as put at {0}, or describe it as momentary",
        "Describe {0} as momentary in the device file",
    ),
    "common-lost": FaultType(
        "rotary",
        0.06,
        "the common of {0} is off: neither channel is heard",
        "Look at the joint at the common of {0}, between {channels}",
    ),
    "knobs-exchanged": FaultType(
        "rotary",
        0.05,
        "{all} are exchanged",
        "Exchange the wires of {all}: channel for channel",
        "Exchange the inputs of {all} in the device file",
    ),
    "bank-silent": FaultType("bank", 0.06, "nothing on {bank} is heard", "Look at {where}"),
    "places-lost": FaultType(
        "bank",
        0.05,
        "{bank} is cut off after {place}: all beyond reads {level}",
        "Look at the joints of {link}",
    ),
    "bits-shifted": FaultType(
        "bank",
        0.04,
        "every bit of {bank} is read as the one {beside} it",
        "Look at how the firmware clocks {bank}: it begins one bit too {when}",
    ),
    "resistor-wrong": FaultType(
        "bank",
        0.05,
        "{link} is {amount}",
        "Unplug the box and measure {link}: the device file has {value} kilohm",
    ),
    "select-stuck": FaultType(
        "bank",
        0.05,
        "select line {line} of {bank} is always {level}",
        "Look at the wire of that select line, at pin {pin}",
    ),
    "selects-exchanged": FaultType(
        "bank",
        0.05,
        "two select lines of {bank} are exchanged",
        "Exchange the wires at pins {pins}",
    ),
    "banks-exchanged": FaultType(
        "bank",
        0.04,
        "{all} answer at each other's address",
        "Exchange their addresses at the chips, or in the device file",
    ),
    "axis-backwards": FaultType(
        "axis",
        0.10,
        "{0} works backwards",
        "Exchange the outer wires of {0}, or change its `reversed` in the device file",
        "Take its other end for the high one when you bind {0}",
    ),
    "axis-silent": FaultType(
        "axis",
        0.06,
        "{0} is never heard",
        "Look at the joint of its middle wire{at}, then at the outer ones",
        "Move {0} all its way a few times; if another axis is heard, put it into the device file",
    ),
    "axes-exchanged": FaultType(
        "axis",
        0.06,
        "{all} are exchanged",
        "Exchange the middle wires of {all}",
        "Exchange the axes of {all} in the device file",
    ),
    "unnamed": FaultType(
        "unknown",
        4.5e-5,
        "something is wrong that is none of the faults known here",
        "Try the steps left over again, one at a time, and measure at those contacts",
        "Try the steps left over again, one at a time",
    ),
}
"""How often each kind is met is a rule of thumb: what a builder does wrong most is to put two
wires on each other's place, to leave a joint cold, or to turn a diode round."""
