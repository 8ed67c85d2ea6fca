"""Sheets asked for on the screen: what is wanted, a preview as lines, and files that were written.

The sheets come from the registry, so that a new one is here as soon as it is there.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from datetime import date
from pathlib import Path
from typing import Any

from profiles.drawing.paper import PAPERS
from profiles.drawing.recorder import Drawing
from profiles.drawing.terminal import PROPORTIONS, render_cells
from profiles.files.toml_edit import EditError
from profiles.model import Library
from profiles.sheets.registry import SHEETS, SheetKind, make_sheet
from profiles.sheets.sheet import PrintedSheet, SheetRequest, remark_losses
from profiles.sheets.writing import FORMATS, write_sheet
from profiles.text.inert import escape_controls, visible_block
from profiles.work.outputs import OutputError, write_output

CYCLES: Mapping[str, tuple[Any, ...]] = {
    "rear": (False, True),
    "colours": (False, True),
    "labels": ("", "title", "fixed", "both"),
}
"""Options with few values, in the order in which a key goes through them."""

NUMBERS = ("overlap", "below", "above", "step", "thickness")
"""Options that are a length in mm."""


@dataclass(frozen=True, slots=True)
class Wish:
    """One sheet as it is wanted."""

    sheet: str = "legend"
    profiles: tuple[str, ...] = ()
    paper: str = "a4"
    landscape: bool = False
    form: str = ""
    dated: bool = True
    options: Mapping[str, Any] = field(default_factory=dict)

    @property
    def kind(self) -> SheetKind:
        """What is known of the sheet."""
        return SHEETS[self.sheet]

    def settings(self) -> list[tuple[str, str]]:
        """Every setting of the sheet: its name, and its value in words."""
        found = [("paper", self.paper.upper()), ("across", _yes(self.landscape))]
        found += [("format", self.form or self.kind.formats[0]), ("date", _yes(self.dated))]
        if self.kind.profiles[1]:
            found.append(("titles", ", ".join(self.profiles) or "none"))
        for name in self.kind.options:
            if name in CYCLES or name in NUMBERS:
                found.append((name, _show(self.options.get(name, ""))))
        return found

    def cycled(self, name: str) -> "Wish":
        """The wish with the next value of a setting."""
        match name:
            case "paper":
                return replace(self, paper=_next(sorted(PAPERS), self.paper))
            case "across":
                return replace(self, landscape=not self.landscape)
            case "format":
                return replace(self, form=_next(self.kind.formats, self.form))
            case "date":
                return replace(self, dated=not self.dated)
        if name in CYCLES:
            return self.having(name, _next(CYCLES[name], self.options.get(name, CYCLES[name][0])))
        return self

    def having(self, name: str, value: Any) -> "Wish":
        """The wish with an option given."""
        return replace(self, options={**self.options, name: value})

    def for_sheet(self, sheet: str) -> "Wish":
        """The same for another sheet; what that one does not know is left out."""
        return replace(self, sheet=sheet, form="")


def order_of(library: Library, device: str, wish: Wish) -> SheetRequest:
    """The order of a wish.

    Raises:
        EditError: where the sheet needs other profiles.
    """
    least, most = wish.kind.profiles
    known = [one for one in wish.profiles if one in library.profiles]
    links = tuple(one for one in library.profiles_of(device) if one.profile.id in known)[:most]
    if len(links) < least:
        raise EditError("this sheet needs a profile that binds the device")
    given = {name: wish.options[name] for name in wish.kind.options if wish.options.get(name)}
    paper = PAPERS[wish.paper]
    return SheetRequest(
        library=library,
        device=library.devices[device],
        links=links,
        paper=paper.landscape if wish.landscape else paper,
        date=date.today().isoformat() if wish.dated else "",
        rear=bool(given.get("rear")),
        options=given,
    )


def make_preview(order: SheetRequest, wish: Wish, columns: int, rows: int) -> list[str]:
    """A sheet as lines that fit the window: its words, or its drawing in proportion."""
    sheet = make_sheet(wish.sheet, order)
    head = [escape_controls(sheet.title)]
    if "text" in sheet.texts:
        return [*head, "", *visible_block(sheet.texts["text"]).split("\n"), *_remarks(sheet)]
    picture = render_cells(_drawing(sheet), max(columns, 10), max(rows - 4, 4))
    lines = [escape_controls(line) for line in picture.lines()]
    return [*head, *lines, PROPORTIONS, *_remarks(sheet)]


def _drawing(sheet: PrintedSheet) -> Drawing:
    if sheet.work.entries or not sheet.document.pages:
        return sheet.work
    return sheet.document.pages[0].drawing


def _remarks(sheet: PrintedSheet) -> list[str]:
    return [f"{one.kind}: {escape_controls(one.message)}" for one in sheet.remarks]


@dataclass(frozen=True, slots=True)
class Printed:
    """Where a sheet went, and what it does not show as it was meant."""

    path: Path
    replaced: bool
    remarks: tuple[str, ...]


def print_sheet(order: SheetRequest, wish: Wish, target: str) -> Printed:
    """Write a sheet to a file, or into a folder where `target` ends with a slash or is one.

    Raises:
        EditError: where it cannot be written.
    """
    return write_printed(make_sheet(wish.sheet, order), wish.form or wish.kind.formats[0], target)


def write_printed(sheet: PrintedSheet, form: str, target: str) -> Printed:
    """Write a sheet that is made already in a format, to a file or into a folder.

    Raises:
        EditError: where it cannot be written.
    """
    written = write_sheet(sheet, form)
    path = Path(target).expanduser()
    if target.endswith(("/", "\\")) or path.is_dir():
        path = path / f"{sheet.name}{FORMATS[form].suffix}"
    try:
        replaced = write_output(path, written.data, form)
    except OutputError as error:
        raise EditError(f"{error}; {error.remedy}") from None
    remarks = dict.fromkeys((*sheet.remarks, *remark_losses(written.losses)))
    return Printed(path, replaced, tuple(f"{one.kind}: {one.message}" for one in remarks))


def _next(values: Any, value: Any) -> Any:
    order = list(values)
    return order[(order.index(value) + 1) % len(order)] if value in order else order[1 % len(order)]


def _yes(value: bool) -> str:
    return "yes" if value else "no"


def _show(value: Any) -> str:
    if isinstance(value, bool):
        return _yes(value)
    return f"{value:g} mm" if isinstance(value, float) else str(value) or "as usual"
