"""Three looks: light, dark, high contrast. Colour alone says nothing in any of them.

Contrast of text with its ground is at least 7 to 1 (WCAG 2.2, 1.4.6) in all three.
"""

from typing import Any

from textual.app import App
from textual.theme import Theme

PARTS = "primary secondary accent foreground background surface panel warning error success"
COLOURS = {
    "night bridge": "7fb7d6 b9b49c e8b36a e9e6da 12171c 182028 243039 f0c36a ff9a8d 93d6a0",
    "paper": "1d4e6b 4a4a3a 7a3b00 1a1f24 f6f3ea fffdf6 e6e0cf 6b4500 8c1010 1c5a2a",
    "high contrast": "ffffff ffffff ffff00 ffffff 000000 000000 202020 ffff00 ffb0b0 b0ffb0",
}
"""The colours of each look, sRGB, in the order of `PARTS`."""


def make_look(name: str) -> Theme:
    """A look by its name."""
    values = (f"#{value}" for value in COLOURS[name].split())
    colours: dict[str, Any] = dict(zip(PARTS.split(), values, strict=True))
    variables = {"footer-key-foreground": colours["accent"]}
    if name == "paper":
        variables["input-selection-background"] = f"{colours['primary']} 35%"
    return Theme(name=name, dark=name != "paper", variables=variables, **colours)


LOOKS = tuple(map(make_look, COLOURS))
"""In the order in which the key goes through them."""


def next_look(name: str) -> str:
    """The look that follows a look."""
    names = list(COLOURS)
    return names[(names.index(name) + 1) % len(names)] if name in names else names[0]


def begin_in(app: App[Any], name: str) -> None:
    """Start a screen in a look, or in the first; set plainly, all styles would be read twice."""
    for look in LOOKS:
        app.register_theme(look)
    app.set_reactive(App.theme, name if name in COLOURS else LOOKS[0].name)
    theme = app.current_theme
    classes = {
        f"-theme-{theme.name}": True,
        "-dark-mode": theme.dark,
        "-light-mode": not theme.dark,
    }
    app.update_classes(classes, update=False)
    app.stylesheet.set_variables(app.get_css_variables())
