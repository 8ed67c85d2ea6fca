"""What to say of a fault of a bank: its places, select lines and pins by name."""

from profiles.facts.box_model import BoxModel
from profiles.live.banks import banks_in
from profiles.live.faults import Fault
from profiles.model import Expander, Ladder, Multiplexer, ShiftRegisterChain
from profiles.text.prose import join_words

AMOUNTS = ("shorted", "about a tenth of what it should be", "about ten times too large")
"""How a resistor is wrong, as `FACTORS` of `banks` are."""

STATES = (("open", "low"), ("closed", "high"))
"""What level 0 and level 1 is of contacts, and of a select line."""


def name_banks(model: BoxModel, fault: Fault) -> list[str]:
    """The banks that a fault concerns: by their ids, chains as they are numbered."""
    several = fault.places if fault.kind == "banks-exchanged" else fault.places[:1]
    return [banks_in(model)[at].bank.name for at in several]


def fill_bank(model: BoxModel, fault: Fault) -> dict[str, str]:
    """What the templates of faults of banks ask for, by name."""
    at, *given = fault.places
    bank = banks_in(model)[at].bank
    wires = {what: pin for what, pin, *_ in bank.wires}
    found = {"bank": bank.name, "where": f"its supply, and its wires at pins {_join(wires)}"}
    match bank.part:
        case Expander(address=address):
            found["where"] += f"; then at its address, 0x{address:02X} in the device file"
        case Ladder(pin=pin) if not given:
            found["where"] = f"its pull-up, and its wire at pin {pin}"
        case Multiplexer(select=select) if fault.kind == "select-stuck":
            found |= {"line": str(given[0] + 1), "level": STATES[given[1]][1]}
            found["pin"] = select[given[0]]
        case Multiplexer(select=select) if fault.kind == "selects-exchanged":
            found["pins"] = join_words([select[line] for line in given])
        case Ladder(steps=steps) if given:
            step = given[0] - (fault.kind == "places-lost")
            resistor = f"the resistor between {bank.name}.{step + 1} and {bank.name}.{step + 2}"
            found |= {"place": f"{bank.name}.{step + 1}", "link": resistor, "level": STATES[0][0]}
            found |= {"value": f"{steps[step]:g}"}
            if fault.kind == "resistor-wrong":
                found["amount"] = AMOUNTS[given[1]]
        case ShiftRegisterChain() if fault.kind == "places-lost":
            after, level = given
            link = f"the serial wire from bit {after} to bit {after + 1} of {bank.name}"
            found |= {"place": f"bit {after}", "link": link, "level": STATES[level][0]}
        case ShiftRegisterChain() if given:
            is_late = given[0] < 0
            found["beside"] = "before" if is_late else "after"
            found["when"] = "late" if is_late else "early"
    return found


def _join(wires: dict[str, str]) -> str:
    return join_words(list(dict.fromkeys(wires.values())))
