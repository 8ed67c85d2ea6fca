"""Random edits of a library, and whether the sheets said to differ are those whose bytes do.

The judge makes every sheet of both states anew, as bytes without a date, and knows nothing of what
a sheet is made from. `python -m tests.work.changes_oracle 500` runs so many edits in a row and
prints each disagreement.
"""

import sys
from collections.abc import Callable
from random import Random
from typing import Any

from profiles.api import load
from profiles.files.validate import validate_content
from profiles.model import Library
from profiles.sheets.options import RequestError
from profiles.work.changes import find_changes
from profiles.work.every_sheet import choose_form, list_requests
from profiles.work.printing import make_sheets
from tests.conftest import EXAMPLES

Content = dict[str, dict[str, Any]]


def open_example(name: str) -> Content:
    """Return the documents of an example library as plain content, by id; `small` is invented."""
    if name == "small":
        return _make_small()
    documents = load(EXAMPLES / name).library.documents
    return {key: document.plain() for key, document in documents.items()}


def _make_small() -> Content:
    """Two devices of four and two wired buttons, two applications, three profiles."""
    found: Content = {}
    for device, rows in (("desk", 2), ("box", 1)):
        found[device] = {
            "format": 1,
            "device": {"id": device, "name": device.title()},
            "plate": {"width": 120.0, "height": 80.0},
            "wiring": {
                "board": "atmega32u4",
                "numbering": "along-rows",
                "diodes": "every",
                "rows": ["2", "3"][:rows],
                "columns": ["4", "5"],
            },
            "controls": {
                f"c{row}{column}": {
                    "kind": "momentary",
                    "label": f"C{row}{column}",
                    "hole": 16.0,
                    "front": 18.0,
                    "position": [60.0 * column - 30.0, 60.0 - 35.0 * row],
                    "crossing": [row + 1, column],
                }
                for row in range(rows)
                for column in (1, 2)
            },
        }
    for app in ("ferry", "tram"):
        found[app] = {
            "format": 1,
            "application": {"id": app, "name": app.title()},
            "actions": {f"a{n}": {"name": f"Do {app} {n}"} for n in range(6)},
        }
    for id_, app, device in (
        ("ferry-desk", "ferry", "desk"),
        ("tram-desk", "tram", "desk"),
        ("ferry-box", "ferry", "box"),
    ):
        controls = found[device]["controls"]
        found[id_] = {
            "format": 1,
            "profile": {"id": id_, "name": id_, "application": app, "device": device},
            "bindings": {key: f"a{n}" for n, key in enumerate(controls)},
        }
    return found


def build(content: Content) -> Library:
    """Return a library of these documents.

    Raises:
        ExceptionGroup: where the model refuses one.
    """
    shelf = Library.of([validate_content(one) for one in content.values() if "part" in one])
    return Library.of(
        [*shelf.parts.values()]
        + [validate_content(one, library=shelf) for one in content.values() if "part" not in one]
    )


def print_bytes(library: Library) -> dict[str, bytes]:
    """Return the bytes of every sheet, by name."""
    found: dict[str, bytes] = {}
    for request in list_requests(library):
        form = choose_form(request)
        try:
            made = make_sheets(library, request, (form,))
        except RequestError:
            continue
        suffix = "pdf" if form == "pdf" else "svg"
        found |= {f"{one.sheet.name}.{suffix}": one.data[form] for one in made}
    return found


def edit_at_random(content: Content, random: Random) -> Content:
    """Return a copy with one value of one document changed, as a user might."""
    changed = {key: _copy(one) for key, one in content.items()}
    kinds = random.choice(["device", "device", "application", "profile"])
    one = changed[random.choice([key for key, value in changed.items() if kinds in value])]
    edits: dict[str, list[Callable[[dict[str, Any], Random], None]]] = {
        "device": [_relabel, _move, _swap_crossings, _price, _resize, _rename, _renote, _reorder],
        "application": [_rename, _rename_action, _regroup, _renumber, _renote],
        "profile": [_rebind, _unbind, _swap_bindings, _rename, _legend, _renote],
    }
    random.choice(edits[kinds])(one, random)
    return changed


def _copy(value: Any) -> Any:
    if isinstance(value, dict):
        return {key: _copy(one) for key, one in value.items()}
    return [_copy(one) for one in value] if isinstance(value, list | tuple) else value


def _word(random: Random) -> str:
    return "".join(random.choice("ABCDEGHIKLMNOPRSTU") for _ in range(random.randint(2, 6)))


