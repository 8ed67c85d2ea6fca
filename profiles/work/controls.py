"""The edits of a device: controls added, changed, moved, renumbered and deleted.

Each edit carries what it means for the profiles that bind the control. Sizes are typed as people
write them: `16.2` for a round hole, `19 x 13` for a rectangle, mm.
"""

from collections.abc import Mapping, Sequence
from typing import Any

from profiles.files.toml_edit import EditError
from profiles.model import AXIS_NAMES, Axis, Device, DeviceContact, Hole, Library, ResolvedBinding
from profiles.model.binding import BindingKey, parse_key
from profiles.text.prose import count, join_words
from profiles.wiring.renumber import Declaration, declare_inputs
from profiles.work.edits import Edit
from profiles.work.open_files import OpenFiles

Size = float | tuple[float, float]
"""A size that can be typed."""

LARGEST = 1000.0
"""Largest hole or front that can be typed, mm."""

USUAL_HOLES = {
    "momentary": 16.2,
    "latching": 12.2,
    "rotary": 7.2,
    "selector": 9.7,
    "hat": 16.2,
    "axis": 7.2,
}
"""Hole in mm where the device has no other control of the kind; rule of thumb."""


def show_size(size: Size | Hole) -> str:
    """A size in mm as it is typed; a hole that the file has as a table, in words."""
    if isinstance(size, Hole):
        return f"{size.shape} {', '.join(f'{key} {one}' for key, one in size.plain().items())}"
    return f"{size[0]:g} x {size[1]:g}" if isinstance(size, tuple) else f"{size:g}"


def read_size(typed: str) -> Size:
    """A size in mm from what was typed.

    Raises:
        ValueError: where it is no size, such as `16.2` or `19 x 13`.
    """
    try:
        sides = [float(part) for part in typed.lower().replace("×", "x").split("x")]
    except ValueError:
        sides = []
    if not 1 <= len(sides) <= 2 or not all(0 < side <= LARGEST for side in sides):
        raise ValueError(f"`{typed}` is no size in mm")
    return sides[0] if len(sides) == 1 else (sides[0], sides[1])


def bindings_of(
    library: Library, device: str, control: str
) -> dict[str, dict[str, list[ResolvedBinding]]]:
    """Bindings that use a control, acting or held, by profile and key."""
    found: dict[str, dict[str, list[ResolvedBinding]]] = {}
    for link in library.profiles_of(device):
        for binding in link.bound:
            if (device, control) in {who[:2] for who in (*binding.held, binding.acting)}:
                found.setdefault(link.profile.id, {}).setdefault(binding.key, []).append(binding)
    return found


def _name_actions(bound: Mapping[str, list[ResolvedBinding]]) -> list[str]:
    return list(dict.fromkeys(f"`{one.action_id}`" for many in bound.values() for one in many))


def add(device: str, control: str, fields: Mapping[str, Any]) -> Edit:
    """Add a control."""

    def change(open_file: OpenFiles) -> None:
        editor = open_file(device)
        if control in editor.content.get("controls", {}):
            raise EditError(f"there is a control `{control}` already")
        editor.set_control(control, fields)

    return Edit(f"Add `{control}`", change)


def starting_fields(device: Device, kind: str, label: str, x: float, y: float) -> dict[str, Any]:
    """The fields of a new control; its hole and front are those of the first of its kind."""
    first = next((control for control in device.controls.values() if control.kind == kind), None)
    hole, front = (first.hole, first.front) if first else (USUAL_HOLES[kind], None)
    size = hole.plain() if isinstance(hole, Hole) else hole
    fields: dict[str, Any] = {"kind": kind, "label": label, "position": [x, y], "hole": size}
    if front is not None:
        fields["front"] = front
    if kind == "selector":
        fields["positions"] = getattr(first, "positions", 3)
    if kind == "axis":
        taken = {control.axis for control in device.controls.values() if isinstance(control, Axis)}
        fields["axis"] = next((one for one in AXIS_NAMES if one not in taken), AXIS_NAMES[0])
    return {key: list(one) if isinstance(one, tuple) else one for key, one in fields.items()}


def put(device: str, words: str, values: Sequence[tuple[tuple[str, ...], Any]]) -> Edit:
    """Put values into a device's file at their paths; None removes the key there."""
    return Edit(words, lambda open_file: open_file(device).change_many(values))


def move(device: str, control: str, position: tuple[float, float]) -> Edit:
    """Put a control's centre elsewhere, mm; of knobs on one axis both."""
    x, y = (round(float(value), 3) for value in position)

    def change(open_file: OpenFiles) -> None:
        editor = open_file(device)
        outer = editor.content["controls"][control].get("concentric_with", control)
        editor.set_control_field(outer, "position", [x, y])

    return Edit(f"Move `{control}` to {x:g}, {y:g}", change)


