"""`platebook explain`: the page of a finding's code, a key of a file, or the list of codes."""

import click

from profiles.cli.exits import Unusable
from profiles.cli.group import COMMANDS
from profiles.cli.output import write_report
from profiles.model.finding import Page
from profiles.report.document import Column, Facts, Paragraph, Report, Table
from profiles.text.inert import escape_controls
from profiles.text.suggest import closest


@click.command(name="explain")
@click.argument("code", required=False)
@click.option("--json", "as_json", is_flag=True, help="Print the page or list as JSON.")
def command(code: str | None, as_json: bool) -> None:
    """Explain what the finding CODE means on a real box, and what to do.

    CODE may also be a key of a file, such as `front`. Without CODE, list every code.
    """
    from profiles.checks.codes import EVERY_CODE, find_page, read_pages
    from profiles.files.keys import find_keys

    if code is not None:
        page = find_page(code)
        keys = [] if page or code in COMMANDS else find_keys(code)
        if keys:
            heads = (
                *(Column("Key"), Column("Takes"), Column("Default")),
                Column("Meaning", wraps=True),
            )
            found = tuple(
                (f"{key.kind}: {key.path}", key.takes, key.default, key.description) for key in keys
            )
            write_report(Report(code, (Table(heads, found, key="keys"),)), as_json=as_json)
            return
        if page is None:
            if code in COMMANDS:
                raise Unusable(f"`{code}` is a command", f"See `platebook {code} --help`.")
            near = closest(code, EVERY_CODE)
            hint = f"Did you mean `{near}`?" if near else "Run `platebook explain` for the list."
            raise Unusable(f"no finding has the code `{escape_controls(code)}`", hint)
        write_report(report_page(page), as_json=as_json)
        return
    columns = (Column("", "code"), Column("", "severity"), Column("", "title", wraps=True))
    rows = tuple((page.code, page.severity, page.title) for page in read_pages().values())
    write_report(Report("", (Table(columns, rows, key="pages"),)), as_json=as_json)


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
