"""`platebook explain`: the page of a code, a word of the trade, a key or a command; or the list."""

import click

from profiles.checks.glossary import Term
from profiles.cli.exits import Unusable
from profiles.cli.group import COMMANDS
from profiles.cli.output import write_report
from profiles.files.keys import Key
from profiles.model.finding import Page
from profiles.report.document import Block, Column, Facts, Paragraph, Report, Table
from profiles.text.inert import escape_controls
from profiles.text.suggest import closest


@click.command(name="explain")
@click.argument("words", nargs=-1, metavar="[WORD]...")
@click.option("--json", "as_json", is_flag=True, help="Print the page or list as JSON.")
def command(words: tuple[str, ...], as_json: bool) -> None:
    """Explain a finding's code, a word of the trade, a key or a command.

    A code gives its page: what it means on a real box, and what to do. A word may be one that
    makers use, such as `debounce` or `encoder`. Without WORD, list every code.
    """
    from profiles.checks.codes import EVERY_CODE, find_page, read_pages
    from profiles.checks.glossary import list_spellings
    from profiles.files.keys import find_keys

    if not words:
        columns = (Column("", "code"), Column("", "severity"), Column("", "title", wraps=True))
        rows = tuple((page.code, page.severity, page.title) for page in read_pages().values())
        write_report(Report("", (Table(columns, rows, key="pages"),)), as_json=as_json)
        return
    word = " ".join(words)
    if page := find_page(word):
        write_report(report_page(page), as_json=as_json)
        return
    spellings = list_spellings()
    folded = word.casefold()
    term = next((spellings[form] for form in (folded, folded[:-1]) if form in spellings), None)
    keys = find_keys(word)
    if not (term or keys or folded in COMMANDS):
        near = closest(word, (*EVERY_CODE, *spellings, *COMMANDS))
        hint = f"Did you mean `{near}`?" if near else "Run `platebook explain` for the list."
        raise Unusable(f"`{escape_controls(word)}` is no code, word, key or command", hint)
    write_report(report_word(folded, term, keys), as_json=as_json)


def report_word(word: str, term: Term | None, keys: list[Key]) -> Report:
    """What a word of a maker means: a term, a command of that name, keys of that name."""
    blocks: list[Block] = []
    if term:
        blocks.append(Facts({"term": term._asdict()}))
        blocks.append(Paragraph(term.meaning))
        if term.also:
            blocks.append(Paragraph(", ".join(term.also), "Also called"))
        blocks.append(Paragraph(", ".join(term.see), "See also"))
    if word in COMMANDS:
        use = f"platebook {word} --help"
        blocks.append(Facts({"command": {"name": word, "summary": COMMANDS[word]}}))
        blocks.append(Paragraph(f"{COMMANDS[word]}\nRun `{use}` for its options.", "Command"))
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
