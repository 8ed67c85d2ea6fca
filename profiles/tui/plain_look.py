"""The plate of files that were not on the screen before, while the library is still being read.

The model takes longer to load than the toolkit to start, so ordinary files are read here without
it, for nothing but what the plate looks like until the view takes its place. What is not ordinary
in any way that this could be wrong about gives no plate, and the screen waits: many files, a fault,
another spelling, a kind of control or hole that only the model knows, a document of YAML in view.
"""

import os
import re
from collections.abc import Mapping
from pathlib import Path
from types import SimpleNamespace
from typing import Any, NamedTuple

from profiles.facts.profile import ContactFacts, ControlFacts, find_state
from profiles.files.documents import FORMATS, decode_text, parse_text, read_bytes
from profiles.files.faults import FileFaultError
from profiles.files.walk import find_files
from profiles.plate.order import reading_order
from profiles.text.sign_words import find_unknown_sign, speak, spell_braces
from profiles.tui.canvas import LEAST, draw_whole
from profiles.tui.heading import UNCHECKED, tell_unchecked, write_heading
from profiles.tui.viewport import Drawn

MOST_BYTES, MOST_FOLDERS, MOST_CONTROLS = 100_000, 100, 128
"""Of all files together, and of a device; more would hold up the first paint."""

KINDS = ("device", "application", "profile", "board", "part")
_NAME = "[A-Za-z0-9][A-Za-z0-9_-]{0,63}"
_CONTACT = re.compile(rf"(?:({_NAME})/)?({_NAME})(?:\.({_NAME}))?")
_YAML = re.compile(rf"format: 1\n({'|'.join(KINDS)}):(?: +#.*)?\n((?: .*\n)*)")
_YAML_WORD = re.compile(r"^  (id|application|device): ([A-Za-z][A-Za-z0-9_-]*) *(?: #.*)?$", re.M)


class At(NamedTuple):
    """A contact, as the model names it."""

    device: str
    control: str
    contact: str


Bound = dict[At, tuple[Any, ...]]
"""What contacts do, or are held for."""


def _is_words(text: Any) -> bool:
    return isinstance(text, str) and text.strip() != "" and len(text) <= 400


def _is_legend(text: Any) -> bool:
    return _is_words(text) and not find_unknown_sign(text)


def _is_number(value: Any, least: float = -5000.0) -> bool:
    return type(value) in (int, float) and least <= value <= 5000.0


def _is_length(value: Any) -> bool:
    return _is_number(value, 1e-6)


def _is_point(value: Any) -> bool:
    return isinstance(value, list) and len(value) == 2 and all(map(_is_number, value))


def _is_size(value: Any) -> bool:
    return _is_length(value) or (_is_point(value) and all(map(_is_length, value)))


GROUPS = {
    "width height viewing_distance label_height head": _is_length,
    "corner_radius": lambda value: _is_number(value, 0.0),
    "position label_at": _is_point,
    "rotation first_angle step_angle": _is_number,
    "hole front": _is_size,
    "label legend text": _is_legend,
    "kind action label_place": lambda value: isinstance(value, str),
    "positions": lambda value: value in range(2, 49),
    "format device plate wiring controls fixtures parts extras profile bindings": None,
    "screws engravings inputs crossings pins bits labels input crossing pin bit part": None,
    "thickness material tolerance revision quantity colour ink edge density name short": None,
    "unit_price note common led detents gap pulse steps_per_detent opposite reports off": None,
    "spring key_out switching": None,
}
RULES = {key: rule for keys, rule in GROUPS.items() for key in keys.split()}
"""What each key that a table may have must hold; None where that is not asked, or seen in use."""


class _Table(SimpleNamespace):
    """A table of a file with what the rooms ask of it; a key that it does not have is None."""

    def __getattr__(self, _key: str) -> Any:
        return None


def _require(holds: object) -> None:
    if not holds:
        raise ValueError("not ordinary")


def _take(given: Mapping[str, Any], *needed: str) -> Any:
    """A table, once each key in it is known and holds what it must."""
    _require(set(needed) <= given.keys() <= RULES.keys())
    for key, value in given.items():
        rule = RULES[key]
        _require(rule is None or rule(value))
    return _Table(**{k: tuple(one) if isinstance(one, list) else one for k, one in given.items()})


