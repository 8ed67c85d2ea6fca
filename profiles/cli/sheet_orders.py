"""From a command's options to a sheet's order, and from a sheet to files and notes."""

import json
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from profiles.cli.choices import find_named, find_only
from profiles.cli.exits import Exit, Unusable
from profiles.cli.output import note, put_outputs, show_path, write, write_file_text
from profiles.drawing.paper import PAPERS, Paper
from profiles.drawing.surface import ExtraMissingError, Written
from profiles.files.library import LoadedLibrary
from profiles.model.device import Device
from profiles.model.library import Library, Link
from profiles.sheets.registry import SheetKind, make_sheet
from profiles.sheets.sheet import PrintedSheet, Remark, SheetRequest, remark_losses
from profiles.sheets.writing import FORMATS, write_sheet
from profiles.text.inert import escape_controls
from profiles.text.prose import join_words
from profiles.work.outputs import Output

STDOUT = "-"
"""The output that is no file."""

READABLE = ("text", "csv", "html", "json")
"""Formats that may go to stdout."""


def choose_paper(name: str, landscape: bool) -> Paper:
    """The paper of this name, its long side across where asked."""
    paper = PAPERS[name.lower()]
    return paper.landscape if landscape else paper


def choose_subject(
    library: Library, kind: SheetKind, device: str | None, profiles: Sequence[str]
) -> tuple[Device, tuple[Link, ...]]:
    """The device and linked profiles a command names; the only ones where it names none.

    Raises:
        Unusable: where a name leads nowhere, or the profiles do not bind the device.
    """
    least, most = kind.profiles
    links = tuple(
        library.link(find_named("profile", word, library.profiles).id) for word in profiles
    )
    found = _choose_device(library, device, links)
    if not links and least > 0:
        links = (_only_profile(library, found),)
    if len(links) > most:
        raise Unusable(f"`print {kind.name}` takes at most {most} profiles", "Leave some out.")
    _refuse_twins(links)
    for link in links:
        if found.id not in link.profile.device_ids:
            raise Unusable(
                f"profile `{escape_controls(link.profile.id)}` does not bind device "
                f"`{escape_controls(found.id)}`",
                "Choose a profile of that device, or another --device.",
            )
    return found, links


def _refuse_twins(links: Sequence[Link]) -> None:
    ids = [link.profile.id for link in links]
    for twin in (id_ for number, id_ in enumerate(ids) if id_ in ids[:number]):
        raise Unusable(
            f"profile `{escape_controls(twin)}` is named twice", "Name each profile once."
        )


def _choose_device(library: Library, word: str | None, links: Sequence[Link]) -> Device:
    if word is not None:
        return find_named("device", word, library.devices)
    if links and links[0].devices:
        return links[0].devices[0]
    return find_only("device", library.devices, option="--device")


def _only_profile(library: Library, device: Device) -> Link:
    known = {link.profile.id: link for link in library.profiles_of(device.id)}
    if not known and library.profiles:
        raise Unusable(
            f"no profile binds device `{escape_controls(device.id)}`",
            "Choose another --device, or start one: `platebook new profile ID`.",
        )
    return find_only("profile", known, option="--profile")


def choose_formats(
    kind: SheetKind, given: Sequence[str], output: str | None, usual: str
) -> tuple[str, ...]:
    """The formats asked for, each once; where none is, what the output's name says, or the usual.

    Raises:
        Unusable: where the output's name is that of another format.
    """
    formats = tuple(dict.fromkeys(given))
    named = _format_named(output)
    if len(formats) > 1 or named is None or (named,) == formats:
        readable = [form for form in READABLE if form in kind.formats]
        return formats or tuple(readable[:1] if output == STDOUT and readable else (usual,))
    if formats:
        raise Unusable(
            f"{show_path(Path(str(output)))} is named as {named}, but {formats[0]} is asked for",
            "Leave --format out, or name the file otherwise.",
        )
    if named not in kind.formats:
        known = join_words(kind.formats, last="or")
        raise Unusable(f"`print {kind.name}` makes no {named}", f"It makes {known}.")
    return (named,)


