"""Edits of many controls at once: placed in a grid, copied, moved, numbered along a path, deleted.

Each is one edit of the device's file, to be shown and undone as one. Lengths are mm.
"""

from collections.abc import Mapping, Sequence
from typing import Any, Literal

from profiles.files.lists import make_id, read_list
from profiles.files.toml_edit import EditError
from profiles.model import Device, Library
from profiles.plan.layout import (
    Size,
    front_of,
    lay_out,
    step_between,
    stock_parts,
)
from profiles.plate.order import reading_order
from profiles.text.prose import count
from profiles.work.controls import bindings_of, delete, put, renumber
from profiles.work.edits import Edit
from profiles.work.open_files import OpenFiles

Point = tuple[float, float]
Path = Literal["as marked", "in rows", "in columns"]
PATHS: tuple[Path, ...] = ("as marked", "in rows", "in columns")
"""Ways to go through controls: as they were marked, or as one reads the plate."""

OWN_KEYS = (
    *("input", "inputs", "crossing", "crossings", "pin", "pins", "bit", "bits"),
    *("led", "label_at", "labels", "axis"),
)
"""What a copy of a control cannot share with it: numbers, places and words of its own."""


def join_edits(words: str, edits: Sequence[Edit]) -> Edit:
    """Several edits as one."""

    def change(open_file: OpenFiles) -> None:
        for edit in edits:
            edit.change(open_file)

    return Edit(words, change, tuple(effect for edit in edits for effect in edit.effects))


def name_controls(controls: Sequence[str]) -> str:
    """Some controls in words."""
    return f"`{controls[0]}`" if len(controls) == 1 else count(len(controls), "control")


def shift(device: Device, controls: Sequence[str], right: float, up: float) -> Edit:
    """Move controls together; what sits on another's axis goes with it, once."""
    wanted: dict[str, Point] = {}
    for key in controls:
        outer = device.controls[key].concentric_with or key
        x, y = device.controls[outer].position
        wanted[outer] = (round(x + right, 3), round(y + up, 3))
    values = [(("controls", key, "position"), list(at)) for key, at in wanted.items()]
    return put(device.id, f"Move {name_controls(controls)} by {right:g}, {up:g}", values)


def duplicate(device: Device, controls: Sequence[str], across: int, down: int, step: Size) -> Edit:
    """Copy controls to the right and downwards, a step apart; the first place is their own.

    Copies have no input numbers, crossings or pins: the wiring is planned for them afterwards.

    Raises:
        EditError: where there is nothing to copy, or the copies lie outside the plate.
    """
    if not controls or across * down < 2:
        raise EditError("Give at least two places, such as 2x1.")
    taken, copies = dict.fromkeys(device.controls), list[tuple[str, str, list[float]]]()
    steps = [(column, row) for row in range(down) for column in range(across)]
    for column, row in steps[1:]:
        for key in controls:
            if device.controls[key].concentric_with:
                raise EditError(f"`{key}` sits on another's axis; copy that one")
            x, y = device.controls[key].position
            name = make_id(key, taken, "control")
            taken[name] = None
            place = [round(x + column * step[0], 2), round(y - row * step[1], 2)]
            copies.append((key, name, place))
    _require_inside(device, [place for *_, place in copies])

    def change(open_file: OpenFiles) -> None:
        editor = open_file(device.id)
        written, values = editor.content["controls"], list[tuple[tuple[str, str], Any]]()
        for key, name, place in copies:
            fields = {one: value for one, value in written[key].items() if one not in OWN_KEYS}
            label = _number_label(device.controls[key].label, name)
            values.append((("controls", name), {**fields, "label": label, "position": place}))
        editor.change_many(values)

    return Edit(f"Add {count(len(copies), 'copy', 'copies')}", change)


def _number_label(label: str, name: str) -> str:
    """The label of a copy: the number that its id ends with, behind the words."""
    words, _, number = label.rpartition(" ")
    tail = name.rpartition("-")[2]
    base = words if words and number.isdigit() else label
    return f"{base} {tail}" if tail.isdigit() else label


def list_parts(library: Library, device: Device) -> dict[str, Mapping[str, Any]]:
    """The parts that a new control may name, by id: the device's, the library's, and stock."""
    own = {key: part.plain() for key, part in device.parts.items()}
    shelf = {key: part.part.plain() for key, part in library.parts.items()}
    return {**stock_parts(), **shelf, **own}


