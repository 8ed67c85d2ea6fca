"""The pictures of the README come from the screen itself."""

from pathlib import Path
from xml.etree import ElementTree

import pytest

from tests.tui.pictures import PICTURES, make_pictures

SEEN = {
    "plate": ("[1 Plate]", "HELM DESK", "HAUL"),
    "binding": ("Bind HORN", "wheel", "Then:"),
    "findings": ("[2 Findings]", "must-unbound"),
    "compare": ("[3 Compare]", "Contact"),
    "sheets": ("[4 Sheets]", "faceplate legend"),
    "wiring": ("[5 Wiring]", "From behind"),
    "device": ("[6 Device]", "Moving"),
}
"""What is to be seen on each picture."""


@pytest.mark.parametrize("name", PICTURES)
def test_a_picture_shows_its_view_and_asks_no_host(tmp_path: Path, name: str) -> None:
    """One picture a view, with the words that stand on it; nothing is fetched to show it."""
    (path,) = make_pictures(tmp_path, [name])

    text = path.read_text("utf-8")
    words = "".join(ElementTree.fromstring(text).itertext()).replace("\xa0", " ")
    for word in SEEN[name]:
        assert word in words
    assert "url(http" not in text
    assert "://" not in text.replace("http://www.w3.org/2000/svg", "")
    assert str(tmp_path) not in text
    assert "/tmp/" not in words
