"""The surface for programs: load a library, check it, print its sheets.

    import profiles

    library = profiles.load("my-boxes")
    for finding in profiles.check(library).findings:
        print(finding.place, finding.message)

    for legend in profiles.print_sheets(library, "legend", profiles=["harbour-desk"]):
        Path(f"{legend.sheet.name}.pdf").write_bytes(legend.data)

Everything here is what the commands themselves stand on.
"""

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any, NamedTuple

from profiles.checks.codes import read_pages
from profiles.files.library import LoadedLibrary, load_library
from profiles.text.finding import Page
from profiles.work.checking import Checked, check

if TYPE_CHECKING:
    from collections.abc import Iterator

    from profiles.plan.arrange import Move
    from profiles.sheets.sheet import PrintedSheet, Remark
    from profiles.work.changes import Changes
    from profiles.work.drift import Compared
    from profiles.work.every_sheet import Step

__all__ = [
    "Checked",
    "Printed",
    "arrange",
    "check",
    "compare_settings_file",
    "find_changes",
    "finding_pages",
    "hand_over",
    "load",
    "pack",
    "print_all",
    "print_sheet",
    "print_sheets",
    "unpack",
]


def load(folder: Path | str) -> LoadedLibrary:
    """Read every TOML, YAML and JSON file below a folder.

    Raises:
        profiles.files.folder.NoLibraryError: where `folder` is no folder.
    """
    return load_library(folder)


def finding_pages() -> dict[str, Page]:
    """The page of every code, those about files first."""
    return read_pages()


class Printed(NamedTuple):
    """A sheet written in one format.

    `remarks` tell what was skipped, replaced, shrunk, condensed or moved.
    """

    data: bytes
    sheet: "PrintedSheet"
    remarks: "tuple[Remark, ...]"


def print_sheets(
    loaded: LoadedLibrary,
    name: str,
    *,
    profiles: Sequence[str] = (),
    device: str | None = None,
    form: str = "",
    **options: Any,
) -> tuple[Printed, ...]:
    """Make a sheet for the device, or for each that the profiles bind, and write it in one format.

    The format (`pdf`, `svg`, ...) is the sheet's first where it is left out; `device` may be left
    out where the profiles name one, or the library has only one. `date` is printed in the
    title block as it is given. The other options are named as on the command line:
    `paper="a3"`, `rear=True`.

    Raises:
        ValueError: for what the sheet does not take; a KeyError as well for a name that leads
            nowhere. The way out is its `remedy` and in the traceback.
    """
    from profiles.work.printing import choose_formats, find_sheet, make_request, make_sheets

    request = make_request(name, profiles=profiles, device=device, **options)
    (chosen,) = choose_formats(find_sheet(name), [form] if form else [])
    made = make_sheets(loaded.library, request, (chosen,))
    return tuple(Printed(one.data[chosen], one.sheet, one.remarks) for one in made)


def print_sheet(loaded: LoadedLibrary, name: str, **given: Any) -> Printed:
    """Make one sheet as `print_sheets` does.

    Raises:
        ValueError: as there, and where the profiles bind several devices and none is named.
    """
    from profiles.sheets.options import RequestError

    printed = print_sheets(loaded, name, **given)
    if len(printed) > 1:
        raise RequestError(
            f"there are {len(printed)} sheets, one for each device",
            "Name the device, or use print_sheets.",
        )
    return printed[0]


def arrange(
    loaded: LoadedLibrary,
    device: str,
    controls: Sequence[str] = (),
    *,
    kinds: Sequence[str] = (),
    write: bool = False,
    **steps: Any,
) -> "tuple[Move, ...]":
    """Say where controls of a device go when they are put in order, and with `write` do it.

    Controls are ids or patterns such as `push-*`; all without any. Steps are named and written as
    on the command line: `align=["rows"]`, `grid="5x4"`, `pitch="35"`, `shift="5,-2.5"`. Places are
    mm; comments and order of the file stay.

    Raises:
        ValueError: for what is no step, or finds no control; a KeyError as well for a device that
            the library has not.
        profiles.files.toml_edit.EditError: where the file cannot be changed.
        profiles.files.save.SaveError: where it cannot be written.
    """
    from profiles.files.save import SaveError
    from profiles.work.arranging import arrange_controls, read_steps
    from profiles.work.copy import WorkingCopy
    from profiles.work.names import find_named

    found = find_named("device", device, loaded.library.devices)
    edit, moves = arrange_controls(found, controls, kinds, read_steps(**steps))
    if write:
        copy = WorkingCopy(loaded)
        edit.apply(copy)
        saved = copy.save()
        if saved.failures or saved.clashes:
            raise SaveError("; ".join(saved.failures) or f"{device} was changed meanwhile")
    return moves


def print_all(loaded: LoadedLibrary, folder: Path | str, **given: Any) -> "Iterator[Step]":
    """Write every sheet into a folder, sheet by sheet, as `work.every_sheet.print_all` does."""
    from profiles.work.every_sheet import print_all as run

    return run(loaded.library, Path(folder), **given)


def find_changes(before: LoadedLibrary, after: LoadedLibrary) -> "Changes":
    """What lies between two states of a library: numbers, wires, firmware, bindings, sheets."""
    from profiles.work.changes import find_changes as find

    return find(before.library, after.library)


def pack(loaded: LoadedLibrary, profiles: Sequence[str], recordings: Sequence[Path] = ()) -> bytes:
    """Return a bundle of profiles with all they need, as the bytes of one file.

    Raises:
        ValueError: where there is no such profile; a KeyError as well.
        profiles.files.bundle.BundleError: where a profile names what the library has not.
        profiles.files.faults.FileFaultError: where a file cannot be read.
    """
    from profiles.files.bundle import write_bundle
    from profiles.work.bundling import gather_bundle

    return write_bundle(gather_bundle(loaded, profiles, recordings))


def unpack(file: Path | str, folder: Path | str) -> list[Path]:
    """Unpack a stranger's bundle into a folder that is not there yet; return its files.

    Raises:
        profiles.files.bundle.BundleError: where anything in it is not as Platebook makes it, a file
            in it cannot be used, or the folder is there.
        profiles.files.faults.FileFaultError: where the file cannot be read.
    """
    from profiles.files.bundle import BundleError, unpack_bundle
    from profiles.work.bundling import open_bundle

    bundle, _, problems = open_bundle(Path(file))
    if problems:
        raise BundleError(problems[0].message, problems[0].remedy)
    return unpack_bundle(bundle, Path(folder))


def hand_over(
    loaded: LoadedLibrary,
    device: str | None = None,
    profiles: Sequence[str] = (),
    *,
    form: str = "html",
    date: str = "",
) -> bytes:
    """Return the page (`html`) or booklet (`pdf`) for somebody who did not build the box.

    Raises:
        ValueError: where a name leads nowhere, or the device must be chosen.
    """
    from profiles.work.handing_over import choose_box, make_booklet, make_page

    box, links = choose_box(loaded.library, device, profiles)
    if form == "html":
        return make_page(box, links, date)
    return make_booklet(loaded.library, box, links, date=date)[0]


def compare_settings_file(
    loaded: LoadedLibrary, file: Path | str, profile: str | None = None
) -> "Compared":
    """Compare a profile with its application's own settings file, which is only read.

    Raises:
        ValueError: where the application does not say how its file is written, or a profile must
            be chosen.
        profiles.files.faults.FileFaultError: where the file cannot be read.
    """
    from profiles.work.drift import choose_profile, compare_with_file

    return compare_with_file(choose_profile(loaded.library, profile), Path(file))
