"""Faults and steps in words, with pins and wires named as in the device file.

- `name_line`, `name_pin`, `name_contact`, `name_step`: a wire with its pin, a contact, a step
- `name_wire`, `name_legs`: a wire, and those at a contact, with their colours
- `describe_fault`, `describe_remedy`: what is wrong, and what to look at; without a full stop
- `describe_faults`: several faults as one sentence
- `ask_step`, `describe_labels`, `describe_heard`: what a step asks, the plate's words for it, and
  what was heard so far
"""

from collections.abc import Callable, Sequence

from profiles.facts.box_model import BoxModel
from profiles.facts.device import DeviceFacts
from profiles.host.axes import show_input
from profiles.live.bank_words import fill_bank, name_banks
from profiles.live.banks import axes_in
from profiles.live.build import build_of
from profiles.live.chains import chains_of, colours_of
from profiles.live.evidence import Observation
from profiles.live.fault_types import FAULT_TYPES
from profiles.live.faults import RATES, Fault
from profiles.live.plan import Step
from profiles.model import HAT_WAYS, Axis, Device, Rotary
from profiles.text.prose import count, join_words
from profiles.wiring.box import name_put
from profiles.wiring.diodes import facing


def name_line(model: BoxModel, node: int) -> str:
    """A wire and its pin: `row 2 (pin A1)`; for a pin of its own, the contact's name."""
    pin = name_pin(model, node)
    return f"{_name_alone(model, node)} (pin {pin})" if pin else _name_alone(model, node)


def _name_alone(model: BoxModel, node: int) -> str:
    rows = model.rows
    if node < rows:
        return f"row {node + 1}"
    if node < rows + model.columns:
        return f"column {node - rows + 1}"
    if node == model.ground:
        return "the common"
    return f"the wire of {model.single[node - model.ground - 1]}"


def name_pin(model: BoxModel, node: int) -> str:
    """The pin that a wire belongs on; empty where the device file names none."""
    wiring, rows = model.device.wiring, model.rows
    if node < rows:
        return wiring.rows[node]
    if node < rows + model.columns:
        return wiring.columns[node - rows]
    if node == model.ground:
        return ""
    contact = model.single[node - model.ground - 1]
    return model.device.controls[contact.control].pin_by_contact.get(contact.contact, "")


def name_wire(model: BoxModel, node: int) -> str:
    """A wire where it is touched: `the yellow wire at pin A1`, or whose it is."""
    colour, pin = colours_of(model).get(node, ""), name_pin(model, node)
    if not pin:
        return name_line(model, node)
    return f"the {colour} wire at pin {pin}" if colour else f"the wire at pin {pin}"


def name_legs(model: BoxModel, contact: int) -> str:
    """The wires that arrive at a contact: `row 2 (red) and column 4 (blue)`; empty if unknown."""
    colours, told = colours_of(model), []
    for node in build_of(model).sites[contact]:
        if node in colours:
            line = "ground" if node == model.ground else _name_alone(model, node)
            told.append(f"{line} ({colours[node]})")
    return join_words(told)


def name_contact(model: BoxModel, contact: int) -> str:
    """A contact: `horn.press`."""
    return str(model.contacts[contact])


def name_step(step: Step) -> str:
    """A step by its contacts: `horn.press`, `horn + bell.press`, `at rest`."""
    if step.contact is None:
        return "at rest"
    return " + ".join([*(contact.control for contact in step.held), str(step.contact)])


def describe_faults(model: BoxModel, faults: Sequence[Fault]) -> str:
    """What is wrong, as one sentence without a full stop."""
    if not faults:
        return "the box is as described"
    return "; and ".join(describe_fault(model, fault) for fault in faults)


def describe_fault(model: BoxModel, fault: Fault) -> str:
    """What is wrong."""
    words = FAULT_TYPES[fault.kind].words
    is_wired = DeviceFacts(model.device).is_wired
    return _fill(model, fault, words if is_wired else words.partition(": ")[0])


def describe_remedy(model: BoxModel, fault: Fault) -> str:
    """What to look at or to do; starts with a verb."""
    told = FAULT_TYPES[fault.kind]
    is_whole = told.whole and not DeviceFacts(model.device).is_wired
    return _fill(model, fault, told.whole if is_whole else told.remedy)