def _control(one: dict[str, Any], random: Random) -> dict[str, Any]:
    found: dict[str, Any] = one["controls"][random.choice(list(one["controls"]))]
    return found


def _relabel(one: dict[str, Any], random: Random) -> None:
    _control(one, random)["label"] = _word(random)


def _move(one: dict[str, Any], random: Random) -> None:
    at = _control(one, random)["position"]
    at[random.randint(0, 1)] += random.choice([-0.5, 0.5])


def _swap_crossings(one: dict[str, Any], random: Random) -> None:
    wired = [c for c in one["controls"].values() if "crossing" in c and "input" not in c]
    if len(wired) > 1:
        a, b = random.sample(wired, 2)
        a["crossing"], b["crossing"] = b["crossing"], a["crossing"]


def _price(one: dict[str, Any], random: Random) -> None:
    _control(one, random)["price"] = f"{random.randint(1, 900) / 100:.2f}"


def _resize(one: dict[str, Any], random: Random) -> None:
    one["plate"]["width"] += random.choice([1.0, 2.0])


def _rename(one: dict[str, Any], random: Random) -> None:
    head = one[next(kind for kind in ("device", "application", "profile") if kind in one)]
    head["name"] = f"{_word(random)} {_word(random)}"


def _renote(one: dict[str, Any], random: Random) -> None:
    head = one[next(kind for kind in ("device", "application", "profile") if kind in one)]
    head["note"] = _word(random)


def _reorder(one: dict[str, Any], random: Random) -> None:
    keys = list(one["controls"])
    key = random.choice(keys)
    one["controls"][key] = one["controls"].pop(key)


def _action(one: dict[str, Any], random: Random) -> dict[str, Any]:
    found: dict[str, Any] = one["actions"][random.choice(list(one["actions"]))]
    return found


def _rename_action(one: dict[str, Any], random: Random) -> None:
    _action(one, random)[random.choice(["name", "legend"])] = _word(random)


def _regroup(one: dict[str, Any], random: Random) -> None:
    _action(one, random)["group"] = _word(random).lower()


def _renumber(one: dict[str, Any], random: Random) -> None:
    one["application"]["first_number"] = random.randint(0, 1)


def _bindings(one: dict[str, Any]) -> dict[str, Any]:
    found: dict[str, Any] = one["bindings"]
    return found


def _rebind(one: dict[str, Any], random: Random) -> None:
    keys = list(_bindings(one))
    if keys:
        one["bindings"][random.choice(keys)] = one["bindings"][random.choice(keys)]


def _unbind(one: dict[str, Any], random: Random) -> None:
    keys = list(_bindings(one))
    if len(keys) > 4:
        del one["bindings"][random.choice(keys)]


def _swap_bindings(one: dict[str, Any], random: Random) -> None:
    keys = list(_bindings(one))
    if len(keys) > 1:
        a, b = random.sample(keys, 2)
        one["bindings"][a], one["bindings"][b] = one["bindings"][b], one["bindings"][a]


def _legend(one: dict[str, Any], random: Random) -> None:
    plain = [key for key, value in _bindings(one).items() if isinstance(value, str)]
    if plain:
        key = random.choice(plain)
        one["bindings"][key] = {"action": one["bindings"][key], "legend": _word(random)}


def find_disagreements(name: str, edits: int, seed: int) -> tuple[list[str], int]:
    """Run edits one after the other; return what was missed or invented, and how many sheets
    differed in all."""
    random = Random(seed)
    content = open_example(name)
    before = build(content)
    old, found, differed = print_bytes(before), [], 0
    for number in range(edits):
        while True:
            trial = edit_at_random(content, random)
            try:
                after = build(trial)
            except ExceptionGroup:
                continue
            break
        new = print_bytes(after)
        really = {key for key in {*old, *new} if old.get(key) != new.get(key)}
        said = {one.name for one in find_changes(before, after).sheets}
        differed += len(really)
        if said != really:
            found.append(
                f"edit {number}: missed {sorted(really - said)}, invented {sorted(said - really)}"
            )
        content, before, old = trial, after, new
    return found, differed


if __name__ == "__main__":
    count = int(sys.argv[1])
    problems, total = find_disagreements(sys.argv[2] if len(sys.argv) > 2 else "harbour", count, 1)
    print(*problems, f"{len(problems)} disagreements, {total} sheets differed", sep="\n")
