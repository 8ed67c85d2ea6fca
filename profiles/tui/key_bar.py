"""The last line: keys of the view as far as there is room, then save, undo, find and help."""

from functools import partial
from typing import ClassVar

from rich.segment import Segment
from textual.events import Click
from textual.strip import Strip
from textual.widget import Widget

from profiles.text.cells import width_of
from profiles.tui.frame import Pane, ScreenApp, start_work
from profiles.tui.help import bindings_of

ALWAYS = {"save": "^S Save", "undo": "u Undo", "find": ": Find", "keys": "F1 Help"}
"""What is never cut, by action."""

GAP = "  "


class KeyBar(Widget):
    """Keys and what they do; a click does it."""

    DEFAULT_CSS = "KeyBar { height: 1; background: $panel; color: $foreground; }"
    COMPONENT_CLASSES: ClassVar[set[str]] = {"key-bar--key"}

    def parts(self, width: int) -> list[tuple[str, str]]:
        """Words and action of each part, left to right; an action of the view has a full stop."""
        pane = _pane_of(self.app)
        fixed = [(words, action) for action, words in ALWAYS.items()]
        room = width - sum(width_of(words) + len(GAP) for words, _ in fixed) - 1
        shown: list[tuple[str, str]] = []
        for binding in bindings_of(pane) if pane is not None else ():
            if not binding.show:
                continue
            key = min(binding.key.split(", "), key=len).replace("Ctrl+", "^")
            words = f"{key} {binding.description}"
            if room < width_of(words) + len(GAP) + 1:
                shown.append(("…", "find"))
                break
            room -= width_of(words) + len(GAP)
            shown.append((words, f".{binding.action}"))
        return [*shown, *fixed]

    def render_line(self, y: int) -> Strip:
        """The bar as one line, what is never cut at the right."""
        style, key = self.rich_style, self.get_component_rich_style("key-bar--key")
        parts = self.parts(self.size.width)
        used = sum(width_of(words) + len(GAP) for words, _ in parts) - 1
        segments = [Segment(" ", style)]
        for place, (words, _) in enumerate(parts):
            if place == len(parts) - len(ALWAYS):
                segments.append(Segment(" " * max(self.size.width - used - 1, 0), style))
            letter, _, rest = words.partition(" ")
            segments += [Segment(letter, key), Segment(f"{' ' if rest else ''}{rest}{GAP}", style)]
        return Strip(segments).adjust_cell_length(self.size.width, style)

    def on_click(self, event: Click) -> None:
        """Do what was clicked."""
        parts = self.parts(self.size.width)
        at = 1
        free = self.size.width - sum(width_of(words) + len(GAP) for words, _ in parts)
        for place, (words, action) in enumerate(parts):
            at += max(free, 0) if place == len(parts) - len(ALWAYS) else 0
            if at <= event.x < at + width_of(words):
                node = _pane_of(self.app) if action.startswith(".") else None
                act = partial(self.app.run_action, action.removeprefix("."), node or self.app)
                start_work(self, act, group="key")
                return
            at += width_of(words) + len(GAP)


def _pane_of(app: object) -> Pane | None:
    return app.pane if isinstance(app, ScreenApp) else None