def _fill(model: BoxModel, fault: Fault, template: str) -> str:
    """A template with what the fault concerns by name."""
    wiring, places = model.device.wiring, fault.places
    names: list[str] = []
    parts: dict[str, str | float] = {"debounce": wiring.debounce}
    match fault.subject:
        case "lines":
            names = [name_line(model, node) for node in places]
            parts["wires"] = join_words([name_wire(model, node) for node in places])
        case "side":
            parts["side"] = side = "rows" if places[0] == 0 else "columns"
            pins = wiring.rows if side == "rows" else wiring.columns
            parts["pins"] = join_words(pins)
            by = places[1] if len(places) > 1 else 0
            first = max(0, -by)
            parts["by"] = count(abs(by), "pin")
            parts["where"] = f"{side[:-1]} {first + 1} sits on pin {pins[first + by]}"
        case "rotary":
            rotaries = places[:1] if fault.kind == "multiplies" else places
            names = [model.rotaries[rotary] for rotary in rotaries]
            channels = [one for at in rotaries for one in model.channel_contacts[at]]
            parts["channels"] = join_words([name_contact(model, contact) for contact in channels])
            parts["rate"] = RATES[places[1]] if fault.kind == "multiplies" else 1.0
        case "leg":
            contact, end, node = places
            names = [name_contact(model, contact)]
            parts["line"] = name_line(model, node)
            parts["own"] = name_line(model, build_of(model).sites[contact][end])
        case "chain":
            chain, after = chains_of(model)[places[0]], places[1]
            parts["line"] = f"the {chain.colour} wire of {name_line(model, chain.node)}"
            parts["before"], parts["after"] = (
                stop.name for stop in chain.stops[after - 1 : after + 1]
            )
        case "contacts" | "diode":
            names = [name_contact(model, contact) for contact in places]
            legs = name_legs(model, places[0])
            parts["legs"] = f", where {legs} arrive" if " and " in legs else ""
            place = model.circuit.places.get(model.contacts[places[0]])
            if "{cathode}" in template and place is not None:
                line = facing(model.circuit.matrix, place).cathode
                shift = model.rows if line.kind == "column" else 0
                parts["cathode"] = name_line(model, shift + line.number - 1)
        case "bank":
            names = name_banks(model, fault)
            parts |= fill_bank(model, fault)
        case "axis":
            names = [axes_in(model)[axis] for axis in places]
            pin = model.device.controls[names[0]].pin_by_contact.get("axis")
            parts["at"] = f" at {pin}" if pin else ""
        case "numbering":
            step = places[0] if places else 0
            parts |= {"step": abs(step), "height": "high" if step > 0 else "low"}
            parts["other"] = {
                None: "the matrix along its other direction",
                "along-columns": "along rows, not columns",
                "along-rows": "along columns, not rows",
            }[wiring.numbering]
    return template.format(*names, all=join_words(names), **parts)


def ask_step(model: BoxModel, step: Step, name_of: Callable[[str], str] = str) -> str:
    """What a step asks, controls by their ids or as `name_of` has them."""
    contact = step.contact
    if contact is None:
        levers = (one for one in model.device.controls.values() if isinstance(one, Axis))
        low = ", levers to their low end" if any(lever.centre is None for lever in levers) else ""
        usual = f"Let go of everything, put latching controls off{low} and selectors to position 1"
        others = [
            name_put(control, control.rest_contact).format(name_of(key))
            for key, control in model.device.controls.items()
            if control.rest_contact not in (None, "off", "position-1")
        ]
        return f"{usual}, but {join_words(others)}" if others else usual
    name, control = name_of(contact.control), model.device.controls[contact.control]
    match step.gesture:
        case "press" if contact.contact in HAT_WAYS and not control.positions_held:
            return f"Tilt {name} {contact.contact.replace('-', ' and ')}, then let go"
        case "to-high" | "to-low" if isinstance(control, Rotary):
            way = f"{contact.contact} {count(step.detents, 'detent')}"
            return f"Turn {name} {way}, to its {step.gesture.removeprefix('to-')} end"
        case "to-high" | "to-low":
            return f"Move {name} to its {step.gesture.removeprefix('to-')} end"
        case "press":
            if control.positions_held:
                words = name_put(control, contact.contact).format(name)
                return f"{words[0].upper()}{words[1:]} and let go"
            if contact.contact == "pull":
                return f"Pull {name} and let go"
            is_rotary = isinstance(control, Rotary)
            return f"Press and release {name}{' (push it, do not turn)' if is_rotary else ''}"
        case "put":
            words = name_put(control, contact.contact).format(name)
            return words[0].upper() + words[1:]
        case "put-on":
            return f"Put {name} on"
        case "put-off":
            return f"Put {name} off"
        case "select":
            return f"Turn {name} to {contact.contact.replace('-', ' ')}"
        case "turn":
            return f"Turn {name} {contact.contact} by {count(step.detents, 'detent')}"
    # Controls that stay as put come first, then the fingers; the last named is pressed last.
    puts: dict[str, list[str]] = {}
    backs: dict[str, list[str]] = {}
    fingers: list[tuple[str, bool]] = []
    for member in (*step.held, contact):
        named, control = name_of(member.control), model.device.controls[member.control]
        if control.positions_held and member.contact not in control.sprung:
            puts.setdefault(name_put(control, member.contact), []).append(named)
            backs.setdefault(name_put(control, control.rest_contact), []).append(named)
        else:
            way = "" if member.contact in ("press", "on") else f" {member.contact}"
            fingers.append((named + way, member == contact))
    held, last = ([name for name, is_last in fingers if is_last == now] for now in (False, True))
    parts = [words.format(join_words(names)) for words, names in puts.items()]
    parts += [
        f"{verb} {join_words(names)}" for verb, names in (("hold", held), ("press", last)) if names
    ]
    after = [words.format(join_words(names)) for words, names in backs.items()]
    parts.append(f"then {' and '.join(['let go', *after]) if after else 'let go of all'}")
    words = join_words(parts).replace(" and then ", ", then ")
    return words[0].upper() + words[1:]


def describe_labels(device: Device, step: Step) -> str:
    """What the plate says at the controls of a step, where that is not their id."""
    contacts = [contact for contact in (*step.held, step.contact) if contact is not None]
    labels = {
        contact.control: device.controls[contact.control].spoken_label for contact in contacts
    }
    shown = [
        label
        for name, label in labels.items()
        if label and label.casefold() != name.replace("-", " ").casefold()
    ]
    return f"  ({join_words(shown)} on the plate)" if shown else ""


def describe_heard(heard: Observation | None) -> str:
    """The inputs heard so far in the step at hand; of a turn also how often."""
    if heard is None or not heard.presses:
        return ""
    if heard.step.gesture == "turn":
        return "heard " + ", ".join(f"{number} x{times}" for number, times in heard.counts.items())
    return "heard " + ", ".join(show_input(number) for number in heard.counts)
