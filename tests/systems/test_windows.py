"""The program under the rules of Windows: see `windows.py` for what they are and who says so."""

import json
import os
import shutil
import subprocess
import sys
from collections.abc import Callable
from errno import EINVAL
from pathlib import Path

import pytest

from profiles.cli.exits import Unusable
from profiles.cli.output import ReaderGoneError, write
from profiles.text.inert import file_name
from tests.conftest import EXAMPLES, ROOT
from tests.systems import windows

pytestmark = pytest.mark.skipif(
    not Path("/proc/self/fd").is_dir(), reason="the rules look at open files as Linux shows them"
)

Windows = Callable[..., subprocess.CompletedProcess[bytes]]
RECORDING = "recordings/helm-desk-press.jsonl"
COMPARED = ("compare", "--device", "helm-desk", "--format", "json", "-o", "-")


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A copy of the harbour library."""
    return Path(shutil.copytree(EXAMPLES / "harbour", tmp_path / "Boxes of mine"))


@pytest.fixture
def run(folder: Path) -> Windows:
    """Run a command in that library, by a code page, some files in use."""

    def run_there(
        *words: str, page: str = "cp1252", in_use: str = "", code: int = 0
    ) -> subprocess.CompletedProcess[bytes]:
        settings = {
            **os.environ,
            "PYTHONPATH": str(ROOT),
            "PYTHONWARNDEFAULTENCODING": "1",
            "PLATEBOOK_TRACEBACK": "1",
            "IN_USE": in_use,
        }
        done = subprocess.run(
            [sys.executable, "-m", "tests.systems.windows", "-c", page, *words],
            cwd=folder,
            env=settings,
            capture_output=True,
            stdin=subprocess.DEVNULL,
            check=False,
        )
        assert b"Traceback" not in done.stderr, done.stderr.decode(page)
        assert done.returncode == code, done.stderr.decode(page)
        return done

    return run_there


@pytest.mark.parametrize(
    ("page", "words"),
    [
        ("cp437", "check --json"),
        ("cp1252", "explain debounce"),
        ("cp437", "boards"),
        ("cp1252", "compare --device helm-desk"),
        ("cp437", "wiring show helm-desk"),
        ("cp1252", "wiring host helm-desk"),
        ("cp437", "check --against settings/ninefold.txt"),
        ("cp1252", f"press measurements {RECORDING}"),
        ("cp437", "convert devices/helm-desk.toml --to yaml"),
        ("cp1252", "convert profiles/brackwater-bridge.toml --csv"),
    ],
)
def test_what_is_shown_fits_the_code_page(run: Windows, page: str, words: str) -> None:
    """Whatever the letters: those that the page lacks become escapes, and nothing ends it."""
    shown = run(*words.split(), page=page).stdout
    assert len(shown) > 100
    assert b"\r\r" not in shown


@pytest.mark.parametrize(
    "words",
    [
        "new device tug --grid 4x3",
        "new application tug",
        "print all sheets/",
        "print all sheets/ --changed",
        "print legend --profile brackwater-bridge --device helm-desk --format svg --format dxf",
        "bundle make brackwater-bridge",
        "handover helm-desk",
        "handover helm-desk --format pdf",
        "firmware helm-desk --for avr",
        "schema schemas",
        "demo ../tried",
        "arrange helm-desk --shift 0.5,0 --write",
        "wiring renumber helm-desk --along rows",
        "convert profiles/brackwater-bridge.toml --csv -o table.csv",
        "session brackwater-bridge --sheet steps.html",
        "changes . --labels cut",
    ],
)
def test_every_writer_works_twice_over(run: Windows, words: str, folder: Path) -> None:
    """The second time what it wrote is there: replaced, unchanged or refused, with no harm."""
    run(*words.split())
    first = {path: path.read_bytes() for path in folder.rglob("*") if path.is_file()}
    refuses = words.startswith("new ")
    run(*words.split(), code=2 if refuses else 0)
    after = {path for path in folder.rglob("*") if path.is_file()}

    assert after == set(first)
    assert not [path for path in after if "saving" in path.name]
    assert not [path for path in after if windows.name_fault(path.name)]


def test_a_file_open_in_another_program_is_named_and_stays(run: Windows, folder: Path) -> None:
    """A PDF reader holds the sheet, an editor the library's file."""
    run("print", "drill", "--device", "helm-desk", "-o", "sheet.pdf")
    before = (folder / "sheet.pdf").read_bytes()
    words = ("print", "drill", "--device", "helm-desk", "--paper", "a3", "-o", "sheet.pdf")
    printed = run(*words, in_use="sheet.pdf", code=2)
    edited = folder / "devices" / "helm-desk.toml"
    was = edited.read_bytes()
    shifted = ("arrange", "helm-desk", "--shift", "0.5,0", "--write")
    saved = run(*shifted, in_use=edited.name, code=2)

    told = "cannot be written: it is open in another program; close it there, and try again"
    assert f"`sheet.pdf` {told}" in printed.stderr.decode()
    assert f"`helm-desk.toml` {told}" in saved.stderr.decode()
    assert (folder / "sheet.pdf").read_bytes() == before
    assert edited.read_bytes() == was
    assert not list(folder.rglob(".platebook-saving*"))