class PlainLook(NamedTuple):
    """A device as its file has it, what is shown of its controls, and the one that is chosen."""

    heading: str
    library: tuple[str, str]
    device: Any
    facts: Mapping[str, ControlFacts]
    chosen: str
    panel: str = "Reading …"
    key: tuple[str, ...] = ()

    def draw(self, columns: int, rows: int) -> Drawn:
        """The plate in so many cells; nothing in too few."""
        if columns < LEAST[0] or rows < LEAST[1]:
            return (), ()
        canvas = draw_whole(self.device, self.facts, (columns, rows))
        return [canvas.marked_row(y, self.chosen) for y in range(rows)], canvas.key_lines()


def look_plainly(folder: Path, profile: str, device: str) -> PlainLook | None:
    """Read what the plate shows of this profile and device, or where both are empty, of the first
    ones; None where that takes the model."""
    try:
        return _look(folder, _read_files(folder), profile, device)
    except (FileFaultError, OSError, AttributeError, LookupError, TypeError, ValueError):
        return None


def _look(folder: Path, shelf: dict[str, dict[str, Any]], profile: str, device: str) -> PlainLook:
    _require(bool(profile) == bool(device))
    profile = profile or min(shelf["profile"])
    content = shelf["profile"][profile]
    known = _list_devices(content["profile"])
    device = device or known[0]
    boxes = {key: _make_device(shelf["device"][key], shelf["part"]) for key in known}
    actions = shelf["application"][content["profile"]["application"]]["actions"]
    bound, held = _bind(_take(content).bindings or {}, actions, boxes)
    box, facts = boxes[device], {}
    for key, control in box.controls.items():
        contacts = []
        for name in control.contacts:
            at: Any = At(device, key, name)
            if at in bound or at in held or name in control.numbered:
                contacts.append(ContactFacts(at, None, bound.get(at, ()), held.get(at, ())))
        state, label = find_state(contacts), speak(control.label)
        facts[key] = ControlFacts(key, label, control.kind, state, tuple(contacts), ())
    order = reading_order({key: one.position for key, one in box.controls.items()})
    name = content["profile"].get("name", profile)
    _require(_is_words(name) and _is_words(box.name))
    heading = write_heading("saved", UNCHECKED, name, box.name)
    return PlainLook(heading, tell_unchecked(folder.name), box, facts, order[0])


def _read_files(folder: Path) -> dict[str, dict[str, Any]]:
    """The content of every file by kind and id; None for one of YAML."""
    shelf: dict[str, dict[str, Any]] = {kind: {} for kind in KINDS}
    known, left = set[str](), MOST_BYTES
    for number, (_, folders, _) in enumerate(os.walk(folder)):
        _require(number < MOST_FOLDERS)
        folders[:] = [name for name in folders if not name.startswith(".")]
    for path in find_files(folder):
        _require(not path.is_symlink())
        data = read_bytes(path, left)
        left -= len(data)
        if path.name == "platebook.toml":
            continue
        form, text = FORMATS[path.suffix.lower()], decode_text(data)
        content = _read_head(text) if form == "yaml" else parse_text(text, form)
        (kind,) = shelf.keys() & content.keys()
        header = content[kind]
        word = header.get("id") or f"{header['application']}-on-{_list_devices(header)[0]}"
        _require(content["format"] == 1 and word.casefold() not in known)
        known.add(word.casefold())
        shelf[kind][word] = None if form == "yaml" else content
    return shelf


def _read_head(text: str) -> dict[str, Any]:
    """Kind and ids of a file of YAML that begins in the plainest way."""
    lines = [line for line in text.split("\n") if line.strip() and line[0] != "#"]
    found = _YAML.match("\n".join([*lines, ""]))
    words = dict(_YAML_WORD.findall(found[2])) if found else {}
    _require(not {"true", "false", "null"} & {word.lower() for word in words.values()})
    return {"format": 1, found[1] if found else "": words}


def _list_devices(header: Mapping[str, Any]) -> list[str]:
    _require(("device" in header) != ("devices" in header))
    return [header["device"]] if "device" in header else list(header["devices"])


