"""`platebook press learn`: input numbers made or corrected in the device file by pressing."""

from typing import Unpack

import click

from profiles.cli.exits import Exit, Unusable
from profiles.cli.libraries import library_option, open_sound_library
from profiles.cli.output import note, show_path, write_report
from profiles.cli.press_running import Where, add_where, hear_tests
from profiles.files.edit import FileEditor
from profiles.files.save import SaveError
from profiles.files.toml_edit import EditError
from profiles.live.learn import learn_inputs
from profiles.text.inert import escape_controls
from profiles.work.press_learn import change_inputs, report_lesson, warn_of_numbering


@click.command(name="learn")
@click.argument("device")
@library_option
@click.option("--write", "is_written", is_flag=True, help="Put the numbers into the file.")
@click.option(
    "--name",
    metavar="NAME",
    help="Of a new box: the name people use.  [default: what it calls itself]",
)
@click.option(
    "--plate", metavar="220x120", help="Of a new box: width and height in mm.  [default: a grid's]"
)
@add_where("learn", "Learn from this recording")
@click.option("--json", "as_json", is_flag=True, help="Print what was learnt as JSON.")
def command(
    device: str,
    library_option: str | None,
    is_written: bool,
    name: str | None,
    plate: str | None,
    as_json: bool,
    **where: Unpack[Where],
) -> Exit:
    """Press every contact of DEVICE when asked, and see which input numbers its file should have.

    The difference is shown; the file changes only with --write, its comments kept.

    If DEVICE is no device of the library yet, its file is made from the box that is plugged in:
    work each control, type its name and its place on a grid. Kinds are found by what they do.

    \b
      platebook press learn helm-desk
      platebook press learn helm-desk --from helm-desk-learn.jsonl --write
      platebook press learn front-box --name "Front box"
    """
    loaded = open_sound_library(library_option)
    if device not in loaded.library.devices:
        if is_written:
            raise click.UsageError(
                "--write goes with a device of the library; a new one is written"
            )
        from profiles.cli.press_new import learn_new

        return learn_new(
            loaded,
            device,
            where,
            library_option=library_option,
            name=name,
            plate=plate,
            as_json=as_json,
        )
    if name is not None or plate is not None:
        raise click.UsageError("--name and --plate go with a new box")
    found = loaded.library.devices[device]
    path = loaded.sources[found.id].path
    editor = FileEditor.open(path, loaded.library)  # before anything is pressed in vain
    tests, is_recorded = hear_tests(found, "learn", where, detents=5, every=True)
    heard = [one for test in tests for one in test.session.observations]
    lesson = learn_inputs(found, heard)
    before = editor.text
    try:
        change_inputs(editor, found, lesson)
    except EditError as error:
        raise Unusable(f"`{escape_controls(found.id)}` cannot be changed: {error}") from None
    write_report(report_lesson(found, lesson, before, editor), as_json=as_json)
    warning = warn_of_numbering(found, lesson)
    if warning and is_written:
        raise Unusable(warning, "Nothing is written; remove `numbering` to number by hand.")
    if warning:
        note(f"warning: {warning}")
    if is_written and lesson.changes:
        try:
            editor.save()
        except (EditError, SaveError) as error:
            raise Unusable(str(error), "The file is as it was; the recording is kept.") from None
        note(f"written: {show_path(editor.path)}")
    elif lesson.changes and not warning:
        note("note: nothing is written yet; --write puts it into the file")
    if not is_recorded:
        return Exit.UNUSABLE
    return Exit.FINDINGS if lesson.clashes or lesson.open else Exit.FINE
