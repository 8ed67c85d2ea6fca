"""A report as one HTML file that needs nothing else: no network, no script, light and dark, print.

Everything a report says goes through `text`, which makes it harmless; only `element` and the page
itself write markup. The page forbids itself everything but its own style (Content Security Policy,
`default-src 'none'` and the style's SHA-256), so even a mistake here could load or run nothing.
"""

from base64 import b64encode
from hashlib import sha256

from profiles.report.document import (
    Block,
    Cautions,
    Figure,
    Heading,
    Paragraph,
    Report,
    Table,
    Words,
    list_spans,
)
from profiles.text.inert import escape_controls, xml_attribute, xml_text

MOST_SIDE_BY_SIDE = 3
"""Columns of a table that a phone shows side by side; of a wider one it shows rows as cards."""
LONGEST_SHORT = 20
"""Words of so many letters stay on one line of a wide table."""


class Html(str):
    """Markup that is safe to put into a page."""

    __slots__ = ()


def text(words: str) -> Html:
    """Words as content of an element; controls and direction marks are shown, never obeyed."""
    return Html(xml_text(escape_controls(words)))


def element(name: str, *children: Html | str, **attributes: str) -> Html:
    """An element; plain strings among its children are made harmless. `class_` writes `class`."""
    written = "".join(
        f' {key.rstrip("_").replace("_", "-")}="{xml_attribute(escape_controls(value))}"'
        for key, value in attributes.items()
    )
    inside = join(*children)
    return Html(f"<{name}{written}>{inside}</{name}>")


def join(*children: Html | str) -> Html:
    """Children one after the other."""
    return Html("".join(one if isinstance(one, Html) else text(one) for one in children))


def render_page(report: Report) -> str:
    """The whole page: title, subtitle, then the blocks; two tables stand side by side."""
    head = [element("h1", report.title)]
    head += [element("p", report.subtitle)] if report.subtitle else []
    blocks = [_write_block(report, block, at) for at, block in enumerate(report.blocks)]
    inside = [element("header", *head), *(block for block in blocks if block)]
    widths = [len(table.list_beside()[0]) for table in report.tables]
    if len(inside) == 3 and len(widths) == 2 and max(widths) <= MOST_SIDE_BY_SIDE:
        inside[1:] = [element("div", *inside[1:], class_="pair")]
    digest = b64encode(sha256(STYLE.encode("utf-8")).digest()).decode("ascii")
    policy = f"default-src 'none'; style-src 'sha256-{digest}'; base-uri 'none'; form-action 'none'"
    meta = (
        '<meta charset="utf-8">\n'
        f'<meta http-equiv="Content-Security-Policy" content="{policy}">\n'
        '<meta name="viewport" content="width=device-width, initial-scale=1">\n'
        '<meta name="color-scheme" content="light dark">\n'
        f"<title>{text(report.title)}</title>\n<style>{STYLE}</style>"
    )
    return (
        f'<!DOCTYPE html>\n<html lang="en">\n<head>\n{meta}\n</head>\n'
        f"<body>\n<main>\n{join(*inside)}\n</main>\n</body>\n</html>\n"
    )


def _write_block(report: Report, block: Block, number: int) -> Html:
    if isinstance(block, Table):
        return _write_table(report, block, f"table-{number}") if block.rows else Html()
    if isinstance(block, Heading):
        return element("h2", _write_words(block.words))
    if isinstance(block, Paragraph):
        parts = [element("pre" if block.verbatim else "p", _write_words(block.words))]
        if isinstance(block.words, str) and not block.verbatim:
            parts = [element("p", line) for line in block.words.split("\n")]
        if block.title:
            return element("section", element("h2", block.title), *parts)
        return join(*parts)
    if isinstance(block, Figure):
        from profiles.drawing.document import Page
        from profiles.drawing.geometry import moved
        from profiles.drawing.svg import write_svg

        bounds = block.drawing.ink_bounds()
        if bounds is None:
            return element("p", block.words)
        placed = block.drawing.transformed(moved(-bounds.left, -bounds.bottom))
        picture = write_svg(Page(bounds.width, bounds.height, placed), title=block.words)
        drawn = Html(picture.data.decode("utf-8").partition("?>")[2])
        return element("figure", drawn, element("figcaption", block.words))
    if isinstance(block, Cautions):
        from profiles.drawing.cautions import CLOSING

        lines = [
            element("p", element("strong", f"{caution.heading}. "), caution.words)
            for caution in block.cautions
        ]
        return element("section", *lines, element("p", CLOSING), class_="cautions")
    return Html()


def _write_words(words: Words) -> Html:
    """Words with their tones as classes; line ends are kept."""
    found = []
    for span in list_spans(words):
        lines = Html("\n".join(map(text, span.words.split("\n"))))
        found.append(element("span", lines, class_=span.tone) if span.tone else lines)
    return join(*found)