def add_grid(
    library: Library,
    device: Device,
    part: str,
    grid: tuple[int, int],
    pitch: Size | None,
    middle: Point,
    labels: str,
) -> Edit:
    """Add controls of one part in rows, around a middle; labels are a pasted list.

    Raises:
        EditError: where the part is unknown, or they lie outside the plate.
        LayoutError: where fronts would overlap at this pitch.
    """
    parts = list_parts(library, device)
    if part not in parts:
        raise EditError(f"no part `{part}`")
    across, down = grid
    laid = lay_out([[part] * across] * down, parts, pitch)
    xs, ys = zip(*laid.places, strict=True)
    off = middle[0] - (min(xs) + max(xs)) / 2, middle[1] - (min(ys) + max(ys)) / 2
    names = [entry.name for entry in read_list(labels).entries]
    taken, values = dict.fromkeys(device.controls), list[tuple[tuple[str, ...], Any]]()
    places = [[round(x + off[0], 2), round(y + off[1], 2)] for x, y in laid.places]
    _require_inside(device, places)
    if part not in device.parts and part not in library.parts:
        values.append((("parts", part), dict(parts[part])))
    first = len(device.controls) + 1
    for number, place in enumerate(places):
        label = names[number] if number < len(names) else str(first + number)
        key = make_id(label if number < len(names) else f"c{label}", taken, "control")
        taken[key] = None
        values.append((("controls", key), {"part": part, "label": label, "position": place}))
    return put(device.id, f"Add {count(len(places), 'control')}", values)


def _require_inside(device: Device, places: Sequence[Sequence[float]]) -> None:
    plate = device.plate
    for x, y in places:
        if not (0 <= x <= plate.width and 0 <= y <= plate.height):
            raise EditError(
                f"{x:g}, {y:g} lies outside the plate of {plate.width:g} x {plate.height:g} mm"
            )


def usual_step(library: Library, device: Device, controls: Sequence[str]) -> Size:
    """How far apart copies of controls should stand, across and down, mm: as is advised.

    Of several together: their reach and that distance.
    """
    if not controls:
        return (20.0, 20.0)
    fronts = [
        {"kind": device.controls[key].kind, "front": device.controls[key].front_or_hole}
        for key in controls
    ]
    found = []
    for axis in (0, 1):
        places = [device.controls[key].position[axis] for key in controls]
        widest = max(fronts, key=lambda one: front_of(one)[axis])
        found.append(max(places) - min(places) + step_between(widest, widest, axis, None))
    return found[0], found[1]


def order_controls(device: Device, controls: Sequence[str], path: Path) -> tuple[str, ...]:
    """Controls in the order in which a path goes through them."""
    if path == "as marked":
        return tuple(controls)
    places = {key: device.controls[key].position for key in controls}
    if path == "in rows":
        return reading_order(places)
    turned = {key: (-y, -x) for key, (x, y) in places.items()}
    return reading_order(turned)


def number_inputs(library: Library, device: Device, controls: Sequence[str], first: int) -> Edit:
    """Give the contacts of controls input numbers one after another, in this order.

    What the host meets as a hat or an axis has none, and is passed over.

    Raises:
        EditError: where none of the controls has any.
    """
    number, edits = first, dict[str, Edit]()
    for key in controls:
        value = device.controls[key]
        contacts = [one for one in value.contacts if one not in value.fields]
        numbered = [one for one in contacts if (key, one) in device.declared_inputs]
        chosen = numbered or ([value.main_contact] if value.main_contact in contacts else contacts)
        numbers = {str(contact): number + at for at, contact in enumerate(chosen)}
        if numbers:
            number += len(chosen)
            edits[key] = renumber(library, device.id, key, numbers)
    if not edits:
        raise EditError("nothing here takes an input number: the host meets it as a hat or an axis")
    words = f"Number {name_controls([*edits])} from {first} to {number - 1}"
    return join_edits(words, [*edits.values()])


def number_labels(device: Device, controls: Sequence[str], first: int, words: str) -> Edit:
    """Give controls labels one after another: `B#` makes B1, B2; without # the number follows."""
    pattern = words if "#" in words else f"{words} #".strip()
    values = [
        (("controls", key, "label"), pattern.replace("#", str(first + at)))
        for at, key in enumerate(controls)
    ]
    return put(device.id, f"Label {name_controls(controls)}", values)


def delete_all(library: Library, device: Device, controls: Sequence[str]) -> Edit:
    """Remove controls, and every binding that needs one of them."""
    edits = [delete(library, device.id, key) for key in controls]
    bound: dict[str, dict[str, None]] = {}  # what needs several of them goes once
    for key in controls:
        for profile, keys in bindings_of(library, device.id, key).items():
            bound.setdefault(profile, {}).update(dict.fromkeys(keys))

    def change(open_file: OpenFiles) -> None:
        for key in controls:
            open_file(device.id).remove_control(key)
        for profile, keys in bound.items():
            for binding in keys:
                open_file(profile).remove_binding(binding)

    joined = join_edits(f"Delete {name_controls(controls)}", edits)
    return joined._replace(change=change)