def renumber(library: Library, device: str, control: str, numbers: Mapping[str, int]) -> Edit:
    """Give a control's contacts these input numbers, by contact, where the wiring gives none."""
    value = library.devices[device]
    main = value.controls[control].main_contact
    try:
        plan = declare_inputs(value, control, numbers)
    except ValueError:  # the model refuses them, and says why as soon as they are written
        plan = Declaration(numbers, frozenset(), {})

    def change(open_file: OpenFiles) -> None:
        editor, wanted = open_file(device), dict(plan.declared)
        at, fields = ("controls", control), editor.content["controls"][control]
        is_single = set(wanted) == {main}
        if "input" in fields and "inputs" not in fields and wanted and not is_single:
            editor.rename((*at, "input"), "inputs")  # its comment stays
            editor.set((*at, "inputs"), wanted)
            return
        if main in wanted and ("input" in fields or ("inputs" not in fields and is_single)):
            editor.set((*at, "input"), wanted.pop(str(main)))
        elif "input" in fields:
            editor.remove((*at, "input"))
        for contact, number in wanted.items():
            editor.set((*at, "inputs", contact), number)
        for contact in fields.get("inputs", {}) if wanted else ():
            if contact not in wanted:
                editor.remove((*at, "inputs", contact))
        if "inputs" in fields and not wanted:
            editor.remove((*at, "inputs"))

    effects = [
        f"`{device}` keeps input {number} for `{control}.{contact}`: its wiring gives it"
        for contact, number in plan.fixed.items()
    ]
    moved = {DeviceContact(device, control, contact) for contact in plan.changed}
    for profile, keys in bindings_of(library, device, control).items():
        names = _name_actions(
            {
                key: [
                    binding
                    for binding in bound
                    if moved.intersection((*binding.held, binding.acting))
                ]
                for key, bound in keys.items()
            }
        )
        if names:
            words = f"bind {count(len(names), 'action')} again in the application"
            effects.append(f"`{profile}`: {words}: {join_words(names)}")
    return Edit(f"Renumber `{control}`", change, tuple(effects))


def delete(library: Library, device: str, control: str) -> Edit:
    """Remove a control, and every binding that needs it, from all profiles."""
    found = bindings_of(library, device, control)

    def change(open_file: OpenFiles) -> None:
        open_file(device).remove_control(control)
        for profile, keys in found.items():
            for key in keys:
                open_file(profile).remove_binding(key)

    effects = (
        f"`{profile}` loses {join_words(_name_actions(keys))}" for profile, keys in found.items()
    )
    return Edit(f"Delete `{control}`", change, tuple(effects))


def fields_of(device: Device, control: str) -> dict[str, str]:
    """What can be typed, as it is now."""
    value = device.controls[control]
    front = "" if value.front is None else show_size(value.front)
    return {"id": control, "label": value.label, "hole": show_size(value.hole), "front": front}


def check_fields(device: Device, control: str, found: Mapping[str, str]) -> str | None:
    """What is wrong with typed fields, or None."""
    new = found["id"].strip()
    if not new or not found["label"].strip():
        return "Give an id (letters, digits, hyphens) and a label."
    if new != control and new in device.controls:
        return f"There is a control {new} already."
    before = fields_of(device, control)
    for name in ("hole", "front"):
        try:
            if found[name].strip() != before[name] and (found[name].strip() or name == "hole"):
                read_size(found[name])
        except ValueError:
            return f"Write the {name} in millimetres, such as 16.2 or 19 x 13."
    return None


def change_fields(library: Library, device: str, control: str, found: Mapping[str, str]) -> Edit:
    """Give a control what was typed; fields that are as before stay as the file has them.

    A new id is written into every binding, and every list of diodes, that names the old one.
    """
    value = library.devices[device]
    before, typed = fields_of(value, control), {key: one.strip() for key, one in found.items()}
    differ, new = [name for name in before if typed[name] != before[name]], typed["id"]
    bound = bindings_of(library, device, control) if "id" in differ else {}

    def change(open_file: OpenFiles) -> None:
        editor = open_file(device)
        if "label" in differ:
            editor.set_control_field(control, "label", typed["label"])
        for name in ("hole", "front"):
            if name in differ and typed[name]:
                size = read_size(typed[name])
                written = list(size) if isinstance(size, tuple) else size
                editor.set_control_field(control, name, written)
            elif name in differ:
                editor.remove_control_field(control, name)
        if "id" in differ:
            _rename(open_file, value, control, new, bound)

    plain = [name for name in differ if name != "id"]
    words = [f"Change id `{control}` to id `{new}`"] if "id" in differ else []
    words += [f"change {join_words(plain)} of `{control}`"] if plain or not words else []
    said = ", ".join(words)
    effects = (
        f"`{profile}` has {join_words([f'`{key}`' for key in keys])} rewritten"
        for profile, keys in bound.items()
    )
    return Edit(said[0].upper() + said[1:], change, tuple(effects))


def _rename(
    open_file: OpenFiles,
    device: Device,
    control: str,
    new: str,
    bound: Mapping[str, Mapping[str, list[ResolvedBinding]]],
) -> None:
    """Give a control another id wherever a key or a diode means it."""
    open_file(device.id).rename_control(control, new)
    if isinstance(device.wiring.diodes, tuple):
        parts = [diode.partition(".") for diode in device.wiring.diodes]
        named = [f"{new if head == control else head}{dot}{end}" for head, dot, end in parts]
        if named != list(device.wiring.diodes):
            open_file(device.id).set(("wiring", "diodes"), named)
    for profile, keys in bound.items():
        for key, many in keys.items():
            parsed, meant = parse_key(key), (*many[0].held, many[0].acting)
            names = [
                name._replace(control=new) if who[:2] == (device.id, control) else name
                for name, who in zip((*parsed.held, parsed.acting), meant, strict=True)
            ]
            renamed = str(BindingKey(tuple(names[:-1]), names[-1]))
            open_file(profile).rename_binding(key, renamed)
