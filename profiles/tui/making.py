"""Files beside the sheets that the screen can write: changes, bundle, handover, session, firmware.

Each is what a command writes, made by the same functions. `File.ask` asks where it goes.
"""

from collections.abc import Callable
from datetime import date
from functools import partial
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import NamedTuple

from profiles.drawing.surface import FormatError
from profiles.files.bundle import BundleError, write_bundle
from profiles.files.faults import FileFaultError
from profiles.files.folder import read_path
from profiles.files.library import LoadedLibrary, load_library
from profiles.model import Library
from profiles.sheets.options import RequestError
from profiles.text.inert import escape_controls, file_name
from profiles.text.prose import count, join_words
from profiles.tui.dialogs import Ask, Read, ask_to_replace
from profiles.tui.frame import ScreenApp
from profiles.tui.printing import explain
from profiles.tui.session import Session
from profiles.work.outputs import Output, OutputError, write_outputs


class RefusedError(Exception):
    """Why a file cannot be made, and the way out."""


class Asked(NamedTuple):
    """What a file is made from, as it was when it was asked for, and where it goes."""

    folder: Path
    library: Library
    profile: str
    device: str
    target: Path
    is_replacing: bool = False


class File(NamedTuple):
    """One kind of file: its name, what it is, and how it is made."""

    name: str
    words: str
    target: str
    """Its default name, `{device}` and `{profile}` in it; a folder ends with a slash."""
    make: Callable[[Asked], list[str]]
    """Writes it, and returns what is told."""

    def ask(self, app: ScreenApp) -> None:
        """Ask where it goes, and write it off the screen's thread."""
        session = app.session
        name = self.target.format(
            device=file_name(session.device_id or "device"),
            profile=file_name(session.profile_id or "profile"),
        )
        start = f"{app.folder / 'sheets' / name}{'/' if name.endswith('/') else ''}"

        def take(found: dict[str, str]) -> None:
            target = read_path(found["where"].strip() or start)
            asked = (app.folder, session.library, session.profile_id, session.device_id, target)
            app.tell("Writing …")
            _start(app, self, Asked(*asked))

        hint = f"{self.words}. Enter writes it, Escape cancels."
        app.ask(Ask(self.name, {"where": start}, hint=hint), take)


class _Told(NamedTuple):
    """What became of it: sentences, or why it is refused and whether it may be replaced."""

    lines: list[str]
    may_replace: bool = False


def _start(app: ScreenApp, file: File, asked: Asked) -> None:
    """Write it off the screen's thread, and tell what became of it."""
    find, take = partial(_write, file, asked), partial(_tell, app, file, asked)
    app.compute(app.screen_stack[0], find, take, "write")


def _write(file: File, asked: Asked) -> _Told:
    try:
        return _Told(file.make(asked))
    except OutputError as error:
        return _Told([explain(error)], error.may_replace and not asked.is_replacing)
    except (RequestError, BundleError, FormatError) as error:
        return _Told([explain(error)])
    except (FileFaultError, RefusedError) as error:
        return _Told([escape_controls(str(error))])


def _tell(app: ScreenApp, file: File, asked: Asked, told: _Told) -> None:
    app.tell(told.lines[0] if told.lines else "Nothing to write.")
    if told.may_replace:
        again = asked._replace(is_replacing=True)
        ask_to_replace(app, told.lines[0], partial(_start, app, file, again))
    elif len(told.lines) > 1 and len(app.screen_stack) == 1:
        app.push_screen(Read(file.name, told.lines))


def _put(asked: Asked, outputs: list[Output], remarks: list[str] | None = None) -> list[str]:
    replaced = write_outputs(outputs, replace=asked.is_replacing)
    verb = "Replaced" if replaced and all(replaced) else "Written to"
    names = [escape_controls(str(one.path)) for one in outputs]
    some = join_words(names) if len(names) < 4 else f"{names[0]} and {len(names) - 1} more"
    return [f"{verb} {some}", *(remarks or [])]


def _today() -> str:
    return date.today().isoformat()


def _make_all(asked: Asked) -> list[str]:
    from profiles.work.every_sheet import name_request, print_all

    steps = list(
        print_all(asked.library, asked.target, date=_today(), replace_others=asked.is_replacing)
    )
    files = sum(len(step.files) for step in steps)
    words = f"{count(files, 'sheet')} written to {escape_controls(str(asked.target))}"
    return [words, *(f"{name_request(one.request)}: {one.problem}" for one in steps if one.problem)]


def _make_bundle(asked: Asked) -> list[str]:
    from profiles.work.bundling import gather_bundle

    bundle = gather_bundle(load_library(asked.folder), [asked.profile])
    told = _put(asked, [Output(asked.target, write_bundle(bundle), "zip")])
    return [f"{told[0]}; it holds {count(len(bundle.files), 'file')} as they are saved"]


