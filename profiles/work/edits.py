"""The edits of a profile, each one change on the copy.

A slot is what a hand does: contacts held meanwhile, and the one that acts. Keys are written as the
profile would write them: `horn` for a main contact, `trim.clockwise`, with the device in front
where the profile has several.
"""

from collections.abc import Callable
from typing import Any, NamedTuple

from profiles.facts.profile import write_name
from profiles.files.toml_edit import EditError
from profiles.model import DeviceContact, Library, Link, ResolvedBinding, link_profile
from profiles.text.inert import escape_controls
from profiles.work.copy import OpenFile, WorkingCopy
from profiles.work.lookup import score


class Slot(NamedTuple):
    """What is pressed: contacts held meanwhile, and the one that acts."""

    held: tuple[DeviceContact, ...]
    acting: DeviceContact


class Edit(NamedTuple):
    """A change in words, and what makes it on open files."""

    words: str
    change: Callable[[OpenFile], None]

    def apply(self, copy: WorkingCopy) -> bool:
        """Make the change; returns whether anything is different. Raises EditError."""
        return copy.edit(self.words, self.change)


def link_of(library: Library, profile: str) -> Link:
    """One profile resolved, without resolving the others. Raises KeyError."""
    return link_profile(library, library.profiles[profile])


def bound_at(link: Link, slot: Slot) -> tuple[ResolvedBinding, ...]:
    """What a slot does, in the order of the file."""
    held = set(slot.held)
    return tuple(one for one in link.bound if one.acting == slot.acting and set(one.held) == held)


def key_of(link: Link, slot: Slot) -> str:
    """The key of a slot: as the file has it, else as the profile would write it."""
    bound = bound_at(link, slot)
    if bound:
        return bound[0].key
    return " + ".join(write_name(link, one) for one in (*slot.held, slot.acting))


def bind(link: Link, slot: Slot, action: str, *, beside: bool = False) -> Edit:
    """Bind a slot to an action, instead of what it did or beside it."""
    key, profile = key_of(link, slot), link.profile.id

    def change(open_file: OpenFile) -> None:
        editor = open_file(profile)
        before = _uses(editor.content.get("bindings", {}).get(key))
        if any(_action(use) == action for use in before) and beside:
            raise EditError(f"`{escape_controls(key)}` does `{escape_controls(action)}` already")
        kept = before if beside else [use for use in before if _action(use) == action]
        uses = kept if kept and not beside else [*kept, action]
        editor.set_binding(key, uses[0] if len(uses) == 1 else uses)

    also = "also " if beside else ""
    return Edit(f"Bind {key} {also}to {action}", change)


def unbind(link: Link, slot: Slot, action: str | None = None) -> Edit:
    """Take one action, or all, from a slot; every key that means this slot is looked at."""
    keys = list(dict.fromkeys(one.key for one in bound_at(link, slot)))
    profile = link.profile.id

    def change(open_file: OpenFile) -> None:
        if not keys:
            raise EditError("nothing is bound here")
        for key in keys:
            _drop(open_file, profile, key, action)

    return Edit(f"Unbind {key_of(link, slot)}", change)


def drop_use(profile: str, key: str, action: str) -> Edit:
    """Take one action from one key as the file has it; of two equal ones the later."""
    return Edit(f"Unbind {action} from {key}", lambda files: _drop(files, profile, key, action))


def _drop(open_file: OpenFile, profile: str, key: str, action: str | None) -> None:
    editor = open_file(profile)
    uses = _uses(editor.content["bindings"][key])
    places = [place for place, use in enumerate(uses) if _action(use) == action]
    kept = [use for place, use in enumerate(uses) if place != places[-1]] if places else uses
    if action is None or not kept:
        editor.remove_binding(key)
    elif places:
        editor.set_binding(key, kept[0] if len(kept) == 1 else kept)


def set_legend(link: Link, slot: Slot, action: str, legend: str) -> Edit:
    """Give a binding words of its own for print; no words: those of the action again."""
    bound = [one for one in bound_at(link, slot) if one.action_id == action]
    profile = link.profile.id

    def change(open_file: OpenFile) -> None:
        if not bound:
            raise EditError("nothing is bound here to give a legend")
        key = bound[0].key
        editor = open_file(profile)
        uses = _uses(editor.content["bindings"][key])
        changed = [_with_legend(use, legend) if _action(use) == action else use for use in uses]
        editor.set_binding(key, changed[0] if len(changed) == 1 else changed)

    return Edit(f"Set the legend of {key_of(link, slot)}", change)


def _with_legend(use: Any, legend: str) -> Any:
    full = {"action": use} if isinstance(use, str) else dict(use)
    full.pop("legend", None)
    if legend.strip():
        full = {"action": full.pop("action"), "legend": legend.strip(), **full}
    return full["action"] if set(full) == {"action"} else full


def swap(link: Link, one: Slot, other: Slot) -> Edit:
    """Let two slots change places; one of them may do nothing yet."""
    profile = link.profile.id
    first, second = key_of(link, one), key_of(link, other)

    def change(open_file: OpenFile) -> None:
        editor = open_file(profile)
        bindings = editor.content.get("bindings", {})
        mine, theirs = bindings.get(first), bindings.get(second)
        if mine is None and theirs is None:
            raise EditError(
                f"neither {escape_controls(first)} nor {escape_controls(second)} is bound"
            )
        if mine is None or theirs is None:
            editor.rename_binding(*((second, first) if mine is None else (first, second)))
            return
        editor.set_binding(first, theirs)
        editor.set_binding(second, mine)

    return Edit(f"Swap {first} and {second}", change)


def swap_controls(link: Link, one: DeviceContact, other: DeviceContact) -> Edit:
    """Swap all contacts of two controls of a kind; else only the two contacts named."""
    devices = {device.id: device for device in link.devices}
    mine = devices[one.device].controls[one.control].contacts
    if mine != devices[other.device].controls[other.control].contacts:
        return swap(link, Slot((), one), Slot((), other))
    pairs = [
        (Slot((), one._replace(contact=name)), Slot((), other._replace(contact=name)))
        for name in mine
    ]
    bound = [pair for pair in pairs if bound_at(link, pair[0]) or bound_at(link, pair[1])]
    edits = [swap(link, *pair) for pair in bound or pairs[:1]]

    def change(open_file: OpenFile) -> None:
        for edit in edits:
            edit.change(open_file)

    return Edit(f"Swap {one.control} and {other.control}", change)


def candidates(taken: ResolvedBinding, link: Link) -> tuple[str | None, list[str]]:
    """Which action of another application means the same as a binding.

    Gives the action of the same id, and all others, those of the same group and behaviour first.
    """
    if link.application is None:
        return None, []
    actions, wanted = link.application.actions, taken.action

    def farness(key: str) -> tuple[bool, bool, bool, int, str]:
        action = actions[key]
        return (
            wanted.group is None or action.group != wanted.group,
            action.behaviour != wanted.behaviour,
            action.direction != wanted.direction,
            -(score(wanted.name, action.name) or 0),
            key,
        )

    return taken.action_id if taken.action_id in actions else None, sorted(actions, key=farness)


def _uses(written: Any) -> list[Any]:
    if written is None:
        return []
    return list(written) if isinstance(written, list) else [written]


def _action(use: Any) -> str:
    return str(use["action"]) if isinstance(use, dict) else str(use)
