"""A new device file from a box that is plugged in: `platebook press learn NEW-ID`."""

import gc
import os
import sys
from pathlib import Path

from profiles.cli.exits import Exit, Unusable
from profiles.cli.libraries import find_folder
from profiles.cli.output import note, show_path, write_report
from profiles.cli.press_keys import END, Keys, LineKeys
from profiles.cli.press_running import Where, is_replay
from profiles.cli.press_status import TerminalStatusLine
from profiles.files.library import LoadedLibrary
from profiles.files.save import SaveError, create_file
from profiles.files.starters import StarterError, check_id
from profiles.live.discovery import Discovery
from profiles.live.events import LiveError
from profiles.plan.layout import LayoutError, read_pitch
from profiles.text.inert import escape_controls
from profiles.text.suggest import closest
from profiles.work.press import find_series, run_press_test
from profiles.work.press_boxes import open_reader
from profiles.work.press_new import (
    LiveDiscovery,
    begin_discovery,
    choose_new_box,
    find_discovery,
    replay_discovery,
    report_discovery,
    write_device,
)


def learn_new(
    loaded: LoadedLibrary,
    device: str,
    where: Where,
    *,
    library_option: str | None,
    name: str | None,
    plate: str | None,
    as_json: bool,
) -> Exit:
    """Name the controls of a box without a file, and write its file.

    Raises:
        Unusable: if the id or the file is taken, or the file cannot be written.
        LiveError: if there is no such box or recording.
    """
    path = _find_place(loaded, device, library_option)
    size = None
    if plate is not None:
        try:
            size = read_pitch(plate)
        except LayoutError:
            words = f"`{escape_controls(plate)}` is no size of a plate in mm"
            raise Unusable(words, "Write it such as 220x120.") from None
    if is_replay(where):
        if len(where["sources"]) > 1:
            raise Unusable("a new box is learnt from one recording", "Give --from once.")
        discovery = replay_discovery(device, where["sources"][0])
    else:
        near = closest(device, loaded.library.devices)
        note(
            f"no device `{escape_controls(device)}` yet: it is described from the box"
            + (f"; type stop if you meant `{near}`" if near else "")
        )
        discovery = _converse(loaded, device, where)
    if not discovery.controls or (discovery.phase != "finished" and not where["sources"]):
        return Exit.UNUSABLE
    try:
        text = write_device(discovery, device, name and escape_controls(name), size)
        create_file(path, text.encode())
    except ExceptionGroup as group:
        raise Unusable("\n  ".join(str(one) for one in group.exceptions)) from None
    except SaveError as error:
        raise Unusable(str(error), "The recording is kept: --from takes it.") from None
    write_report(report_discovery(discovery, device, path), as_json=as_json)
    note(f"written: {show_path(path)}")
    note(f"now `platebook check`, then `platebook press test {escape_controls(device)}`")
    return Exit.FINE


def _find_place(loaded: LoadedLibrary, device: str, library_option: str | None) -> Path:
    """Where the file goes; before anything is pressed in vain."""
    shown = escape_controls(device)
    try:
        check_id("id", device)
    except StarterError as error:
        raise Unusable(str(error)) from None
    taken = loaded.sources.get(device)
    if taken is not None:
        raise Unusable(f"`{shown}` is no device, but {taken.shown}", "Choose another id.")
    path = find_folder(library_option) / f"{device}.toml"
    if os.path.lexists(path):
        raise Unusable(
            f"{show_path(path)} is there already, and is left as it is", "Choose another id."
        )
    return path


def _converse(loaded: LoadedLibrary, device: str, where: Where) -> Discovery:
    """Name one control after another at the box, to the end or until the person stops."""
    path, resumed = where["recording"], None
    if path is None:
        path, resumed = find_discovery(device)
        if where["fresh"]:
            path, resumed = find_series(f"{device}-learn")[1], None
    elif path.exists() and not where["fresh"]:
        resumed = replay_discovery(device, path)
        if resumed.phase == "finished":
            raise Unusable(
                f"{show_path(path)} is finished",
                f"Write its file with --from {show_path(path)}, or start again with --new.",
            )
    reader = open_reader(resumed.time if resumed else 0.0)
    try:
        box = choose_new_box(
            reader.devices(), tuple(loaded.library.devices.values()), where["which"]
        )
    except LiveError:
        reader.close()
        raise
    run = begin_discovery(device, path, reader, box, resumed)
    again = f"note: stopped; run the same command again to resume {show_path(path)}"
    try:
        talk(run, open_typed())
    except KeyboardInterrupt:
        note(again)
        raise
    if run.trouble is not None:
        note(f"platebook: {run.trouble.message}\n  {run.trouble.advice}")
    if run.discovery.phase != "finished":
        note(again)
    return run.discovery


def open_typed() -> Keys:
    """What the person types, line by line, with its capitals."""
    return LineKeys(sys.stdin, as_typed=True)


def talk(run: LiveDiscovery, keys: Keys) -> None:
    """Show, listen and take what is typed until it is over, then close the run."""
    gc.enable()  # the command line turns it off, for runs that end at once
    status = TerminalStatusLine(by_line=True)

    def take_words(timeout: float) -> None:
        words = keys.next(timeout)
        if words == END:
            run.stop()
        elif words is not None and (said := run.say(words)):
            status.say(*said)

    try:
        status.say(*run.greeting)
        run_press_test(run, take_words, status)
    finally:
        status.end()
        keys.close()
