"""`platebook press learn`: input numbers made or corrected in the device file by pressing."""

import json
from difflib import unified_diff
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from profiles.cli.exits import Exit, Unusable
from profiles.cli.libraries import library_option, open_sound_library
from profiles.cli.output import note, show_path, write
from profiles.text.inert import escape_controls
from profiles.text.prose import count, join_words
from profiles.work.names import find_named

if TYPE_CHECKING:
    from profiles.files.edit import FileEditor
    from profiles.live.learn import Lesson
    from profiles.model import Device


@click.command(name="learn")
@click.argument("device")
@library_option
@click.option("--write", "is_written", is_flag=True, help="Put the numbers into the file.")
@click.option(
    "--recording",
    type=click.Path(path_type=Path),
    metavar="FILE",
    help="Where to record, or the recording to resume.  [default: DEVICE-learn.jsonl]",
)
@click.option(
    "--new", "fresh", is_flag=True, help="Start a new recording; do not resume the last one."
)
@click.option(
    "--from",
    "sources",
    type=click.Path(path_type=Path),
    metavar="FILE",
    multiple=True,
    help="Learn from this recording; no box is needed. May be given several times.",
)
@click.option("--which", type=click.IntRange(1), metavar="N", help="Which of identical boxes.")
@click.option("--lines", is_flag=True, help="Answer with words on lines, not single keys.")
@click.option("--json", "as_json", is_flag=True, help="Print what was learnt as JSON.")
def command(
    device: str,
    library_option: str | None,
    is_written: bool,
    recording: Path | None,
    fresh: bool,
    sources: tuple[Path, ...],
    which: int | None,
    lines: bool,
    as_json: bool,
) -> Exit:
    """Press every contact of DEVICE when asked, and see which input numbers its file should have.

    The difference is shown; the file changes only with --write, its comments kept.

    \b
      platebook press learn helm-desk
      platebook press learn helm-desk --from helm-desk-learn.jsonl --write
    """
    if sources and (recording is not None or fresh):
        raise click.UsageError("--from replays and records nothing; remove --recording and --new")
    from profiles.cli.press_conduct import TestOptions, run_press_test
    from profiles.cli.press_recordings import replay_recordings
    from profiles.live.learn import learn_inputs

    loaded = open_sound_library(library_option)
    found = find_named("device", device, loaded.library.devices)
    editor = _open_editor(loaded.sources[found.id].path)
    if sources:
        sessions = replay_recordings(found, sources).sessions
        observations = [one for session in sessions for one in session.observations]
    else:
        ways = TestOptions(
            f"{found.id}-learn", recording, fresh, which, lines=lines, detents=5, every=True
        )
        observations = list(run_press_test(found, ways).session.observations)
    lesson = learn_inputs(found, observations)
    before = editor.text
    _change(editor, found, lesson)
    write(_as_json(found, lesson) if as_json else _render(editor, before, lesson))
    _warn_of_numbering(found, lesson)
    if is_written and lesson.changes:
        _save(editor)
    elif lesson.changes:
        note("note: nothing is written yet; --write puts it into the file")
    return Exit.FINDINGS if lesson.clashes or lesson.open else Exit.FINE


def _open_editor(path: Path) -> "FileEditor":
    """Open the device's file, before anything is pressed in vain.

    Raises:
        Unusable: where it cannot be changed in place.
    """
    from profiles.files.edit import FileEditor
    from profiles.files.toml_edit import EditError

    try:
        return FileEditor.open(path)
    except EditError as error:
        raise Unusable(
            str(error), f"`platebook convert {show_path(path)} --to toml` writes it."
        ) from None


def _change(editor: "FileEditor", device: "Device", lesson: "Lesson") -> None:
    from profiles.files.toml_edit import EditError

    for change in lesson.changes:
        try:
            editor.set(change.path, change.new)
        except EditError as error:
            raise Unusable(f"`{escape_controls(device.id)}` cannot be changed: {error}") from None


def _warn_of_numbering(device: "Device", lesson: "Lesson") -> None:
    """Say where numbers would contradict those that the file's numbering gives the matrix."""
    if device.wiring.numbering is None:
        return
    against = [
        one
        for one in lesson.changes
        if one.contact.contact in device.controls[one.contact.control].crossing_by_contact
    ]
    if against:
        note(
            f"warning: {count(len(against), 'number')} would contradict `numbering` in the file; "
            f"`platebook press test {escape_controls(device.id)}` tells whether a wire is "
            "wrong instead"
        )


def _save(editor: "FileEditor") -> None:
    from profiles.files.save import SaveError
    from profiles.files.toml_edit import EditError

    try:
        editor.save()
    except (EditError, SaveError) as error:
        raise Unusable(str(error), "The file is as it was; the recording is kept.") from None
    note(f"written: {show_path(editor.path)}")


def _render(editor: "FileEditor", before: str, lesson: "Lesson") -> str:
    lines = [
        f"{count(len(lesson.changes), 'number')} to change, "
        f"{len(lesson.right)} right already, {len(lesson.open)} left open"
    ]
    lines += [f"open: {terminal}: {why}" for terminal, why in lesson.open]
    for number, terminals in lesson.clashes:
        named = join_words([str(one) for one in terminals])
        lines.append(f"clash: input {number} would be that of {named}")
    if before != editor.text:
        name = show_path(editor.path)
        old, new = before.splitlines(), editor.text.splitlines()
        lines += ["", *unified_diff(old, new, name, f"{name}, learnt", n=2, lineterm="")]
    return "\n".join(escape_controls(line) for line in lines)


def _as_json(device: "Device", lesson: "Lesson") -> str:
    plain: dict[str, Any] = {
        "format": 1,
        "device": device.id,
        "changes": [
            {"contact": str(one.contact), "old": one.old, "new": one.new, "path": list(one.path)}
            for one in lesson.changes
        ],
        "right": [str(one) for one in lesson.right],
        "open": [{"contact": str(one), "why": why} for one, why in lesson.open],
        "clashes": [
            {"input": number, "contacts": [str(one) for one in terminals]}
            for number, terminals in lesson.clashes
        ],
    }
    return json.dumps(plain, indent=2)
