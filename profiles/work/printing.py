"""Sheets from request to file, once for the command line, the screen and Python.

    request = make_request("legend", profiles=("harbour-desk",), rear=True)
    made = make_sheets(library, request, ("pdf", "svg"))
    for files in place_sheets(made, "out/"):
        write_outputs(files)

A sheet of one plate is made for every device that its profiles bind, unless one is named.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from profiles.drawing.surface import FormatError
from profiles.files.folder import read_path
from profiles.model.device import Device
from profiles.model.library import Library, Link
from profiles.sheets.options import RequestError, UnknownNameError, options_of
from profiles.sheets.requests import SHEETS, SheetRequest, make_sheet
from profiles.sheets.sheet import PrintedSheet, Remark, Subject, remark_losses
from profiles.sheets.writing import SUFFIXES, write_sheet
from profiles.text.inert import escape_controls
from profiles.text.prose import count, join_words
from profiles.text.suggest import closest
from profiles.work.names import find_named, find_only
from profiles.work.outputs import LIBRARY_SUFFIXES, Output, judge_name, stamp

STDOUT = "-"
"""The output that is no file."""

READABLE = ("text", "csv", "html", "json")
"""Formats that may go to stdout."""

COMMON = ("device", "profiles", "date")
"""What every request has beside its options."""


@dataclass(frozen=True, slots=True)
class MadeSheet:
    """A sheet of one device, its bytes in each format, and all it does not show as meant."""

    subject: Subject
    sheet: PrintedSheet
    data: Mapping[str, bytes]
    remarks: tuple[Remark, ...]


def find_sheet(name: str) -> type[SheetRequest]:
    """The request class of a sheet.

    Raises:
        UnknownNameError: where there is none of this name.
    """
    if name in SHEETS:
        return SHEETS[name]
    near = closest(str(name), SHEETS)
    hint = f"Did you mean `{near}`?" if near else f"Choose {join_words(list(SHEETS), last='or')}."
    raise UnknownNameError(f"there is no sheet `{escape_controls(str(name))}`", hint)


def make_request(name: str, **given: object) -> SheetRequest:
    """The request of a sheet of this name; None means the default.

    Raises:
        RequestError: for what the sheet does not take; all is in one message.
    """
    kind = find_sheet(name)
    known = (*COMMON, *options_of(kind))
    unknown = [word for word in given if word not in known]
    if unknown:
        near = "form" if unknown[0] == "format" else closest(unknown[0], known)
        words = join_words([f"`{escape_controls(word)}`" for word in unknown])
        raise RequestError(
            f"{name} has no option {words}",
            f"Did you mean `{near}`?" if near else "",
        )
    return kind(**given)  # type: ignore[arg-type]


def find_subjects(library: Library, request: SheetRequest) -> tuple[Subject, ...]:
    """What a request is about: the device named, otherwise every device that its profiles bind.

    Raises:
        RequestError: where a name leads nowhere, or profiles, device and sheet do not go together.
    """
    least, most = request.takes
    if len(request.profiles) > most:
        takes = count(most, "profile") if least == most else f"{least} to {most} profiles"
        raise RequestError(f"{request.sheet} takes {takes}, not {len(request.profiles)}")
    links = _find_links(library, request.profiles)
    if request.device is not None:
        devices = [find_named("device", request.device, library.devices)]
    elif links and links[0].devices:
        devices = list({device.id: device for link in links for device in link.devices}.values())
    else:
        devices = [find_only("device", library.devices)]
    if len(links) < least:
        links = (_only_link(library, devices[0]),)
    _refuse_misfits(request, devices, links)
    if not request.is_of_one_plate:
        named = tuple(devices) if request.device is not None else ()
        return (Subject(library=library, device=devices[0], links=links, devices=named),)
    return tuple(
        Subject(
            library=library,
            device=device,
            links=tuple(link for link in links if device.id in link.profile.device_ids),
        )
        for device in devices
    )


def _find_links(library: Library, profiles: Sequence[str]) -> tuple[Link, ...]:
    links = [library.link(find_named("profile", id_, library.profiles).id) for id_ in profiles]
    for number, id_ in enumerate(profiles):
        if id_ in profiles[:number]:
            raise RequestError(f"profile `{id_}` is named twice", "Name each profile once.")
    return tuple(links)


def _only_link(library: Library, device: Device) -> Link:
    known = {link.profile.id: link for link in library.profiles_of(device.id)}
    if not known and library.profiles:
        raise RequestError(
            f"no profile binds device `{device.id}`",
            "Choose another device, or start a profile: `platebook new profile ID`.",
        )
    return find_only("profile", known)


def _refuse_misfits(
    request: SheetRequest, devices: Sequence[Device], links: Sequence[Link]
) -> None:
    """Raise a RequestError for what the sheet cannot show, rather than leave it out unseen."""
    labels = getattr(request, "labels", None)
    if labels in ("application", "both") and not links:
        raise RequestError(f"labels `{labels}` need the profile of an application", "Name one.")
    shared = [one for one in devices if not links or one.id in links[0].profile.device_ids]
    for link in links:
        if not any(device.id in link.profile.device_ids for device in shared):
            raise RequestError(
                f"profile `{link.profile.id}` does not bind device `{devices[0].id}`",
                "Choose a profile of that device, or another device.",
            )


def choose_formats(
    kind: type[SheetRequest], given: Sequence[str], output: str | None = None, usual: str = ""
) -> tuple[str, ...]:
    """The formats asked for, each once; where none is, what the output's name says, or the usual.

    Raises:
        RequestError: for a format that the sheet is not written in, or an output named as another.
    """
    formats = tuple(dict.fromkeys(form.lower() for form in given))
    named = None
    if output is not None and output != STDOUT and not is_folder(output):
        suffix = Path(output).suffix.lower()
        named = next((name for name, end in SUFFIXES.items() if end == suffix), None)
        is_other = named is None and suffix[1:].isalpha() and suffix not in LIBRARY_SUFFIXES
        if is_other and not formats:
            endings = join_words([SUFFIXES[form] for form in kind.formats], last="or")
            raise RequestError(
                f"`{escape_controls(output)}` ends as no format of this sheet",
                f"Choose a name that ends with {endings}, or name a format with it.",
            )
    for form in (*formats, *filter(None, [named])):
        if form not in kind.formats:
            known = join_words(kind.formats, last="or")
            refusal = RequestError if form in SUFFIXES else UnknownNameError
            shown = escape_controls(form)
            raise refusal(f"{kind.sheet} is written as {known}, not `{shown}`")
    if len(formats) > 1 or named is None or (named,) == formats:
        readable = [form for form in READABLE if form in kind.formats]
        usual = usual or kind.formats[0]
        return formats or tuple(readable[:1] if output == STDOUT and readable else (usual,))
    if formats:
        raise RequestError(
            f"`{escape_controls(str(output))}` is named as {named}, but {formats[0]} is asked for",
            "Remove the format, or choose another name.",
        )
    return (named,)


def is_folder(output: str) -> bool:
    """Whether an output is a folder: one that is there, or a name that ends with a slash."""
    return output.endswith(("/", "\\")) or Path(output).is_dir()


def make_sheets(
    library: Library, request: SheetRequest, formats: Sequence[str]
) -> tuple[MadeSheet, ...]:
    """Make the sheet of every device asked for, in these formats.

    Raises:
        RequestError: where names lead nowhere, or a format needs what is not installed.
    """
    return tuple(_make(subject, request, formats) for subject in find_subjects(library, request))


def _make(subject: Subject, request: SheetRequest, formats: Sequence[str]) -> MadeSheet:
    data: dict[str, bytes] = {}
    try:
        sheet = make_sheet(subject, replace(request, forms=tuple(formats)))
        remarks = list(sheet.remarks)
        for form in formats:
            written = write_sheet(sheet, form)
            remarks.extend(remark_losses(written.losses))
            data[form] = stamp(written.data, form)
    except FormatError as error:
        raise RequestError(str(error), error.remedy) from None
    return MadeSheet(subject, sheet, data, tuple(dict.fromkeys(remarks)))


def place_sheets(made: Sequence[MadeSheet], output: str | None) -> list[list[Output]]:
    """The files of each sheet: named as the output says, in its folder, or beside the caller.

    Raises:
        OutputError: where the output is named as a file of a library.
    """
    placed = []
    for one in made:
        files = []
        for form, data in one.data.items():
            suffix = SUFFIXES[form]
            path = read_path(output or f"{one.sheet.name}{suffix}")
            if output and is_folder(output):
                path = path / f"{one.sheet.name}{suffix}"
            elif output:
                judge_name(path, form)
                if len(made) > 1:
                    path = path.with_name(f"{path.stem}-{one.subject.device.id}{path.suffix}")
                if len(one.data) > 1 or not (path.suffix or path.exists()):
                    path = path.with_suffix(suffix)
            files.append(Output(path, data, form))
        placed.append(files)
    return placed
