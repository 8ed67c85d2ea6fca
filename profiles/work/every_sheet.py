"""Every sheet that a library can print: what there is, how each is known again, all into a folder.

    for step in print_all(library, Path("sheets"), date="2025-05-01", only_changed=True):
        print(step.number, step.total, step.files)

Beside the sheets stands `sheets.json`, a digest of each sheet without its date. By it a later run
knows which sheets would come out other than those in the folder.
"""

import json
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from pathlib import Path

from profiles.files.documents import digest_of, read_bytes
from profiles.files.faults import FileFaultError
from profiles.model.library import Library
from profiles.report.data import dump_json
from profiles.sheets.options import RequestError
from profiles.sheets.requests import SHEETS, SheetRequest
from profiles.sheets.sheet import Remark
from profiles.sheets.writing import SUFFIXES
from profiles.work.names import find_only
from profiles.work.outputs import LARGEST, Output, is_own, write_outputs
from profiles.work.printing import MadeSheet, make_sheets

LISTING = "sheets.json"
"""The file that says of each sheet in a folder what it was made from."""

MOST_ON_ONE_PLATE = 3
"""Profiles that a sheet of one plate takes; a sheet that takes more compares them all."""


@dataclass(frozen=True, slots=True)
class Step:
    """One request of a run: `names` are its files, `files` those of them that were written.

    `problem` says why it cannot be made, `remarks` what it does not show as meant.
    """

    number: int
    total: int
    request: SheetRequest
    names: tuple[str, ...] = ()
    files: tuple[Path, ...] = ()
    remarks: tuple[Remark, ...] = ()
    problem: str = ""


def list_requests(library: Library, paper: str = "a4") -> list[SheetRequest]:
    """Return a request for every sheet: the box's own for each device, others for each profile.

    A device without a profile has its legend and strips with the plate's own words.

    Raises:
        RequestError: where there is no such paper.
    """
    found: list[SheetRequest] = []
    bound = {id_ for one in library.profiles.values() for id_ in one.device_ids}
    devices = sorted(library.devices)
    for kind in SHEETS.values():
        chosen = devices
        if kind.is_for_each_profile and 0 < kind.takes[1] <= MOST_ON_ONE_PLATE:
            found += [kind(profiles=(id_,), paper=paper) for id_ in sorted(library.profiles)]
            chosen = [id_ for id_ in devices if kind.takes[0] == 0 and id_ not in bound]
        found += [kind(device=id_, paper=paper) for id_ in chosen]
    return found


def choose_form(request: SheetRequest) -> str:
    """Return the format a sheet has in a folder of all: PDF, or SVG where it has none."""
    return "pdf" if "pdf" in request.formats else "svg"


def name_request(request: SheetRequest) -> str:
    """Return what a request is called where its sheet cannot be made."""
    return f"{request.sheet} of {', '.join(request.profiles) or request.device}"


def name_made(made: MadeSheet) -> str:
    """Return the name of a sheet's file."""
    (form,) = made.data
    return f"{made.sheet.name}{SUFFIXES[form]}"


def print_all(
    library: Library,
    folder: Path,
    *,
    date: str = "",
    paper: str = "a4",
    only_changed: bool = False,
    replace_others: bool = False,
) -> Iterator[Step]:
    """Write every sheet into a folder, one after the other; with `only_changed` what differs.

    Files of sheets that the library no longer prints are left where they are: `list_left` names
    them. `date` is printed in the title blocks as it is given.

    Raises:
        RequestError: where there is no such paper, or neither a device nor a profile.
        OutputError: where a file is not Platebook's to replace, or cannot be written.
    """
    listing = read_listing(folder)
    requests = list_requests(library, paper)
    if not requests:
        find_only("device", library.devices)
    for number, request in enumerate(requests, 1):
        form = choose_form(request)
        try:
            plain = make_sheets(library, request, (form,))
        except RequestError as error:
            words = " ".join(filter(None, (str(error), error.remedy)))
            yield Step(number, len(requests), request, problem=words)
            continue
        digests = {name_made(one): digest_of(one.data[form]).hex() for one in plain}
        wanted = {
            name
            for name, digest in digests.items()
            if not (only_changed and listing.get(name) == digest and _is_ours(folder / name))
        }
        made = plain
        if date and wanted:
            made = make_sheets(library, replace(request, date=date), (form,))
        outputs = [
            Output(folder / name_made(one), one.data[form], form)
            for one in made
            if name_made(one) in wanted
        ]
        write_outputs(outputs, replace=replace_others)
        if outputs:
            listing |= digests
            _write_listing(folder, listing)
        yield Step(
            number,
            len(requests),
            request,
            tuple(digests),
            tuple(output.path for output in outputs),
            tuple(dict.fromkeys(remark for one in plain for remark in one.remarks)),
        )


def list_left(folder: Path, steps: Iterable[Step]) -> list[str]:
    """Return the files of earlier runs in a folder whose sheets were not among these steps."""
    made = {name for step in steps for name in step.names}
    known = {path.name for path in folder.iterdir()} if folder.is_dir() else set()
    return sorted(name for name in read_listing(folder) if name in known - made)


def read_listing(folder: Path) -> dict[str, str]:
    """Return the digest of each sheet in a folder; none where its listing is not ours."""
    try:
        data = read_bytes(folder / LISTING, LARGEST)
        sheets = json.loads(data)["sheets"] if is_own(data) else {}
    except (FileFaultError, RecursionError, ValueError, KeyError, TypeError):
        return {}
    return {str(name): str(one) for name, one in sheets.items()} if isinstance(sheets, dict) else {}


def _write_listing(folder: Path, listing: dict[str, str]) -> None:
    data = dump_json({"format": 1, "sheets": dict(sorted(listing.items()))}).encode("ascii")
    write_outputs([Output(folder / LISTING, data)])


def _is_ours(path: Path) -> bool:
    """Whether a file is as Platebook made it."""
    try:
        return is_own(read_bytes(path, LARGEST))
    except FileFaultError:
        return False
