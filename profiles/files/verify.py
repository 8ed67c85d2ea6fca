"""A library read as any other program would read it: by the published schemas alone.

The schemas serve editors; here `jsonschema`, an implementation of draft 2020-12, applies them to
the same files. What it refuses and the model does not would mislead the owner of the files.
"""

from collections.abc import Iterator

from profiles.files.documents import decode_text, read_bytes, read_document
from profiles.files.faults import FileFaultError
from profiles.files.library import LoadedLibrary
from profiles.files.locator import Locator
from profiles.files.schema import schemas
from profiles.files.validate import find_kind, is_ours
from profiles.model import SETTINGS_NAME, Place
from profiles.text.inert import escape_controls

LONGEST_MESSAGE = 200
"""Letters of a validator's message that are shown; it may quote a whole document."""


def verify_library(loaded: LoadedLibrary) -> Iterator[tuple[Place, str]]:
    """Apply the published schemas to every file of a library; yield where one refuses it, and why.

    What only our own reading refuses, since no schema can say it, is told as well.

    Files that are not in their format, or of no kind, are left to the check of the library.
    """
    from jsonschema import Draft202012Validator

    validators = {kind: Draft202012Validator(schema) for kind, schema in schemas().items()}
    for shown, path in loaded.paths.items():
        try:
            document = read_document(path)
            is_settings = path.name == SETTINGS_NAME
            if not is_settings and not is_ours(document.content):
                continue
            kind = "settings" if is_settings else find_kind(document.content)
            locator = Locator(decode_text(read_bytes(path)), document.format)
        except FileFaultError:
            continue
        errors = validators[kind].iter_errors(document.content)
        is_refused = False
        for error in sorted(errors, key=lambda error: error.json_path):
            is_refused = True
            region = locator.locate(tuple(error.absolute_path), "entry")
            place = Place(shown, *region) if region else Place(shown)
            yield place, escape_controls(error.message)[:LONGEST_MESSAGE]
        for problem in () if is_refused else loaded.problems:
            if problem.place is not None and problem.place.file == shown:
                yield problem.place, f"`check` alone refuses it: {problem.message}"
