"""The plate that is shown first, while the library is still being read.

The model takes longer to load than the toolkit to start, so ordinary files are read here without
it, for nothing but what the plate looks like until the view takes its place. What is not ordinary
in any way that this could be wrong about gives no plate, and the screen waits: many files, a fault
in view, a hole that only the model can measure.
"""

import os
import re
from collections.abc import Callable, Mapping
from functools import cache, partial
from pathlib import Path
from types import SimpleNamespace
from typing import Any, NamedTuple

from profiles.facts.profile import ContactFacts, ControlFacts, find_state
from profiles.files.documents import FORMATS, decode_text, parse_text, read_bytes
from profiles.files.faults import FileFaultError
from profiles.files.places import Format
from profiles.files.walk import find_files
from profiles.plate.order import reading_order
from profiles.text.sign_words import find_unknown_sign, speak, spell_braces
from profiles.tui.canvas import LEAST, draw_whole
from profiles.tui.heading import UNCHECKED, tell_unchecked, write_heading
from profiles.tui.viewport import Drawn

MOST_BYTES, MOST_IN_VIEW, MOST_FOLDERS, MOST_CONTROLS = 1_000_000, 50_000, 100, 128
"""Bytes of all files together and of a file in view, folders, controls of a device; more would hold
up the first paint. What does not begin in the plainest way is read in full and counts tenfold."""

KINDS = ("device", "application", "profile", "board", "part")
_NAME = "[A-Za-z0-9][A-Za-z0-9_-]{0,63}"
_CONTACT = re.compile(rf"(?:({_NAME})/)?({_NAME})(?:\.({_NAME}))?")
_BLANK, _END = r"(?:[ \t]*(?:#.*)?\n)*", r"[ \t]*(?:#.*)?\n"
_KIND = f"({'|'.join(KINDS)})"
HEADS = {
    "toml": (
        re.compile(rf"{_BLANK}format = 1{_END}{_BLANK}\[{_KIND}\]{_END}((?:[^\[\n].*\n|\n)*)\[\w"),
        re.compile(r'^(id|application|device) = "([A-Za-z0-9_-]+)"[ \t]*(?:#.*)?$', re.M),
    ),
    "yaml": (
        re.compile(rf"{_BLANK}format: 1{_END}{_BLANK}{_KIND}:{_END}((?:  .*\n|{_END})*)"),
        re.compile(r"^  (id|application|device): ([A-Za-z][A-Za-z0-9_-]*)[ \t]*(?: #.*)?$", re.M),
    ),
}
"""How files that begin in the plainest way do so, and the ids that stand there, by format."""

HAT_WAYS = ("up", "right", "down", "left", "up-right", "down-right", "down-left", "up-left")

Shelf = dict[str, dict[str, Callable[[], Any]]]
"""What reads the content of a file, by kind and id."""


FAULTS = (ArithmeticError, AttributeError, LookupError, TypeError, ValueError)
"""What comes of content that no one has judged."""


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
    "diameter length across_flats stroke": _is_length,
    "corner_radius": lambda value: _is_number(value, 0.0),
    "position label_at": _is_point,
    "rotation first_angle step_angle angle": _is_number,
    "front": _is_size,
    "hole": lambda value: _is_size(value) or isinstance(value, dict),
    "guard keyway": lambda value: isinstance(value, list) and _is_size(value),
    "label legend text": _is_legend,
    "marks": lambda value: 1 < len(value) < 26 and all(map(_is_legend, value)),
    "kind action label_place pattern concentric_with": lambda value: isinstance(value, str),
    "positions": lambda value: value in range(2, 49),
    "flats": lambda value: value in (1, 2),
    "ways": lambda value: value in (4, 5, 8),
    "format device plate wiring controls fixtures parts extras profile bindings": None,
    "screws engravings inputs crossings pins bits labels input crossing pin bit part": None,
    "thickness material tolerance revision quantity colour ink edge density name short": None,
    "unit_price note common led detents gap pulse steps_per_detent opposite reports off": None,
    "spring key_out switching axis axis_step sensor range centre dead_band reversed": None,
    "resistance scale countersink": None,
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

    def draw(self, columns: int, rows: int) -> Drawn:
        """The plate in so many cells; nothing in too few, or where a fault keeps it from that."""
        if columns < LEAST[0] or rows < LEAST[1]:
            return (), ()
        try:
            canvas = draw_whole(self.device, self.facts, (columns, rows))
        except FAULTS:
            return (), ()
        return [canvas.marked_row(y, self.chosen) for y in range(rows)], canvas.key_lines()


