"""What lies between two states of a library, for the person who has to act on it.

`find_changes` names the contacts with other input numbers, the actions to bind again in their
applications, the wires to move, the boards whose firmware must be loaded again, and the sheets
that come out other than before, by their very bytes without the date.
"""

import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from itertools import islice
from typing import NamedTuple

from profiles.drawing.document import Document, Page
from profiles.drawing.pdf import write_pdf
from profiles.drawing.recorder import Drawing
from profiles.drawing.surface import FormatError
from profiles.facts.device import DeviceFacts, name_contact
from profiles.facts.signals import write_input
from profiles.firmware import WRITERS, CannotBuildError
from profiles.model import Device, DeviceContact, Library, Link
from profiles.report.document import Heading, Paragraph, Report, Table
from profiles.sheets.changed_labels import make_changed_labels
from profiles.sheets.options import RequestError
from profiles.sheets.requests import SheetRequest, StripRequest, make_sheet, name_file
from profiles.sheets.sheet import PrintedSheet, Subject
from profiles.sheets.writing import SUFFIXES, write_sheet
from profiles.wiring.banks import banks_of
from profiles.wiring.boards import board_of, firmware_of
from profiles.wiring.box import diode_fits, lines_of
from profiles.wiring.circuit import board_place, circuit_of
from profiles.work.every_sheet import MOST_ON_ONE_PLATE, choose_form, list_requests
from profiles.work.printing import MadeSheet, find_subjects, make_sheets


class NumberChange(NamedTuple):
    """A contact with another input number; None where it has none."""

    device: str
    contact: str
    label: str
    before: int | None
    after: int | None


class Rebinding(NamedTuple):
    """An action and the inputs it was bound to and is bound to now, as the application writes
    them; empty for none."""

    profile: str
    application: str
    action: str
    before: tuple[str, ...]
    after: tuple[str, ...]


class WireChange(NamedTuple):
    """An end of a wire, and where it led and leads; empty for nowhere."""

    device: str
    what: str
    before: str
    after: str


class SheetChange(NamedTuple):
    """A sheet's file: `changed`, `new`, or `gone` from what the library prints."""

    name: str
    how: str


@dataclass(frozen=True, slots=True)
class Changes:
    """All that lies between two states."""

    numbers: tuple[NumberChange, ...]
    rebindings: tuple[Rebinding, ...]
    wires: tuple[WireChange, ...]
    firmware: tuple[str, ...]
    """Devices whose board needs its firmware loaded again."""
    sheets: tuple[SheetChange, ...]

    @property
    def is_empty(self) -> bool:
        """Whether there is nothing to do."""
        return not (self.numbers or self.rebindings or self.wires or self.firmware or self.sheets)


def find_changes(before: Library, after: Library) -> Changes:
    """Return what a user has to do after the library went from one state to the other."""
    both = [
        (before.devices[key], after.devices[key]) for key in after.devices if key in before.devices
    ]
    numbers = tuple(change for pair in both for change in _find_numbers(*pair))
    wires = tuple(change for pair in both for change in _find_wires(*pair))
    firmware = tuple(
        new.id for old, new in both if _firmware_of(before, old) != _firmware_of(after, new)
    )
    rebindings = tuple(_find_rebindings(before, after))
    return Changes(numbers, rebindings, wires, firmware, tuple(_find_sheets(before, after)))


def _find_numbers(old: Device, new: Device) -> Iterator[NumberChange]:
    was, now = DeviceFacts(old).reported, DeviceFacts(new).reported
    for contact in dict.fromkeys((*now, *was)):
        if was.get(contact) != now.get(contact):
            control = (new if contact in now else old).controls[contact.control]
            name = name_contact(control, *contact)
            label = control.labels.get(contact.contact, control.label)
            yield NumberChange(new.id, name, label, was.get(contact), now.get(contact))


def _find_rebindings(before: Library, after: Library) -> Iterator[Rebinding]:
    """Each action of each profile whose inputs differ, or are written otherwise."""
    for id_ in sorted({*before.profiles, *after.profiles}):
        was = _list_inputs(before.link(id_)) if id_ in before.profiles else {}
        now = _list_inputs(after.link(id_)) if id_ in after.profiles else {}
        link = (after if id_ in after.profiles else before).link(id_)
        old = before.link(id_) if id_ in before.profiles else link
        name = link.application.name if link.application else link.profile.profile.application
        for action in dict.fromkeys((*now, *was)):
            if was.get(action, ()) != now.get(action, ()):
                app = link if action in now else old
                known = app.application.actions if app.application else {}
                shown = known[action].name if action in known else action
                yield Rebinding(id_, name, shown, was.get(action, ()), now.get(action, ()))


def _list_inputs(link: Link) -> dict[str, tuple[str, ...]]:
    """The inputs of each bound action as its application writes them, held ones first."""
    facts = {device.id: DeviceFacts(device) for device in link.devices}
    found: dict[str, list[str]] = {}
    for binding in link.bound:
        words = " + ".join(
            _write_input(link, facts, contact) for contact in (*binding.held, binding.acting)
        )
        found.setdefault(binding.action_id, []).append(words)
    return {action: tuple(sorted(words)) for action, words in found.items()}


