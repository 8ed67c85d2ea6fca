"""Tables as aligned lines for a terminal, from headings and rows of words."""

from collections.abc import Sequence

from profiles.report.document import Column, Table
from profiles.report.terminal import cell_width as cell_width
from profiles.report.terminal import render_table as render


def render_table(headings: Sequence[str], rows: Sequence[Sequence[str]]) -> str:
    """Lines with columns aligned, a rule under the headings; no spaces at the ends."""
    return render(Table(tuple(map(Column, headings)), tuple(tuple(row) for row in rows)))
