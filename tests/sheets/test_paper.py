"""What holds for every sheet on every paper: its size, and the ruler where scale matters."""

import pytest

from profiles.drawing.paper import PAPERS
from profiles.sheets.requests import SHEETS, make_sheet
from profiles.sheets.writing import write_sheet
from tests.drawing.pdf_reader import PdfReader
from tests.sheets.titles import harbour_order

MM = 0.05
ON_PAPER = [name for name, kind in SHEETS.items() if "pdf" in kind.formats]
PAPER_SIZES = {
    "a3": (297, 420),
    "a4": (210, 297),
    "a5": (148, 210),
    "letter": (215.9, 279.4),
    "legal": (215.9, 355.6),
}
"""ISO 216; Letter and Legal are 8.5 x 11 and 8.5 x 14 inches (rule of thumb)."""


@pytest.mark.parametrize("turned", [False, True], ids=["upright", "landscape"])
@pytest.mark.parametrize("paper", sorted(PAPERS))
def test_every_page_has_the_papers_size_and_true_scale_the_ruler(paper: str, turned: bool) -> None:
    for name in ON_PAPER:
        profiles = ("brackwater-bridge",) if SHEETS[name].takes[0] else ()
        sheet = make_sheet(
            *harbour_order(name, "lookout-box", *profiles, paper=paper, landscape=turned)
        )
        reader = PdfReader(write_sheet(sheet, "pdf").data)
        for page in range(len(reader)):
            size = sorted(reader.size(page))
            assert size == [pytest.approx(side, abs=MM) for side in PAPER_SIZES[paper]]
        if SHEETS[name].is_true_scale:
            shown = [
                path.width
                for path in reader.paths(0)
                if abs(path.width - 100) < 1 and path.height < MM
            ]
            assert shown == [pytest.approx(100.0, abs=MM)]
            assert "This ruler must measure 100 mm" in reader.text(0)
