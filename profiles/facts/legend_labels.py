"""The labels of a plate: its own words, and what each contact does in up to three applications.

The words of several applications are one block, a row for each, always in the same order; a dash
keeps the row of an application that leaves the contact alone. Every row says whose it is, so that
it can be drawn in that application's weight. Signs are letters here (`text.sign_words`).
"""

from collections.abc import Iterator, Sequence
from typing import NamedTuple

from profiles.facts.legends import Legend, find_legends
from profiles.model.contact import DeviceContact
from profiles.model.device import Device
from profiles.model.library import Link
from profiles.plate.labels import Legend as Words
from profiles.plate.labels import label_id
from profiles.text.finding import Spot
from profiles.text.sign_words import set_signs

NOTHING = "–"
"""Keeps the row of an application in which a contact does nothing."""


class Row(NamedTuple):
    """One row of a label: the words, and the style they are lettered in, counted from 0."""

    style: int
    text: str
    is_chord: bool = False
    short: str = ""
    """Shorter words given by hand; empty for none."""

    @property
    def briefly(self) -> "Row":
        """The row in its shorter words."""
        return self._replace(text=self.short) if self.short else self


class Label(NamedTuple):
    """One label wanted on the plate."""

    control: str
    contact: str
    rows: tuple[Row, ...]
    spot: Spot
    series: int = 0
    """Labels of one series keep to one side; the plate's own words and applications are two."""

    @property
    def id(self) -> str:
        """The id under which the layout knows it."""
        return label_id(Words(self.control, self.contact, "", self.series))

    @property
    def chords(self) -> tuple[Row, ...]:
        """The rows that need other contacts held."""
        return tuple(row for row in self.rows if row.is_chord)

    def shorter(self) -> "Label":
        """The label in the shorter words given by hand."""
        return self._replace(rows=tuple(row.briefly for row in self.rows))

    def without_chords(self) -> "Label":
        """The label with only what its contact does alone, in shorter words; whole if nothing."""
        kept = tuple(row.briefly for row in self.rows if not row.is_chord)
        return self._replace(rows=kept) if kept else self.shorter()

    def shown_rows(self) -> tuple[Row, ...]:
        """The rows as printed: a dash for every application left out before the last."""
        last = max((row.style for row in self.rows), default=-1)
        shown: list[Row] = []
        for style in range(self.series, last + 1):
            here = [row for row in self.rows if row.style == style]
            shown += here or [Row(style, NOTHING)]
        return tuple(shown)

    def words(self) -> Words:
        """What the layout is asked to place: the words, the shorter ones, those without chords."""
        forms = (self, self.shorter(), self.without_chords())
        words, short, alone = ("\n".join(row.text for row in form.shown_rows()) for form in forms)
        return Words(
            *(self.control, self.contact, words, self.series),
            short=short if short != words else "",
            alone=alone if alone not in (words, short) else "",
        )


def name_knob(device: Device, control: str) -> str:
    """What comes before the words of a contact where two knobs share an axis: whose it is."""
    is_shared = control in {*device.concentric, *device.concentric.values()}
    return f"{device.controls[control].label}: " if is_shared else ""


def fixed_labels(device: Device) -> Iterator[Label]:
    """The plate's own words: each control's label, and those of single contacts."""
    for control_id, control in device.controls.items():
        spot = Spot(device.id, ("controls", control_id, "label"))
        row = Row(0, control.label, short=control.short or "")
        yield Label(control_id, "", (_set_row(row),), spot)
        for contact, text in control.labels.items():
            where = Spot(device.id, ("controls", control_id, "labels", contact))
            row = Row(0, name_knob(device, control_id) + text)
            yield Label(control_id, contact, (_set_row(row),), where)


def application_labels(device: Device, links: Sequence[Link], series: int = 0) -> Iterator[Label]:
    """What each contact does in these applications; chords as rows of their own under it.

    A contact that only serves to be held carries its control's own label.
    """
    rows: dict[tuple[str, str], list[Row]] = {}
    spots: dict[tuple[str, str], Spot] = {}
    for style, link in enumerate(links, series):
        for contact, row, spot in _rows(device, find_legends(link, device), style):
            key = (contact.control, contact.contact)
            row = row._replace(text=name_knob(device, contact.control) + row.text)
            rows.setdefault(key, []).append(_set_row(row))
            spots.setdefault(key, spot)
    for key, found in rows.items():
        yield Label(*key, tuple(found), spots[key], series)


def _set_row(row: Row) -> Row:
    """A row whose words are as files have them, with a letter for each sign."""
    return row._replace(text=set_signs(row.text), short=set_signs(row.short))


def _rows(
    device: Device, legends: Sequence[Legend], style: int
) -> Iterator[tuple[DeviceContact, Row, Spot]]:
    """A row for each contact that chords hold and that does nothing alone, and each legend.

    Their words are as files have them.
    """
    alone = {legend.contact for legend in legends if not legend.held}
    held = {contact: legend.spot for legend in reversed(legends) for contact in legend.held}
    for contact in sorted(held):
        if contact.device == device.id and contact not in alone:
            control = device.controls[contact.control]
            yield contact, Row(style, control.label, short=control.short or ""), held[contact]
    for legend in sorted(legends, key=lambda legend: bool(legend.held)):
        text, short = legend.text, legend.short
        if legend.held:
            text, short = chord_words(device, legend), chord_words(device, legend, in_short=True)
        row = Row(style, text, bool(legend.held), short if short != text else "")
        yield legend.contact, row, legend.spot


def chord_words(device: Device, legend: Legend, *, in_short: bool = False) -> str:
    """The labels of what is held, then what the contact does: `SHIFT + SLIP TOW`."""
    words = []
    for contact in legend.held:
        control = device.controls[contact.control] if contact.device == device.id else None
        label = control.label if control else contact.control
        words.append(control.short or label if control and in_short else label)
    return " + ".join([*words, legend.short if in_short else legend.text])
