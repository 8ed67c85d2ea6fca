"""What the parsers of TOML and YAML say of a broken text, in words for people who write it."""

import re
import tomllib
from pathlib import Path

from profiles.files.faults import FileFaultError
from profiles.files.places import Lines, Region
from profiles.text.inert import escape_controls

EXPLAINED = Path(__file__).with_name("syntax_faults.toml")
"""Code, words and remedy by how the parser's message begins, under `toml` and `yaml`."""

PLACED = re.compile(r" \(at (?:line (\d+), column (\d+)|end of document)\)$")


def explain_syntax(language: str, said: str, region: Region | None) -> FileFaultError:
    """Return the fault for what the parser of `toml` or `yaml` said at a region."""
    known = tomllib.loads(EXPLAINED.read_text(encoding="utf-8"))[language]
    found = next((entry for entry in known if said.startswith(entry["start"])), None)
    stop = f"{language.upper()} stops here: "
    if found is None:
        plain = escape_controls(said.lower() if language == "toml" else said)
        remedy = f"Correct the {language.upper()} at this place"
        return FileFaultError("broken-syntax", stop + plain, remedy, region)
    message = found["what"] if found["code"] == "repeated-key" else stop + found["what"]
    return FileFaultError(found["code"], message, found["remedy"], region)


def explain_toml(text: str, error: ValueError) -> FileFaultError:
    """Return the fault for what `tomllib` raised over `text`."""
    said = str(error)
    if "integer string conversion" in said:
        return FileFaultError(
            "foreign-value", "a number beyond 64 bits stands here", "Write a smaller number"
        )
    match, lines, region = PLACED.search(said), Lines(text), None
    if match is not None:
        at = lines.starts[int(match[1]) - 1] + int(match[2]) - 1 if match[1] else len(text)
        region = lines.point(at)
    return explain_syntax("toml", PLACED.sub("", said), region)
