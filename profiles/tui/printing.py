"""A sheet asked for on the screen: its settings, a preview as lines, and files that were written.

Settings are made from the request's class, so that a new sheet or option is here with it.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from datetime import date
from typing import Protocol

from profiles.drawing.terminal import PROPORTIONS, render_cells
from profiles.model import Library
from profiles.report.terminal import render_text
from profiles.sheets.options import options_of
from profiles.sheets.requests import SHEETS, LegendRequest, SheetRequest
from profiles.sheets.sheet import Remark
from profiles.text.inert import escape_controls
from profiles.text.prose import join_words
from profiles.tui.ways import say_here
from profiles.work.outputs import write_outputs
from profiles.work.printing import choose_formats, make_sheets, place_sheets


@dataclass(frozen=True, slots=True)
class Form:
    """One sheet as it is wanted."""

    request: SheetRequest = field(default_factory=LegendRequest)
    """With its options and profiles; the device is that of the view."""
    form: str = ""
    """The format; empty for the sheet's first."""
    is_dated: bool = True
    is_for_all: bool = True
    """Whether every device of its profiles gets its sheet, not the one in view alone."""

    def settings(self, known: Mapping[str, str] | None = None) -> dict[str, str]:
        """Every setting of the sheet by name: its value in words; `known` has names of profiles."""
        request = self.request
        found = {
            "format": self.form or request.formats[0],
            "date": "yes" if self.is_dated else "no",
        }
        if request.takes[1]:
            names = [(known or {}).get(one, one) for one in request.profiles]
            found["profiles"] = ", ".join(names) or "none"
            found["devices"] = "all of the profiles" if self.is_for_all else "the one in view"
        for name, option in options_of(type(request)).items():
            found[name] = option.show(getattr(request, name))
        return found

    def is_typed(self, name: str) -> bool:
        """Whether a setting is a number to be typed, not one of a few values."""
        option = options_of(type(self.request)).get(name)
        return option is not None and not option.is_flag and not option.choices

    def with_profiles(self, profiles: tuple[str, ...]) -> "Form":
        """The form with these profiles."""
        return replace(self, request=replace(self.request, profiles=profiles))

    def typed(self, name: str, words: str) -> "Form":
        """The form with a setting as it was typed; empty for the default.

        Raises:
            RequestError: where it is out of its range, or no such value.
        """
        if name == "format":
            (form,) = choose_formats(type(self.request), [words] if words else [])
            return replace(self, form=form)
        given: object = words.strip() or None
        option = options_of(type(self.request))[name]
        if option.is_flag and words in ("yes", "no"):
            given = words == "yes"
        return replace(self, request=replace(self.request, **{name: given}))  # type: ignore[arg-type]

    def cycled(self, name: str) -> "Form":
        """The form with the next value of a setting."""
        request = self.request
        match name:
            case "format":
                return replace(self, form=_next(request.formats, self.form or request.formats[0]))
            case "date":
                return replace(self, is_dated=not self.is_dated)
            case "devices":
                return replace(self, is_for_all=not self.is_for_all)
        option, value = options_of(type(request))[name], getattr(request, name)
        if option.is_flag:
            return self.typed(name, "no" if value else "yes")
        choices = option.choices if option.default is not None else ("", *option.choices)
        return self.typed(name, _next(choices, value or ""))

    def of_sheet(self, sheet: str) -> "Form":
        """The same for another sheet; options that it does not have are left out."""
        kind = SHEETS[sheet]
        kept = {
            name: getattr(self.request, name)
            for name in ("profiles", *options_of(kind))
            if hasattr(self.request, name)
        }
        return replace(self, request=kind(**kept), form="")

    def complete(self, device: str) -> SheetRequest:
        """The request with the date, for a device or for all that the profiles bind."""
        profiles = self.request.profiles[-self.request.takes[1] :] if self.request.takes[1] else ()
        return replace(
            self.request,
            device=None if profiles and self.is_for_all else device,
            profiles=profiles,
            date=date.today().isoformat() if self.is_dated else "",
        )


def _next(values: tuple[str, ...], value: str) -> str:
    return values[(values.index(value) + 1) % len(values)]


def make_preview(library: Library, form: Form, device: str, columns: int, rows: int) -> list[str]:
    """The sheet of a device as lines that fit the window: its words, or its drawing in proportion.

    Raises:
        RequestError: where it cannot be made as it is wanted.
    """
    request = form.complete(device)
    if request.is_of_one_plate:
        request = replace(request, device=device)
    sheet = make_sheets(library, request, ())[0].sheet
    head, foot = [escape_controls(sheet.title)], _list_remarks(sheet.remarks)
    if sheet.report is not None and "text" in request.formats:
        return [*head, "", *render_text(sheet.report).split("\n"), *foot]
    pages = sheet.document.pages
    drawing = pages[0].drawing if pages and not sheet.work.entries else sheet.work
    picture = render_cells(drawing, max(columns, 10), max(rows - 4, 4))
    return [*head, *map(escape_controls, picture.lines()), PROPORTIONS, *foot]


def _list_remarks(remarks: tuple[Remark, ...]) -> list[str]:
    return [f"{one.kind}: {say_here(escape_controls(one.message))}" for one in remarks]


@dataclass(frozen=True, slots=True)
class Printed:
    """Where sheets went, in a sentence, and what they do not show as they were meant."""

    words: str
    remarks: tuple[str, ...]


def print_form(
    library: Library, form: Form, device: str, target: str, *, replace_others: bool = False
) -> Printed:
    """Write the sheets to a file, or into a folder where `target` ends with a slash or is one.

    Raises:
        RequestError: where they cannot be made as they are wanted.
        OutputError: where one is not Platebook's to replace, or cannot be written.
    """
    request = form.complete(device)
    formats = choose_formats(type(request), [form.form] if form.form else [], target)
    made = make_sheets(library, request, formats)
    files = [file for placed in place_sheets(made, target) for file in placed]
    replaced = write_outputs(files, replace=replace_others)
    remarks = dict.fromkeys(remark for one in made for remark in one.remarks)
    verb = "Replaced" if all(replaced) else "Written to"
    words = f"{verb} {join_words([escape_controls(str(file.path)) for file in files])}"
    return Printed(words, tuple(_list_remarks(tuple(remarks))))


class Refusal(Protocol):
    """An error with a way out: a sentence, or empty."""

    remedy: str


def explain(error: Refusal) -> str:
    """A refusal and its way out as sentences of one line."""
    words = str(error).replace("\n", "; ")
    return f"{words}. {error.remedy}" if error.remedy else words
