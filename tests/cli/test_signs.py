"""Signs in labels where words are told, not drawn: in plain words, not as files spell them."""

from pathlib import Path

import pytest

from tests.conftest import Run

APPLICATION = """
format = 1
[application]
id = "crane"
name = "Crane"
[actions]
raise-the-boom = { name = "Raise the boom" }
"""
PROFILE = """
format = 1
[profile]
id = "yard"
application = "crane"
device = "desk"
[bindings]
c1 = { action = "raise-the-boom", legend = "{up} BOOM" }
"""


@pytest.fixture
def yard(platebook: Run) -> Path:
    """A library in the current folder, whose first control says `{up} RAISE`."""
    assert platebook("new", "device", "desk", "--grid", "2x1").code == 0
    device = Path("desk.toml")
    text = device.read_text("utf-8")
    assert 'label = "1"' in text
    device.write_text(text.replace('label = "1"', 'label = "{up} RAISE"'), "utf-8")
    Path("crane.toml").write_text(APPLICATION, "utf-8")
    Path("yard.toml").write_text(PROFILE, "utf-8")
    return Path.cwd()


@pytest.mark.parametrize(
    "words",
    [
        "compare",
        "session yard --list",
        "print card --profile yard --format text -o -",
        "print card --profile yard --format csv -o -",
        "print strip --device desk --format csv -o -",
        "print drill --device desk --format csv -o -",
        "handover desk -o page.html",
    ],
)
def test_a_label_with_a_sign_is_told_in_plain_words(yard: Path, platebook: Run, words: str) -> None:
    shown = platebook(*words.split()).out
    page = yard / "page.html"
    shown += page.read_text("utf-8") if page.exists() else ""

    assert "up RAISE" in shown
    assert "{up}" not in shown


@pytest.mark.parametrize(
    "words", ["convert yard.toml --csv", "print card --profile yard --format json -o -"]
)
def test_a_table_that_is_taken_back_in_and_json_have_signs_as_files_do(
    yard: Path, platebook: Run, words: str
) -> None:
    shown = platebook(*words.split()).out

    assert "{up} BOOM" in shown
    assert "up BOOM" not in shown.replace("{up} BOOM", "")
