"""A second check of the very same files recalls what the first found, and is never wrong for it.

The store counts for nothing where anybody else could have written it, whatever stands in it.
"""

import json
import os
import shutil
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from profiles.files import kept, library
from profiles.work.checking import recall_check
from tests.conftest import EXAMPLES, Ran, Run

FAULTY = EXAMPLES / "faulty"
CHECKS: list[tuple[str, ...]] = [
    ("boatyard",),
    ("harbour", "--json"),
    ("faulty",),
    ("faulty", "--json"),
    ("faulty", "--sarif"),
    ("faulty", "--each"),
    ("faulty", "--summary"),
    ("faulty", "--severity", "warning", "--fail-on", "never"),
    ("faulty", "--code", "contact-unused"),
]


@pytest.fixture
def store(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A store of its own, empty."""
    folder = tmp_path / "store"
    monkeypatch.setenv(kept.ENVIRONMENT_NAME, str(folder))
    return folder


@pytest.fixture
def boxes(tmp_path: Path) -> Path:
    """A library with findings of all severities, acceptances and files that cannot be used."""
    shutil.copytree(FAULTY, tmp_path / "boxes")
    return tmp_path / "boxes"


@pytest.fixture
def plain(platebook: Run, monkeypatch: pytest.MonkeyPatch) -> Callable[..., Ran]:
    """Check without any store."""

    def call(*words: str | Path) -> Ran:
        with monkeypatch.context() as patch:
            patch.setenv(kept.ENVIRONMENT_NAME, "")
            return platebook("check", *words)

    return call


def forbid_loading(monkeypatch: pytest.MonkeyPatch) -> None:
    def load(_folder: Path) -> None:
        raise AssertionError("the files are read again")

    monkeypatch.setattr(library, "load_library", load)


@pytest.mark.parametrize("words", CHECKS, ids=" ".join)
def test_a_second_check_says_the_same_and_loads_no_document(
    platebook: Run,
    plain: Callable[..., Ran],
    store: Path,
    monkeypatch: pytest.MonkeyPatch,
    words: tuple[str, ...],
) -> None:
    named = (EXAMPLES / words[0], *words[1:])
    expected = plain(*named)
    assert not store.exists()
    assert platebook("check", *named) == expected
    assert len(list(store.iterdir())) == 1
    forbid_loading(monkeypatch)
    assert platebook("check", *named) == expected


def test_a_second_check_loads_neither_pydantic_nor_the_model(store: Path) -> None:
    script = (
        "import sys; from profiles.cli.main import run; run(sys.argv[1:]); "
        "print(*(name for name in ('pydantic', 'yaml', 'profiles.model') if name in sys.modules))"
    )
    command = [sys.executable, "-c", script, "check", str(EXAMPLES / "harbour")]
    first, second = (
        subprocess.run(command, capture_output=True, text=True, check=True) for _ in range(2)
    )
    assert first.stdout.splitlines()[-1] == "pydantic yaml profiles.model"
    assert second.stdout.splitlines()[-1] == ""


def test_a_filter_by_name_still_knows_the_names(platebook: Run, store: Path) -> None:
    example = EXAMPLES / "harbour"
    platebook("check", example)
    assert "Did you mean `helm-desk`?" in platebook("check", example, "--device", "helm-des").err


def _touch_nothing_but_a_byte(folder: Path) -> None:
    path = next(folder.rglob("*.toml"))
    status = path.stat()
    data = path.read_bytes()
    path.write_bytes(data.replace(b"= 1\n", b"= 7\n", 1))
    os.utime(path, ns=(status.st_atime_ns, status.st_mtime_ns))


def _rename(folder: Path) -> None:
    path = next(folder.rglob("*.toml"))
    path.rename(path.with_name("z-other-name.toml"))


def _remove(folder: Path) -> None:
    next(folder.rglob("*.toml")).unlink()


def _add(folder: Path) -> None:
    (folder / "more.json").write_text('{"format": 1}', "utf-8")


def _add_another_format(folder: Path) -> None:
    path = next(folder.rglob("*.toml"))
    path.rename(path.with_suffix(".yaml"))


@pytest.mark.parametrize(
    "change", [_touch_nothing_but_a_byte, _rename, _remove, _add, _add_another_format]
)
def test_any_change_of_the_files_is_seen(
    platebook: Run,
    plain: Callable[..., Ran],
    store: Path,
    boxes: Path,
    change: Callable[[Path], None],
) -> None:
    before = platebook("check", boxes)
    change(boxes)
    after = platebook("check", boxes)
    assert after == plain(boxes) != before


def test_a_change_of_the_program_is_seen(
    platebook: Run, store: Path, boxes: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    platebook("check", boxes)
    assert recall_check(boxes).checked is not None
    monkeypatch.setattr(kept, "digest_program", lambda: b"another program")
    assert recall_check(boxes).checked is None


def test_the_program_is_known_by_each_of_its_files(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "files").mkdir()
    monkeypatch.setattr(kept, "__file__", str(tmp_path / "files" / "kept.py"))
    seen = set()
    for name, text in (("a.py", "x"), ("a.py", "y"), ("b.toml", "y"), ("files/c.py", "")):
        (tmp_path / name).write_text(text, "utf-8")
        seen.add(kept.digest_program.__wrapped__())
    (tmp_path / "b.toml").rename(tmp_path / "d.toml")
    seen.add(kept.digest_program.__wrapped__())
    assert len(seen) == 5


def test_a_folder_named_in_another_way_shows_its_files_in_that_way(
    platebook: Run,
    plain: Callable[..., Ran],
    store: Path,
    boxes: Path,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    assert platebook("check", boxes) == plain(boxes)
    monkeypatch.chdir(boxes.parent)
    assert platebook("check", "boxes") == plain("boxes")
    monkeypatch.chdir(boxes)
    assert platebook("check") == plain()


def test_a_file_that_changes_during_the_check_leaves_nothing_kept(
    platebook: Run, store: Path, boxes: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    load = library.load_library

    def load_and_change(folder: Path) -> library.LoadedLibrary:
        loaded = load(folder)
        _add(boxes)
        return loaded

    monkeypatch.setattr(library, "load_library", load_and_change)
    platebook("check", boxes)
    assert not store.exists()


def test_nothing_is_kept_of_a_folder_with_a_link(
    platebook: Run, store: Path, boxes: Path, tmp_path: Path
) -> None:
    (tmp_path / "outside.toml").write_text("format = 1", "utf-8")
    (boxes / "link.toml").symlink_to(tmp_path / "outside.toml")
    platebook("check", boxes)
    assert not store.exists()


def _let_others_write_the_store(store: Path, _entry: Path) -> None:
    store.chmod(0o777)


def _let_others_write_the_entry(_store: Path, entry: Path) -> None:
    entry.chmod(0o666)


def _link_the_entry(store: Path, entry: Path) -> None:
    entry.rename(store.parent / "entry")
    entry.symlink_to(store.parent / "entry")


def _link_the_store(store: Path, _entry: Path) -> None:
    store.rename(store.parent / "elsewhere")
    store.symlink_to(store.parent / "elsewhere")


def _put_a_pipe(_store: Path, entry: Path) -> None:
    entry.unlink()
    os.mkfifo(entry)


@pytest.mark.skipif(not hasattr(os, "geteuid"), reason="owners and modes of POSIX")
@pytest.mark.parametrize(
    "spoil",
    [
        _let_others_write_the_store,
        _let_others_write_the_entry,
        _link_the_entry,
        _link_the_store,
        _put_a_pipe,
    ],
)
def test_what_others_may_have_written_is_not_believed(
    platebook: Run, store: Path, boxes: Path, spoil: Callable[[Path, Path], None]
) -> None:
    """The forged entry has the right key and says that all is well."""
    honest = platebook("check", boxes)
    (entry,) = store.iterdir()
    forged = {**json.loads(entry.read_bytes()), "findings": [], "usable": True}
    entry.write_text(json.dumps(forged), "ascii")
    assert platebook("check", boxes).code == 0  # believed, as long as it is the user's own
    spoil(store, entry)
    assert platebook("check", boxes) == honest


@pytest.mark.skipif(not hasattr(os, "geteuid"), reason="owners and modes of POSIX")
def test_what_belongs_to_another_user_is_not_believed(
    platebook: Run, store: Path, boxes: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    platebook("check", boxes)
    assert recall_check(boxes).checked is not None
    monkeypatch.setattr(os, "geteuid", lambda: os.stat(store).st_uid + 1)  # noqa: PTH116
    assert recall_check(boxes).checked is None


@pytest.mark.parametrize("block", ["file", "under a file"])
def test_a_store_that_cannot_be_made_changes_nothing(
    platebook: Run,
    plain: Callable[..., Ran],
    boxes: Path,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    block: str,
) -> None:
    (tmp_path / "file").write_text("mine", "utf-8")
    named = tmp_path / "file" if block == "file" else tmp_path / "file" / "store"
    monkeypatch.setenv(kept.ENVIRONMENT_NAME, str(named))
    for _ in range(2):
        assert platebook("check", boxes) == plain(boxes)
    assert (tmp_path / "file").read_text("utf-8") == "mine"


def test_a_full_store_drops_its_oldest_entries(tmp_path: Path) -> None:
    for number in range(kept.MOST + 3):
        kept.keep(Path(str(number)), tmp_path / "store", b"{}")
        for place, entry in enumerate(sorted((tmp_path / "store").iterdir(), key=_age)):
            os.utime(entry, ns=(place, place))
    left = [n for n in range(kept.MOST + 3) if kept.read_kept(Path(str(n)), tmp_path / "store")]
    assert left == list(range(3, kept.MOST + 3))


def _age(path: Path) -> int:
    return path.stat().st_mtime_ns


def test_more_than_is_worth_keeping_is_neither_written_nor_read(tmp_path: Path) -> None:
    kept.keep(tmp_path, tmp_path / "store", b"x" * (kept.LARGEST + 1))
    assert not (tmp_path / "store").exists()
    kept.keep(tmp_path, tmp_path / "store", b"x" * kept.LARGEST)
    (entry,) = (tmp_path / "store").iterdir()
    assert kept.read_kept(tmp_path, tmp_path / "store") == b"x" * kept.LARGEST
    entry.write_bytes(b"x" * (kept.LARGEST + 1))
    assert kept.read_kept(tmp_path, tmp_path / "store") is None


JSON_VALUES = st.recursive(
    st.none() | st.booleans() | st.integers() | st.text(max_size=5),
    lambda inner: st.lists(inner, max_size=8) | st.dictionaries(st.text(max_size=5), inner),
    max_leaves=12,
)


def _paths(value: Any, path: tuple[Any, ...] = ()) -> list[tuple[Any, ...]]:
    """Every place in plain data, the whole of it first."""
    pairs = (
        value.items()
        if isinstance(value, dict)
        else enumerate(value)
        if isinstance(value, list)
        else ()
    )
    return [path, *(deeper for key, one in pairs for deeper in _paths(one, (*path, key)))]


@settings(max_examples=100, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(data=st.data())
def test_an_entry_spoilt_anywhere_is_forgotten_or_of_the_right_form(
    data: st.DataObject, tmp_path_factory: pytest.TempPathFactory, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Whatever is put wherever: none, or a result of which every finding can be shown."""
    store = tmp_path_factory.getbasetemp() / "spoilt"
    monkeypatch.setenv(kept.ENVIRONMENT_NAME, str(store))
    recalled = recall_check(FAULTY)
    assert recalled.key is not None
    place = ["file.toml", 3, 1, None]
    spot = ["desk", ["controls", "horn", 0]]
    finding = ["name-unknown", "error", "m", "r", spot, [["also", spot, place]], place, ""]
    content: Any = {
        "key": recalled.key,
        "findings": [finding],
        "accepted": [[finding, "why"]],
        "notes": ["n"],
        "usable": False,
    }
    where, value = data.draw(st.sampled_from(_paths(content))), data.draw(JSON_VALUES)
    if where:
        holder = content
        for key in where[:-1]:
            holder = holder[key]
        holder[where[-1]] = value
    else:
        content = value
    kept.keep(FAULTY, store, json.dumps(content).encode("ascii"))
    checked = recall_check(FAULTY).checked
    if checked is not None:
        from profiles.cli.findings import report_findings
        from profiles.report.data import render_json

        assert render_json(report_findings(checked.findings, lambda _place: None))
        assert all(type(one.reason) is str for one in checked.accepted)


def test_where_the_store_lies(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """XDG Base Directory Specification 0.8: a path that is not absolute is ignored."""
    monkeypatch.setattr(sys, "platform", "linux")
    home, other = {"HOME": str(tmp_path)}, str(tmp_path / "other")
    for environ, expected in (
        (home, tmp_path / ".cache" / "platebook"),
        (home | {"XDG_CACHE_HOME": other}, tmp_path / "other" / "platebook"),
        (home | {"XDG_CACHE_HOME": "other"}, tmp_path / ".cache" / "platebook"),
        (home | {"PLATEBOOK_CACHE": other}, tmp_path / "other"),
        (home | {"PLATEBOOK_CACHE": ""}, None),
        ({}, None),
        ({"HOME": "here"}, None),
    ):
        assert kept.find_store(environ) == expected