def _bind(
    bindings: Mapping[str, Any], actions: Any, boxes: Mapping[str, Any]
) -> tuple[Bound, Bound]:
    """What each contact does, and what it is held for."""
    bound, held_for = Bound(), Bound()
    for key, uses in bindings.items():
        *held, acting = pressed = [_find(name.strip(), boxes) for name in key.split("+")]
        _require(len(set(pressed)) == len(pressed) and uses != [])
        for use in uses if isinstance(uses, list) else [uses]:
            use = _take({"action": use} if isinstance(use, str) else use, "action")
            action = actions[use.action]
            legend = use.legend or action.get("legend") or spell_braces(action["name"])
            _require(_is_legend(legend))
            one = _Table(legend=legend, held=held)
            bound[acting] = (*bound.get(acting, ()), one)
            held_for |= {at: (*held_for.get(at, ()), one) for at in held}
    return bound, held_for


def _find(name: str, boxes: Mapping[str, Any]) -> At:
    found = _CONTACT.fullmatch(name)
    device, control, contact = found.groups() if found else ("", "", "")
    holders = {key: box.controls for key, box in boxes.items() if control in box.controls}
    (owner,) = (key for key in holders if device in (key, None))
    contact = contact or holders[owner][control].main_contact
    _require(contact in holders[owner][control].contacts)
    return At(owner, control, contact)


def _make_device(content: dict[str, Any], shared: Mapping[str, Any]) -> Any:
    """A device with what the plate shows of it, by the names that the model gives them."""
    device, defaults = _take(content, "plate"), {"corner_radius": 0.0, "viewing_distance": 600.0}
    plate = device.plate = _take(defaults | content["plate"], "width", "height")
    plate.screws = [_take(one, "position", "hole") for one in plate.screws or ()]
    plate.engravings = [_take(one, "text", "position") for one in plate.engravings or ()]
    parts = {key: one["part"] for key, one in shared.items() if one} | (device.parts or {})
    mounted, wiring = {}, device.wiring or {}
    device.fixtures = device.fixtures or {}
    _require(0 < len(device.controls) <= MOST_CONTROLS)
    _require(device.controls.keys().isdisjoint(device.fixtures))
    for key, one in (device.controls | device.fixtures).items():
        part = parts[one["part"]] if "part" in one else {}
        left = {"id", "name", "note", *(["labels"] if "labels" in one else [])}
        whole = {"rotation": 0.0} | {k: v for k, v in part.items() if k not in left} | one
        mounted[key] = _take(whole, "kind", "position", "hole")
        mounted[key].cover = mounted[key].front
        mounted[key].front_or_hole = mounted[key].front or mounted[key].hole
        if key in device.controls:
            _finish_control(mounted[key], wiring)
    device.controls = {key: mounted[key] for key in device.controls}
    device.fixtures = {key: mounted[key] for key in device.fixtures}
    device.name, device.mounted, device.concentric = content["device"]["name"], mounted, {}
    return device


def _finish_control(one: Any, wiring: Mapping[str, Any]) -> None:
    """Give a control its contacts, and those that have an input number."""
    tables = {key: getattr(one, f"{key}s") or {} for key in ("input", "crossing", "pin", "bit")}
    positions = range(1, (one.positions or 0) + 1)
    contacts = {
        "momentary": ["press"],
        "latching": ["on", "off"],
        "rotary": ["clockwise", "anticlockwise", "press", "pull"],
        "selector": [f"position-{number}" for number in positions],
    }[one.kind]
    if not any("pull" in table for table in (*tables.values(), one.labels or {})):
        contacts = [name for name in contacts if name != "pull"]
    one.contacts = contacts
    one.main_contact = {"momentary": "press", "latching": "on"}.get(one.kind)
    _require(one.label and (one.kind == "selector") == (len(positions) > 1))
    rows, columns = (len(wiring.get(key, ())) for key in ("rows", "columns"))
    chains = [wiring["chain"]] if "chain" in wiring else wiring.get("chains", [])
    bits = sum(chain["length"] for chain in chains)
    one.numbered = set[str]()
    for key in tables if wiring.get("numbering") else ("input",):
        single = getattr(one, key)
        table = tables[key] | ({one.main_contact: single} if single else {})
        _require(table.keys() <= set(contacts))
        for place in table.values():
            _require(key != "bit" or place <= bits)
            _require(key != "crossing" or (place[0] <= rows and place[1] <= columns))
        one.numbered |= table.keys()
