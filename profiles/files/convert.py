"""A file turned into another of the three formats, with equal content.

Comments do not come along, and the notes say so; the comment by which editors find a file's
schema does.
"""

from dataclasses import dataclass
from pathlib import Path

from profiles.files.documents import (
    decode_text,
    find_foreign_values,
    find_format,
    parse_text,
    read_bytes,
)
from profiles.files.locator import Locator
from profiles.files.places import Format, Span
from profiles.files.write import find_schema, write_content
from profiles.text.inert import escape_controls
from profiles.text.prose import count


@dataclass(frozen=True, slots=True)
class Converted:
    """The text of the new file, and what the user should know."""

    text: str
    notes: tuple[str, ...]


def convert_file(path: Path, file_format: Format) -> Converted:
    """Return a file's content as another format.

    Raises:
        FileFaultError: where the file cannot be read, or holds what the formats do not share.
    """
    return convert_text(path, decode_text(read_bytes(path)), file_format)


def convert_text(path: Path, text: str, file_format: Format) -> Converted:
    """Return a text of a file, saved or not, as another format.

    Raises:
        FileFaultError: where it cannot be read, or holds what the formats do not share.
    """
    source = find_format(path)
    content = parse_text(text, source)
    for fault in find_foreign_values(content):
        if fault.code != "too-deep":
            fault.region = Locator(text, source).locate(fault.path, "value")
        raise fault
    schema = find_schema(text)
    lost = count_comments(text, source) - (schema is not None and file_format != "json")
    notes = []
    if lost:
        them = "is" if lost == 1 else "are"
        notes.append(
            f"{escape_controls(path.name)}: {count(lost, 'comment')} {them} not carried over"
        )
    return Converted(write_content(content, file_format, schema), tuple(notes))


def count_comments(text: str, file_format: Format) -> int:
    """Return the number of comments in a text that its parser has accepted."""
    if file_format == "json" or "#" not in text:
        return 0
    bare, at = [], 0
    for span in _list_words(text, file_format):
        bare.append(text[at : span.start])
        at = max(at, span.end)
    rest = "".join([*bare, text[at:]])
    return sum("#" in line for line in rest.splitlines())


def _list_words(text: str, file_format: Format) -> list[Span]:
    """Return the spans of all keys and scalars in their order: what is left holds the comments."""
    spans = Locator(text, file_format).spans
    holders = {path[:-1] for path in spans}
    scalars = {
        value
        for path, (_, value) in spans.items()
        if path not in holders and text[value.start : value.start + 1] not in ("[", "{")
    }
    return sorted(scalars | {key for key, _ in spans.values() if key})
