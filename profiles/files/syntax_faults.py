"""What the parsers of TOML and YAML say of a broken text, in words for people who write it."""

import re
import tomllib
from pathlib import Path

from profiles.files.faults import FileFaultError
from profiles.files.places import Lines, Region
from profiles.text.inert import escape_controls

EXPLAINED = Path(__file__).with_name("syntax_faults.toml")
"""Code, words and remedy by how the parser's message begins, under `toml` and `yaml`; under `line`
what people write for TOML, and what TOML knows instead."""

LONGEST_LINE = 200
"""Letters of a line that is still corrected as a whole."""

LINES_BACK = 5
"""Lines up to which a list or text that was not closed is looked for."""

COMMENT = re.compile(r"""\s*(#[^"']*)?$""")

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
        number = region.line
        for before in range(number, max(0, number - LINES_BACK), -1):
            if not _is_toml(lines.line(before)):  # else the line is fine, and one before goes on
                number = before
                break
        line = COMMENT.sub("", lines.line(number))
        if "Cannot" not in said and len(line) <= LONGEST_LINE:
            return _correct(number, line) or explain_syntax("toml", PLACED.sub("", said), region)
    return explain_syntax("toml", PLACED.sub("", said), region)


def _is_toml(line: str) -> bool:
    try:
        tomllib.loads(line)
    except ValueError:
        return False
    return True


def _correct(number: int, line: str) -> FileFaultError | None:
    """Return the fault of a line that TOML accepts once one or two known mistakes are corrected."""
    known = tomllib.loads(EXPLAINED.read_text(encoding="utf-8"))["line"]
    tried = []
    for entry in known:
        if not re.search(entry["find"], line):
            continue
        if "remedy" in entry:
            return _fault_of_line(number, line, "", entry)
        tried.append((entry, re.sub(entry["find"], entry["write"], line)))
        if _is_toml(tried[-1][1]):
            return _fault_of_line(number, line, tried[-1][1], entry)
    for entry, before in tried:
        for other in known:
            after = re.sub(other["find"], other.get("write", ""), before)
            if "write" in other and _is_toml(after):
                return _fault_of_line(number, line, after, entry)
    return None


def _fault_of_line(number: int, line: str, after: str, entry: dict[str, str]) -> FileFaultError:
    """Return the fault of a line, at the first letter that its correction changes."""
    same = _count_shared(line, after) if after else len(line) - len(line.split("=", 1)[-1].lstrip())
    remedy = entry.get("remedy") or f"Write `{escape_controls(after.strip())}`"
    same = min(same, len(line) - 1)
    end = max(same + 1, len(line) - _count_shared(line[same:][::-1], after[same:][::-1]))
    region = Region(number, same + 1, end + 1)
    return FileFaultError("broken-syntax", f"TOML stops here: {entry['what']}", remedy, region)


def _count_shared(one: str, other: str) -> int:
    """Return how many letters two texts begin with alike."""
    pairs = enumerate(zip(one, other, strict=False))
    return next((at for at, (a, b) in pairs if a != b), min(len(one), len(other)))
