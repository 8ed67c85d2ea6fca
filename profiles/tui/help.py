"""Help for every view, and entries to find an action by typing; both come from the bindings."""

from collections.abc import Callable, Coroutine, Iterator
from typing import Any

from textual.binding import Binding
from textual.dom import DOMNode

from profiles.tui.frame import VIEWS, Pane, ScreenApp

PLAIN_ROUTE = (
    "Everything here can be done without the screen: platebook check, explain, suggest, print, "
    "compare, wiring, press and convert read and write plain text, which suits screen readers."
)


def bindings_of(node: DOMNode) -> Iterator[Binding]:
    """The bindings that a node's own class declares, its keys joined."""
    joined: dict[str, list[Binding]] = {}
    for _, binding in node._bindings:
        if binding.description:
            joined.setdefault(binding.action, []).append(binding)
    for many in joined.values():
        keys = ", ".join(dict.fromkeys(show_key(one.key) for one in many))
        yield Binding(keys, many[0].action, many[0].description)


def show_key(key: str) -> str:
    """A key as people name it."""
    names = {
        "slash": "/",
        "question_mark": "?",
        "right_square_bracket": "]",
        "left_square_bracket": "[",
        "plus": "+",
        "equals_sign": "=",
        "minus": "-",
        "space": "Space",
    }
    words = names.get(key, key)
    return words.replace("ctrl+", "Ctrl+").replace("shift+", "Shift+")


def help_lines(app: ScreenApp, pane: Pane | None) -> list[str]:
    """What the view is for, and what every key does in it."""
    lines: list[str] = []
    if pane is not None:
        lines += [f"{pane.title}", *wrap(pane.advice), "", "In this view"]
        for node in _parts(pane):
            lines += [f"  {one.key:<16} {_what(node, one)}" for one in bindings_of(node)]
    lines += ["", "Everywhere"]
    lines += [f"  {one.key:<16} {_what(app, one)}" for one in bindings_of(app)]
    lines.append(f"  {'Tab':<16} Go to the words beside, to scroll them, and back.")
    return [*lines, "", *wrap(PLAIN_ROUTE)]


def wrap(text: str, width: int = 64) -> list[str]:
    """A paragraph in lines."""
    import textwrap

    return textwrap.wrap(text, width)


def _parts(pane: Pane) -> list[DOMNode]:
    return [pane, *pane.query("PlateCanvas")]


def _what(node: DOMNode, binding: Binding) -> str:
    """What an action does, from the docstring of its method."""
    name = binding.action.partition("(")[0]
    method = getattr(node, f"action_{name}", None)
    if name == "view" or method is None or not method.__doc__:
        return binding.description
    return str(method.__doc__).strip().splitlines()[0]


def palette_entries(
    app: ScreenApp, pane: Pane | None
) -> Iterator[tuple[str, str, Callable[[], Coroutine[Any, Any, None]]]]:
    """Title, words and call of everything that can be done now."""
    if pane is not None:
        for node in _parts(pane):
            for binding in bindings_of(node):
                yield _entry(app, node, binding)
    for binding in bindings_of(app):
        yield _entry(app, app, binding)


def _entry(
    app: ScreenApp, node: DOMNode, binding: Binding
) -> tuple[str, str, Callable[[], Coroutine[Any, Any, None]]]:
    words = binding.description
    if binding.action.startswith("view("):
        words = f"View {VIEWS[binding.action[6:-2]]}"

    async def call() -> None:
        await app.run_action(binding.action, node)

    return f"{words} ({binding.key})", _what(node, binding), call
