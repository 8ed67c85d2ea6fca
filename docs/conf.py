"""How Sphinx makes the site of the manual: `python -m sphinx -W docs build/manual`.

Everything a page needs lies beside it; nothing is fetched from another host. The pages are plain
Markdown; which of them hang below which stands here.
"""

from pathlib import Path
from typing import Any

project = "Platebook"
author = "The Platebook contributors"
extensions = ["myst_parser"]
html_theme = "furo"
html_title = "Platebook"
html_static_path = ["_static"]
html_css_files = ["manual.css"]
html_copy_source = False
html_show_sourcelink = False
html_show_copyright = False
html_show_sphinx = False
html_use_index = False
myst_heading_anchors = 3
highlight_language = "none"
smartquotes = False  # options such as `--json` keep their two dashes

CONTENTS = {
    "index": {
        "Start": ["tutorial"],
        "How to": [
            "how-to/index",
            "how-to/use-the-screen",
            "how-to/lay-out",
            "how-to/wire",
            "how-to/load-the-firmware",
            "how-to/bind",
            "how-to/print-and-cut",
            "how-to/engrave",
            "how-to/3d-print",
            "how-to/test-and-fix",
            "how-to/add-an-application",
            "how-to/change-the-box",
            "how-to/hand-over",
            "how-to/share",
        ],
        "Reference": [
            *(f"reference/{name}" for name in ("commands", "findings")),
            *(f"reference/{name}" for name in ("device", "application", "profile")),
            *(f"reference/{name}" for name in ("part", "board", "settings")),
            *(f"reference/{name}" for name in ("boards", "parts", "screen", "glossary")),
        ],
        "More": ["limits", "trouble"],
    }
}
"""The side bar: headings with their pages, below each page that has pages below it."""


def add_contents(_app: Any, page: str, source: list[str]) -> None:
    """Put the side bar's lists behind the text of a page."""
    for caption, names in CONTENTS.get(page, {}).items():
        lines = "\n".join(names)
        source[0] += f"\n```{{toctree}}\n:hidden:\n:caption: {caption}\n\n{lines}\n```\n"


FOR_EVERYBODY = {
    "<pre>": '<pre tabindex="0">',
    'role="heading"': 'role="heading" aria-level="2"',
    '<aside class="sidebar-drawer">': '<aside class="sidebar-drawer" aria-label="Pages">',
    '<div id="search-results">': '<h1>Search</h1><div id="search-results">',
    '<aside class="toc-drawer': '<aside aria-label="On this page" class="toc-drawer',
}
"""What the theme lacks for people who use the keyboard or a screen reader: wide blocks that can be
scrolled by keys, headings with a level and one on every page, side bars with names."""


def finish_pages(app: Any, fault: Exception | None) -> None:
    """Put into every page what the theme lacks."""
    for path in Path(app.outdir).rglob("*.html") if fault is None else ():
        text = path.read_text(encoding="utf-8")
        for before, after in FOR_EVERYBODY.items():
            text = text.replace(before, after)
        path.write_text(text, encoding="utf-8")


def setup(app: Any) -> None:
    """Called by Sphinx."""
    app.connect("source-read", add_contents)
    app.connect("build-finished", finish_pages)
