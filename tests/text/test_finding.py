"""How places of findings are written."""

import pytest

from profiles.text.finding import Place


@pytest.mark.parametrize(
    ("place", "written"),
    [
        (Place("helm.toml", 88, 11, 15), "helm.toml:88:11"),
        (Place("helm.toml", 88), "helm.toml:88"),
        (Place("helm\x1b.toml"), "helm␛.toml"),
    ],
)
def test_a_place_is_written_as_file_line_and_column(place: Place, written: str) -> None:
    assert str(place) == written
