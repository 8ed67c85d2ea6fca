"""The other fields of a control: its id, label, hole and front; and what that means for profiles.

Sizes are typed as people write them: `16.2` for a round hole, `19 x 13` for a rectangle, mm.
A new id is written into every binding, and every list of diodes, that names the old one.
"""

from collections.abc import Callable, Mapping

from profiles.model import Device, DeviceContact, Library, ResolvedBinding
from profiles.model.binding import BindingKey, ContactName, parse_key
from profiles.text.prose import join_words
from profiles.work.controls import Effect, bindings_of
from profiles.work.copy import OpenFile
from profiles.work.edits import Edit

Size = float | tuple[float, float]

LARGEST = 1000.0
"""Largest hole or front that can be typed, mm."""


def show_size(size: Size) -> str:
    """A size in mm as it is typed."""
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


def fields_of(device: Device, control: str) -> dict[str, str]:
    """What can be typed anew, as it is now."""
    value = device.controls[control]
    front = "" if value.front is None else show_size(value.front)
    return {"id": control, "label": value.label, "hole": show_size(value.hole), "front": front}


def check_fields(device: Device, control: str, found: Mapping[str, str]) -> str | None:
    """What is wrong with typed fields, or None."""
    if not found["id"].strip() or not found["label"].strip():
        return "Give an id (letters, digits, hyphens) and a label."
    if found["id"].strip() != control and found["id"].strip() in device.controls:
        return f"There is a control {found['id'].strip()} already."
    for name in ("hole", "front"):
        try:
            if found[name].strip() or name == "hole":
                read_size(found[name])
        except ValueError:
            return f"Write the {name} in millimetres, such as 16.2 or 19 x 13."
    return None


def effects_of_rename(library: Library, device: str, control: str, new: str) -> tuple[Effect, ...]:
    """Bindings that are written anew, by profile, where a control gets another id."""
    if new == control:
        return ()
    return tuple(
        Effect(profile, f"has {join_words([f'`{key}`' for key in keys])} written anew")
        for profile, bound in bindings_of(library, device, control).items()
        if (keys := _keys(bound))
    )


def change_fields(library: Library, device: str, control: str, found: Mapping[str, str]) -> Edit:
    """Give a control what was typed; fields that are as before stay as the file has them."""
    value = library.devices[device]
    before = fields_of(value, control)
    typed = {name: words.strip() for name, words in found.items()}
    differ = [name for name in before if typed[name] != before[name]]
    new = typed["id"]
    renamed = _rename(library, value, control, new) if "id" in differ else None

    def change(open_file: OpenFile) -> None:
        editor = open_file(device)
        if "label" in differ:
            editor.set_control_field(control, "label", typed["label"])
        for name in ("hole", "front"):
            if name in differ and typed[name]:
                editor.set_control_field(control, name, _written(read_size(typed[name])))
            elif name in differ:
                editor.remove_control_field(control, name)
        if renamed is not None:
            renamed(open_file)

    plain = [name for name in differ if name != "id"]
    words = [f"Rename {control} to {new}"] if "id" in differ else []
    words += [f"change {join_words(plain)} of {control}"] if plain or not words else []
    told = ", ".join(words)
    return Edit(told[0].upper() + told[1:], change)


def _rename(library: Library, device: Device, control: str, new: str) -> Callable[[OpenFile], None]:
    keys = {
        profile: {key: _renamed_key(key, bound, device.id, control, new) for key in _keys(bound)}
        for profile, bound in bindings_of(library, device.id, control).items()
    }
    diodes = device.wiring.diodes

    def change(open_file: OpenFile) -> None:
        editor = open_file(device.id)
        editor.rename_control(control, new)
        if isinstance(diodes, tuple):
            named = [_renamed_diode(one, control, new) for one in diodes]
            if named != list(diodes):
                editor.set(("wiring", "diodes"), named)
        for profile, names in keys.items():
            for old, after in names.items():
                open_file(profile).rename_binding(old, after)

    return change


def _keys(bound: tuple[ResolvedBinding, ...]) -> list[str]:
    return list(dict.fromkeys(one.key for one in bound))


def _renamed_key(
    key: str, bound: tuple[ResolvedBinding, ...], device: str, control: str, new: str
) -> str:
    """A key with the new id wherever it means this control of this device."""
    one = next(one for one in bound if one.key == key)
    parsed = parse_key(key)
    names = [
        _renamed_name(name, contact, device, control, new)
        for name, contact in zip(
            (*parsed.held, parsed.acting), (*one.held, one.acting), strict=True
        )
    ]
    return str(BindingKey(tuple(names[:-1]), names[-1]))


def _renamed_name(
    name: ContactName, contact: DeviceContact, device: str, control: str, new: str
) -> ContactName:
    meant = (contact.device, contact.control) == (device, control)
    return name._replace(control=new) if meant else name


def _renamed_diode(name: str, control: str, new: str) -> str:
    head, dot, contact = name.partition(".")
    return f"{new}{dot}{contact}" if head == control else name


def _written(size: Size) -> float | list[float]:
    return list(size) if isinstance(size, tuple) else size
