"""`platebook delete`: a document deleted, told what then leads nowhere."""

import click

from profiles.cli.editing import offer_effects
from profiles.cli.libraries import library_option, open_sound_library
from profiles.work.names import find_named
from profiles.work.renaming import delete_document


@click.command(name="delete")
@click.argument("id_", metavar="ID")
@library_option
@click.option("--write", "is_written", is_flag=True, help="Delete the file.")
@click.option("--json", "as_json", is_flag=True, help="Print it as JSON.")
def command(id_: str, library_option: str | None, is_written: bool, as_json: bool) -> None:
    """Delete the device, application, profile, board or part ID.

    Shows what names it and would lead nowhere; --write deletes its file, and that alone.

    \b
      platebook delete helm-desk
      platebook delete helm-desk --write
    """
    loaded = open_sound_library(library_option)
    find_named("document", id_, loaded.library.documents)
    offer_effects(
        loaded,
        lambda: delete_document(loaded.library, id_),
        is_written=is_written,
        as_json=as_json,
    )
