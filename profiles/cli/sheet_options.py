"""Options that only some sheets take, by the name under which the registry lists them."""

from collections.abc import Callable
from typing import Any

import click

Decorator = Callable[[Any], Any]

OPTIONS: dict[str, Decorator] = {
    "rear": click.option("--rear", is_flag=True, help="Seen from behind, mirrored."),
}
"""Decorators by option name; the value reaches the sheet in `Order.options`."""
