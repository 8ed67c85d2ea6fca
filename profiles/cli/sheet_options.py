"""Options that only some sheets take, by the name under which the registry lists them."""

from collections.abc import Callable
from typing import Any

import click

Decorator = Callable[[Any], Any]

OPTIONS: dict[str, Decorator] = {
    "colours": click.option(
        "--colours", is_flag=True, help="Front artwork: plate colour, ink, and lines to cut along."
    ),
    "labels": click.option(
        "--labels",
        type=click.Choice(["title", "fixed", "both"]),
        help="What the title does, the plate's own words, or both.",
    ),
    "overlap": click.option(
        "--overlap",
        type=click.FloatRange(6.0, 25.0),
        metavar="MM",
        help="What two neighbouring sheets share of a tiled drawing, 6 to 25.  [default: 12]",
    ),
    "tape": click.option(
        "--tape",
        type=click.Choice(["paper", "6", "9", "12", "18", "24", "36"]),
        default="paper",
        show_default=True,
        help="Plain paper, or the width of the tape in mm.",
    ),
    "rear": click.option("--rear", is_flag=True, help="Seen from behind, mirrored."),
    "below": click.option(
        "--below",
        type=click.FloatRange(0.0, 5.0),
        metavar="MM",
        help="How far under the hole's size a row begins.  [default: 0.2]",
    ),
    "above": click.option(
        "--above",
        type=click.FloatRange(0.0, 5.0),
        metavar="MM",
        help="How far over the hole's size a row ends.  [default: 0.4]",
    ),
    "step": click.option(
        "--step",
        type=click.FloatRange(0.02, 5.0),
        metavar="MM",
        help="From one hole of a row to the next.  [default: 0.1]",
    ),
    "thickness": click.option(
        "--thickness",
        type=click.FloatRange(0.2, 50.0),
        metavar="MM",
        help="Thickness of the 3D model.  [default: the plate's]",
    ),
    "density": click.option(
        "--density",
        type=click.FloatRange(0.0, 25.0, min_open=True),
        metavar="G/CM3",
        help="Density of the plate's material.  [default: the plate's]",
    ),
    "infill": click.option(
        "--infill",
        type=click.FloatRange(0.0, 100.0, min_open=True),
        metavar="PERCENT",
        help="Share of the plate that is material.  [default: 100]",
    ),
}
"""Decorators by option name; the value reaches the sheet in `Order.options`."""
