"""`platebook rename`: a document's id changed with all that names it."""

import click

from profiles.cli.editing import offer_effects
from profiles.cli.libraries import library_option, open_sound_library
from profiles.work.names import find_named
from profiles.work.renaming import rename_document


@click.command(name="rename")
@click.argument("id_", metavar="ID")
@click.argument("new", metavar="NEW")
@library_option
@click.option("--write", "is_written", is_flag=True, help="Change the files.")
@click.option("--json", "as_json", is_flag=True, help="Print it as JSON.")
def command(
    id_: str, new: str, library_option: str | None, is_written: bool, as_json: bool
) -> None:
    """Give the device, application, profile, board or part ID the id NEW, wherever it is named.

    Shows which files change; --write does it. The document goes on in a file of its new id, and
    findings that you accepted stay accepted.

    \b
      platebook rename helm-desk bridge
      platebook rename helm-desk bridge --write
    """
    loaded = open_sound_library(library_option)
    find_named("document", id_, loaded.library.documents)
    offer_effects(
        loaded,
        lambda: rename_document(loaded.library, id_, new),
        is_written=is_written,
        as_json=as_json,
    )