@pytest.mark.parametrize("name", ["con", "Aux", "nul", "COM1", "lpt9"])
def test_ids_that_are_names_of_devices_give_files_of_other_names(
    run: Windows, name: str, folder: Path
) -> None:
    """Naming Files, Paths, and Namespaces: reserved whatever follows the full stop."""
    words = ("--application", "brackwater", "--device", "helm-desk")
    run("new", "profile", name, *words)
    run("bundle", "make", name)
    run("print", "card", "--profile", name, "--device", "helm-desk")

    assert (folder / f"_{name}.toml").exists()
    assert (folder / f"_{name}.zip").exists()
    run("bundle", "show", f"_{name}.zip")


def test_ids_that_differ_by_capitals_alone_are_refused(run: Windows) -> None:
    """Do not assume case sensitivity (Naming Files, Paths, and Namespaces)."""
    run("new", "device", "Helm-Desk", "-o", "other.toml")
    told = json.loads(run("check", "--json", code=2).stdout)
    (problem,) = [one for one in told["findings"] if one["severity"] == "error"]

    assert problem["code"] == "repeated-id"
    assert problem["message"] == (
        "ids `Helm-Desk` and `helm-desk` differ by capitals alone, so on Windows and macOS their "
        "sheets would have one file name"
    )


def change_all(folder: Path, change: Callable[[bytes], bytes]) -> None:
    for path in folder.rglob("*"):
        if path.is_file():
            path.write_bytes(change(path.read_bytes()))


@pytest.mark.parametrize("mark", [b"", b"\xef\xbb\xbf"], ids=["plain", "byte-order-mark"])
def test_files_with_crlf_and_a_byte_order_mark_say_the_same(
    run: Windows, mark: bytes, folder: Path
) -> None:
    """As git with core.autocrlf checks them out, and as older editors there save UTF-8."""
    words = ("wiring", "show", "helm-desk", "--json")
    replayed = ("press", "measurements", RECORDING)
    before = [run(*one).stdout for one in (("check", "--each"), words, replayed)]
    change_all(folder, lambda data: mark + data.replace(b"\n", b"\r\n"))

    assert [run(*one).stdout for one in (("check", "--each"), words, replayed)] == before


def test_an_edit_keeps_crlf_line_ends(run: Windows, folder: Path) -> None:
    change_all(folder, lambda data: data.replace(b"\n", b"\r\n"))
    run("arrange", "helm-desk", "--shift", "0.5,0", "--write")
    data = (folder / "devices" / "helm-desk.toml").read_bytes()

    assert data.count(b"\n") == data.count(b"\r\n") > 50


def test_letters_outside_the_code_page_leave_json_whole(run: Windows, folder: Path) -> None:
    path = folder / "devices" / "helm-desk.toml"
    text = path.read_text("utf-8")
    path.write_text(text.replace('"HORN"', '"Ω 🎛 й"', 1), "utf-8")
    shown = run(*COMPARED, page="cp437").stdout

    assert "Ω 🎛 й" in json.dumps(json.loads(shown), ensure_ascii=False)


def test_a_reader_gone_ends_quietly_with_einval_there(monkeypatch: pytest.MonkeyPatch) -> None:
    """python/cpython, issue 79935; elsewhere it is an error like any other."""

    class Gone:
        encoding = "utf-8"

        def write(self, _text: str) -> None:
            raise OSError(EINVAL, "Invalid argument")

        def fileno(self) -> int:
            raise OSError

    monkeypatch.setattr(sys, "stdout", Gone())
    with pytest.raises(Unusable, match="cannot write the output: Invalid argument"):
        write("words")
    monkeypatch.setattr(os, "name", "nt")
    with pytest.raises(ReaderGoneError):
        write("words")


@pytest.mark.parametrize("name", ["con", "NUL.txt", "a:b", "what?", "dot.", "space ", "tab\t"])
def test_file_names_obey_the_rules_whatever_the_words(name: str) -> None:
    assert windows.name_fault(name)
    assert not windows.name_fault(file_name(name) + ".pdf")
