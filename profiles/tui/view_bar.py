"""The line with the names of the views, and help at its end."""

from rich.segment import Segment
from rich.style import Style
from textual.events import Click
from textual.message import Message
from textual.strip import Strip
from textual.widget import Widget

from profiles.tui.frame import VIEWS

STRONG = Style(bold=True, reverse=True)


class ViewBar(Widget):
    """The names of the views with their number keys; brackets mark the one shown."""

    class Chosen(Message):
        """A view was clicked."""

        def __init__(self, view: str) -> None:
            super().__init__()
            self.view = view

    current = "plate"

    def parts(self) -> list[tuple[str, str]]:
        """Each view's name and how the bar shows it."""
        found = []
        for number, (name, words) in enumerate(VIEWS.items(), 1):
            text = f"{number} {words}"
            found.append((name, f"[{text}]" if name == self.current else f" {text} "))
        return found

    HELP = " ? Help "

    class HelpAsked(Message):
        """Help was clicked."""

    def show(self, name: str) -> None:
        """Mark a view as the one shown."""
        self.current = name
        self.refresh()

    def render_line(self, y: int) -> Strip:
        """The bar as one line."""
        style = self.rich_style
        segments = [
            Segment(text, style + STRONG if name == self.current else style)
            for name, text in self.parts()
        ]
        bar = Strip(segments).adjust_cell_length(self.size.width, style)
        free = self.size.width - sum(len(text) for _, text in self.parts())
        if free < len(self.HELP):
            return bar
        rest = bar.crop(0, self.size.width - len(self.HELP))
        return Strip([*rest, Segment(self.HELP, style)])

    def on_click(self, event: Click) -> None:
        """Tell which name was clicked."""
        at = 0
        names = sum(len(text) for _, text in self.parts())
        if event.x >= max(names, self.size.width - len(self.HELP)):
            self.post_message(self.HelpAsked())
        for name, text in self.parts():
            at += len(text)
            if event.x < at:
                self.post_message(self.Chosen(name))
                return
