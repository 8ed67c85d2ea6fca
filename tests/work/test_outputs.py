"""An output is whole or not there, and takes the place of nothing but its own older self."""

import io
import json
import os
import stat
import struct
import subprocess
import sys
import zipfile
from pathlib import Path
from xml.etree import ElementTree

import pytest
from hypothesis import given
from hypothesis import strategies as st

from profiles.api import load, print_sheet
from profiles.work.outputs import Output, OutputError, is_own, stamp, write_output, write_outputs
from tests.conftest import EXAMPLES

posix_only = pytest.mark.skipif(os.name != "posix", reason="modes and links of POSIX")

SHEETS = {
    "pdf": ("legend", ()),
    "svg": ("legend", ()),
    "dxf": ("legend", ()),
    "png": ("legend", ()),
    "stl": ("coupon", ()),
    "3mf": ("coupon", ()),
    "html": ("card", ["brackwater-bridge"]),
    "json": ("card", ["brackwater-bridge"]),
}
PROGRAMS = {"h": b"int a;\n", "ino": b"void loop() {}\n", "py": b"a = 1\n"}


def example(form: str) -> bytes:
    """A file of this format without a mark."""
    if form in PROGRAMS:
        return PROGRAMS[form]
    name, profiles = SHEETS[form]
    library = load(EXAMPLES / "harbour")
    return print_sheet(library, name, device="helm-desk", profiles=profiles, form=form).data


