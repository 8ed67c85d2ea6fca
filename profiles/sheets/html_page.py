"""One HTML file that needs nothing else: no network, no script, light and dark, screen and paper.

Everything a file of a library says goes through `text`, which makes it harmless; only `element`
and `page` write markup. The page forbids itself everything but its own style (Content Security
Policy, `default-src 'none'` and the style's SHA-256), so even a mistake here could load or run
nothing.
"""

from profiles.text.inert import escape_controls, xml_attribute, xml_text


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


def page(title: str, body: Html) -> str:
    """A whole page around the content of its `main` element."""
    head = (
        '<meta charset="utf-8">\n'
        f'<meta http-equiv="Content-Security-Policy" content="{_policy()}">\n'
        '<meta name="viewport" content="width=device-width, initial-scale=1">\n'
        '<meta name="color-scheme" content="light dark">\n'
        f"<title>{text(title)}</title>\n<style>{STYLE}</style>"
    )
    return (
        f'<!DOCTYPE html>\n<html lang="en">\n<head>\n{head}\n</head>\n'
        f"<body>\n<main>\n{body}\n</main>\n</body>\n</html>\n"
    )


def _policy() -> str:
    from base64 import b64encode
    from hashlib import sha256

    digest = b64encode(sha256(STYLE.encode("utf-8")).digest()).decode("ascii")
    return f"default-src 'none'; style-src 'sha256-{digest}'; base-uri 'none'; form-action 'none'"


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
h2 { font-size: 1.2rem; margin: 0 0 .5rem; }
p { margin: .25rem 0 0; color: var(--second); }
header { border-bottom: 2px solid var(--ink); padding-bottom: .75rem; margin-bottom: 1.25rem; }
section { margin-bottom: 2rem; min-width: 0; }
table { width: 100%; border-collapse: collapse; }
th, td {
  text-align: left; vertical-align: top; font-weight: 400;
  padding: .4rem .75rem .4rem 0; border-bottom: 1px solid var(--rule);
}
th:last-child, td:last-child { padding-right: 0; }
thead th { color: var(--second); font-size: .85rem; border-bottom-color: var(--ink); }
tbody th[scope=row] { font-weight: 600; }
tbody th[scope=rowgroup] { font-weight: 600; background: var(--band); padding-left: .4rem; }
small { display: block; font-size: .85rem; color: var(--second); font-weight: 400; }
.short { white-space: nowrap; }
.number { min-width: 5rem; }
.moved { font-weight: 600; }
.idle { color: var(--second); }
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
