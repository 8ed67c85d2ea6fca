"""Faults, explanations and steps in words, with pins and wires named as in the device file.

- `name_line`, `name_contact`: a wire with its pin, a contact
- `tell_fault`, `tell_remedy`: what is wrong, and what to look at; each without a full stop
- `tell_faults`: several faults as one sentence
- `ask_step`: what a step asks of the person
"""

from collections.abc import Sequence

from profiles.facts.box_model import BoxModel
from profiles.live.faults import RATES, Fault
from profiles.live.plan import Step
from profiles.model import Rotary
from profiles.text.prose import count, join_words
from profiles.wiring.diodes import facing


def name_line(model: BoxModel, node: int) -> str:
    """A wire and its pin: `row 2 (pin A1)`; for a pin of its own, the contact's name."""
    rows, columns = model.rows, model.columns
    if node < rows:
        return f"row {node + 1} (pin {name_pin(model, node)})"
    if node < rows + columns:
        return f"column {node - rows + 1} (pin {name_pin(model, node)})"
    if node == model.ground:
        return "the common"
    contact = str(model.single[node - model.ground - 1])
    pin = name_pin(model, node)
    return f"the wire of {contact} (pin {pin})" if pin else f"the wire of {contact}"


def name_pin(model: BoxModel, node: int) -> str:
    """The pin that a wire belongs on; empty where the device file names none."""
    wiring, rows = model.device.wiring, model.rows
    if node < rows:
        return wiring.rows[node]
    if node < rows + model.columns:
        return wiring.columns[node - rows]
    contact = model.single[node - model.ground - 1]
    return model.device.controls[contact.control].pin_by_contact.get(contact.contact, "")


def name_contact(model: BoxModel, contact: int) -> str:
    """A contact: `horn.press`."""
    return str(model.contacts[contact])


def describe_faults(model: BoxModel, faults: Sequence[Fault]) -> str:
    """What is wrong, as one sentence without a full stop."""
    if not faults:
        return "the box is as described"
    return "; and ".join(describe_fault(model, fault) for fault in faults)


def describe_fault(model: BoxModel, fault: Fault) -> str:
    """What is wrong."""
    match fault.kind:
        case "swapped" | "dead" | "bridged":
            return _describe_lines(model, fault)
        case "rotated" | "shifted" | "reversed":
            return _describe_side(model, fault)
        case "transposed":
            return f"the board numbers {_other_way(model)}"
        case "offset":
            height = "high" if fault.places[0] > 0 else "low"
            return f"every input is {abs(fault.places[0])} too {height}"
        case "diodes-reversed":
            return "every diode is reversed, or the board drives the other side"
        case "turns-back" | "skips" | "multiplies":
            return _describe_rotary(model, fault)
        case _:
            return _describe_contacts(model, fault)


def _describe_lines(model: BoxModel, fault: Fault) -> str:
    names = [name_line(model, node) for node in fault.places]
    if fault.kind == "dead":
        return f"{names[0]} is off its pin"
    if fault.kind == "swapped":
        return f"{join_words(names)} are swapped at the board"
    return f"{names[0]} touches {names[1]}"


def _describe_side(model: BoxModel, fault: Fault) -> str:
    side = "rows" if fault.places[0] == 0 else "columns"
    if fault.kind == "reversed":
        return f"the {side} sit on their pins in reverse order"
    by = fault.places[1]
    pins = model.device.wiring.rows if side == "rows" else model.device.wiring.columns
    first = 0 if by > 0 else -by
    where = f"{side[:-1]} {first + 1} sits on pin {pins[first + by]}"
    if fault.kind == "rotated":
        return f"the {side} are moved round by {count(by, 'pin')}: {where}"
    return f"the {side} are shifted by one pin: {where}"


def _other_way(model: BoxModel) -> str:
    along = model.device.wiring.numbering
    if along is None:
        return "the matrix along its other direction"
    return "along rows, not columns" if along == "along-columns" else "along columns, not rows"


def _describe_rotary(model: BoxModel, fault: Fault) -> str:
    name = model.rotaries[fault.places[0]]
    if fault.kind == "turns-back":
        return f"{name} counts backwards: its two channels are exchanged"
    if fault.kind == "skips":
        return f"{name} skips detents"
    return f"{name} gives {RATES[fault.places[1]]:g} pulses per detent"


def _describe_contacts(model: BoxModel, fault: Fault) -> str:
    names = [name_contact(model, contact) for contact in fault.places]
    match fault.kind:
        case "exchanged":
            return f"{join_words(names)} are exchanged"
        case "joined":
            return f"{join_words(names)} touch between switch and diode"
        case "stuck":
            return f"{names[0]} is closed all the time"
        case "open":
            return f"{names[0]} never closes"
        case "diode-reversed":
            return f"the diode at {names[0]} is reversed"
        case "diode-missing":
            return f"the diode at {names[0]} is missing or shorted"
        case _:
            return f"{names[0]} bounces for longer than the debounce time"


