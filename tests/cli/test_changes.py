"""`platebook changes`: since a folder or a git revision, in words, and printed."""

import json
import os
import shutil
import subprocess
from pathlib import Path, PurePosixPath
from typing import Any

import pytest

from profiles.files import revision
from profiles.files.revision import copy_revision, is_below
from tests.cli.conftest import Run, edit

needs_git = pytest.mark.skipif(shutil.which("git") is None, reason="git is not installed")


def git(folder: Path, *words: str) -> str:
    """Run git in a folder as somebody without settings."""
    who = ("-c", "user.name=A", "-c", "user.email=a@example.org", "-c", "commit.gpgsign=false")
    own = {key: value for key, value in os.environ.items() if not key.startswith("GIT_")}
    ran = subprocess.run(
        ["git", *who, "-C", str(folder), *words],
        capture_output=True,
        check=True,
        text=True,
        env={**own, "GIT_CONFIG_GLOBAL": os.devnull},
    )
    return ran.stdout.strip()


@pytest.fixture
def tracked(library: Path) -> Path:
    """The library as a folder of a repository with one commit."""
    git(library.parent, "init", "-q")
    git(library.parent, "add", ".")
    git(library.parent, "commit", "-qm", "first")
    return library


@needs_git
def test_changes_since_the_last_commit_are_told_in_words(platebook: Run, tracked: Path) -> None:
    edit(tracked / "desk.toml", "input = 2", "input = 7")
    ran = platebook("changes", "--library", tracked)
    assert ran.code == 0
    assert ran.err == ""
    assert "Desk    BELL     bell     2    7" in ran.out
    assert "bind again  Ring the bell  Button 2  Button 7" in ran.out
    assert "harbour-desk-card.pdf  changed" in ran.out
    assert "drill" not in ran.out
    found = json.loads(platebook("changes", "--library", tracked, "--json").out)
    assert found["bindings"] == [
        {
            "application": "Harbour",
            "profile": "harbour-desk",
            "do": "bind again",
            "action": "Ring the bell",
            "before": ["Button 2"],
            "after": ["Button 7"],
        }
    ]


@needs_git
def test_an_earlier_revision_is_named_and_the_repository_left_alone(
    platebook: Run, tracked: Path
) -> None:
    first = git(tracked, "rev-parse", "HEAD")
    edit(tracked / "desk.toml", '"BELL"', '"GONG"')
    git(tracked, "commit", "-qam", "second")
    before = git(tracked, "status", "--porcelain")
    assert "as they were" in platebook("changes", "--library", tracked).out
    ran = platebook("changes", "--library", tracked, "--since", first)
    assert f"Since {first} ({first[:10]})" in ran.out
    assert "desk-drill.pdf" in ran.out
    assert git(tracked, "status", "--porcelain") == before


@needs_git
@pytest.mark.parametrize(
    "name", ["--upload-pack=x", "-h", "no such", "HEAD\n", "HEAD:desk.toml", ""]
)
def test_a_hostile_or_unknown_revision_is_refused(platebook: Run, tracked: Path, name: str) -> None:
    ran = platebook("changes", "--library", tracked, f"--since={name}")
    assert (ran.code, ran.out) == (2, "")
    assert "revision" in ran.err


@needs_git
@pytest.mark.parametrize("share", [revision.MOST_BYTES, 100])
def test_many_files_of_a_revision_come_whole_from_few_runs_of_git(
    tracked: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, share: int
) -> None:
    """With a small share of bytes for each run, many runs; with the usual one, one."""
    names = [f"many/{n}.toml" for n in range(20)] + ["many/n\u00e4me \n.json", "empty.yaml"]
    (tracked / "many").mkdir()
    for number, name in enumerate(names):
        (tracked / name).write_bytes(bytes([10, 0, 13, 255]) * (number * 7) if number < 21 else b"")
    git(tracked, "add", ".")
    git(tracked, "commit", "-qm", "many")
    calls = []
    run = subprocess.run

    def count(command: list[str], **given: Any) -> Any:
        calls.append(command)
        return run(command, **given)

    monkeypatch.setattr(revision, "MOST_BYTES", share)
    monkeypatch.setattr(subprocess, "run", count)
    copy_revision(tracked, "HEAD", tmp_path / "old")
    for path in tracked.rglob("*.*"):
        assert (tmp_path / "old" / path.relative_to(tracked)).read_bytes() == path.read_bytes()
    if share > 100:
        assert len(calls) == 4
    else:
        assert len(calls) > 4


@needs_git
def test_links_and_other_files_of_a_revision_are_not_followed(
    platebook: Run, tracked: Path
) -> None:
    (tracked / "link.toml").symlink_to(tracked / "desk.toml")
    git(tracked, "add", ".")
    git(tracked, "commit", "-qm", "link")
    (tracked / "link.toml").unlink()
    assert "as they were" in platebook("changes", "--library", tracked).out


@pytest.mark.parametrize(
    "path", ["../a.toml", "/a.toml", "a/../../b.toml", ".git/x.toml", "a:b.toml"]
)
def test_a_path_that_leaves_its_folder_is_known(path: str) -> None:
    assert not is_below(PurePosixPath(path))
    assert is_below(PurePosixPath("boxes/desk.toml"))


def test_a_folder_in_no_repository_says_so(platebook: Run, library: Path) -> None:
    ran = platebook("changes", "--library", library)
    assert (ran.code, ran.out) == (2, "")
    assert ran.err == (
        f"platebook: `{library.as_posix()}` is in no git repository\n"
        "  Name the folder of an earlier state instead.\n"
    )


def test_only_sheets_and_labels_that_differ_are_printed(platebook: Run, library: Path) -> None:
    shutil.copytree(library, library.parent / "old")
    edit(
        library / "bindings.toml",
        'bell = "ring-bell"',
        'bell = { action = "ring-bell", legend = "GONG" }',
    )
    ran = platebook(
        *("changes", "old", "--library", library, "--print", "out", "--labels", "out", "--no-date")
    )
    assert ran.code == 0
    assert sorted(path.name for path in Path("out").glob("*.pdf")) == [
        "desk-harbour-desk-changed-labels.pdf",
        "desk-harbour-desk-legend.pdf",
        "desk-harbour-desk-strip.pdf",
    ]
    words = ("--profile", "harbour-desk", "--library", library, "--no-date")
    platebook("print", "strip", *words, "-o", "one.pdf")
    assert Path("one.pdf").read_bytes() == Path("out/desk-harbour-desk-strip.pdf").read_bytes()


def test_an_earlier_state_that_cannot_be_read_is_refused(platebook: Run, library: Path) -> None:
    shutil.copytree(library, library.parent / "old")
    edit(library.parent / "old" / "desk.toml", "width = 120.0", "width = -1")
    ran = platebook("changes", "old", "--library", library)
    assert (ran.code, ran.out) == (2, "")
    assert "the earlier state cannot be compared" in ran.err


@needs_git
def test_a_repository_without_a_commit_is_told(platebook: Run, library: Path) -> None:
    git(library, "init", "-q")
    ran = platebook("changes", "--library", library)
    assert (ran.code, ran.out, ran.err) == (
        *(2, ""),
        "platebook: the git repository has no commit yet\n"
        "  Commit first, or name the folder of an earlier state.\n",
    )


def test_a_folder_and_a_revision_are_not_named_together(platebook: Run, library: Path) -> None:
    ran = platebook("changes", library, "--since", "HEAD", "--library", library)
    assert (ran.code, ran.out, ran.err) == (
        *(2, ""),
        "platebook: name either FOLDER or --since\n  see `platebook changes --help`\n",
    )