def _format_named(output: str | None) -> str | None:
    """The format whose suffix an output has; None for a folder, stdout and other names."""
    if output is None or output == STDOUT or _is_folder(output):
        return None
    suffix = Path(output).suffix.lower()
    return next((name for name, form in FORMATS.items() if form.suffix == suffix), None)


def _is_folder(output: str) -> bool:
    return output.endswith(("/", "\\")) or Path(output).is_dir()


@dataclass(frozen=True, slots=True)
class MadeFiles:
    """A sheet, the files it went to, and all it does not show as meant, each once."""

    sheet: PrintedSheet
    paths: tuple[Path, ...]
    remarks: tuple[Remark, ...]


def make_files(
    kind: SheetKind, order: SheetRequest, formats: Sequence[str], output: str | None
) -> MadeFiles:
    """Make a sheet and write it in each format.

    Raises:
        Unusable: where a file cannot be written, or its format needs what is not installed.
    """
    sheet = make_sheet(kind.name, order)
    remarks = list(sheet.remarks)
    outputs = []
    for form in formats:
        written = _write(sheet, form)
        remarks.extend(remark_losses(written.losses))
        path = target_path(sheet, form, output, several=len(formats) > 1)
        outputs.append(Output(path, written.data, form))
    put_outputs(outputs)
    return MadeFiles(sheet, tuple(file.path for file in outputs), tuple(dict.fromkeys(remarks)))


def _write(sheet: PrintedSheet, form: str) -> Written:
    try:
        return write_sheet(sheet, form)
    except ExtraMissingError as error:
        raise Unusable(str(error)) from None


def print_sheet(
    loaded: LoadedLibrary,
    kind: SheetKind,
    order: SheetRequest,
    *,
    formats: Sequence[str],
    output: str | None,
    as_json: bool,
    strict: bool,
) -> Exit:
    """Make a sheet, write it in its formats, tell where it went and what it lacks.

    Raises:
        Unusable: where a file cannot be written, or a format cannot go to stdout.
    """
    to_stdout = output == STDOUT
    if to_stdout and (len(formats) > 1 or formats[0] not in READABLE):
        raise Unusable("only one readable format can go to stdout", "Name a file or folder.")
    made = make_files(kind, order, () if to_stdout else formats, output)
    if to_stdout and not as_json:
        write_file_text(write_sheet(made.sheet, formats[0]).data.decode("utf-8"))
    elif as_json:
        write(_as_json(loaded, made))
    else:
        for path in made.paths:
            write(show_path(path))
    describe_remarks(loaded, made.remarks)
    failed = strict and any(remark.fails_strict for remark in made.remarks)
    return Exit.FINDINGS if failed else Exit.FINE


def describe_remarks(loaded: LoadedLibrary, remarks: Sequence[Remark]) -> None:
    """Put what a sheet does not show as meant on stderr, with its place in the files."""
    from profiles.cli.findings import write_place

    for remark in remarks:
        place = loaded.locate(remark.spot) if remark.spot else None
        where = f" ({write_place(place)})" if place else ""
        note(f"{remark.kind}: {escape_controls(remark.message)}{where}")


def _as_json(loaded: LoadedLibrary, made: MadeFiles) -> str:
    document = {
        "format": 1,
        "sheet": made.sheet.name,
        "title": made.sheet.title,
        "files": [str(path) for path in made.paths],
        "pages": len(made.sheet.document.pages),
        "facts": dict(made.sheet.facts),
        "remarks": [_plain_remark(loaded, remark) for remark in made.remarks],
    }
    return json.dumps(document, ensure_ascii=True, indent=2)


def _plain_remark(loaded: LoadedLibrary, remark: Remark) -> dict[str, Any]:
    place = loaded.locate(remark.spot) if remark.spot else None
    return {
        "kind": remark.kind,
        "message": remark.message,
        "subject": str(remark.spot) if remark.spot else None,
        "place": place._asdict() if place else None,
    }


def target_path(sheet: PrintedSheet, form: str, output: str | None, *, several: bool) -> Path:
    """Where a sheet goes: the output named, a file in the folder named, or beside the caller."""
    suffix = FORMATS[form].suffix
    name = f"{sheet.name}{suffix}"
    if output is None:
        return Path(name)
    path = Path(output)
    if _is_folder(output):
        return path / name
    return path.with_suffix(suffix) if several or not path.suffix else path
