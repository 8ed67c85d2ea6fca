"""No key that multiplexers or terminals take for themselves is the only way to something."""

from collections.abc import Iterator
from importlib import import_module
from pkgutil import iter_modules

import pytest
from textual.binding import Binding
from textual.dom import DOMNode

import profiles.tui

TAKEN = {
    "ctrl+b": "prefix of tmux: tmux(1), option prefix",
    "ctrl+a": "command key of GNU Screen: its manual, 5.1 Default Key Bindings",
    "ctrl+s": "stops output: POSIX.1-2017, 11.1.9 Special Characters, STOP",
    "ctrl+q": "starts output again: the same, START",
    "ctrl+z": "suspends: the same, SUSP",
    "ctrl+c": "interrupts: the same, INTR",
    "ctrl+backslash": "quits: the same, QUIT",
    "f1": "Rule of thumb: help of the window that a terminal is in",
    "f10": "Rule of thumb: menu of that window",
    "f11": "Rule of thumb: full screen of that window",
}
"""Keys that may not arrive, and what takes them."""


def list_nodes() -> Iterator[type[DOMNode]]:
    """Every class of the screen with keys of its own."""
    for module in iter_modules(profiles.tui.__path__):
        for one in vars(import_module(f"profiles.tui.{module.name}")).values():
            is_ours = isinstance(one, type) and one.__module__.startswith("profiles.")
            if is_ours and issubclass(one, DOMNode) and "BINDINGS" in vars(one):
                yield one


@pytest.mark.parametrize("node", dict.fromkeys(list_nodes()), ids=lambda node: node.__name__)
def test_a_key_that_may_be_taken_has_another_beside_it(node: type[DOMNode]) -> None:
    keys: dict[str, set[str]] = {}
    for binding in Binding.make_bindings(vars(node)["BINDINGS"]):
        keys.setdefault(binding.action, set()).add(binding.key)
        assert not binding.key.startswith("alt+"), binding
    assert {action for action, some in keys.items() if some <= TAKEN.keys()} == set()
