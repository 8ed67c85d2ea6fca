"""A page for somebody who did not build the box: the plate, and what each control does.

One HTML file that needs nothing else: no network and no script but its own. The plate is the legend
itself at its true proportions; every control on it is a button that says what it does, and a search
lights the controls of what it finds. Without scripts, and on paper, everything is there as a list.
The page forbids itself all but its own style, letters and script (Content Security Policy Level 3).
"""

from base64 import b64encode
from collections.abc import Iterable, Sequence
from hashlib import sha256
from itertools import combinations
from math import dist
from typing import NamedTuple

from profiles.drawing.cautions import CLOSING
from profiles.drawing.document import Page
from profiles.drawing.geometry import Box, moved
from profiles.drawing.shapes import Text
from profiles.drawing.svg import write_fonts, write_svg
from profiles.facts.legend_layout import lay_out_legend
from profiles.model import Device, Link
from profiles.plate.order import reading_order
from profiles.plate.outlines import centres_of, control_outline
from profiles.report.page import STYLE, Html, element, join, text
from profiles.sheets.card_rows import CardRow, find_rows
from profiles.sheets.legend import draw_legend
from profiles.sheets.requests import LegendRequest
from profiles.text.sign_words import speak

KINDS = {
    "momentary": "push-button, springs back",
    "latching": "switch, stays where it is put",
    "rotary": "knob to turn",
    "selector": "selector, stays in its position",
    "hat": "hat, tilts",
    "axis": "lever, slide or knob with a range",
}
"""What a hand meets, by kind of control."""

LEAST_TARGET = 26.0
"""Least height and width of a control's button, and what their middles are apart, CSS pixels: 24 at
least (WCAG 2.2, 2.5.8), and a little for rounding."""

NEAREST = 9.0
"""Controls nearer than this, mm, do not make the whole plate larger: fingers miss them anyway."""

SAFETY = "If the box gets warm, smells or gives a shock, unplug it and leave it unplugged."
"""The caution that everybody who only uses a box should have."""


class View(NamedTuple):
    """One application on the plate: its id on the page, its name, and its rows by control."""

    key: str
    name: str
    link: Link | None
    rows: dict[str, list[CardRow]]


def write_handover(device: Device, links: Sequence[Link], date: str = "") -> bytes:
    """Return the page of a device with the applications of these profiles, in UTF-8.

    Without a profile it shows the plate with its own words. `date` stands at its end as given.
    """
    views = [
        View(f"app-{number}", _name_view(link, links), link, _rows_by_control(device, link))
        for number, link in enumerate(links, 1)
    ] or [View("app-1", "The box itself", None, {})]
    texts: list[Text] = []
    sections, places = [], ""
    for view in views:
        picture, places = _draw_plate(device, view, texts)
        entries = [_write_entry(device, view, key) for key in reading_order(centres_of(device))]
        sections.append(
            element(
                "section",
                element("h2", view.name),
                picture,
                element("div", *entries, class_="entries"),
                data_app=view.key,
                aria_label=view.name,
            )
        )
    fonts = "".join(write_fonts(texts, [])[1:-1])
    style = f"{STYLE}{HANDOVER_STYLE}{places}{fonts}"
    return _write_page(device, views, sections, style, date).encode("utf-8")


def _name_view(link: Link, links: Sequence[Link]) -> str:
    """The application's name, and the profile's where several are of it."""
    if link.application is None:
        return link.profile.name
    alike = [one for one in links if one.application and one.application.id == link.application.id]
    name = link.application.name
    return f"{name}: {link.profile.name}" if len(alike) > 1 else name


def _rows_by_control(device: Device, link: Link) -> dict[str, list[CardRow]]:
    found: dict[str, list[CardRow]] = {}
    for row in find_rows(link, [device]):
        if row.is_bound or row.does != "–":
            found.setdefault(row.control_id, []).append(row)
    return found


def _draw_plate(device: Device, view: View, texts: list[Text]) -> tuple[Html, str]:
    """The legend of one application with a button over each control, and where they are, in CSS."""
    links = [view.link] if view.link else []
    drawing = draw_legend(device, LegendRequest(), lay_out_legend(device, links))
    bounds = drawing.ink_bounds() or Box(0.0, 0.0, 1.0, 1.0)
    texts += drawing.texts()
    placed = drawing.transformed(moved(-bounds.left, -bounds.bottom))
    page = Page(bounds.width, bounds.height, placed)
    svg = write_svg(page, prefix=f"{view.key}-", embed_fonts=False).data.decode("utf-8")
    picture = element("div", Html(svg.partition("?>")[2]), aria_hidden="true")
    boxes = {key: control_outline(key, one).front.bounds for key, one in device.controls.items()}
    buttons, places = [], []
    for number, key in enumerate(reading_order(centres_of(device)), 1):
        box = boxes[key]
        x, y = box.centre
        left, width = (x - bounds.left) / bounds.width, box.width / bounds.width
        top, height = (bounds.top - y) / bounds.height, box.height / bounds.height
        sides = (("left", left), ("top", top), ("width", width), ("height", height))
        rule = ";".join(f"{name}:{share * 100:.3f}%" for name, share in sides)
        places.append(f".at-{number}{{{rule}}}")
        buttons.append(
            element(
                "button",
                type="button",
                class_=f"spot at-{number}",
                data_control=key,
                aria_pressed="false",
                aria_label=_describe(device, view, key),
            )
        )
    centres = [box.centre for key, box in boxes.items() if key in device.mounted]
    apart = min((dist(*pair) for pair in combinations(centres, 2)), default=NEAREST)
    least = bounds.width * LEAST_TARGET / max(apart, NEAREST)
    places.append(f".plate > div{{min-width:{least:.0f}px}}")
    inner = element("div", picture, *buttons)
    plate = element(
        "div", inner, class_="plate", role="group", tabindex="0", aria_label=f"Plate, {view.name}"
    )
    return plate, "\n".join(places)


