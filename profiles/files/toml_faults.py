"""What `tomllib` says of a broken text, in words for people who write the file."""

import re

from profiles.files.faults import FileFaultError
from profiles.files.places import Lines, Region
from profiles.text.inert import escape_controls

PLACED = re.compile(r" \(at (?:line (\d+), column (\d+)|end of document)\)$")

EXPLAINED = (
    ("Cannot overwrite a value", "repeated-key", "a key is a duplicate", "Remove one of the two"),
    (
        "Cannot declare",
        "repeated-key",
        "a table is opened twice",
        "Join the two tables under one header",
    ),
    (
        "Cannot mutate immutable",
        "repeated-key",
        "a key adds to a table that is complete",
        "Write all its keys in one place",
    ),
    (
        "Duplicate inline table key",
        "repeated-key",
        "a key is a duplicate",
        "Remove one of the two",
    ),
    ("Expected '=' after a key", "broken-syntax", "a key without `=`", "Write `key = value`"),
    (
        "Invalid value",
        "broken-syntax",
        "no value that TOML knows",
        "Put text in double quotes; write numbers with a point",
    ),
    (
        "Unterminated string",
        "broken-syntax",
        "a text without its closing quote",
        "Close the text with the quote it starts with",
    ),
    (
        "Expected newline or end of document after a statement",
        "broken-syntax",
        "something follows a complete entry",
        "Write one entry a line",
    ),
    (
        "Unclosed array",
        "broken-syntax",
        "a list without comma or closing bracket",
        "Part the members by commas and close the list with `]`",
    ),
    (
        "Unclosed inline table",
        "broken-syntax",
        "a table in braces without comma or closing brace",
        "Keep it on one line and close it with `}`",
    ),
    (
        "Unescaped '\\' in a string",
        "broken-syntax",
        "a lone backslash in a text",
        "Double the backslash, or use single quotes",
    ),
    (
        "Invalid initial character for a key part",
        "broken-syntax",
        "no key that TOML knows",
        "Put the key in double quotes",
    ),
    (
        "Illegal character",
        "broken-syntax",
        "a control character",
        'Write it as an escape within double quotes, such as "\\u0007"',
    ),
)


def explain_toml(text: str, error: ValueError) -> FileFaultError:
    """Return the fault for what `tomllib` raised over `text`."""
    said = str(error)
    region = _find_region(text, said)
    plain = PLACED.sub("", said)
    for start, code, what, remedy in EXPLAINED:
        if plain.startswith(start):
            message = what if code == "repeated-key" else f"TOML stops here: {what}"
            return FileFaultError(code, message, remedy, region)
    if "integer string conversion" in plain:
        return FileFaultError(
            "foreign-value", "a number beyond 64 bits stands here", "Write a smaller number"
        )
    message = f"TOML stops here: {escape_controls(plain).lower()}"
    return FileFaultError("broken-syntax", message, "Correct the TOML at this place", region)


def _find_region(text: str, said: str) -> Region | None:
    match = PLACED.search(said)
    if match is None:
        return None
    lines = Lines(text)
    if match[1] is None:
        return lines.point(len(text))
    return lines.point(lines.starts[int(match[1]) - 1] + int(match[2]) - 1)
