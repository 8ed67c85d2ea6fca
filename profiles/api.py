"""The surface for programs: load a library, check it, print its sheets.

    import profiles

    library = profiles.load("my-boxes")
    for finding in profiles.check(library).findings:
        print(finding.place, finding.message)

    legend = profiles.print_sheet(library, "legend", profiles=["harbour-desk"])
    Path("legend.pdf").write_bytes(legend.data)

Everything here is what the commands themselves stand on.
"""

from collections.abc import Iterable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any, NamedTuple

from profiles.checks.codes import read_pages
from profiles.checks.registry import Accepted, run_checks
from profiles.files.library import LoadedLibrary, load_library
from profiles.model.finding import Finding, Page, Severity, is_at_least
from profiles.text.prose import count, join_words

if TYPE_CHECKING:
    from profiles.model.device import Device
    from profiles.model.library import Library, Link
    from profiles.sheets.registry import SheetKind
    from profiles.sheets.sheet import PrintedSheet, Remark

__all__ = ["Checked", "Printed", "check", "finding_pages", "load", "print_sheet"]


class Checked(NamedTuple):
    """All findings of a library, those about its files first, each with its place.

    `usable` is False where some file could not be read as what it claims to be; the findings
    about links are then about the files that could.
    """

    findings: tuple[Finding, ...]
    accepted: tuple[Accepted, ...]
    notes: tuple[str, ...]
    usable: bool

    def at_least(self, threshold: Severity) -> tuple[Finding, ...]:
        """Findings as bad as the threshold, or worse."""
        return tuple(one for one in self.findings if is_at_least(one.severity, threshold))


def load(folder: Path | str) -> LoadedLibrary:
    """Read every TOML, YAML and JSON file below a folder.

    Raises:
        profiles.files.library.NoLibraryError: where `folder` is no folder.
    """
    return load_library(folder)


def check(loaded: LoadedLibrary) -> Checked:
    """Check a loaded library and say where in its files each finding stands."""
    result = run_checks(loaded.library)
    located = tuple(loaded.located(finding) for finding in result.findings)
    return Checked(
        findings=(*loaded.problems, *located),
        accepted=result.accepted,
        notes=loaded.notes,
        usable=not loaded.problems,
    )


def finding_pages() -> dict[str, Page]:
    """The page of every code, those about files first."""
    return read_pages()


class Printed(NamedTuple):
    """A sheet written in one format.

    `remarks` tell what was left out, replaced, shrunk, condensed or moved.
    """

    data: bytes
    sheet: "PrintedSheet"
    remarks: "tuple[Remark, ...]"


def print_sheet(
    loaded: LoadedLibrary,
    name: str,
    *,
    profiles: Sequence[str] = (),
    device: str | None = None,
    paper: str = "a4",
    date: str = "",
    form: str = "pdf",
    **options: Any,
) -> Printed:
    """Make a sheet and write it in one format (`pdf`, `svg`, ...).

    `device` may be left out where the profiles name one, or the library has only one. `date`
    stands in the title block as it is given. `options` are those of the one sheet, named as on
    the command line, such as `rear=True`.

    Raises:
        KeyError: for a sheet, profile, device, paper or format that there is none of.
        ValueError: where the device is left out and there are several, and for profiles, a format
            or options that the sheet does not take.
    """
    from profiles.drawing.paper import PAPERS
    from profiles.sheets.registry import SHEETS, make_sheet
    from profiles.sheets.sheet import SheetRequest, remark_losses
    from profiles.sheets.writing import FORMATS, write_sheet

    kind, _ = SHEETS[name], FORMATS[form]
    links = tuple(loaded.library.link(one) for one in profiles)
    found = _find_device(loaded.library, device, links)
    _refuse_misfits(kind, found, links, form, options)
    order = SheetRequest(
        library=loaded.library,
        device=found,
        devices=(found,) if device else (),
        links=links,
        paper=PAPERS[paper.lower()],
        date=date,
        rear=bool(options.pop("rear", False)),
        options=options,
    )
    sheet = make_sheet(name, order)
    written = write_sheet(sheet, form)
    remarks = dict.fromkeys((*sheet.remarks, *remark_losses(written.losses)))
    return Printed(written.data, sheet, tuple(remarks))


def _find_device(library: "Library", word: str | None, links: "Sequence[Link]") -> "Device":
    if word is not None:
        return library.devices[word]
    if links and links[0].devices:
        return links[0].devices[0]
    if len(library.devices) != 1:
        raise ValueError(f"name the device: the library has {len(library.devices)}")
    return next(iter(library.devices.values()))


def _refuse_misfits(
    kind: "SheetKind", device: "Device", links: "Sequence[Link]", form: str, options: Iterable[str]
) -> None:
    """Raise a ValueError for what this sheet does not take, rather than leave it out unseen."""
    least, most = kind.profiles
    if not least <= len(links) <= most:
        wanted = count(most, "profile") if least == most else f"{least} to {most} profiles"
        raise ValueError(f"{kind.name} takes {wanted}, not {len(links)}")
    for link in links:
        if device.id not in link.profile.device_ids:
            raise ValueError(f"profile {link.profile.id} does not bind device {device.id}")
    if form not in kind.formats:
        raise ValueError(f"{kind.name} is written as {join_words(kind.formats, last='or')}")
    unknown = sorted(set(options) - set(kind.options))
    if unknown:
        raise ValueError(f"{kind.name} knows no option {join_words(unknown)}")