def _describe(device: Device, view: View, key: str) -> str:
    """A control and what it does, in one line for those who hear it."""
    does = "; ".join(_say(row) for row in view.rows.get(key, ()))
    label = device.controls[key].spoken_label
    return f"{label}: {does or _idle(view)}"


def _say(row: CardRow) -> str:
    how = ", ".join(filter(None, (row.contact, f"with {row.held} held" if row.held else "")))
    return f"{how}: {row.does}" if how else row.does


def _idle(view: View) -> str:
    return "does nothing here" if view.link else "no application"


def _write_entry(device: Device, view: View, key: str) -> Html:
    """All that one control does in one application."""
    control = device.controls[key]
    rows = []
    for row in view.rows.get(key, ()):
        how = ", ".join(filter(None, (row.contact, f"hold {row.held}" if row.held else "")))
        parts = [element("strong", row.does)]
        parts += [element("span", how, class_="how")] if how else []
        parts += [element("small", row.number)] if row.number else []
        words = f"{row.does} {speak(row.legend)} {row.group} {control.spoken_label}"
        rows.append(element("li", *parts, data_words=words))
    inside = element("ul", *rows) if rows else element("p", _idle(view).capitalize())
    return element(
        "article",
        element("h3", control.spoken_label),
        element("p", KINDS[control.kind]),
        inside,
        data_entry=key,
    )


def _write_page(
    device: Device, views: Sequence[View], sections: Iterable[Html], style: str, date: str
) -> str:
    digests = [
        b64encode(sha256(one.encode("utf-8")).digest()).decode("ascii") for one in (style, SCRIPT)
    ]
    policy = (
        f"default-src 'none'; style-src 'sha256-{digests[0]}'; script-src 'sha256-{digests[1]}'; "
        "font-src data:; base-uri 'none'; form-action 'none'"
    )
    options = [element("option", view.name, value=view.key) for view in views]
    chooser = element(
        "div",
        element("label", "Application", for_="application"),
        element("select", *options, id="application"),
    )
    search = element(
        "div",
        element("label", "Find a function", for_="find"),
        Html('<input type="search" id="find" autocomplete="off">'),
        element("p", id="found", role="status"),
    )
    hint = "Touch a control on the plate, or choose one with Tab and Enter, to read what it does."
    panel = element("div", element("p", hint), id="panel", aria_live="polite")
    title = f"{device.name}: what each control does"
    foot = element("footer", element("p", SAFETY), element("p", CLOSING), element("p", date))
    body = join(
        element("header", element("h1", device.name), element("p", "What each control does")),
        element("div", chooser, search, class_="tools"),
        element("div", element("div", *sections, class_="views"), panel, class_="desk"),
        foot,
    )
    meta = (
        '<meta charset="utf-8">\n'
        f'<meta http-equiv="Content-Security-Policy" content="{policy}">\n'
        '<meta name="viewport" content="width=device-width, initial-scale=1">\n'
        '<meta name="color-scheme" content="light dark">\n'
        f"<title>{text(title)}</title>\n<style>{style}</style>"
    )
    return (
        f'<!DOCTYPE html>\n<html lang="en">\n<head>\n{meta}\n</head>\n'
        f"<body>\n<main>\n{body}\n</main>\n<script>{SCRIPT}</script>\n</body>\n</html>\n"
    )


