"""`platebook arrange`: shown first, written with `--write`, comments and order kept."""

import json
from pathlib import Path

import pytest

import profiles
from profiles.plan.layout import LayoutError
from tests.conftest import Run

FILE = """\
format = 1
[device]
id = "box"
name = "Box"
[plate]
width = 120.0
height = 60.0
[controls] # as drilled
# The loud one.
horn = { kind = "momentary", label = "HORN", hole = 16.2, position = [20, 30.0] } # left
bell = { kind = "momentary", label = "BELL", hole = 16.2, position = [60, 31.0] }
lamp = { kind = "latching", label = "LAMP", hole = 12.2, position = [100, 30.5] }
"""


@pytest.fixture
def box(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """The file of a box in the current folder."""
    monkeypatch.chdir(tmp_path)
    (tmp_path / "box.toml").write_text(FILE, encoding="utf-8")
    return tmp_path / "box.toml"


def test_the_difference_is_shown_and_nothing_written(platebook: Run, box: Path) -> None:
    ran = platebook("arrange", "box", "--align", "rows")

    assert (ran.code, ran.err) == (0, "note: nothing is written; --write changes the file\n")
    assert ran.out == (
        "control  before  after\n"
        "-------  ------  --------\n"
        "horn     20, 30  20, 30.5\n"
        "bell     60, 31  60, 30.5\n\n"
        "Arrange 3 controls of Box\n"
        "  --- box.toml\n"
        "  +++ box.toml\n"
        "  @@ -7,6 +7,6 @@\n"
        "   height = 60.0\n"
        "   [controls] # as drilled\n"
        "   # The loud one.\n"
        '  -horn = { kind = "momentary", label = "HORN", hole = 16.2, position = [20, 30.0] }'
        " # left\n"
        '  -bell = { kind = "momentary", label = "BELL", hole = 16.2, position = [60, 31.0] }\n'
        '  +horn = { kind = "momentary", label = "HORN", hole = 16.2, position = [20.0, 30.5] }'
        " # left\n"
        '  +bell = { kind = "momentary", label = "BELL", hole = 16.2, position = [60.0, 30.5] }\n'
        '   lamp = { kind = "latching", label = "LAMP", hole = 12.2, position = [100, 30.5] }\n'
        "\n\n"
        "Findings after it\n"
        "  No finding appears or disappears.\n"
    )
    assert box.read_text("utf-8") == FILE


def test_written_is_what_was_shown_with_comments_and_order(platebook: Run, box: Path) -> None:
    ran = platebook("arrange", "box", "--align", "rows", "--write")

    assert (ran.code, ran.err) == (0, "changed box.toml\n")
    assert box.read_text("utf-8") == FILE.replace("[20, 30.0]", "[20.0, 30.5]").replace(
        "[60, 31.0]", "[60.0, 30.5]"
    )
    again = platebook("arrange", "box", "--align", "rows", "--write")
    assert (again.code, again.out, again.err) == (0, "", "nothing to change\n")


def test_findings_that_come_and_go_are_told(platebook: Run, box: Path) -> None:
    off = platebook("arrange", "box", "horn", "--shift", "-15,0", "--write")
    assert "new error: `horn` sticks out of the plate by 3.1 mm [control-off-plate]\n" in off.out

    document = json.loads(platebook("arrange", "box", "horn", "--shift", "15, 0mm", "--json").out)
    assert document["new"] == []
    assert [one["code"] for one in document["fixed"]] == ["control-off-plate"]
    assert document["moves"] == [{"control": "horn", "before": "5, 30", "after": "20, 30"}]


@pytest.mark.parametrize(
    ("words", "message"),
    [
        (
            (),
            "nothing is to be done\n  Give --grid, --align, --spread, --mirror or --shift.",
        ),
        (
            ("--pitch", "30"),
            "nothing is to be done\n  Give --grid, --align, --spread, --mirror or --shift.",
        ),
        (
            ("--shift", "5"),
            "`5` is no shift in mm\n  Write how far to the right and up, such as 5,-2.5.",
        ),
        (
            ("--shift", "5,1", "--pitch", "30"),
            "a pitch alone moves nothing\n  Give --grid or --spread too.",
        ),
        (("hron", "--shift", "5,1"), "`box` has no control `hron`\n  Did you mean `horn`?"),
    ],
)
def test_what_cannot_be_done_is_told(
    platebook: Run, box: Path, words: tuple[str, ...], message: str
) -> None:
    ran = platebook("arrange", "box", *words)

    assert (ran.code, ran.out, ran.err) == (2, "", f"platebook: {message}\n")
    assert box.read_text("utf-8") == FILE


def test_python_does_the_same(box: Path) -> None:
    library = profiles.load(box.parent)
    moves = profiles.arrange(library, "box", ["b*"], shift="0,-1")
    assert moves == (("bell", (60.0, 31.0), (60.0, 30.0)),)
    assert box.read_text("utf-8") == FILE

    profiles.arrange(library, "box", ["b*"], shift="0,-1", write=True)
    assert box.read_text("utf-8") == FILE.replace("[60, 31.0]", "[60.0, 30.0]")
    with pytest.raises(KeyError):
        profiles.arrange(library, "bux", shift="0,-1")
    with pytest.raises(LayoutError):
        profiles.arrange(library, "box")