def _make_page(asked: Asked) -> list[str]:
    from profiles.work.handing_over import choose_box, make_page

    box, links = choose_box(asked.library, asked.device)
    return _put(asked, [Output(asked.target, make_page(box, links, _today()), "html")])


def _make_booklet(asked: Asked) -> list[str]:
    from profiles.work.handing_over import choose_box, make_booklet

    box, links = choose_box(asked.library, asked.device)
    data, remarks = make_booklet(asked.library, box, links, date=_today())
    losses = [f"{one.kind}: {escape_controls(one.message)}" for one in remarks if one.is_loss]
    return _put(asked, [Output(asked.target, data, "pdf")], losses)


def _make_session(asked: Asked) -> list[str]:
    from profiles.sheets.session_steps import list_steps, print_session, report_session
    from profiles.sheets.writing import write_sheet

    if asked.profile not in asked.library.profiles:
        raise RefusedError("No profile binds this device.")
    link = asked.library.link(asked.profile)
    sheet = print_session(link, report_session(link, list_steps(link)), _today())
    return _put(asked, [Output(asked.target, write_sheet(sheet, "pdf").data, "pdf")])


def _make_firmware(asked: Asked) -> list[str]:
    from profiles.firmware import WRITERS, CannotBuildError, next_steps
    from profiles.wiring.boards import board_of, firmware_of

    device = asked.library.devices.get(asked.device)
    if device is None:
        raise RefusedError("There is no device to write firmware for.")
    board = board_of(asked.library, device)
    runs = firmware_of(board)
    if runs is None:
        raise RefusedError("No known board says which firmware it runs: name one in the wiring.")
    try:
        files = WRITERS[runs](device, board)
    except CannotBuildError as error:
        raise RefusedError(f"No firmware can be written: {'; '.join(error.problems)}") from None
    outputs = [Output(asked.target / name, text.encode()) for name, text in files.items()]
    return _put(asked, outputs, ["", "Next:", *next_steps(device, runs)])


def _make_changes(asked: Asked, *, labels: bool = False) -> list[str]:
    """What changed since the last commit, in words, and the sheets or labels that differ."""
    from profiles.files.revision import RevisionError, copy_revision
    from profiles.report.terminal import render_text
    from profiles.work.changes import find_changes, make_changed, make_changed_label_sheets
    from profiles.work.changes_report import report_changes

    with TemporaryDirectory(prefix="platebook-") as temporary:
        try:
            commit = copy_revision(asked.folder, "HEAD", Path(temporary))
        except RevisionError as error:
            raise RefusedError(explain(error)) from None
        old: LoadedLibrary = load_library(temporary)
        if old.problems:
            raise RefusedError(
                "The last commit has files that cannot be read; it cannot be compared."
            )
        changes = find_changes(old.library, asked.library)
        report = render_text(report_changes(asked.library, changes, f"HEAD ({commit[:10]})"))
        if labels:
            made = list(make_changed_label_sheets(old.library, asked.library, _today()))
        else:
            made = [
                (name, data)
                for name, sheet in make_changed(asked.library, changes.sheets, _today())
                for data in sheet.data.values()
            ]
    if not made:
        return ["Nothing to print again since the last commit.", "", *report.split("\n")]
    told = _put(asked, [Output(asked.target / name, data) for name, data in made])
    return [*told, "", *report.split("\n")]


FILES = (
    File("All sheets", "Every sheet of every device and profile", "all/", _make_all),
    File(
        "Changed sheets",
        "What changed since the last commit, and the sheets that differ",
        "changed/",
        _make_changes,
    ),
    File(
        "Changed labels",
        "The labels that differ since the last commit, to cut",
        "changed/",
        partial(_make_changes, labels=True),
    ),
    File("Bundle", "The profile with all it needs in one file", "{profile}.zip", _make_bundle),
    File(
        "Handover page",
        "A page to touch for somebody who did not build the box",
        "{device}-handover.html",
        _make_page,
    ),
    File(
        "Handover booklet",
        "A booklet to print: plate, cards, wiring, parts",
        "{device}-handover.pdf",
        _make_booklet,
    ),
    File(
        "Binding session",
        "The steps through the application's own settings page, to tick off",
        "{profile}-session.pdf",
        _make_session,
    ),
    File("Firmware", "The files of the board's firmware", "firmware/", _make_firmware),
)
"""Every kind of file, in the order in which the palette lists them."""


def list_files(session: Session) -> tuple[File, ...]:
    """The kinds of files that can be written of what is looked at."""
    return FILES if session.view.device is not None else ()
