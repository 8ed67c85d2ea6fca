"""Bundles: the same files come out, and nothing that a stranger hides in one."""

import io
import json
import os
import stat
import zipfile
from pathlib import Path

import pytest

from profiles.files.bundle import Bundle, BundleError, read_bundle, unpack_bundle, write_bundle
from profiles.files.documents import digest_of
from profiles.files.save import hidden_folder
from tests.fuzz.bundles import FILES, NAMES, SOUND, try_bundles


def pack(*members: tuple[str, bytes, int], listed: bool = True) -> bytes:
    """An archive with these members, which it lists, made by the standard library alone."""
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w", zipfile.ZIP_DEFLATED) as archive:
        files = {name: digest_of(data).hex() for name, data, _ in members} if listed else {}
        archive.writestr("bundle.json", json.dumps({"format": 1, "profiles": [], "files": files}))
        for name, data, mode in members:
            info = zipfile.ZipInfo("x")
            info.filename, info.external_attr = name, mode << 16
            info.compress_type = zipfile.ZIP_DEFLATED
            archive.NameToInfo.clear()  # so that a name may come twice
            archive.writestr(info, data)
    return packed.getvalue()


def test_what_goes_in_comes_out(tmp_path: Path) -> None:
    bundle = read_bundle(SOUND)
    assert bundle == Bundle(("harbour-desk",), FILES)
    paths = unpack_bundle(bundle, tmp_path / "new")
    assert {p.relative_to(tmp_path / "new").as_posix(): p.read_bytes() for p in paths} == FILES
    assert [path.name for path in tmp_path.iterdir()] == ["new"]
    assert write_bundle(bundle) == SOUND


@pytest.mark.parametrize("name", [name for name in NAMES if name.lower() not in FILES])
def test_a_name_that_is_none_of_ours_is_refused(name: str) -> None:
    with pytest.raises(BundleError):
        read_bundle(pack((name, b"x", stat.S_IFREG)))


@pytest.mark.parametrize("kind", [stat.S_IFLNK, stat.S_IFDIR, stat.S_IFCHR, stat.S_IFIFO])
def test_what_is_no_plain_file_is_refused(kind: int) -> None:
    with pytest.raises(BundleError, match="is a link or device, not a file"):
        read_bundle(pack(("devices/a.toml", b"/etc/passwd", kind)))


def test_bytes_that_unpack_to_too_many_are_refused() -> None:
    bomb = pack(("devices/a.toml", bytes(50_000_000), 0))
    assert len(bomb) < 100_000
    with pytest.raises(BundleError, match="larger than any real one"):
        read_bundle(bomb)


def test_many_files_and_files_twice_are_refused() -> None:
    with pytest.raises(BundleError, match="at most 500 files, not 602"):
        read_bundle(pack(*((f"devices/a{n}.toml", b"", 0) for n in range(601))))
    with pytest.raises(BundleError, match="is in the bundle twice"):
        read_bundle(pack(("devices/a.toml", b"", 0), ("devices/A.toml", b"", 0)))


def test_files_that_are_not_listed_are_refused() -> None:
    with pytest.raises(BundleError, match="holds other files than it lists"):
        read_bundle(pack(("devices/a.toml", b"", 0), listed=False))


def test_nothing_that_is_there_is_replaced(tmp_path: Path) -> None:
    (tmp_path / "mine").mkdir()
    (tmp_path / "link").symlink_to(tmp_path / "elsewhere")
    for name in ("mine", "link"):
        with pytest.raises(BundleError, match="is there already"):
            unpack_bundle(read_bundle(SOUND), tmp_path / name)
    assert sorted(path.name for path in tmp_path.iterdir()) == ["link", "mine"]
    assert list((tmp_path / "mine").iterdir()) == []


def test_damaged_and_hostile_bundles_leave_nothing_outside(tmp_path: Path) -> None:
    problems, refused = try_bundles(300, 2, tmp_path)
    assert problems == []
    assert refused > 250


@pytest.mark.skipif(os.name != "posix", reason="locks of POSIX")
def test_what_a_killed_run_left_is_removed_and_what_another_uses_is_not(tmp_path: Path) -> None:
    (tmp_path / ".platebook-bundle-left" / "files").mkdir(parents=True)
    (tmp_path / ".platebook-bundle-left" / "files" / "desk.toml").write_text("half", "utf-8")
    (tmp_path / ".platebook-bundle-link").symlink_to(tmp_path, target_is_directory=True)
    with hidden_folder(tmp_path, ".platebook-bundle-") as used:
        unpack_bundle(read_bundle(SOUND), tmp_path / "mine")
        assert used.is_dir()
    assert sorted(path.name for path in tmp_path.iterdir()) == [".platebook-bundle-link", "mine"]
