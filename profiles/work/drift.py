"""A profile against the settings file of its application: what is bound there, and what here.

`compare_with_file` tells of each action whether both agree, whether it is bound in one of them
only, or to another input. `take_bindings` makes bindings of a profile from such a file. The file
is never written.
"""

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from pathlib import Path
from typing import Literal, NamedTuple

from profiles.facts.device import DeviceFacts, name_contact
from profiles.facts.signals import LAST_BUTTON
from profiles.files.settings_reader import FoundBinding, FoundBindings, read_settings_file
from profiles.model import Application, Device, Library, Link
from profiles.model.settings_file import SettingsFile
from profiles.plan.carry import Uses
from profiles.report.document import Cell, Column, Facts, Paragraph, Report, Table
from profiles.sheets.options import RequestError
from profiles.text.prose import count
from profiles.work.names import find_named

State = Literal["same", "only there", "only here", "other input"]

Input = tuple[str, int]
"""A device's id, empty where the file does not say, and an input number."""


class Drift(NamedTuple):
    """One action: its inputs in the profile and in the file, and the file's line, 0 if unknown."""

    state: State
    action: str
    name: str
    here: tuple[Input, ...]
    there: tuple[Input, ...]
    line: int


@dataclass(frozen=True, slots=True)
class Compared:
    """A profile and a file compared: every action of either, and what could not be compared.

    `others` are bindings in the file of devices that the profile does not bind; `unread` counts
    its entries that are written otherwise; `unwritten` names keys of the profile that such a file
    cannot hold: chords, and contacts without a button's number.
    """

    link: Link
    rows: tuple[Drift, ...]
    others: tuple[FoundBinding, ...]
    unread: int
    unwritten: tuple[str, ...]

    @property
    def drifts(self) -> bool:
        """Whether profile and file disagree."""
        return any(row.state != "same" for row in self.rows)


def find_table(application: Application | None) -> SettingsFile:
    """Return how an application's settings file is read.

    Raises:
        RequestError: where the application does not say.
    """
    if application is None or application.settings_file is None:
        name = application.id if application else "?"
        raise RequestError(
            f"application `{name}` does not say how its settings file is written",
            "Give it a table [settings_file]: `platebook explain settings_file`.",
        )
    return application.settings_file


def choose_profile(library: Library, word: str | None) -> Link:
    """Return the profile of this id, or the only one whose application says how to read its file.

    Raises:
        RequestError: where there is none, or several to choose from.
    """
    if word is not None:
        return library.link(find_named("profile", word, library.profiles).id)
    fit = [link for link in library.links if link.application and link.application.settings_file]
    if len(fit) == 1:
        return fit[0]
    if not fit:
        raise RequestError(
            "no profile is of an application with a table [settings_file]",
            "Give the application one: `platebook explain settings_file`.",
        )
    ids = ", ".join(f"`{one.profile.id}`" for one in fit)
    raise RequestError(f"{len(fit)} profiles can be compared", f"Choose one with --profile: {ids}.")


def read_bound(path: Path, application: Application) -> FoundBindings:
    """Return what the application's file binds, with ids in the place of the file's words.

    Words that stand for no id stay as they are.

    Raises:
        RequestError: where the application does not say how its file is written.
        FileFaultError: where the file cannot be read, or is not of its format.
    """
    table = find_table(application)
    found = read_settings_file(path, table, application.application.first_number)
    actions = {word: id_ for id_, word in table.actions.items()}
    devices = {word: id_ for id_, word in table.devices.items()}
    named = tuple(
        binding._replace(
            action=actions.get(binding.action, binding.action),
            device=devices.get(binding.device, binding.device),
        )
        for binding in found.bindings
    )
    return FoundBindings(named, found.unread)


def compare_with_file(link: Link, path: Path) -> Compared:
    """Compare a profile with its application's settings file.

    Raises:
        RequestError: where the application does not say how its file is written.
        FileFaultError: where the file cannot be read, or is not of its format.
    """
    has_device = find_table(link.application).has_device
    assert link.application is not None
    found = read_bound(path, link.application)
    own = {device.id for device in link.devices}
    others = tuple(
        binding for binding in found.bindings if has_device and binding.device not in own
    )
    there: dict[str, set[Input]] = {}
    lines: dict[str, int] = {}
    for binding in found.bindings:
        if binding not in others:
            there.setdefault(binding.action, set()).add((binding.device, binding.number))
            lines.setdefault(binding.action, binding.line)
    here, unwritten = _list_here(link, has_device=has_device)
    rows = []
    for action in dict.fromkeys((*here, *there)):
        mine, theirs = here.get(action, set()), there.get(action, set())
        state: State = "same" if mine == theirs else "other input"
        if not mine or not theirs:
            state = "only here" if mine else "only there"
        known = link.application.actions.get(action)
        rows.append(
            Drift(
                state,
                action,
                known.name if known else action,
                tuple(sorted(mine)),
                tuple(sorted(theirs)),
                lines.get(action, 0),
            )
        )
    return Compared(link, tuple(rows), others, found.unread, unwritten)


