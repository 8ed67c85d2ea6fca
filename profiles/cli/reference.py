"""The reference part of the manual: `python -m profiles.cli.reference docs/reference` renews it.

Every command, option, key, code, board, part and word of the trade, as Markdown, from the same data
as `--help`, `check`, `explain` and the schemas. A test holds the pages in the tree to it.
"""

import re
import sys
from collections.abc import Iterable, Iterator, Mapping
from importlib import import_module
from pathlib import Path
from typing import cast

import click

from profiles.checks.codes import EVERY_CODE, FAMILIES, read_family
from profiles.checks.glossary import read_glossary
from profiles.cli.group import walk_commands
from profiles.files.keys import Key, find_keys, list_keys
from profiles.files.starters import StarterKind, starter
from profiles.model import Board, Page
from profiles.plan.layout import stock_parts
from profiles.wiring.boards import packaged_boards

RENEW = "python -m profiles.cli.reference docs/reference"
"""What writes the pages again after a change of the data."""

NOTE = f"<!-- Made by `{RENEW}`. Change the data it is made from, not this page. -->"

COMMANDS = """\
Every command and every option, as `platebook COMMAND --help` prints them. Words in capitals stand
for something of yours; what is in brackets may be absent.

Exit codes: 0 fine; 1 findings at or above the chosen severity, or something left to do; 2 files
that cannot be used, or a wrong call; 3 a fault of Platebook itself; 130 stopped by hand.

Settings from the environment: `PLATEBOOK_LIBRARY` names the library's folder; `PLATEBOOK_CONFIG`
the folder in which the screen remembers its look, and `PLATEBOOK_CACHE` that in which checks are
remembered, both empty for none; `NO_COLOR` turns colours off,
`FORCE_COLOR` keeps them where no terminal reads; `PLATEBOOK_TRACEBACK=1` shows where a fault of
Platebook itself is."""

FINDINGS = """\
What `platebook check` can find, by family. Each code has a default severity, which the
[settings](settings.md) can change. `platebook explain CODE` prints the same page."""

KEYS = """\
Every key of this kind of file. `*` stands for a name of yours. A key is optional unless it says
"required". Lengths are in mm, angles in degrees, times in ms, currents in mA unless a key says
otherwise. `platebook explain KEY` prints the same."""

BOARDS = """\
The boards that come with Platebook. A device names one with `wiring.board`. A board of your own is
one more file of the library: `platebook new board ID` starts it, and its keys are those of a
[board file](board.md). `platebook boards --device ID` shows which pins a device leaves free."""

PARTS = """\
The parts that `platebook new device` can lay out with `--grid` and `--row`. Rule of thumb: measure
your own parts, or print a coupon, before you drill. A part of your own is a file of the library:
`platebook new part ID` starts it, and its keys are those of a [part file](part.md)."""

SETTINGS = """\
# platebook.toml, at the top of the library's folder.

format = 1

[severity]
number-gap = "off"           # hide all findings of this code
contrast-low = "error"       # or take them more seriously

[[accept]]                   # hide one finding, with the reason
code = "contact-idle"
subject = "helm-desk:controls.mark"
reason = "Kept for the next application."

[printing]
measured = [99.2, 99.5]      # what 100 mm across and up measured on a print"""

SCREEN = """\
What each key does on the screen that `platebook open` shows. Everything works by mouse as well. F1
shows the keys of the view that you are in. Everything can be done without the screen: the commands
read and write plain text, which suits screen readers."""

GLOSSARY = """\
The words of the trade with what Platebook means by them. `platebook explain WORD` prints the
same."""


def render_reference() -> dict[str, str]:
    """The text of each page, by the name of its file."""
    kinds = dict.fromkeys(key.kind for key in list_keys())
    pages = {
        "commands.md": _page("Commands", COMMANDS, _render_commands()),
        "findings.md": _page("Findings", FINDINGS, _render_findings()),
        "boards.md": _page("Boards", BOARDS, map(_render_board, packaged_boards().values())),
        "parts.md": _page("Parts", PARTS, ["\n".join(_list_parts())]),
        "screen.md": _page("Keys of the screen", SCREEN, _render_screen()),
        "glossary.md": _page("Glossary", GLOSSARY, _render_terms()),
    }
    for kind in kinds:
        keys = [key for key in list_keys() if key.kind == kind]
        title = "The settings file" if kind == "settings" else f"{kind.capitalize()} files"
        pages[f"{kind}.md"] = _page(title, KEYS, [*_show_example(kind), *_render_keys(keys)])
    return pages


def _page(title: str, about: str, sections: Iterable[str]) -> str:
    return "\n\n".join([f"# {title}", NOTE, about, *sections]) + "\n"


def _plain(words: str) -> str:
    """Words of the data as they stand, whatever signs of Markdown they hold outside backticks."""
    pieces = words.split("`")
    pieces[::2] = [re.sub(r"([\\*]|<(?=[\w/!?]))", r"\\\1", piece) for piece in pieces[::2]]
    return "`".join(pieces)


def _fence(text: str) -> str:
    return f"```text\n{text}\n```"


