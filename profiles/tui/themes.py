"""Three looks: light, dark, high contrast. Nothing is told by colour alone in any of them.

Contrast of text with its ground is at least 7 to 1 (WCAG 2.2, 1.4.6) in all three.
"""

from textual.theme import Theme

LIGHT = Theme(
    name="paper",
    primary="#1d4e6b",
    secondary="#4a4a3a",
    accent="#7a3b00",
    foreground="#1a1f24",
    background="#f6f3ea",
    surface="#fffdf6",
    panel="#e6e0cf",
    warning="#6b4500",
    error="#8c1010",
    success="#1c5a2a",
    dark=False,
    variables={"footer-key-foreground": "#7a3b00", "input-selection-background": "#1d4e6b 35%"},
)

DARK = Theme(
    name="night bridge",
    primary="#7fb7d6",
    secondary="#b9b49c",
    accent="#e8b36a",
    foreground="#e9e6da",
    background="#12171c",
    surface="#182028",
    panel="#243039",
    warning="#f0c36a",
    error="#ff9a8d",
    success="#93d6a0",
    dark=True,
    variables={"footer-key-foreground": "#e8b36a"},
)

CONTRAST = Theme(
    name="high contrast",
    primary="#ffffff",
    secondary="#ffffff",
    accent="#ffff00",
    foreground="#ffffff",
    background="#000000",
    surface="#000000",
    panel="#202020",
    warning="#ffff00",
    error="#ffb0b0",
    success="#b0ffb0",
    dark=True,
    variables={"footer-key-foreground": "#ffff00"},
)

LOOKS = (DARK, LIGHT, CONTRAST)
"""In the order in which the key goes through them."""


def next_look(name: str) -> str:
    """The look after this one."""
    names = [one.name for one in LOOKS]
    return names[(names.index(name) + 1) % len(names)] if name in names else names[0]