def look_plainly(folder: Path, profile: str, device: str) -> PlainLook | None:
    """Read what the plate shows of this profile and device, or where both are empty, of the first
    ones; None where that takes the model."""
    try:
        return _look(folder, _read_files(folder), profile, device)
    except (FileFaultError, OSError, *FAULTS):
        return None


def _look(folder: Path, shelf: Shelf, profile: str, device: str) -> PlainLook:
    _require(bool(profile) == bool(device) or not shelf["profile"])
    profile = profile or min(shelf["profile"], default="")
    content = shelf["profile"][profile]() if profile else {"profile": {"name": "no profile"}}
    header, actions = content["profile"], {}
    known = [device or min(shelf["device"])]
    if profile:
        known = _list_devices(header)
        actions = shelf["application"][header["application"]]()["actions"]
    device = device or known[0]
    boxes = {key: _make_device(shelf["device"][key](), shelf["part"]) for key in known}
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
    name = header.get("name", profile)
    _require(_is_words(name) and _is_words(box.name))
    heading = write_heading("saved", UNCHECKED, name, box.name)
    return PlainLook(heading, tell_unchecked(folder.name), box, facts, order[0])


def _read_files(folder: Path) -> Shelf:
    """Every file by kind and id, of which those in view are read in full."""
    shelf: Shelf = {kind: {} for kind in KINDS}
    known, left = set[str](), MOST_BYTES
    for number, (_, folders, _) in enumerate(os.walk(folder)):
        _require(number < MOST_FOLDERS)
        folders[:] = [name for name in folders if not name.startswith(".")]
    for path in find_files(folder):
        _require(not path.is_symlink())
        data = read_bytes(path, left)
        if path.name == "platebook.toml":
            continue
        form, text = FORMATS[path.suffix.lower()], decode_text(data)
        read, head = cache(partial(_read, text, form)), _read_head(text, form)
        left -= len(data) if head else 10 * len(data)
        kind, header = head or _find_head(read())
        word = header.get("id") or f"{header['application']}-on-{_list_devices(header)[0]}"
        _require(word.casefold() not in known)
        known.add(word.casefold())
        shelf[kind][word] = read
    return shelf


def _read(text: str, form: Format) -> dict[str, Any]:
    _require(len(text) <= MOST_IN_VIEW)
    content: dict[str, Any] = parse_text(text, form)
    return content


def _read_head(text: str, form: str) -> tuple[str, dict[str, str]] | None:
    """Kind and ids of a file that begins in the plainest way; None where it has to be read."""
    start, word = HEADS.get(form, (None, None))
    found = start.match(text) if start else None
    if found is None or word is None or '"""' in found[2] or "'''" in found[2]:
        return None
    words = dict(word.findall(found[2]))
    is_named = "id" in words or {"application", "device"} <= words.keys()
    is_plain = form == "toml" or not {"true", "false", "null"} & {*map(str.lower, words.values())}
    return (found[1], words) if is_named and is_plain else None


def _find_head(content: dict[str, Any]) -> tuple[str, dict[str, Any]]:
    (kind,) = content.keys() & {*KINDS}
    _require(content["format"] == 1)
    return kind, content[kind]


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


def _make_device(content: dict[str, Any], shared: Mapping[str, Callable[[], Any]]) -> Any:
    """A device with what the plate shows of it, by the names that the model gives them."""
    device, defaults = _take(content, "plate"), {"corner_radius": 0.0, "viewing_distance": 600.0}
    plate = device.plate = _take(defaults | content["plate"], "width", "height")
    plate.screws = [_take(one, "position", "hole") for one in plate.screws or ()]
    for screw in plate.screws:
        screw.hole = _shape_hole(screw.hole)
    plate.engravings = [_take(one, "text", "position") for one in plate.engravings or ()]
    device.fixtures, own = device.fixtures or {}, device.parts or {}
    _require(0 < len(device.controls) <= MOST_CONTROLS)
    _require(device.controls.keys().isdisjoint(device.fixtures))
    wholes, mounted = {}, {}
    for key, one in (device.controls | device.fixtures).items():
        word = one.get("part")
        part = {} if word is None else own[word] if word in own else shared[word]()["part"]
        left = {"id", "name", "note", *(["labels"] if "labels" in one else [])}
        wholes[key] = {"rotation": 0.0} | {k: v for k, v in part.items() if k not in left} | one
    device.concentric = {
        key: one["concentric_with"] for key, one in wholes.items() if "concentric_with" in one
    }
    _require(device.controls.keys() >= {*device.concentric.values()})
    for key, whole in wholes.items():
        outer = wholes[device.concentric[key]] if key in device.concentric else {}
        place = {name: outer[name] for name in ("position", "hole") if outer}
        one = mounted[key] = _take(place | whole, "kind", "position", "hole")
        _finish_front(one)
        if key in device.controls:
            _finish_control(one, device.wiring or {})
    device.controls = {key: mounted[key] for key in device.controls}
    device.fixtures = {key: mounted[key] for key in device.fixtures}
    device.mounted = {key: one for key, one in mounted.items() if key not in device.concentric}
    device.name = content["device"]["name"]
    return device