def _write_input(link: Link, facts: dict[str, DeviceFacts], contact: DeviceContact) -> str:
    device = facts[contact.device]
    number = device.reported.get(contact.local)
    if number is None:
        words = f"{name_contact(device.controls[contact.control], *contact.local)} (no number)"
    else:
        words = write_input(link.application, number)
    return words if len(link.devices) == 1 else f"{words} of {device.device.name}"


def _find_wires(old: Device, new: Device) -> Iterator[WireChange]:
    was, now = _list_ends(old), _list_ends(new)
    for what in dict.fromkeys((*now, *was)):
        if was.get(what) != now.get(what):
            yield WireChange(new.id, what, was.get(what, ""), now.get(what, ""))


def _list_ends(device: Device) -> dict[str, str]:
    """What each end of a wire is joined to: lines to the board, contacts and LEDs to lines."""
    circuit = circuit_of(device)
    lines = lines_of(device, circuit, board_place(device))
    ends = {str(line): f"board pin {pin}" for line, pin in circuit.pin_by_line.items()}
    matrix = set(ends)
    joined: dict[str, list[str]] = {}
    for line in lines:
        for stop in line.stops:
            joined.setdefault(stop.name, []).append(
                line.name if line.name in matrix else line.start.name
            )
    for name, where in joined.items():
        ends[name] = " and ".join(sorted(where))
    for bank in banks_of(device):
        for what, pin, _, _ in bank.wires:
            ends[f"{what} of {bank.name}"] = f"board pin {pin}"
    for fit in diode_fits(circuit):
        way = "away from the contact" if fit.band_to_line else "toward the contact"
        ends[f"diode at {fit.contact}"] = f"on {fit.line}, band {way}"
    return ends


_STRING = r"""("(?:\\.|[^"\\\n])*"|'(?:\\.|[^'\\\n])*')"""
_COMMENTS = {
    "avr": re.compile(rf"{_STRING}|//[^\n]*|/\*.*?\*/", re.DOTALL),
    "python": re.compile(rf"{_STRING}|#[^\n]*"),
}
"""Strings, which are kept, and comments of each kind of program."""


def _firmware_of(library: Library, device: Device) -> object:
    """What the board has to hold, comments aside; where no firmware can be written, why, with all
    that a program of one's own would rest on."""
    board = board_of(library, device)
    target = firmware_of(board)
    try:
        if target is not None:
            files = WRITERS[target](device, board)
            bare = {name: _COMMENTS[target].sub(r"\1", text) for name, text in files.items()}
            return {name: text.split() for name, text in bare.items()}
    except CannotBuildError as error:
        return error.problems
    wires = {what: end for what, end in _list_ends(device).items() if not what.startswith("diode")}
    return (dict(DeviceFacts(device).reported), wires)


def _find_sheets(before: Library, after: Library) -> Iterator[SheetChange]:
    """Each sheet whose file differs, told apart by what it is made from first."""
    was, now = list_sheets(before), list_sheets(after)
    old_words, new_words = _Words(before), _Words(after)
    for name, one in now.items():
        old = was.get(name)
        if old is None:
            yield SheetChange(name, "new")
        elif one.rests_on(after, new_words) != old.rests_on(before, old_words) and _differ(
            old, before, one, after
        ):
            yield SheetChange(name, "changed")
    yield from (SheetChange(name, "gone") for name in was if name not in now)


class _Words:
    """The devices and links of a library written out, each once for all sheets."""

    def __init__(self, library: Library) -> None:
        self.shared = repr((library.boards, library.parts, library.settings))
        self._devices: dict[str, str] = {}
        self._links: dict[str, list[object]] = {}

    def of_device(self, device: Device) -> str:
        """All that is in a device, in the order of its file."""
        if device.id not in self._devices:
            self._devices[device.id] = repr(device)
        return self._devices[device.id]

    def of_link(self, link: Link) -> list[object]:
        """All that a profile leads to."""
        if link.profile.id not in self._links:
            self._links[link.profile.id] = [
                repr((link.profile, link.application, link.bound, link.loose)),
                [self.of_device(device) for device in link.devices],
            ]
        return self._links[link.profile.id]


class KnownSheet(NamedTuple):
    """A sheet that a library can print, of one device where it is one of a plate."""

    request: SheetRequest
    device: str | None

    def find_subject(self, library: Library) -> Subject:
        """What it is about in a library that has it."""
        subjects = find_subjects(library, self.request)
        return next(subject for subject in subjects if self.device in (None, subject.device.id))

    def rests_on(self, library: Library, words: "_Words") -> list[object]:
        """All that the sheet is made from, in the order of the files."""
        subject = self.find_subject(library)
        compares_all = self.request.takes[1] > MOST_ON_ONE_PLATE
        links = library.links if compares_all else subject.links
        return [
            words.of_device(subject.device),
            [words.of_link(link) for link in links],
            [words.of_device(device) for device in subject.devices],
            words.shared,
        ]

    def make(self, library: Library) -> MadeSheet:
        """The sheet, and what it does not show as meant."""
        made = make_sheets(library, self.request, (choose_form(self.request),))
        return next(one for one in made if self.device in (None, one.subject.device.id))

    def draw(self, library: Library, form: str = "") -> PrintedSheet | None:
        """What its file shows, or one of another format, not written yet; None where it is too
        large for one."""
        request = replace(self.request, forms=(form or choose_form(self.request),))
        try:
            return make_sheet(self.find_subject(library), request)
        except FormatError:
            return None


