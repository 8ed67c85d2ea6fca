"""`platebook explain`: the page of a finding's code, or the list of all codes."""

import json

import click

from profiles.cli.exits import Unusable
from profiles.cli.output import COLOURS, is_colour_wanted, paint, write
from profiles.model.finding import Page
from profiles.text.inert import escape_controls


@click.command(name="explain")
@click.argument("code", required=False)
@click.option("--json", "as_json", is_flag=True, help="Print the page or list as JSON.")
def command(code: str | None, as_json: bool) -> None:
    """Tell what the finding CODE means on a real box, and what to do.

    Without CODE, list every code.
    """
    from profiles.api import finding_pages

    pages = finding_pages()
    if code is None:
        write(_list_json(pages) if as_json else _list_text(pages))
        return
    page = pages.get(code)
    if page is None:
        raise _unknown(code, pages)
    write(json.dumps(page._asdict(), indent=2) if as_json else render_page(page))


def render_page(page: Page) -> str:
    """A page as plain text under its fixed headings."""
    import sys

    colour = is_colour_wanted(sys.stdout)
    severity = paint(page.severity, colour=COLOURS[page.severity], on=colour)
    parts = [f"{paint(page.code, strong=True, on=colour)} ({severity}): {page.title}"]
    headings = (
        ("What", page.what),
        ("Why it matters", page.why),
        ("Example", page.example),
        ("Remedy", page.remedy),
        ("Source", page.source),
    )
    parts.extend(
        f"{paint(heading, strong=True, on=colour)}\n{_indent(text)}"
        for heading, text in headings
        if text
    )
    return "\n\n".join(parts)


def _indent(text: str) -> str:
    import textwrap

    if "\n" in text:
        return textwrap.indent(textwrap.dedent(text).strip("\n"), "  ")
    return textwrap.fill(text, 88, initial_indent="  ", subsequent_indent="  ")


def _list_text(pages: dict[str, Page]) -> str:
    wide = max(map(len, pages))
    return "\n".join(
        f"{code:<{wide}}  {page.severity:<7}  {page.title}" for code, page in pages.items()
    )


def _list_json(pages: dict[str, Page]) -> str:
    return json.dumps([page._asdict() for page in pages.values()], indent=2)


def _unknown(code: str, pages: dict[str, Page]) -> Unusable:
    from profiles.text.suggest import closest

    near = closest(code, pages)
    hint = f"Did you mean `{near}`?" if near else "Run `platebook explain` for the list."
    return Unusable(f"no finding has the code `{escape_controls(code)}`", hint)
