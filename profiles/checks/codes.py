"""Every finding's code with its default severity, and the page that explains it.

The pages are data in `pages/<family>.toml`, read only when one is shown; a check pays for none.
The code, its severity and the family whose file holds its page stand in `FAMILIES`.
"""

from collections.abc import Mapping
from functools import cache
from pathlib import Path

from profiles.text.finding import Page, Severity

PAGES = Path(__file__).parent / "pages"

FAMILIES: Mapping[str, Mapping[str, Severity]] = {
    "files": {
        "unreadable-file": "error",
        "too-large": "error",
        "not-utf-8": "error",
        "broken-syntax": "error",
        "too-deep": "error",
        "repeated-key": "error",
        "yaml-shortcut": "error",
        "foreign-value": "error",
        "missing-key": "error",
        "unknown-key": "error",
        "wrong-value": "error",
        "newer-format": "error",
        "mixed-kinds": "error",
        "repeated-id": "error",
        "more-problems": "error",
    },
    "links": {
        "name-unknown": "error",
        "contact-unnamed": "error",
        "device-unnamed": "error",
        "context-unknown": "error",
        "interface-unknown": "error",
    },
    "numbers": {
        "input-repeated": "error",
        "number-beyond-report": "error",
        "number-beyond-host": "warning",
        "number-beyond-linux": "note",
        "number-gap": "note",
        "axis-dropped": "warning",
    },
    "layout": {
        "controls-share-place": "error",
        "control-off-plate": "error",
        "control-near-edge": "warning",
        "fronts-overlap": "error",
        "controls-close": "note",
        "hole-beyond-front": "warning",
        "holes-overlap": "error",
        "holes-close": "warning",
        "screw-under-front": "error",
        "engraving-crossed": "warning",
        "countersink-through": "warning",
    },
    "labels": {"label-repeated": "warning", "legend-repeated": "warning"},
    "legibility": {
        "label-unreadable": "warning",
        "contrast-low": "warning",
        "letters-missing": "warning",
        "label-names-nothing": "warning",
        "label-without-room": "warning",
    },
    "bindings": {
        "contexts-collide": "error",
        "binding-repeated": "warning",
        "action-bound-often": "error",
        "must-unbound": "error",
        "want-unbound": "note",
        "contact-unused": "note",
        "contact-idle": "note",
        "contact-without-input": "error",
    },
    "chords": {
        "chord-refused": "error",
        "chord-inside-chord": "warning",
        "contact-inside-chord": "note",
    },
    "behaviour": {
        "latching-on-pulse": "warning",
        "momentary-on-follows": "warning",
        "pulse-on-held": "warning",
        "held-while-binding": "note",
        "axis-mismatched": "warning",
    },
    "rotary": {
        "rotary-one-way": "warning",
        "rotary-reversed": "warning",
        "rotary-mismatched": "warning",
        "partner-unknown": "error",
        "partner-one-sided": "warning",
        "partner-same-way": "warning",
    },
    "timing": {
        "pulse-below-frame": "warning",
        "gap-below-frame": "warning",
        "debounce-short": "note",
        "hold-short": "warning",
        "scan-slow": "note",
        "settle-short": "warning",
        "turn-slow": "note",
    },
    "host": {
        "number-beyond-application": "error",
        "input-never-arrives": "error",
        "axes-absent": "note",
        "devices-identical": "warning",
        "devices-differ-by-serial": "note",
        "usb-name-long": "warning",
    },
    "groups": {"group-moved": "note"},
    "electrical": {
        "number-disagrees": "error",
        "crossing-outside": "error",
        "crossing-shared": "error",
        "diode-without-crossing": "error",
        "state-ghosting": "error",
        "chord-ghosting": "error",
        "held-ghosting": "error",
    },
    "pins": {
        "pin-shared": "error",
        "board-unknown": "warning",
        "pin-not-on-board": "error",
        "pin-unable": "error",
        "rotary-without-common": "error",
    },
    "wires": {
        "bit-outside": "error",
        "bit-shared": "error",
        "wired-twice": "error",
        "rotary-half-wired": "error",
        "must-unwired": "error",
        "contact-unwired": "warning",
        "common-split": "warning",
        "control-without-input": "note",
    },
    "banks": {
        "bank-outside": "error",
        "multiplexer-mixed": "error",
        "ladder-empty": "error",
        "ladder-overlap": "error",
        "ladder-held": "warning",
        "address-impossible": "error",
        "address-shared": "error",
    },
    "power": {
        "led-underfed": "error",
        "led-over-pin": "error",
        "led-follows-nothing": "error",
        "led-outside": "error",
        "current-over-limit": "error",
        "current-near-limit": "note",
        "power-not-asked": "warning",
    },
    "settings": {"setting-code-unknown": "warning", "acceptance-unmatched": "warning"},
}
"""Codes by family, in the order in which `explain` lists them."""

CODES: Mapping[str, Severity] = {
    code: severity
    for family, codes in FAMILIES.items()
    if family != "files"
    for code, severity in codes.items()
}
"""The codes that checks report; settings may change and accept these, and no code of `files`."""


EVERY_CODE = tuple(code for codes in FAMILIES.values() for code in codes)
"""All codes that have a page, those about files first."""


@cache
def read_family(family: str) -> dict[str, Page]:
    """The pages of one family by code, from its file of texts; line breaks of prose do not count.

    Raises:
        KeyError: for a code that has no page.
    """
    import tomllib

    texts = tomllib.loads((PAGES / f"{family}.toml").read_text(encoding="utf-8"))
    pages: dict[str, Page] = {}
    for code, severity in FAMILIES[family].items():
        page = texts[code]
        pages[code] = Page(
            code=code,
            severity=severity,
            example=page["example"].strip("\n"),
            see_also=tuple(page.get("see-also", ())),
            **{
                key: " ".join(page.get(key, "").split())
                for key in ("title", "what", "why", "remedy", "source")
            },
        )
    return pages


def find_page(code: str) -> Page | None:
    """The page of a code, or None where there is none."""
    return next((read_family(one)[code] for one in FAMILIES if code in FAMILIES[one]), None)


def read_pages() -> dict[str, Page]:
    """Every page by its code, those about files first."""
    return {code: page for family in FAMILIES for code, page in read_family(family).items()}