MOST_COMPARED = 500
"""Lines and words that are not alike of which it is looked whether they are written alike."""


def _differ(was: KnownSheet, before: Library, now: KnownSheet, after: Library) -> bool | None:
    """Whether the files of two sheets have other bytes; None where the new one is too large to
    have a file.

    What their pages are made from tells that of most, and takes a part of the time that these do.
    """
    form = "svg" if now.request.is_true_scale else "csv"  # neither has pages
    plain, old_plain = now.draw(after, form), was.draw(before, form)
    if plain is not None and old_plain is not None and plain.paged is not None:
        if _show_other(old_plain, plain):
            return True
        alike = (plain.title, plain.paged, plain.report, plain.work)
        if alike == (old_plain.title, old_plain.paged, old_plain.report, old_plain.work):
            return False
    new = now.draw(after)
    return None if new is None else _have_other_bytes(was.draw(before), new)


def _show_other(old: PrintedSheet, new: PrintedSheet) -> bool:
    """Whether what two sheets show, on however many pages, is not alike for sure."""
    if old.title != new.title or len(old.work.entries) != len(new.work.entries):
        return True
    pairs = zip(old.work.entries, new.work.entries, strict=True)
    other = list(islice((pair for pair in pairs if pair[0] != pair[1]), MOST_COMPARED))
    drawn = [
        write_pdf(Document((Page(100.0, 100.0, Drawing(entries)),))).data
        for entries in zip(*other, strict=True)
    ]
    if drawn and drawn[0] != drawn[1]:
        return True
    return list(_list_shown(old)) != list(_list_shown(new))


def _list_shown(sheet: PrintedSheet) -> Iterator[object]:
    """What paper shows of the reports of a sheet."""
    reports = [one for one in (sheet.report, *(sheet.paged or ())) if isinstance(one, Report)]
    for block in (block for report in reports for block in report.blocks):
        if isinstance(block, Table) and block.rows:
            columns, rows = block.list_beside()
            cells = [[(one.words, one.note, one.strong) for one in row] for _, row in rows]
            yield block.title, [one.heading for one in columns], [band for band, _ in rows], cells
        elif isinstance(block, Heading | Paragraph):
            yield block


def _have_other_bytes(old: PrintedSheet | None, new: PrintedSheet) -> bool:
    """Whether the files of two sheets have other bytes: those that are drawn alike have not, and of
    others it is enough that a page has."""
    if old is None or len(old.document.pages) != len(new.document.pages):
        return True
    was, now = old.document, new.document
    if (was.title, was.subject, old.title) != (now.title, now.subject, new.title):
        return True
    if not now.pages:
        return old.work != new.work and write_sheet(old, "svg").data != write_sheet(new, "svg").data
    pages = [pair for pair in zip(was.pages, now.pages, strict=True) if pair[0] != pair[1]]
    return any(
        write_pdf(Document((one,))).data != write_pdf(Document((other,))).data
        for one, other in pages
    )


def list_sheets(library: Library) -> dict[str, KnownSheet]:
    """Return every sheet of a library that can be made, by the name of its file."""
    found = {}
    for request in list_requests(library):
        try:
            subjects = find_subjects(library, request)
        except RequestError:
            continue
        for subject in subjects:
            name = f"{name_file(subject, request)}{SUFFIXES[choose_form(request)]}"
            device = subject.device.id if request.is_of_one_plate else None
            found[name] = KnownSheet(request, device)
    return found


def make_changed(
    after: Library, sheets: Iterable[SheetChange], date: str
) -> Iterator[tuple[str, MadeSheet]]:
    """Yield the name of each sheet that is to be printed again, and the sheet."""
    known = list_sheets(after)
    for name, how in sheets:
        if how != "gone":
            sheet = known[name]
            yield name, sheet._replace(request=replace(sheet.request, date=date)).make(after)


def make_changed_label_sheets(
    before: Library, after: Library, date: str
) -> Iterator[tuple[str, bytes]]:
    """Yield the name and bytes of a PDF for each profile and device with labels that differ."""
    old = {name: one for name, one in list_sheets(before).items() if one.request.sheet == "strip"}
    for name, one in list_sheets(after).items():
        if not isinstance(one.request, StripRequest):
            continue
        was = old[name].find_subject(before) if name in old else None
        request = replace(one.request, date=date)
        sheet = make_changed_labels(was, one.find_subject(after), request)
        if sheet is not None:
            stem = name.removesuffix("-strip.pdf")
            yield f"{stem}-changed-labels.pdf", write_sheet(sheet, "pdf").data
