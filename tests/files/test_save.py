"""A saved file is the old one or the new one, and nobody's change is lost."""

import errno
import json
import os
import stat
import subprocess
import sys
from collections.abc import Callable
from importlib import reload
from pathlib import Path
from types import SimpleNamespace

import pytest

import profiles.files.save
from profiles.files.documents import digest_of
from profiles.files.save import (
    ChangedOnDiskError,
    SaveError,
    create_file,
    put_file,
    remove_file,
    remove_leftovers,
    replace_file,
)
from profiles.files.walk import find_files
from tests.systems import windows
from tests.systems.meanwhile import run_both

posix_only = pytest.mark.skipif(os.name != "posix", reason="modes and links of POSIX")


@pytest.fixture
def file(tmp_path: Path) -> Path:
    path = tmp_path / "helm.toml"
    path.write_bytes(b"old")
    return path


def test_a_file_is_replaced_and_nothing_is_left_behind(file: Path) -> None:
    assert replace_file(file, b"new", digest_of(b"old")) == digest_of(b"new")
    assert file.read_bytes() == b"new"
    assert list(file.parent.iterdir()) == [file]


def test_a_file_that_changed_since_it_was_read_is_not_replaced(file: Path) -> None:
    file.write_bytes(b"theirs")
    with pytest.raises(ChangedOnDiskError) as caught:
        replace_file(file, b"mine", digest_of(b"old"))
    assert str(caught.value) == (
        "`helm.toml` has changed on disk; read it again before you change it"
    )
    assert file.read_bytes() == b"theirs"
    assert list(file.parent.iterdir()) == [file]


def test_a_file_that_is_gone_is_not_written_anew(file: Path) -> None:
    file.unlink()
    with pytest.raises(ChangedOnDiskError, match="is gone; read the library again"):
        replace_file(file, b"mine", digest_of(b"old"))
    assert list(file.parent.iterdir()) == []


@posix_only
def test_the_mode_of_a_file_is_kept(file: Path) -> None:
    file.chmod(0o640)
    replace_file(file, b"new", digest_of(b"old"))
    assert stat.S_IMODE(file.stat().st_mode) == 0o640


@posix_only
def test_a_file_that_is_read_only_is_neither_replaced_nor_removed(file: Path) -> None:
    file.chmod(0o444)
    with pytest.raises(SaveError) as replaced:
        replace_file(file, b"new", digest_of(b"old"))
    with pytest.raises(SaveError) as removed:
        remove_file(file, digest_of(b"old"))
    assert {str(replaced.value), str(removed.value)} == {
        "`helm.toml` is read-only; allow writing to it, then save again"
    }
    assert (file.read_bytes(), list(file.parent.iterdir())) == (b"old", [file])


@pytest.mark.skipif(sys.platform != "linux", reason="reads from Linux which process waits")
@pytest.mark.parametrize("event", range(5))
def test_of_two_savers_who_read_the_same_file_one_is_told_at_whatever_moment(
    file: Path, event: int
) -> None:
    """The second begins where the first is about to make its first change, its second and so on."""

    def save(data: bytes) -> int:
        try:
            replace_file(file, data, digest_of(b"old"))
        except ChangedOnDiskError as error:
            print(error, file=sys.stderr)
            return 1
        return 0

    mine, theirs = run_both(file.parent, lambda: save(b"mine"), lambda: save(b"theirs"), event)
    assert {mine.code, theirs.code} == {0, 1}
    assert file.read_bytes() == (b"theirs" if mine.code else b"mine")
    assert mine.words + theirs.words == (
        "`helm.toml` has changed on disk; read it again before you change it\n"
    )
    assert list(file.parent.iterdir()) == [file]


@pytest.mark.skipif(sys.platform != "linux", reason="reads from Linux which process waits")
@pytest.mark.parametrize("event", range(7))
def test_of_two_savers_by_the_rules_of_windows_one_is_told_too(file: Path, event: int) -> None:
    """There they lock a file of its own, since no folder can be opened; it goes with the last."""

    def save(data: bytes) -> int:
        windows.lay_on()
        save = reload(profiles.files.save)
        assert save.fcntl is None
        try:
            save.replace_file(file, data, digest_of(b"old"))
        except save.ChangedOnDiskError:
            return 1
        return 0

    mine, theirs = run_both(file.parent, lambda: save(b"mine"), lambda: save(b"theirs"), event)
    assert ({mine.code, theirs.code}, mine.words + theirs.words) == ({0, 1}, "")
    assert file.read_bytes() == (b"theirs" if mine.code else b"mine")
    assert list(file.parent.iterdir()) == [file]


