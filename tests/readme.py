"""README.md taken apart: sections, and within them blocks of shell, TOML, Python or text.

A block is indented by four columns after an empty line, or fenced. A fence names its language;
what an indented block holds is told from its first word, and is TOML where no other sign is.
"""

import re
from collections.abc import Iterator
from dataclasses import dataclass

SHELL = re.compile(r"(\$ )?(platebook|mkdir|cd|cmd|pip|python3|\.)( |$)")
FENCES = {"bash": "shell", "sh": "shell", "console": "shell", "": "text"}


@dataclass(frozen=True)
class Block:
    """One block of code: its section's heading, its kind, its lines without indentation."""

    section: str
    kind: str
    text: str

    @property
    def lines(self) -> list[str]:
        """Its lines that are not empty, without a prompt."""
        return [line.removeprefix("$ ") for line in self.text.splitlines() if line.strip()]


def read_blocks(readme: str) -> list[Block]:
    """All blocks, in order."""
    return list(_find_blocks(readme.splitlines()))


def _find_blocks(lines: list[str]) -> Iterator[Block]:
    section, at = "", 0
    while at < len(lines):
        line = lines[at]
        end = at + 1
        if line.startswith("#"):
            section = line.lstrip("# ")
        elif line.startswith("```"):
            end = lines.index("```", at + 1)
            kind = line.removeprefix("```").strip()
            yield Block(section, FENCES.get(kind, kind), "\n".join(lines[at + 1 : end]))
            end += 1
        elif line.startswith("    ") and not lines[at - 1].strip():
            while end < len(lines) and (lines[end].startswith("    ") or not lines[end].strip()):
                end += 1
            text = "\n".join(inner[4:] for inner in lines[at:end]).strip("\n")
            yield Block(section, _guess_kind(text), text)
        at = end


def _guess_kind(text: str) -> str:
    if SHELL.match(text):
        return "shell"
    return "python" if text.startswith(("import ", "from ")) else "toml"


def find_spans(readme: str) -> list[str]:
    """The commands that stand in a sentence or a table, within backticks."""
    return re.findall(r"`(platebook [^`]+)`", readme)