def _render_commands() -> Iterator[str]:
    for path, context in walk_commands():
        found = context.command
        yield f"{'#' * (2 + path.count(' '))} platebook {path}"
        paragraphs = (found.help or "").replace(sys.executable, "python").split("\n\n")
        for paragraph in paragraphs:
            if "\b" in paragraph:
                yield _fence("\n".join(line.strip() for line in paragraph.split("\n")[1:]).strip())
            else:
                yield _plain(" ".join(paragraph.split()))
        yield _fence(" ".join([context.command_path, *found.collect_usage_pieces(context)]))
        if isinstance(found, click.Group):
            names = found.list_commands(context)
            yield "\n".join(f"- [{path} {name}](#platebook-{path}-{name})" for name in names)
        records = (one.get_help_record(context) for one in found.params)
        options = [one for one in records if one is not None and one[1]]
        if options:
            yield _list_lines(
                {words: re.sub(r"  \[([^]]+)\]", r" (\1)", about) for words, about in options}
            )


def _render_findings() -> Iterator[str]:
    for family in FAMILIES:
        yield f"## {family.capitalize()}"
        for page in read_family(family).values():
            yield from _render_finding(page)


def _render_finding(page: Page) -> Iterator[str]:
    yield f"### {page.code}"
    yield f"**{_plain(page.title)}.** Severity: {page.severity}."
    yield _plain(page.what)
    yield f"Why it matters: {_plain(page.why)}"
    yield f"Example:\n\n{_fence(page.example)}"
    yield f"Remedy: {_plain(page.remedy)}"
    if page.source:
        yield f"Source: {_plain(page.source)}"
    if page.see_also:
        yield f"See also: {', '.join(f'[{code}](#{code})' for code in page.see_also)}."


def _show_example(kind: str) -> Iterator[str]:
    """A whole file of a kind, as `platebook new` starts it; of settings, a short one."""
    names = {"id": "example", "name": "Example"}
    if kind == "profile":
        names |= {"application": "ferry", "device": "pocket"}
    yield "## An example"
    text = SETTINGS if kind == "settings" else starter(cast(StarterKind, kind), **names)
    yield f"```toml\n{text.strip()}\n```"


def _render_keys(keys: Iterable[Key]) -> Iterator[str]:
    tables: dict[str, list[str]] = {}
    for key in keys:
        table, _, name = key.path.rpartition(".")
        takes = key.takes + (", required" if key.needed else "")
        default = f" Default: `{key.default}`." if key.default else ""
        line = f"- `{name}`: {_plain(takes)}. {_plain(key.description)}{default}"
        tables.setdefault(table, []).append(line)
    for table, lines in tables.items():
        yield f"## `{table}`" if table else "## Top of the file"
        yield "\n".join(lines)


def _render_board(board: Board) -> str:
    """One board with its limits, their sources and its pins."""
    limits = board.limits
    facts = [
        f"Supply of its pins: {board.supply:g} V.",
        f"At most {limits.pin:g} mA per pin and {limits.board:g} mA for all pins together.",
        f"Source: {_plain(limits.source)}.",
        *([f"Firmware: `{board.board.firmware}`."] if board.board.firmware else []),
        *([_plain(board.board.note)] if board.board.note else []),
    ]
    pins = [
        f"- `{pin}` ({chip}): {', '.join(board.abilities(pin))}"
        + (f". {_plain(board.notes[pin])}" if pin in board.notes else "")
        for pin, chip in board.pins.items()
    ]
    return "\n\n".join([f"## {board.id}", f"{board.name}. {' '.join(facts)}", "\n".join(pins)])


def _list_parts() -> Iterator[str]:
    for name, part in stock_parts().items():
        yield f"- `{name}`: {part['name']}. Hole {part['hole']:g} mm, front {part['front']:g} mm."


def _render_screen() -> Iterator[str]:
    """Each view with its keys, then the keys of every view."""
    from profiles.tui.app import PlatebookApp
    from profiles.tui.frame import VIEWS
    from profiles.tui.help import list_keys
    from profiles.tui.plate_canvas import PlateCanvas

    for name, title in VIEWS.items():
        pane = getattr(import_module(f"profiles.tui.{name}_pane"), f"{title}Pane")()
        yield f"## {title}"
        yield _plain(pane.hint)
        yield _list_lines(list_keys(pane))
    yield "## Every drawing of a plate"
    yield _list_lines(list_keys(PlateCanvas()))
    yield "## Everywhere"
    yield _list_lines(list_keys(PlatebookApp(Path(), watch=False)))


def _list_lines(meanings: Mapping[str, str]) -> str:
    """A list of words in code, each with what it means."""
    return "\n".join(f"- `{words}`: {_plain(about)}" for words, about in meanings.items())


def _render_terms() -> Iterator[str]:
    for term in read_glossary().values():
        yield f"## {term.word}"
        yield _plain(term.meaning)
        if term.also:
            yield f"Also called: {', '.join(term.also)}."
        if term.see:
            yield f"See also: {', '.join(map(_link, term.see))}."


def _link(word: str) -> str:
    """A link to the page of a code, a term or a key."""
    if word in EVERY_CODE:
        return f"[{word}](findings.md#{word})"
    if word in read_glossary():
        return f"[{word}](#{word})"
    return f"[`{word}`]({find_keys(word)[0].kind}.md)"


def main() -> None:
    """Write the pages into the folder that is named."""
    folder = Path(sys.argv[1])
    folder.mkdir(parents=True, exist_ok=True)
    for name, text in render_reference().items():
        (folder / name).write_text(text, encoding="utf-8", newline="\n")


if __name__ == "__main__":
    main()
