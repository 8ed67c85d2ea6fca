"""`platebook explain`: codes, words of the trade, keys, commands and options; or the list."""

from collections.abc import Iterator, Mapping, Sequence

import click

from profiles.checks.glossary import Term
from profiles.cli.exits import Unusable
from profiles.cli.group import COMMANDS, walk_commands
from profiles.cli.meant import BELOW, MEANT
from profiles.cli.output import write_report
from profiles.files.keys import Key
from profiles.report.document import Block, Column, Facts, Paragraph, Report, Table
from profiles.text.finding import Page
from profiles.text.inert import escape_controls
from profiles.text.suggest import closest, fold


@click.command(name="explain", context_settings={"ignore_unknown_options": True})
@click.argument("words", nargs=-1, metavar="[WORD]...")
@click.option("--json", "as_json", is_flag=True, help="Print the page or list as JSON.")
def command(words: tuple[str, ...], as_json: bool) -> None:
    """Explain a finding's code, a word of the trade, a key, a command or an option.

    A code gives its page: what it means on a real box, and what to do. A word may be one that
    makers use, such as `debounce` or `encoder`. Without WORD, list every code.
    """
    from profiles.checks.codes import EVERY_CODE, find_page, read_pages
    from profiles.checks.glossary import find_term, list_spellings
    from profiles.files.keys import find_keys, list_keys

    if not words:
        columns = (Column("", "code"), Column("", "severity"), Column("", "title", wraps=True))
        rows = tuple((page.code, page.severity, page.title) for page in read_pages().values())
        write_report(Report("", (Table(columns, rows, key="pages"),)), as_json=as_json)
        return
    word = " ".join(words)
    if page := find_page(fold(word)):
        write_report(report_page(page), as_json=as_json)
        return
    term, keys = find_term(word), find_keys(word)
    commands, options = find_commands(word), find_options(word)
    if not (term or keys or commands or options):
        named = (name for key in list_keys() for name in (key.path, key.path.rpartition(".")[2]))
        meant = next(iter(MEANT.get(fold(word), ())), None)
        words = (*EVERY_CODE, *list_spellings(), *list_paths(), *named)
        if word.startswith("-"):
            words = tuple(name for _, one in walk_options() for name in one.opts)
        near = meant or closest(word, words)
        hint = f"Did you mean `{near}`?" if near else "Run `platebook explain` for the list."
        raise Unusable(f"`{escape_controls(word)}` is no code, word, key, command or option", hint)
    write_report(report_word(word.casefold(), term, keys, commands, options), as_json=as_json)


def list_paths() -> list[str]:
    """The words of every command, such as `print legend`, in order; imports none."""
    below = (f"{above} {name}" for above, names in BELOW.items() for name in names)
    return sorted([*COMMANDS, *below])


def find_commands(word: str) -> dict[str, str]:
    """Commands whose words end with this word, and what they do; imports no others."""
    ending = f"-{fold(word).removeprefix('platebook-')}"
    paths = [path for path in list_paths() if f"-{fold(path)}".endswith(ending)]
    groups = dict.fromkeys(path.split()[0] for path in paths if path not in COMMANDS)
    below = {
        path: context.command.get_short_help_str(200)
        for path, context in walk_commands(names=groups)
    }
    return {path: COMMANDS.get(path) or below[path] for path in paths}


def walk_options() -> Iterator[tuple[click.Context, click.Parameter]]:
    """Every option and argument with the context of its command."""
    return ((context, one) for _, context in walk_commands() for one in context.command.params)


def find_options(word: str) -> list[tuple[str, tuple[str, str]]]:
    """Options of this name: the words of the command, and what its help says of the option."""
    return [
        (context.command_path.removeprefix("platebook "), record)
        for context, one in (walk_options() if word.startswith("-") else ())
        if word in one.opts and (record := one.get_help_record(context))
    ]


def report_word(
    word: str,
    term: Term | None,
    keys: Sequence[Key],
    commands: Mapping[str, str],
    options: Sequence[tuple[str, tuple[str, str]]],
) -> Report:
    """What a word of a maker means: a term, and commands, options and keys of that name."""
    blocks: list[Block] = []
    if term:
        blocks.append(Facts({"term": term._asdict()}))
        blocks.append(Paragraph(term.meaning))
        if term.also:
            blocks.append(Paragraph(", ".join(term.also), "Also called"))
        if term.see:
            blocks.append(Paragraph(", ".join(term.see), "See also"))
    named = [{"name": path, "summary": summary} for path, summary in commands.items()]
    blocks.append(Facts({"commands": named}))
    for path, summary in commands.items():
        use = f"platebook {path} --help"
        blocks.append(Paragraph(f"{summary}\nRun `{use}` for its options.", "Command"))
    named_by = (
        *(Column("Command", "command"), Column("Option", "option")),
        Column("Meaning", "meaning", wraps=True),
    )
    lines = tuple((path, words, about) for path, (words, about) in options)
    blocks.append(Table(named_by, lines, key="options"))
    heads = (
        *(Column("Key", "key"), Column("Takes", "takes"), Column("Default", "default")),
        Column("Meaning", "meaning", wraps=True),
    )
    rows = tuple(
        (f"{key.kind}: {key.path}", key.takes, key.default, key.description) for key in keys
    )
    blocks.append(Table(heads, rows, key="keys"))
    return Report(term.word if term else word, tuple(blocks))


def report_page(page: Page) -> Report:
    """A page under its fixed headings."""
    parts = (
        ("What", page.what),
        ("Why it matters", page.why),
        ("Example", page.example),
        ("Remedy", page.remedy),
        ("Source", page.source),
        ("See also", ", ".join(page.see_also)),
    )
    return Report(
        f"{page.code} ({page.severity}): {page.title}",
        (
            Facts(page._asdict()),
            *(Paragraph(words, title, verbatim="\n" in words) for title, words in parts if words),
        ),
    )