@pytest.mark.parametrize("form", [*SHEETS, *PROGRAMS])
def test_a_mark_holds_until_any_byte_changes(form: str) -> None:
    plain = example(form)
    marked = stamp(plain, form)
    assert is_own(marked)
    assert stamp(marked, form) == marked
    assert stamp(plain, form) == marked
    step = max(1, len(marked) // 97)
    for at in [*range(0, len(marked), step), len(marked) - 1]:
        if form == "png" and marked[at - 60 : at].find(b"tEXtComment") >= 0:
            continue  # the checksum of the mark itself says nothing about the picture
        changed = bytearray(marked)
        changed[at] ^= 1
        assert not is_own(bytes(changed)), at
    assert not is_own(marked + b"\n")


@given(st.binary(max_size=200))
def test_other_bytes_are_not_taken_for_our_own(data: bytes) -> None:
    assert not is_own(data)
    assert not is_own(data + b"Made by Platebook, digest 0123456789abcdef0123456789abcdef" + data)


@pytest.mark.parametrize("form", ["svg", "dxf"])
def test_the_words_of_a_mark_inside_a_file_do_not_hide_its_own(form: str) -> None:
    """As in a library whose owner names something so; the mark is at the end, or at the start."""
    data = b"Made by Platebook, digest " + 32 * b"0"
    assert not is_own(data)
    assert is_own(stamp(data, form))


def test_a_marked_pdf_reads_as_before() -> None:
    pdfium = pytest.importorskip("pypdfium2")
    plain = example("pdf")
    pages = [
        [page.get_textpage().get_text_range() for page in pdfium.PdfDocument(data)]
        for data in (plain, stamp(plain, "pdf"))
    ]
    assert pages[0] == pages[1]
    assert pages[0][0]
    assert stamp(plain, "pdf").endswith(b"%%EOF\n")


def test_a_marked_picture_reads_as_before() -> None:
    image = pytest.importorskip("PIL.Image")
    plain = example("png")
    before, after = (image.open(io.BytesIO(data)) for data in (plain, stamp(plain, "png")))
    after.verify()
    after = image.open(io.BytesIO(stamp(plain, "png")))
    assert before.tobytes() == after.tobytes()
    assert after.text["Comment"].startswith("Made by Platebook, digest ")


def test_a_marked_drawing_reads_as_before() -> None:
    ezdxf = pytest.importorskip("ezdxf")
    plain = example("dxf").decode("ascii")
    marked = stamp(plain.encode("ascii"), "dxf").decode("ascii")
    counts = [len(ezdxf.read(io.StringIO(text)).modelspace()) for text in (plain, marked)]
    assert counts[0] == counts[1] > 0


def test_marked_3d_models_read_as_before() -> None:
    plain, marked = example("stl"), stamp(example("stl"), "stl")
    assert marked[80:] == plain[80:]
    assert len(marked) == 84 + 50 * struct.unpack("<I", marked[80:84])[0]
    assert not marked.startswith(b"solid")  # what begins so is read as text
    archive = zipfile.ZipFile(io.BytesIO(stamp(example("3mf"), "3mf")))
    assert archive.testzip() is None
    assert archive.namelist() == zipfile.ZipFile(io.BytesIO(example("3mf"))).namelist()


def test_marked_texts_read_as_before() -> None:
    ElementTree.fromstring(stamp(example("svg"), "svg"))
    plain = json.loads(example("json"))
    marked = json.loads(stamp(example("json"), "json"))
    assert marked.pop("$comment").startswith("Made by Platebook")
    plain.pop("$comment", None)
    assert marked == plain
    compile(stamp(PROGRAMS["py"], "py"), "code.py", "exec")


def test_our_own_file_is_replaced(tmp_path: Path) -> None:
    path = tmp_path / "new" / "page.html"
    assert write_output(path, b"<p>old</p>") is False
    assert write_output(path, b"<p>new</p>") is True
    assert b"<p>new</p>" in path.read_bytes()
    assert [path] == list(path.parent.iterdir())


def refuse(path: Path, data: bytes = b"new", form: str = "", *, replace: bool = False) -> str:
    """The refusal and its way out; the file must stay as it was."""
    before = path.read_bytes() if path.is_file() else None
    with pytest.raises(OutputError) as caught:
        write_output(path, data, form, replace=replace)
    assert (path.read_bytes() if path.is_file() else None) == before
    assert [one for one in path.parent.iterdir() if one.name.startswith(".")] == []
    return f"{caught.value} / {caught.value.remedy}".replace(path.parent.as_posix(), "DIR")


OTHER = "Choose another name, or delete that file first."


def test_a_file_of_somebody_else_stays(tmp_path: Path) -> None:
    thesis = tmp_path / "thesis.pdf"
    thesis.write_bytes(b"%PDF-1.7 years of work startxref 0 %%EOF")
    assert refuse(thesis) == (
        f"`DIR/thesis.pdf` is there already, and was not made by Platebook / {OTHER}"
    )
    assert write_output(thesis, example("pdf"), replace=True) is True
    assert is_own(thesis.read_bytes())


def test_a_file_that_was_changed_by_hand_stays(tmp_path: Path) -> None:
    page = tmp_path / "page.svg"
    write_output(page, b"<svg/>")
    page.write_bytes(page.read_bytes().replace(b"<svg/>", b"<svg> </svg>"))
    assert refuse(page) == (f"`DIR/page.svg` has been changed since Platebook made it / {OTHER}")


def test_a_table_is_replaced_where_it_is_the_same_or_asked_for(tmp_path: Path) -> None:
    table = tmp_path / "holes.csv"
    assert write_output(table, b"a,b\r\n") is False
    assert write_output(table, b"a,b\r\n") is True
    assert refuse(table, b"a,c\r\n") == (
        f"`DIR/holes.csv` is there already with other content / {OTHER}"
    )
    assert write_output(table, b"a,c\r\n", replace=True) is True
    assert table.read_bytes() == b"a,c\r\n"


def test_all_files_that_are_refused_are_named_at_once_and_none_is_written(tmp_path: Path) -> None:
    files = [Output(tmp_path / f"{name}.c", b"int a;\n") for name in ("one", "two", "three")]
    write_outputs(files[:2])
    (tmp_path / "one.c").write_bytes(b"// mine")
    (tmp_path / "two.c").write_bytes((tmp_path / "two.c").read_bytes() + b"int b;\n")
    with pytest.raises(OutputError) as caught:
        write_outputs(files)
    assert str(caught.value).replace(tmp_path.as_posix(), "DIR") == (
        "`DIR/one.c` is there already, and was not made by Platebook\n"
        "`DIR/two.c` has been changed since Platebook made it"
    )
    assert caught.value.remedy == "Choose other names, or delete those files first."
    assert caught.value.may_replace
    assert not (tmp_path / "three.c").exists()
    with pytest.raises(OutputError) as caught:
        write_outputs([*files, Output(tmp_path / "desk.toml", b"", "pdf")])
    assert len(str(caught.value).splitlines()) == 3
    assert not caught.value.may_replace
    write_outputs(files, replace=True)
    assert {path.read_bytes() for path in tmp_path.iterdir()} == {stamp(b"int a;\n", "c")}


@pytest.mark.parametrize("name", ["desk.toml", "desk.YAML", "desk.yml", "session.jsonl"])
@pytest.mark.parametrize("replace", [False, True])
def test_no_output_is_named_as_a_file_of_a_library(
    tmp_path: Path, name: str, replace: bool
) -> None:
    path = tmp_path / name
    wanted = (
        f"`DIR/{name}` is named as a file of a library, which is never replaced / "
        "Choose a name that ends with .pdf."
    )
    assert refuse(path, form="pdf", replace=replace) == wanted
    path.write_text("format = 1")
    assert refuse(path, form="pdf", replace=replace) == wanted


@pytest.mark.parametrize("replace", [False, True])
def test_json_that_may_be_a_device_stays(tmp_path: Path, replace: bool) -> None:
    path = tmp_path / "desk.json"
    path.write_text('{"format": 1}')
    assert refuse(path, b'{\n  "a": 1\n}\n', replace=replace) == (
        f"`DIR/desk.json` may be a file of a library, which is never replaced / {OTHER}"
    )


@pytest.mark.parametrize("replace", [False, True])
def test_a_recording_stays_whatever_its_name(tmp_path: Path, replace: bool) -> None:
    path = tmp_path / "plots.svg"
    recording = EXAMPLES / "harbour" / "recordings" / "helm-desk-press.jsonl"
    path.write_bytes(recording.read_bytes())
    assert refuse(path, b"<svg/>", replace=replace) == (
        "`DIR/plots.svg` is a recording, which is never replaced / Choose another name."
    )


@posix_only
@pytest.mark.parametrize("replace", [False, True])
def test_links_pipes_and_folders_are_not_written_to(tmp_path: Path, replace: bool) -> None:
    outside = tmp_path / "outside.pdf"
    write_output(outside, example("pdf"))
    folder = tmp_path / "in"
    folder.mkdir()
    (folder / "a.pdf").symlink_to("../outside.pdf")
    (folder / "b.pdf").symlink_to("nowhere.pdf")
    os.mkfifo(folder / "c.pdf")
    (folder / "d.pdf").mkdir()
    link = "is a link, and links are not followed / Name a file itself."
    assert refuse(folder / "a.pdf", replace=replace) == f"`DIR/a.pdf` {link}"
    assert refuse(folder / "b.pdf", replace=replace) == f"`DIR/b.pdf` {link}"
    assert refuse(folder / "c.pdf", replace=replace) == (
        "`c.pdf` is a device or pipe, not a file / Name a file of its own."
    )
    assert refuse(folder / "d.pdf", replace=replace) == (
        "`d.pdf` is a folder, not a file / Name a file inside the folder."
    )
    assert is_own(outside.read_bytes())


@posix_only
@pytest.mark.parametrize("replace", [False, True])
def test_a_read_only_file_stays(tmp_path: Path, replace: bool) -> None:
    path = tmp_path / "a.pdf"
    write_output(path, example("pdf"))
    path.chmod(0o444)
    assert refuse(path, replace=replace) == (
        "`DIR/a.pdf` is read-only / Allow writing to it, or choose another name."
    )


@posix_only
def test_the_mode_of_a_replaced_file_is_kept(tmp_path: Path) -> None:
    path = tmp_path / "a.html"
    write_output(path, b"<p>a</p>")
    path.chmod(0o640)
    write_output(path, b"<p>b</p>")
    assert stat.S_IMODE(path.stat().st_mode) == 0o640


def test_several_files_are_written_all_or_none(tmp_path: Path) -> None:
    (tmp_path / "b.pdf").write_bytes(b"not ours")
    with pytest.raises(OutputError):
        write_outputs([Output(tmp_path / "a.svg", b"<svg/>"), Output(tmp_path / "b.pdf", b"x")])
    assert [one.name for one in tmp_path.iterdir()] == ["b.pdf"]


def test_what_a_killed_run_left_goes_even_where_nothing_is_to_be_written(tmp_path: Path) -> None:
    page = tmp_path / "page.svg"
    write_output(page, b"<svg/>")
    leftover = tmp_path / ".platebook-saving-dead.tmp"
    leftover.write_bytes(b"half")
    before = page.stat()
    assert write_output(page, b"<svg/>") is True
    assert [path.name for path in tmp_path.iterdir()] == ["page.svg"]
    assert (page.stat().st_ino, page.stat().st_mtime_ns) == (before.st_ino, before.st_mtime_ns)


def test_a_name_that_no_system_takes_is_refused_plainly(tmp_path: Path) -> None:
    with pytest.raises(OutputError, match="the name of the file holds a NUL"):
        write_output(tmp_path / "a\0b.pdf", b"x")
    with pytest.raises(OutputError, match="cannot be written: file name too long"):
        write_output(tmp_path / f"{'a' * 300}.pdf", b"x")


@posix_only
def test_a_full_disk_leaves_no_empty_file(tmp_path: Path) -> None:
    """A limit on the size of files stands in for a full disk (POSIX getrlimit, RLIMIT_FSIZE)."""
    script = (
        "import resource, signal, sys; from pathlib import Path\n"
        "from profiles.work.outputs import OutputError, write_output\n"
        "signal.signal(signal.SIGXFSZ, signal.SIG_IGN)\n"
        "resource.setrlimit(resource.RLIMIT_FSIZE, (1000, 1000))\n"
        "try: write_output(Path(sys.argv[1]), b'<p>' + 5000 * b'x')\n"
        "except OutputError as error: print(error)\n"
    )
    path = tmp_path / "a.html"
    for old in (None, b"<p>old</p>"):
        if old:
            write_output(path, old)
        before = [(one, one.read_bytes()) for one in tmp_path.iterdir()]
        run = subprocess.run(
            [sys.executable, "-c", script, path], capture_output=True, text=True, check=True
        )
        assert run.stdout == "`a.html` cannot be written: file too large\n"
        assert [(one, one.read_bytes()) for one in tmp_path.iterdir()] == before