@posix_only
def test_whoever_waits_longer_than_windows_does_waits_on(
    file: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """`msvcrt.locking` gives up after ten tries; by any other error, nothing can be locked."""
    errors = [errno.EDEADLK, errno.EDEADLK, None, errno.EINVAL]

    def lock(_handle: int, _mode: int, _count: int) -> None:
        if (number := errors.pop(0)) is not None:
            raise OSError(number, "no lock")

    monkeypatch.setattr(profiles.files.save, "fcntl", None)
    monkeypatch.setattr(
        profiles.files.save, "msvcrt", SimpleNamespace(locking=lock, LK_LOCK=1), raising=False
    )
    digest = replace_file(file, b"new", digest_of(b"old"))
    assert errors == [errno.EINVAL]
    replace_file(file, b"newer", digest)
    assert (file.read_bytes(), list(file.parent.iterdir())) == (b"newer", [file])


@posix_only
def test_a_link_stays_a_link_and_its_file_is_replaced(file: Path) -> None:
    folder = file.parent / "links"
    folder.mkdir()
    link = folder / "box.toml"
    link.symlink_to("../helm.toml")
    replace_file(link, b"new", digest_of(b"old"))
    assert link.is_symlink()
    assert file.read_bytes() == b"new"
    assert list(folder.iterdir()) == [link]


@posix_only
def test_a_link_in_a_circle_is_refused(tmp_path: Path) -> None:
    loop = tmp_path / "loop.toml"
    loop.symlink_to("loop.toml")
    with pytest.raises(SaveError, match="check where its link leads"):
        replace_file(loop, b"new", digest_of(b"old"))


def test_a_new_file_never_takes_the_place_of_another(file: Path) -> None:
    with pytest.raises(SaveError) as caught:
        create_file(file, b"new")
    assert str(caught.value) == "`helm.toml` is there already; choose another name"
    assert file.read_bytes() == b"old"


def test_a_new_file_is_written_whole(tmp_path: Path) -> None:
    path = tmp_path / "new.toml"
    assert create_file(path, b"new") == digest_of(b"new")
    assert path.read_bytes() == b"new"
    assert list(tmp_path.iterdir()) == [path]


def test_a_folder_that_is_not_there_gives_a_clear_refusal(tmp_path: Path) -> None:
    with pytest.raises(SaveError) as caught:
        create_file(tmp_path / "no" / "new.toml", b"new")
    folder = (tmp_path / "no").as_posix()
    assert str(caught.value) == f"there is no folder `{folder}`; make it first"


@posix_only
@pytest.mark.parametrize(
    "save",
    [
        lambda path: create_file(path, b"new"),
        lambda path: put_file(path, b"new"),
        lambda path: replace_file(path, b"new", digest_of(b"old")),
        lambda path: remove_file(path, digest_of(b"old")),
    ],
    ids=["create", "put", "replace", "remove"],
)
def test_a_pipe_in_the_place_of_a_folder_is_refused_at_once(
    tmp_path: Path, save: Callable[[Path], object]
) -> None:
    """Nobody writes into it, so that whoever opened it to read would wait for ever."""
    pipe = tmp_path / "pipe"
    os.mkfifo(pipe)
    remove_leftovers(pipe)
    with pytest.raises((SaveError, OSError)):
        save(pipe / "new.toml")
    assert list(tmp_path.iterdir()) == [pipe]


@posix_only
def test_a_saver_killed_two_hundred_times_never_leaves_half_a_file(tmp_path: Path) -> None:
    """What a kill leaves is a hidden file, which no library reads and the next save removes."""
    path = tmp_path / "helm.toml"
    run = subprocess.run(
        [sys.executable, "-m", "tests.files.killed_saver", str(path), "200"],
        capture_output=True,
        text=True,
        timeout=120,
        check=True,
        cwd=Path(__file__).parents[2],
    )
    result = json.loads(run.stdout)
    assert result["broken"] == 0
    assert len(result["left"]) >= 20, "the kills must fall into the middle of saves"
    assert result["at_last"] == []
    assert list(find_files(tmp_path)) == [path]


def test_a_leftover_is_removed(file: Path) -> None:
    (file.parent / ".platebook-saving-dead.tmp").write_bytes(b"half")
    replace_file(file, b"new", digest_of(b"old"))
    assert list(file.parent.iterdir()) == [file]


@pytest.mark.skipif(sys.platform != "linux", reason="reads from Linux which process waits")
@pytest.mark.parametrize("event", range(4))
def test_what_is_being_saved_now_is_no_leftover(file: Path, event: int) -> None:
    """Two savers in one folder, the second begun in the middle of the first, both to their end."""
    other = file.parent / "other.toml"

    def replace() -> int:
        replace_file(file, b"new", digest_of(b"old"))
        return 0

    def create() -> int:
        create_file(other, b"new")
        return 0

    assert run_both(file.parent, replace, create, event) == ((0, ""), (0, ""))
    assert {path: path.read_bytes() for path in file.parent.iterdir()} == {
        file: b"new",
        other: b"new",
    }