HANDOVER_STYLE = """
:root { --lit: #8a4b00; }
@media (prefers-color-scheme: dark) { :root { --lit: #ffc15e; } }
.tools { display: none; gap: .75rem 2rem; flex-wrap: wrap; margin-bottom: 1rem; }
.live .tools { display: flex; }
.tools > div { flex: 1 1 14rem; min-width: 0; }
label { display: block; font-size: .85rem; color: var(--second); }
select, input {
  font: inherit; color: var(--ink); background: var(--paper); width: 100%; min-height: 2.75rem;
  border: 1px solid var(--second); border-radius: .25rem; padding: .25rem .6rem;
}
#found { min-height: 1.5em; }
:focus-visible { outline: 3px solid var(--lit); outline-offset: 2px; }
.plate { overflow-x: auto; background: #fff; border: 1px solid var(--rule); padding: .5rem; }
.plate > div { position: relative; }
.plate svg { display: block; width: 100%; height: auto; }
.spot {
  display: none; position: absolute; padding: 0; margin: 0; border: 2px solid transparent;
  border-radius: .4rem; background: none; cursor: pointer;
  min-width: 26px; min-height: 26px; transform: translate(-50%, -50%);
}
.live .spot { display: block; }
.spot:hover { border-color: #1b2026; }
.spot:focus-visible { outline: 3px solid #1b2026; outline-offset: 2px; }
.spot.lit { border: 4px double #8a4b00; background: rgb(255 193 94 / 45%); }
.spot[aria-pressed=true] { border: 4px solid #1b2026; background: rgb(27 32 38 / 18%); }
.live .entries { display: none; }
.live .views h2 {
  position: absolute; width: 1px; height: 1px; margin: 0; overflow: hidden; clip-path: inset(50%);
}
.entries { columns: 20rem; column-gap: 2rem; margin-top: 1rem; }
article { break-inside: avoid; padding: .5rem 0; border-bottom: 1px solid var(--rule); }
h3 { margin: 0; font-size: 1.05rem; }
ul { list-style: none; margin: .25rem 0 0; padding: 0; }
li { padding: .3rem 0; border-top: 1px solid var(--rule); }
.how { display: block; }
#panel { display: none; padding: .75rem 1rem; border: 1px solid var(--ink); }
.live #panel { display: block; margin-top: 1rem; }
#panel h3 { font-size: 1.4rem; }
#panel strong { font-size: 1.15rem; }
footer { margin-top: 2rem; border-top: 1px solid var(--rule); padding-top: .5rem; }
[hidden] { display: none; }
@media (min-width: 64rem) {
  .live .desk { display: grid; grid-template-columns: minmax(0, 1fr) 20rem; gap: 1.5rem; }
  .live #panel { margin-top: 0; align-self: start; position: sticky; top: 1rem; }
}
.spot.lit[aria-pressed=true] { border-style: double; background: rgb(255 193 94 / 45%); }
@media (max-width: 63.99rem) {
  .live #panel {
    position: sticky; bottom: 0; background: var(--paper); max-height: 45vh; overflow-y: auto;
  }
}
@media print {
  .live .tools, .live #panel, .live .spot { display: none; }
  .live .views h2 { position: static; width: auto; height: auto; clip-path: none; }
  .live .entries { display: block; columns: 3; }
  .plate { overflow: visible; border: 0; padding: 0; }
  .plate > div { min-width: 0; }
  section { break-after: page; }
}
"""

SCRIPT = """
(() => {
  "use strict";
  const views = [...document.querySelectorAll("[data-app]")];
  const spots = [...document.querySelectorAll(".spot")];
  const choice = document.getElementById("application");
  const find = document.getElementById("find");
  const found = document.getElementById("found");
  const panel = document.getElementById("panel");
  const hint = panel.firstElementChild;
  let chosen = null;

  const view = () => views.find(one => one.dataset.app === choice.value) || views[0];
  const plain = words => words.toLocaleLowerCase().normalize("NFKD").replace(/\\p{M}/gu, "");

  const tell = () => {
    for (const one of spots)
      one.setAttribute("aria-pressed", String(one.dataset.control === chosen));
    const entries = [...view().querySelectorAll("[data-entry]")];
    const entry = entries.find(one => one.dataset.entry === chosen);
    panel.replaceChildren(...(entry ? entry.cloneNode(true).childNodes : [hint]));
  };

  const search = () => {
    const wanted = plain(find.value).split(/\\s+/).filter(one => one);
    const lit = new Set();
    let count = 0;
    for (const entry of view().querySelectorAll("[data-entry]"))
      for (const line of entry.querySelectorAll("[data-words]"))
        if (wanted.length && wanted.every(one => plain(line.dataset.words).includes(one))) {
          count += 1;
          lit.add(entry.dataset.entry);
        }
    for (const one of spots) one.classList.toggle("lit", lit.has(one.dataset.control));
    found.textContent = !wanted.length ? "" : count === 0 ? "Nothing found."
      : `${count} found, on ${lit.size} ${lit.size === 1 ? "control" : "controls"}.`;
    if (lit.size === 1) { chosen = [...lit][0]; tell(); }
    const first = view().querySelector(".spot.lit");
    if (first) first.scrollIntoView({block: "nearest", inline: "center"});
  };

  const show = () => {
    for (const one of views) one.hidden = one !== view();
    tell();
    search();
  };

  document.documentElement.classList.add("live");
  choice.addEventListener("change", show);
  find.addEventListener("input", search);
  for (const one of spots)
    one.addEventListener("click", () => { chosen = one.dataset.control; tell(); });
  show();
})();
"""
