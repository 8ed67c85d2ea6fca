"""Every printed sheet by its name; its module is imported when it is asked for.

A new sheet is one module with a function `make_sheet(order) -> PrintedSheet`, and one line here.
"""

from dataclasses import dataclass
from importlib import import_module

from profiles.sheets.sheet import PrintedSheet, SheetRequest


@dataclass(frozen=True, slots=True)
class SheetKind:
    """What is known of a sheet before it is made."""

    name: str
    title: str
    module: str
    formats: tuple[str, ...]
    profiles: tuple[int, int]
    """How many profiles it takes, least and most."""
    true_scale: bool
    options: tuple[str, ...] = ()
    """Options that it alone knows, by name; see the command that offers them."""


SHEETS: dict[str, SheetKind] = {
    kind.name: kind
    for kind in (
        SheetKind(
            "legend",
            "Faceplate legend: every label in its place",
            "legend",
            ("pdf", "svg", "dxf", "png"),
            (0, 3),
            true_scale=True,
            options=("colours", "labels", "overlap", "rear"),
        ),
        SheetKind(
            "strip",
            "Label strips: one under each row, cells at the true pitch",
            "strip",
            ("pdf", "svg", "dxf", "png"),
            (0, 3),
            true_scale=True,
            options=("labels", "tape"),
        ),
        SheetKind(
            "card",
            "Reference card: what every control does in one title",
            "card",
            ("pdf", "text", "csv", "html", "json"),
            (1, 1),
            true_scale=False,
        ),
        SheetKind(
            "comparison",
            "Comparison: controls against titles, moved functions marked",
            "comparison",
            ("pdf", "text", "csv", "html", "json"),
            (0, 99),
            true_scale=False,
        ),
        SheetKind(
            "drill",
            "Drill template: centre marks, sizes and coordinates from the datum corner",
            "drill",
            ("pdf", "svg", "dxf", "csv", "png"),
            (0, 0),
            true_scale=True,
            options=("overlap", "rear"),
        ),
        SheetKind(
            "coupon",
            "Hole-fit coupon: every size of hole in small steps, to cut or print first",
            "coupon",
            ("pdf", "svg", "dxf", "stl", "3mf", "png"),
            (0, 0),
            true_scale=True,
            options=("below", "above", "step", "thickness", "overlap"),
        ),
        SheetKind(
            "plate",
            "The plate itself: a 3D model to print, or clean lines to cut",
            "plate",
            ("stl", "3mf", "svg", "dxf"),
            (0, 0),
            true_scale=True,
        ),
        SheetKind(
            "parts",
            "Parts list: counts, prices, and what the plate weighs",
            "parts",
            ("pdf", "csv", "text"),
            (0, 0),
            true_scale=False,
            options=("density", "infill"),
        ),
        SheetKind(
            "wiring",
            "Wiring sheet: solder side, cut list, soldering order and tests",
            "wiring",
            ("pdf", "svg", "csv", "png"),
            (0, 0),
            true_scale=False,
        ),
    )
}
"""Every sheet, by name."""


def make_sheet(name: str, order: SheetRequest) -> PrintedSheet:
    """Make the sheet of this name.

    Raises:
        KeyError: where there is none of this name.
    """
    module = import_module(f"profiles.sheets.{SHEETS[name].module}")
    sheet: PrintedSheet = module.make_sheet(order)
    return sheet