def describe_remedy(model: BoxModel, fault: Fault) -> str:
    """What to look at or to do; starts with a verb."""
    match fault.kind:
        case "swapped":
            pins = [name_pin(model, node) for node in fault.places]
            return f"Exchange the wires at pins {join_words(pins)}"
        case "dead":
            pin = name_pin(model, fault.places[0])
            return f"Look at the joint at pin {pin} and at the first stretch of wire from it"
        case "bridged":
            pins = [name_pin(model, node) for node in fault.places]
            return f"Look for solder or a stray strand between the wires of pins {join_words(pins)}"
        case "rotated" | "shifted" | "reversed":
            return _remedy_side(model, fault)
        case "transposed":
            return "Set `numbering` in the device file as the board does it, or the firmware"
        case "offset":
            return "Set `first_input` in the device file as the board does it, or in the firmware"
        case "turns-back" | "skips" | "multiplies":
            return _remedy_rotary(model, fault)
        case _:
            return _remedy_contacts(model, fault)


def _remedy_side(model: BoxModel, fault: Fault) -> str:
    rows = fault.places[0] == 0
    pins = model.device.wiring.rows if rows else model.device.wiring.columns
    side = "rows" if rows else "columns"
    return f"Put the wires of the {side} on pins {join_words(pins)} in this order"


def _remedy_rotary(model: BoxModel, fault: Fault) -> str:
    channels = model.channel_contacts[fault.places[0]]
    name = model.rotaries[fault.places[0]]
    if fault.kind == "turns-back":
        return f"Exchange the wires of {join_words([name_contact(model, c) for c in channels])}"
    if fault.kind == "skips":
        return f"Look at the joints of {name}, then turn it slowly: a worn one still skips"
    return f"Set the pulses per detent of {name} in the firmware"


def _remedy_contacts(model: BoxModel, fault: Fault) -> str:
    if fault.kind == "diodes-reversed":
        return "Set `driven` as the board does it, or turn every diode"
    names = [name_contact(model, contact) for contact in fault.places]
    match fault.kind:
        case "exchanged":
            return f"Exchange the wires of {join_words(names)}"
        case "joined":
            return f"Look for solder between the diodes of {join_words(names)}"
        case "stuck":
            return f"Unsolder one end of {names[0]} and measure: the switch, or a bridge beside it"
        case "open":
            return f"Look at both joints of {names[0]}, then at the switch"
        case "bounces":
            time = model.device.wiring.debounce
            return f"Raise the debounce time above {time:g} ms, or change the switch"
        case _:
            return _remedy_diode(model, fault)


def _remedy_diode(model: BoxModel, fault: Fault) -> str:
    terminal = model.contacts[fault.places[0]]
    place = model.circuit.places[terminal]
    line = facing(model.circuit.matrix, place).cathode
    shift = model.rows if line.kind == "column" else 0
    toward = name_line(model, shift + line.number - 1)
    verb = "Turn" if fault.kind == "diode-reversed" else "Look at"
    return f"{verb} the diode at {terminal}: its band (cathode) belongs toward {toward}"


def ask_step(model: BoxModel, step: Step) -> str:
    """What a step asks, with the controls' own labels left to the screen: ids only."""
    terminal = step.contact
    if terminal is None:
        return "Let go of everything, put latching controls off and selectors to position 1"
    match step.gesture:
        case "press":
            return f"Press and release {_press_words(model, terminal.control)}"
        case "put-on":
            return f"Put {terminal.control} on"
        case "put-off":
            return f"Put {terminal.control} off"
        case "select":
            return f"Turn {terminal.control} to {terminal.contact.replace('-', ' ')}"
        case "turn":
            return f"Turn {terminal.control} {terminal.contact} by {count(step.detents, 'detent')}"
        case _:
            return _ask_together(step)


def _ask_together(step: Step) -> str:
    """Controls that stay as put first, then the fingers; the last named is pressed last."""
    members = [one for one in (*step.held, step.contact) if one is not None]
    put = [one.control for one in members if one.contact == "on"]
    held = [one.control for one in members[:-1] if one.contact != "on"]
    last = [one.control for one in members[-1:] if one.contact != "on"]
    parts = [
        f"{verb} {join_words(names)}" for verb, names in (("hold", held), ("press", last)) if names
    ]
    parts = [f"put {join_words(put)} on", *parts] if put else parts
    after = f"let go and put {join_words(put)} off" if put else "let go of all"
    words = join_words([*parts, f"then {after}"]).replace(" and then ", ", then ")
    return words[0].upper() + words[1:]


def _press_words(model: BoxModel, control_id: str) -> str:
    is_rotary = isinstance(model.device.controls[control_id], Rotary)
    return f"{control_id} (push it, do not turn)" if is_rotary else control_id