def _list_here(link: Link, *, has_device: bool) -> tuple[dict[str, set[Input]], tuple[str, ...]]:
    """The inputs of each action of a profile, and the keys that no such file can hold."""
    facts = {device.id: DeviceFacts(device) for device in link.devices}
    found: dict[str, set[Input]] = {}
    unwritten = []
    for binding in link.bound:
        number = facts[binding.acting.device].inputs.get(binding.acting.local)
        if binding.held or number is None or number > LAST_BUTTON:
            unwritten.append(binding.key)
        else:
            device = binding.acting.device if has_device else ""
            found.setdefault(binding.action_id, set()).add((device, number))
    return found, tuple(dict.fromkeys(unwritten))


class Taken(NamedTuple):
    """Bindings for a profile, and what in the file could not be taken, in words."""

    bindings: Uses
    notes: tuple[str, ...]


def take_bindings(path: Path, application: Application, device: Device) -> Taken:
    """Return the bindings in an application's settings file, for a profile of one device.

    Raises:
        RequestError: where the application does not say how its file is written.
        FileFaultError: where the file cannot be read, or is not of its format.
    """
    has_device = find_table(application).has_device
    found = read_bound(path, application)
    contacts = {number: contact for contact, number in reversed(DeviceFacts(device).inputs.items())}
    uses: Uses = {}
    notes = []
    for binding in found.bindings:
        words = f"line {binding.line}: " if binding.line else ""
        contact = contacts.get(binding.number)
        if has_device and binding.device != device.id:
            notes.append(
                f"{words}`{binding.action}` is bound on another device, `{binding.device}`"
            )
        elif binding.action not in application.actions:
            notes.append(f"{words}`{binding.action}` is no action of `{application.id}`")
        elif contact is None:
            notes.append(
                f"{words}`{device.id}` has no input {binding.number} for `{binding.action}`"
            )
        else:
            key = name_contact(device.controls[contact.control], *contact)
            use = {"action": binding.action}
            if use not in uses.setdefault(key, []):
                uses[key].append(use)
    if found.unread:
        notes.append(
            f"not read, since not written as [settings_file] says: {count(found.unread, 'entry')}"
        )
    if not found.bindings:
        notes.append(
            f"no binding in the file is written as [settings_file] of `{application.id}` says"
        )
    return Taken(uses, tuple(notes))


def report_drift(compared: Compared, file: str) -> Report:
    """Return what a profile and a file agree and disagree on, as one table."""
    application = compared.link.application
    write = application.write_number if application else str
    names = {device.id: device.name for device in compared.link.devices}
    several = len(names) > 1

    def show(inputs: Iterable[Input], write: Callable[[int], str]) -> Cell:
        inputs = tuple(inputs)
        words = [
            f"{write(number)} of {names[device]}" if several and device else write(number)
            for device, number in inputs
        ]
        data = [{"device": device or None, "input": number} for device, number in inputs]
        return Cell(", ".join(words) or "–", data=data)

    order: dict[State, int] = {"other input": 0, "only there": 1, "only here": 2, "same": 3}
    rows = tuple(
        (
            row.state,
            row.name,
            row.action,
            show(row.here, write),
            show(row.there, write),
            row.line or None,
        )
        for row in sorted(compared.rows, key=lambda row: order[row.state])
    )
    table = Table(
        (
            Column("state", "state"),
            Column("action", "name", wraps=True),
            Column("action id", "action", readers="machines"),
            *(Column("here", "here", wraps=True), Column("there", "there", wraps=True)),
            Column("line", "line", align="right"),
        ),
        rows,
        key="actions",
        lead=2,
    )
    apart = sum(row.state != "same" for row in compared.rows)
    lines = [
        f"{count(len(compared.rows), 'action')} compared, {apart} drifted apart."
        if compared.rows
        else "Nothing is bound here or there."
    ]
    if compared.others:
        devices = ", ".join(dict.fromkeys(f"`{one.device}`" for one in compared.others))
        lines.append(f"{count(len(compared.others), 'binding')} there of other devices: {devices}.")
    if compared.unread:
        lines.append(
            f"Not read, since not written as the table says: {count(compared.unread, 'entry')}."
        )
    if compared.unwritten:
        keys = ", ".join(f"`{key}`" for key in compared.unwritten)
        lines.append(f"Not compared, since the file cannot hold them: {keys}.")
    facts = Facts(
        {
            "profile": compared.link.profile.id,
            "file": file,
            "drifts": compared.drifts,
            "unread": compared.unread,
            "not_compared": list(compared.unwritten),
            "other_devices": [one._asdict() for one in compared.others],
        }
    )
    title = f"{compared.link.profile.name}: here and there"
    return Report(title, (facts, table, Paragraph("\n".join(lines))), f"There is {file}")