def _shape_hole(given: Any) -> Any:
    """A hole as drawings ask for it."""
    if not isinstance(given, dict):
        return given
    hole = _take({"angle": 0.0, "corner_radius": 0.0, "flats": 2} | given)
    if hole.diameter:
        least = hole.diameter / 2 if hole.flats == 1 else 0.0
        _require(not hole.across_flats or least < hole.across_flats < hole.diameter)
        _require(not hole.keyway or hole.keyway[0] < hole.diameter)
        hole.sides = hole.diameter, hole.diameter
        hole.is_plain_round = not (hole.across_flats or hole.keyway)
        if "countersink" in given:
            hole.countersink = _take(given["countersink"], "diameter")
    else:
        hole.sides = (hole.length, hole.width) if hole.length else (hole.width, hole.height)
        _require(all(hole.sides) and hole.corner_radius <= min(hole.sides) / 2)
        _require(not hole.length or hole.length > hole.width)
    return hole


def _finish_front(one: Any) -> None:
    """Give what is mounted the size that is seen of it."""
    size = hole = one.hole = _shape_hole(one.hole)
    if isinstance(hole, _Table):
        _require(one.front or hole.diameter or hole.angle == 0)
        size = hole.diameter or hole.sides
    size, one.cover = one.front or size, one.front
    if one.guard:
        one.cover = tuple(map(max, size if isinstance(size, tuple) else (size, size), one.guard))
    one.front_or_hole = one.cover or size


def _finish_control(one: Any, wiring: Mapping[str, Any]) -> None:
    """Give a control its contacts, and those that the host meets."""
    tables = {key: getattr(one, f"{key}s") or {} for key in ("input", "crossing", "pin", "bit")}
    positions = range(1, (one.positions or 0) + 1)
    pattern = one.pattern or "on-off"
    ends = ["on", "off"] if "off" in pattern else ["up", "down"]
    ways, turns = [*HAT_WAYS[: 8 if one.ways == 8 else 4]], ["clockwise", "anticlockwise"]
    contacts = {
        "momentary": ["press"],
        "latching": ends if pattern.count("-") == 1 else ["up", "centre", "down"],
        "rotary": [*turns, "press", "pull"],
        "selector": [f"position-{number}" for number in positions],
        "hat": [*ways, *(["press"] if one.ways in (5, 8) else [])],
        "axis": ["axis"],
    }[one.kind]
    if not any("pull" in table for table in (*tables.values(), one.labels or {})):
        contacts = [name for name in contacts if name != "pull"]
    one.contacts = contacts
    main = {"momentary": "press", "latching": "on", "axis": "axis"}.get(one.kind)
    one.main_contact = main if main in contacts else None
    _require(one.label and (one.kind == "selector") == (len(positions) > 1))
    if one.scale is not None:
        one.scale = _take(one.scale, "marks")
        _require((one.scale.angle is None) != (one.scale.stroke is None))
    rows, columns = (len(wiring.get(key, ())) for key in ("rows", "columns"))
    chains = [wiring["chain"]] if "chain" in wiring else wiring.get("chains", [])
    bits = sum(chain["length"] for chain in chains)
    fields = {"hat": ways if one.reports != "buttons" else [], "axis": ["axis"]}
    one.numbered = {*fields.get(one.kind, turns if one.axis else [])}
    for key in tables if wiring.get("numbering") else ("input",):
        single = getattr(one, key)
        table = tables[key] | ({one.main_contact: single} if single else {})
        _require(table.keys() <= set(contacts))
        for place in table.values():
            _require(key != "bit" or place <= bits)
            _require(key != "crossing" or (place[0] <= rows and place[1] <= columns))
        one.numbered |= table.keys()
