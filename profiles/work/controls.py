"""The edits of a device: add, move, renumber, delete a control; and what they mean for profiles."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from profiles.files.toml_edit import EditError
from profiles.model import Device, DeviceContact, Library, ResolvedBinding
from profiles.text.prose import count, join_words
from profiles.wiring.renumber import declare_inputs
from profiles.work.copy import OpenFile
from profiles.work.edits import Edit


@dataclass(frozen=True, slots=True)
class Effect:
    """What a change of a control means for one profile."""

    profile: str
    sentence: str


def bindings_of(
    library: Library, device: str, control: str
) -> dict[str, tuple[ResolvedBinding, ...]]:
    """Bindings that use a control, acting or held, by profile."""
    found = {}
    for link in library.profiles_of(device):
        bound = tuple(
            one
            for one in link.bound
            if any((c.device, c.control) == (device, control) for c in (*one.held, one.acting))
        )
        if bound:
            found[link.profile.id] = bound
    return found


def effects_of_delete(library: Library, device: str, control: str) -> tuple[Effect, ...]:
    """What every profile loses with a control."""
    return tuple(
        Effect(profile, f"loses {join_words([f'`{one.action_id}`' for one in bound])}")
        for profile, bound in bindings_of(library, device, control).items()
    )


def effects_of_renumber(
    library: Library, device: str, control: str, numbers: Mapping[str, int]
) -> tuple[Effect, ...]:
    """Bindings that must be made anew in the title, since their input number changes; and numbers
    that stay as they are, since the wiring gives them."""
    plan = declare_inputs(library.devices[device], control, numbers)
    found = [
        Effect(device, f"keeps input {number} for `{control}.{contact}`: its wiring gives it")
        for contact, number in plan.fixed.items()
    ]
    moved = {DeviceContact(device, control, contact) for contact in plan.changed}
    for profile, bound in bindings_of(library, device, control).items():
        hit = [one for one in bound if moved.intersection((*one.held, one.acting))]
        names = dict.fromkeys(f"`{one.action_id}`" for one in hit)
        if names:
            words = f"has to bind {count(len(names), 'action')} anew in the title: "
            found.append(Effect(profile, words + join_words([*names])))
    return tuple(found)


def move(device: str, control: str, position: tuple[float, float]) -> Edit:
    """Put a control's centre elsewhere, mm."""
    x, y = (round(float(value), 3) for value in position)

    def change(open_file: OpenFile) -> None:
        open_file(device).set_control_field(control, "position", [x, y])

    return Edit(f"Move {control} to {x:g}, {y:g}", change)


def renumber(device: str, value: Device, control: str, numbers: Mapping[str, int]) -> Edit:
    """Give a control's contacts these input numbers, by contact."""
    main = value.controls[control].main_contact
    declared = declare_inputs(value, control, numbers).declared

    def change(open_file: OpenFile) -> None:
        editor = open_file(device)
        fields = editor.content["controls"][control]
        for name in ("input", "inputs"):
            if name in fields:
                editor.remove_control_field(control, name)
        if set(declared) == {main}:
            editor.set_control_field(control, "input", declared[str(main)])
        elif declared:
            editor.set_control_field(control, "inputs", dict(declared))

    return Edit(f"Renumber {control}", change)


def delete(library: Library, device: str, control: str) -> Edit:
    """Remove a control, and every binding that needs it, from all profiles."""
    keys = {
        profile: list(dict.fromkeys(one.key for one in bound))
        for profile, bound in bindings_of(library, device, control).items()
    }

    def change(open_file: OpenFile) -> None:
        open_file(device).remove_control(control)
        for profile, names in keys.items():
            for key in names:
                open_file(profile).remove_binding(key)

    return Edit(f"Delete {control}", change)


def add(device: str, control: str, fields: Mapping[str, Any]) -> Edit:
    """Add a control."""

    def change(open_file: OpenFile) -> None:
        editor = open_file(device)
        if control in editor.content.get("controls", {}):
            raise EditError(f"there is a control `{control}` already")
        editor.set_control(control, fields)

    return Edit(f"Add {control}", change)


def starting_fields(device: Device, kind: str, label: str, x: float, y: float) -> dict[str, Any]:
    """The fields of a new control; its hole and front like those of the first of its kind."""
    alike = next((one for one in device.controls.values() if _kind(one) == kind), None)
    hole = alike.hole if alike else USUAL_HOLES[kind]
    fields: dict[str, Any] = {"kind": kind, "label": label, "position": [x, y]}
    fields["hole"] = list(hole) if isinstance(hole, tuple) else hole
    if alike is not None and alike.front is not None:
        fields["front"] = list(alike.front) if isinstance(alike.front, tuple) else alike.front
    if kind == "selector":
        fields["positions"] = getattr(alike, "positions", 3)
    return fields


USUAL_HOLES = {"momentary": 16.2, "latching": 12.2, "rotary": 7.2, "selector": 9.7}
"""Hole in mm where the device has no other control of the kind; rule of thumb."""


def _kind(control: object) -> str:
    return str(getattr(control, "kind", ""))