def _write_table(report: Report, table: Table, name: str) -> Html:
    """A table under its title; one of many columns becomes cards where the screen is narrow."""
    columns, shown = table.list_beside()
    is_wide = len(columns) > MOST_SIDE_BY_SIDE
    heads = [
        element(
            "th",
            column.heading,
            scope="col",
            role="columnheader",
            class_=f"{column.align} short" if is_wide else column.align,
        )
        for column in columns
    ]
    rows: list[Html] = []
    before = ""
    for band, cells in shown:
        if band and band != before:
            span = str(len(columns))
            heading = element("th", band, scope="rowgroup", role="rowheader", colspan=span)
            rows.append(element("tr", heading, role="row"))
            before = band
        written = []
        for at, (column, cell) in enumerate(zip(columns, cells, strict=True)):
            manner = f"{column.align} strong" if cell.strong else column.align
            inside = text(cell.words)
            if is_wide and cell.words and len(cell.words) <= LONGEST_SHORT:
                inside = element("span", inside, class_="short")
            if cell.note:
                inside = join(inside, element("small", cell.note))
            if at == 0:
                head = element("th", inside, scope="row", role="rowheader", class_=manner)
                written.append(head)
                continue
            named = {"data_title": column.heading} if is_wide else {}
            written.append(element("td", inside, role="cell", class_=manner, **named))
        rows.append(element("tr", *written, role="row"))
    title = table.title if report.shows_title(table) else ""
    label = {"aria_labelledby": name} if title else {"aria_label": table.title or report.title}
    whole = element(
        "table",
        element("thead", element("tr", *heads, role="row"), role="rowgroup"),
        element("tbody", *rows, role="rowgroup"),
        role="table",
        class_="wide" if is_wide else "narrow",
        **label,
    )
    return element("section", element("h2", title, id=name), whole, **label) if title else whole


STYLE = """
:root {
  color-scheme: light dark;
  --paper: #fdfcf9; --ink: #1b2026; --second: #555c64; --rule: #d5d2c8; --band: #f0ede4;
}
@media (prefers-color-scheme: dark) {
  :root { --paper: #14181c; --ink: #e8e6df; --second: #a9afb6; --rule: #363c43; --band: #1f252b; }
}
* { box-sizing: border-box; }
body {
  margin: 0; background: var(--paper); color: var(--ink);
  font: 1rem/1.45 system-ui, sans-serif; overflow-wrap: anywhere;
}
main { max-width: 84rem; margin: 0 auto; padding: 1rem; }
h1 { font-size: 1.6rem; line-height: 1.2; margin: 0; }
h2 { font-size: 1.2rem; margin: 2rem 0 .5rem; }
header + h2, section h2 { margin-top: 0; }
p { margin: .25rem 0; color: var(--second); }
table + p { margin-top: .75rem; }
p + table { margin-top: .75rem; }
header { border-bottom: 2px solid var(--ink); padding-bottom: .75rem; margin-bottom: 1.25rem; }
section { margin-bottom: 2rem; min-width: 0; }
table { width: 100%; border-collapse: collapse; }
th, td {
  text-align: left; vertical-align: top; font-weight: 400;
  padding: .4rem .75rem .4rem 0; border-bottom: 1px solid var(--rule);
}
th:last-child, td:last-child { padding-right: 0; }
thead th { color: var(--second); font-size: .85rem; border-bottom-color: var(--ink); }
tbody th[scope=rowgroup] { font-weight: 600; background: var(--band); padding-left: .4rem; }
small { display: block; font-size: .85rem; color: var(--second); font-weight: 400; }
strong, .strong { font-weight: 600; }
.short { white-space: nowrap; }
td.right, th.right { text-align: right; padding-right: 1.75rem; }
.middle { text-align: center; }
.quiet { color: var(--second); }
.cautions { border: 1px solid var(--ink); padding: .5rem .75rem; }
.cautions p { color: var(--ink); }
figure { margin: 1rem 0 2rem; }
figure svg { max-width: 100%; height: auto; background: #fff; }
pre { overflow-x: auto; }
@media (min-width: 64rem) {
  .pair { display: grid; grid-template-columns: 1fr 1fr; gap: 0 3rem; }
}
@media (max-width: 40rem) {
  .wide thead {
    position: absolute; width: 1px; height: 1px; overflow: hidden; clip-path: inset(50%);
  }
  .wide, .wide tbody, .wide tr, .wide th, .wide td { display: block; }
  .wide td, .wide th { border: 0; padding: .15rem 0; }
  .wide tr { border-bottom: 1px solid var(--rule); padding: .5rem 0; }
  .wide td { display: grid; grid-template-columns: 7rem minmax(0, 1fr); gap: 0 .75rem; }
  .wide td::before { content: attr(data-title); color: var(--second); grid-row: span 2; }
}
@media print {
  :root { --paper: #fff; --ink: #000; --second: #444; --rule: #bbb; --band: #eee; }
  :root { font-size: 7.5pt; }
  th, td { padding-top: .2rem; padding-bottom: .2rem; }
  small { display: inline; margin-left: .5em; }
  main { max-width: none; padding: 0; }
  .pair { display: grid; grid-template-columns: 1fr 1fr; gap: 0 2rem; }
  tr { break-inside: avoid; }
  thead { display: table-header-group; }
}
"""
