"""`platebook press test --from`: what a recording tells, and what is refused of it."""

import json
from pathlib import Path

import pytest

from tests.cli.conftest import EXAMPLES, Run, edit
from tests.cli.pressing import Stage, stage
from tests.live.virtual import VirtualBox

__all__ = ["stage"]

HARBOUR = EXAMPLES / "harbour"
EXAMPLE = HARBOUR / "recordings" / "helm-desk-press.jsonl"


def test_a_device_file_that_changed_since_is_said(platebook: Run, tmp_path: Path) -> None:
    import shutil

    library = tmp_path / "mine"
    shutil.copytree(HARBOUR, library)
    edit(library / "devices" / "helm-desk.toml", "debounce = 7.0", "debounce = 8.0")
    ran = platebook("press", "test", "helm-desk", "--from", EXAMPLE, "--library", library)
    assert ran.out.splitlines()[3] == "The device file has changed since this test was made."


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (
            ("lookout-box", "--from", str(EXAMPLE)),
            f"platebook: {EXAMPLE}: the recording is of helm-desk, not of lookout-box\n"
            "  Choose the device helm-desk.\n",
        ),
        (
            ("helm-desc", "--from", str(EXAMPLE)),
            "platebook: the library has no device `helm-desc`\n  Did you mean `helm-desk`?\n",
        ),
        (
            ("helm-desk", "--from", "none.jsonl"),
            "platebook: cannot read none.jsonl: there is no file `none.jsonl`\n  Check the name.\n",
        ),
        (
            ("helm-desk", "--from", str(EXAMPLE), "--report", "report.doc"),
            "platebook: report.doc does not say what the report is to be\n"
            "  Name it with .pdf, .html or .csv at its end.\n",
        ),
        (
            ("helm-desk", "--from", str(EXAMPLE), "--new"),
            "platebook: --from replays and records nothing; remove --recording and --new\n"
            "  see `platebook press test --help`\n",
        ),
    ],
)
def test_a_wrong_call_is_answered_with_one_remedy(
    platebook: Run, words: tuple[str, ...], said: str
) -> None:
    ran = platebook("press", "test", *words, "--library", HARBOUR)
    assert (ran.code, ran.out, ran.err) == (2, "", said)


def test_a_damaged_record_is_refused_with_its_lines(platebook: Run) -> None:
    lines = EXAMPLE.read_bytes().splitlines(keepends=True)
    Path("bad.jsonl").write_bytes(lines[0] + b"\x1b]0;evil\n" + b"".join(lines[2:]))
    ran = platebook("press", "test", "helm-desk", "--from", "bad.jsonl", "--library", HARBOUR)
    assert (ran.code, ran.err) == (
        2,
        "platebook: bad.jsonl is damaged: line 2: is no JSON\n"
        "  Use an undamaged copy, or test the box again.\n",
    )


def test_a_record_of_a_newer_program_is_not_called_damaged(platebook: Run) -> None:
    head, *rest = EXAMPLE.read_bytes().splitlines(keepends=True)
    Path("new.jsonl").write_bytes(head.replace(b'"format": 1', b'"format": 2') + b"".join(rest))
    ran = platebook("press", "test", "helm-desk", "--from", "new.jsonl", "--library", HARBOUR)
    assert (ran.code, ran.err) == (
        2,
        "platebook: new.jsonl has format 2, newer than this program's 1\n"
        "  Use a newer Platebook.\n",
    )


def test_reports_are_written_beside(platebook: Run) -> None:
    ran = platebook(
        *("press", "test", "helm-desk", "--from", EXAMPLE, "--library", HARBOUR),
        *("--report", "out/desk.pdf", "--report", "desk.html", "--by", "A <b>maker</b>"),
    )
    assert ran.err == "report: out/desk.pdf\nreport: desk.html\n"
    assert Path("out/desk.pdf").read_bytes().startswith(b"%PDF-1.")
    page = Path("desk.html").read_text(encoding="utf-8")
    assert "Tested by A &lt;b&gt;maker&lt;/b&gt;. 2031-05-04 19:20" in page


def test_a_report_that_cannot_be_written_is_said(platebook: Run) -> None:
    Path("taken").write_text("", encoding="utf-8")
    words = ("press", "test", "helm-desk", "--from", EXAMPLE, "--library", HARBOUR)
    ran = platebook(*words, "--report", "taken/desk.pdf")
    assert ran.code == 2
    assert ran.err.startswith("platebook: `taken/desk.pdf` cannot be written: ")


def test_hostile_words_of_a_record_obey_nobody(platebook: Run) -> None:
    """Name of the box, date and serial number come from whoever sent the recording."""
    evil = "\x1b[2J\x07</style><script>alert(1)</script>"
    head, added, *rest = EXAMPLE.read_text(encoding="ascii").splitlines()
    header, event = json.loads(head), json.loads(added)
    header["started"] = event["box"]["name"] = event["box"]["serial"] = evil
    lines = [json.dumps(header), json.dumps(event), *rest]
    Path("evil.jsonl").write_text("\n".join(lines) + "\n", encoding="ascii")
    words = ("press", "test", "helm-desk", "--from", "evil.jsonl", "--library", HARBOUR)
    ran = platebook(*words, "--report", "desk.html", "--report", "desk.pdf", "--by", evil)
    page = Path("desk.html").read_text(encoding="utf-8")
    assert ran.code == 1
    assert not {"\x1b", "\x07"} & {*ran.out, *ran.err, *page}
    assert "<script" not in page


@pytest.mark.parametrize("victim", ["recording.jsonl", "desk.toml", "notes.txt"])
def test_no_output_replaces_a_file_that_is_not_its_own(
    platebook: Run, stage: Stage, victim: str
) -> None:
    """Neither the plots nor the report nor a recording, with the box plugged in."""
    Path("recording.jsonl").write_bytes(EXAMPLE.read_bytes())
    Path("desk.toml").write_text("format = 1\n", encoding="utf-8")
    Path("notes.txt").write_text("mine\n", encoding="utf-8")
    before = Path(victim).read_bytes()
    library = ("--library", HARBOUR)
    for words in (
        ("measurements", "recording.jsonl", "--svg", victim),
        ("test", "helm-desk", "--recording", victim),
        ("test", "helm-desk", "--recording", victim, "--new"),
        ("learn", "helm-desk", "--recording", victim),
        ("show", "brackwater-bridge", "--quiz", "--recording", victim),
    ):
        with VirtualBox(34, name="Helm desk"):
            stage.put(iter([]))
            ran = platebook("press", *words, *library)
        assert ran.code == 2, words
        assert "no box" not in ran.err
        assert Path(victim).read_bytes() == before
    Path("report.pdf").write_bytes(b"%PDF-1.4 of somebody else")
    report = ("--from", "recording.jsonl", "--report", "report.pdf")
    ran = platebook("press", "test", "helm-desk", *report, *library)
    assert (ran.code, ran.err) == (
        2,
        "platebook: `report.pdf` is there already, and was not made by Platebook\n"
        "  Choose another name, or delete that file first. Or add --replace.\n",
    )
    assert Path("report.pdf").read_bytes() == b"%PDF-1.4 of somebody else"
