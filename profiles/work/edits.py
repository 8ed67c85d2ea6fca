"""The edits of a profile, each one change of the working copy.

A slot is what a hand does: contacts held meanwhile, and the one that acts. Keys are written as the
profile would write them: `horn` for a main contact, `trim.clockwise`, with the device in front
where the profile has several.
"""

from collections.abc import Callable, Sequence
from difflib import SequenceMatcher
from typing import Any, NamedTuple

from profiles.facts.profile import write_name
from profiles.files.toml_edit import EditError
from profiles.model import DeviceContact, Library, Link, ResolvedBinding, link_profile
from profiles.text.inert import escape_controls
from profiles.text.prose import count
from profiles.work.copy import WorkingCopy
from profiles.work.open_files import OpenFiles


class Slot(NamedTuple):
    """What is pressed: contacts held meanwhile, and the one that acts."""

    held: tuple[DeviceContact, ...]
    acting: DeviceContact


class Edit(NamedTuple):
    """A change in words, what makes it on open files, and what it means for other files.

    `moved` is the old and the new id of the document that gets another.
    """

    words: str
    change: Callable[[OpenFiles], None]
    effects: tuple[str, ...] = ()
    moved: tuple[str, str] | None = None

    def apply(self, copy: WorkingCopy) -> bool:
        """Make the change; returns whether anything is different. Raises EditError."""
        return copy.edit(self.words, self.change)


def link_of(library: Library, profile: str) -> Link:
    """One profile resolved, without resolving the others. Raises KeyError."""
    return link_profile(library, library.profiles[profile])


def bound_at(link: Link, slot: Slot) -> tuple[ResolvedBinding, ...]:
    """What a slot does, in the order of the file."""
    held = set(slot.held)
    return tuple(
        binding
        for binding in link.bound
        if binding.acting == slot.acting and set(binding.held) == held
    )


def key_of(link: Link, slot: Slot) -> str:
    """The key of a slot: as the file has it, otherwise as the profile would write it."""
    bound = bound_at(link, slot)
    if bound:
        return bound[0].key
    return " + ".join(write_name(link, one) for one in (*slot.held, slot.acting))


def rewrite_uses(
    open_file: OpenFiles, profile: str, key: str, change: Callable[[list[Any]], list[Any]]
) -> None:
    """Change the list of what a key does; with nothing left the key goes."""
    editor = open_file(profile)
    written = editor.content.get("bindings", {}).get(key, [])
    before = written if isinstance(written, list) else [written]
    uses = change(list(before))
    if not uses:
        editor.remove_binding(key)
    elif uses != before:
        editor.set_binding(key, uses[0] if len(uses) == 1 else uses)


def action_of(use: Any) -> str:
    """The action of one use as a file gives it, short or long."""
    return str(use["action"]) if isinstance(use, dict) else str(use)


def bind(link: Link, slot: Slot, action: str, *, beside: bool = False) -> Edit:
    """Bind a slot to an action, instead of what it did or beside it."""
    key, profile = key_of(link, slot), link.profile.id

    def change(uses: list[Any]) -> list[Any]:
        same = [use for use in uses if action_of(use) == action]
        if same and beside:
            raise EditError(f"`{escape_controls(key)}` does `{escape_controls(action)}` already")
        return [*uses, action] if beside else same or [action]

    also = "also " if beside else ""
    words = f"Bind `{key}` {also}to `{action}`"
    return Edit(words, lambda files: rewrite_uses(files, profile, key, change))


def bind_keys(profile: str, keys: Sequence[tuple[str, str]]) -> Edit:
    """Bind keys that do nothing yet, as the profile would write them, to an action each."""

    def change(open_file: OpenFiles) -> None:
        for key, action in keys:
            open_file(profile).set_binding(key, action)

    return Edit(f"Bind {count(len(keys), 'action')} of `{profile}`", change)


def unbind(link: Link, slot: Slot) -> Edit:
    """Take everything from a slot; every key that means this slot is looked at."""
    keys = list(dict.fromkeys(one.key for one in bound_at(link, slot)))

    def change(open_file: OpenFiles) -> None:
        if not keys:
            raise EditError("nothing is bound here")
        for key in keys:
            open_file(link.profile.id).remove_binding(key)

    return Edit(f"Unbind `{key_of(link, slot)}`", change)


def drop_use(profile: str, key: str, action: str) -> Edit:
    """Take one action from one key as the file has it; of two equal ones the later."""

    def change(uses: list[Any]) -> list[Any]:
        places = [place for place, use in enumerate(uses) if action_of(use) == action]
        return [use for place, use in enumerate(uses) if place not in places[-1:]]

    words = f"Unbind `{action}` from `{key}`"
    return Edit(words, lambda files: rewrite_uses(files, profile, key, change))


def set_legend(link: Link, slot: Slot, action: str, legend: str) -> Edit:
    """Give a binding words of its own for print; no words: those of the action again."""
    key, profile, words = key_of(link, slot), link.profile.id, legend.strip()

    def change(uses: list[Any]) -> list[Any]:
        for place, use in enumerate(uses):
            if action_of(use) == action:
                full = {"action": action, "legend": words, **(use if isinstance(use, dict) else {})}
                full |= {"legend": words}
                short = {name: value for name, value in full.items() if value or name != "legend"}
                uses[place] = action if set(short) == {"action"} else short
        if not uses:
            raise EditError("nothing is bound here to give a legend")
        return uses

    title = f"Set the legend of `{key}`"
    return Edit(title, lambda files: rewrite_uses(files, profile, key, change))


def swap(link: Link, one: Slot, other: Slot) -> Edit:
    """Let two slots change places; one of them may do nothing yet."""
    first, second = key_of(link, one), key_of(link, other)

    def change(open_file: OpenFiles) -> None:
        editor = open_file(link.profile.id)
        bindings = editor.content.get("bindings", {})
        mine, theirs = bindings.get(first), bindings.get(second)
        if mine is None and theirs is None:
            names = f"neither `{escape_controls(first)}` nor `{escape_controls(second)}`"
            raise EditError(f"{names} is bound")
        if mine is None or theirs is None:
            editor.rename_binding(*((second, first) if mine is None else (first, second)))
            return
        editor.set_binding(first, theirs)
        editor.set_binding(second, mine)

    return Edit(f"Swap `{first}` and `{second}`", change)


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

    def change(open_file: OpenFiles) -> None:
        for edit in edits:
            edit.change(open_file)

    return Edit(f"Swap `{one.control}` and `{other.control}`", change)


def candidates(taken: ResolvedBinding, link: Link) -> tuple[str | None, list[str]]:
    """Which action of another application means the same as a binding.

    Gives the action of the same id, and all others, those of the same group and behaviour first.
    """
    if link.application is None:
        return None, []
    actions, wanted = link.application.actions, taken.action

    def farness(key: str) -> tuple[bool, bool, bool, float]:
        action = actions[key]
        names = wanted.name.casefold(), action.name.casefold()
        return (
            wanted.group is None or action.group != wanted.group,
            action.behaviour != wanted.behaviour,
            action.direction != wanted.direction,
            -SequenceMatcher(None, *names).ratio(),
        )

    return taken.action_id if taken.action_id in actions else None, sorted(actions, key=farness)
