"""The pages of the manual that people wrote, taken apart into what a reader does, and done.

A reader does what stands in fences. `sh` holds commands; `text` right behind it is what they
print, where a line `...` stands for any lines. A fence behind "save this as `NAME`:" is a file to
write. `toml` without a name is a part of a file. Commands for a real box or a screen are not run
here, but every word of theirs must be understood.
"""

import difflib
import os
import re
import shlex
import subprocess
import sys
import sysconfig
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import NamedTuple

import click
from markdown_it import MarkdownIt

from profiles.cli.group import platebook
from tests.conftest import ROOT

DOCS = ROOT / "docs"
PAGES = sorted(
    path for path in DOCS.rglob("*.md") if "reference" not in path.relative_to(DOCS).parts
)
SAVE = re.compile(r"save this as `([^`]+)`:$", re.IGNORECASE)
SPAN = re.compile(r"`(platebook [^`]+)`")
ANY = "..."


class Step(NamedTuple):
    """What a reader does: `save` text under a name, `run` commands, or see the `part` of a file.

    Commands end with `code` and print `shown`, where the page shows it.
    """

    kind: str
    text: str
    name: str = ""
    code: int = 0
    shown: str | None = None


def read_steps(page: str) -> list[Step]:
    """Every fence of a page as a step, in order."""
    steps: list[Step] = []
    before, is_behind = "", False
    for token in MarkdownIt("commonmark").parse(page):
        if token.type == "inline":
            before, is_behind = token.content, False
        elif token.type == "heading_open":
            before = ""
        elif token.type == "fence":
            language, *rest = token.info.split()
            saved = SAVE.search(" ".join(before.split()))
            if language == "sh":
                code = int(rest[0].removeprefix("ends-with-")) if rest else 0
                steps.append(Step("run", token.content, code=code))
            elif saved:
                steps.append(Step("save", token.content, saved[1]))
            elif language == "text" and is_behind:
                steps[-1] = steps[-1]._replace(shown=token.content)
            else:
                assert language == "toml", f"what does a reader do with this? {token.content}"
                steps.append(Step("part", token.content))
            before, is_behind = "", language == "sh"
    return steps


def needs_a_box_or_screen(line: str) -> bool:
    """Whether a command waits for somebody who presses or types."""
    is_session = line.startswith("platebook session") and "--list" not in line
    return line.startswith("platebook open") or (
        (line.startswith("platebook press") and "--from" not in line)
        or (is_session and "--sheet" not in line)
    )


def understand(line: str) -> None:
    """Let the command line take a command apart; nothing is carried out."""
    context, words = click.Context(platebook), shlex.split(line)[1:]
    command: click.Command = platebook
    while isinstance(command, click.Group):
        found = command.get_command(context, words.pop(0))
        assert found is not None, line
        command = found
    command.make_context(line, words)


def check_span(span: str) -> None:
    """Hold a command within a sentence to commands and options that exist."""
    context, words = click.Context(platebook), span.split()[1:]
    command: click.Command = platebook
    while isinstance(command, click.Group) and words and words[0].islower():
        if words[0].startswith("-"):
            break
        found = command.get_command(context, words.pop(0))
        assert found is not None, span
        command = found
    assert command is not platebook or words[0] == "COMMAND", span
    known = {name for one in command.params for name in (*one.opts, *one.secondary_opts)}
    assert {word for word in words if word.startswith("--")} <= known | {"--help", "--version"}


def run_line(line: str, folder: Path) -> tuple[int, str]:
    """Run one command in a shell of its own that knows `platebook`; code, and all it prints."""
    tools = sysconfig.get_path("scripts")
    settings = {
        name: value for name, value in os.environ.items() if not name.startswith("PLATEBOOK_")
    }
    settings |= {"PATH": f"{tools}{os.pathsep}{os.environ['PATH']}", "PYTHONPATH": str(ROOT)}
    done = subprocess.run(
        ["sh", "-c", line],
        cwd=folder,
        env=settings,
        stdin=subprocess.DEVNULL,
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        text=True,
        check=False,
    )
    return done.returncode, done.stdout.replace(sys.executable, "python")


def follow(
    steps: list[Step], folder: Path, press: Callable[[str, Path], str] | None = None
) -> Iterator[str]:
    """Do every step in a folder and yield each way in which it is not as the page says.

    `press` runs a command for a real box and returns what it prints.
    """
    for step in steps:
        if step.kind == "save":
            (folder / step.name).parent.mkdir(parents=True, exist_ok=True)
            (folder / step.name).write_text(step.text, encoding="utf-8")
        if step.kind != "run":
            continue
        printed, code = "", 0
        for line in step.text.splitlines():
            if line.startswith("cd "):
                folder = folder / line.removeprefix("cd ")
                continue
            if needs_a_box_or_screen(line):
                understand(line)
                if press is None or step.shown is None:
                    continue
                printed += press(line, folder)
            else:
                code, words = run_line(line, folder)
                printed += words
            if code != step.code:
                yield f"`{line}` ends with {code}, not {step.code}:\n{printed}"
        if step.shown is not None and not is_shown(step.shown, printed):
            diff = difflib.unified_diff(
                step.shown.splitlines(), printed.splitlines(), "page", "program", lineterm=""
            )
            yield "\n".join([f"`{step.text.strip()}` prints something else:", *diff])


def is_shown(shown: str, printed: str) -> bool:
    """Whether a page shows what was printed; a line `...` stands for any lines."""
    lines = (
        r"(?:.*\n)*?" if line == ANY else re.escape(line.rstrip()) + r" *\n"
        for line in shown.splitlines()
    )
    return re.fullmatch("".join(lines), printed.rstrip("\n") + "\n") is not None
