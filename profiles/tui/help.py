"""Help for every view, and entries to find an action by typing; both come from the bindings."""

from collections.abc import Callable, Coroutine, Iterator
from functools import partial
from textwrap import wrap
from typing import Any

from textual.binding import Binding
from textual.dom import DOMNode

from profiles.tui.frame import VIEWS, Pane, ScreenApp

WIDTH = 64
"""Letters of a line of help."""

PLAIN_ROUTE = (
    "Everything here can be done without the screen: platebook check, explain, suggest, print, "
    "compare, wiring, press and convert read and write plain text, which suits screen readers."
)


KEYS = {
    "slash": "/",
    "question_mark": "?",
    "right_square_bracket": "]",
    "left_square_bracket": "[",
    "plus": "+",
    "equals_sign": "=",
    "minus": "-",
    "space": "Space",
    "colon": ":",
    "full_stop": ".",
    "asterisk": "*",
}
"""Keys as people name them, where the toolkit has another name."""


TASKS: dict[str, dict[str, str]] = {
    "plate": {
        "Give a control another action": "bind",
        "Give it one while another control is held": "chord",
        "See what is still to bind, and where it could go": "needs",
        "Exchange what two controls do": "swap",
        "Change the words that are printed": "legend",
        "Read the words of a crowded plate": "zoom(1)",
    },
    "findings": {
        "Repair what one change repairs": "fix",
        "See where it is on the plate": "go",
        "See where it is in the file": "file",
        "Keep it, with a reason": "accept",
        "See only what is about this profile": "mine",
    },
    "compare": {
        "Take a binding from one profile into another": "take",
        "Put it there": "put",
    },
    "sheets": {"Write the sheet to a file": "write", "Print other profiles on it": "profiles"},
    "wiring": {
        "See which contacts disturb each other": "failing",
        "See the wires as you solder them": "harness",
        "See power, timing, hosts and firmware": "table",
    },
    "device": {
        "Move a control": "move",
        "Change its sizes and label": "fields",
        "Add a control": "add",
    },
    "press": {
        "Test the box": "test",
        "See what a control does while you press it": "controls",
        "Look at a recording": "replay",
    },
    "": {
        "Find anything by its name": "find",
        "Start a box, an application or a profile": "new",
        "Describe a box that has no file by its use": "learn_box",
        "Look at another profile": "choose_profile",
        "Write what was changed": "save",
        "Take back what was changed": "undo",
        "Read a note again": "notes",
    },
}
"""What people want to do, by view and everywhere, and the action that does it."""


def name_key(key: str) -> str:
    """A key as it is written on keyboards and in notes: `Ctrl+S`, `F5`, `Enter`, `]`, `s`."""
    *held, last = key.split("+")
    named = KEYS.get(last) or (last.capitalize() if held or len(last) > 1 else last)
    return "+".join([*(one.capitalize() for one in held), named])


def bindings_of(node: DOMNode) -> Iterator[Binding]:
    """The bindings that a node's own class declares, its keys joined as people name them."""
    joined: dict[str, list[Binding]] = {}
    for _, binding in node._bindings:
        if binding.description:
            joined.setdefault(binding.action, []).append(binding)
    for many in joined.values():
        keys = ", ".join(dict.fromkeys(name_key(binding.key) for binding in many))
        yield Binding(keys, many[0].action, many[0].description, many[0].show)


def help_lines(app: ScreenApp, pane: Pane | None) -> list[str]:
    """What the view is for, and what every key does in it."""
    lines: list[str] = []
    if pane is not None:
        lines += [pane.title, *wrap(pane.hint, WIDTH), "", "To do here"]
        lines += [*task_lines(pane, pane.id or ""), *task_lines(app, ""), "", "Keys of this view"]
    for node in [*_parts(pane), app]:
        if node is app:
            lines += ["", "Everywhere"]
        lines += [
            f"  {binding.key:<16} {_describe(node, binding)}" for binding in bindings_of(node)
        ]
    lines.append(f"  {'Tab':<16} Go to the words beside, to scroll them, and back.")
    return [*lines, "", *wrap(PLAIN_ROUTE, WIDTH)]


def list_keys(node: DOMNode) -> dict[str, str]:
    """What every key of a node does, by the keys that do the same."""
    keys: dict[str, list[str]] = {}
    for binding in bindings_of(node):
        keys.setdefault(_describe(node, binding), []).append(binding.key)
    return {", ".join(dict.fromkeys(many)): words for words, many in keys.items()}


def task_lines(node: Pane | ScreenApp, view: str) -> list[str]:
    """The tasks of a view, or of the screen, each with the keys that do it."""
    parts = [node] if isinstance(node, ScreenApp) else _parts(node)
    keys = {binding.action: binding.key for part in parts for binding in bindings_of(part)}
    return [
        f"  {keys[action]:<16} {task}"
        for task, action in TASKS.get(view, {}).items()
        if action in keys
    ]


def _parts(pane: DOMNode | None) -> list[DOMNode]:
    return [pane, *pane.query("PlateCanvas")] if pane is not None else []


def _describe(node: DOMNode, binding: Binding) -> str:
    """What an action does, from the docstring of its method."""
    name = binding.action.partition("(")[0]
    method = getattr(node, f"action_{name}", None)
    if name == "view" or method is None or not method.__doc__:
        return binding.description
    return str(method.__doc__).strip().splitlines()[0]


def palette_entries(
    app: ScreenApp, pane: DOMNode | None, *, only_here: bool = False
) -> Iterator[tuple[str, str, Callable[[], Coroutine[Any, Any, bool]]]]:
    """Title, words and call of everything that can be done now."""
    for node in [*_parts(pane), *([] if only_here else [app])]:
        for binding in bindings_of(node):
            words = binding.description
            if binding.action.startswith("view("):
                words = f"View {VIEWS[binding.action[6:-2]]}"
            call = partial(app.run_action, binding.action, node)
            yield f"{words} ({binding.key})", _describe(node, binding), call
