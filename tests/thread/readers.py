"""Second readers of everything that Platebook writes, one for each end of a file's name.

A reader raises where a file cannot be read, would do something by itself, or carries a letter that
moves a cursor or turns the direction of writing. Sources: OWASP, CSV Injection and Cross-Site
Scripting; CWE-150; ISO 32000 for actions; XML 1.0.
"""

import ast
import csv
import io
import json
import tomllib
import zipfile
from collections.abc import Callable
from importlib import import_module
from pathlib import PurePath
from typing import Any
from xml.etree import ElementTree

import yaml

from tests.drawing.pdf_reader import PdfReader
from tests.thread.inert import assert_inert

html: Any = import_module("lxml.html")

SEPARATORS = (",", ";", "|", "\t")
"""What a spreadsheet may split a line at."""

FORMULA = ("=", "+", "-", "@")
"""How a cell that is computed begins."""

DRAWN = {"svg", "title", "g", "path", "circle", "text", "clipPath", "style", "defs", "rect"}
"""Elements of a drawing; none that runs, loads or leads elsewhere."""


def read_pdf(data: bytes) -> None:
    reader = PdfReader(data)
    assert len(reader) >= 1
    assert reader.actions() == 0


def read_svg(data: bytes) -> None:
    root = ElementTree.fromstring(data)
    assert {str(one.tag).rpartition("}")[2] for one in root.iter()} <= DRAWN
    assert not [key for one in root.iter() for key in one.attrib if key.startswith("on")]
    assert not [key for one in root.iter() for key in one.attrib if "href" in key]
    assert_inert("".join(root.itertext()))
    assert_inert(data.decode("utf-8"))


def read_html(data: bytes) -> None:
    page = html.fromstring(data)
    assert not [key for one in page.iter() for key in one.attrib if key.startswith("on")]
    assert not page.xpath("//img | //iframe | //object | //a[not(starts-with(@href, '#'))]")
    assert not page.xpath("//svg//script")
    for script in page.xpath("//script[not(@type='application/json')]"):
        assert "alert" not in script.text
    assert_inert(page.text_content())


def read_dxf(data: bytes) -> None:
    ezdxf: Any = import_module("ezdxf")
    assert ezdxf.read(io.StringIO(data.decode("ascii"))).audit().errors == []


def read_png(data: bytes) -> None:
    image: Any = import_module("PIL.Image").open(io.BytesIO(data))
    image.load()
    assert_inert("".join(map(str, image.info.values())))


def read_stl(data: bytes) -> None:
    solid = import_module("trimesh").load(io.BytesIO(data), file_type="stl")
    assert len(solid.faces) > 0


def read_3mf(data: bytes) -> None:
    scene = import_module("trimesh").load(io.BytesIO(data), file_type="3mf", force="scene")
    assert scene.geometry
    with zipfile.ZipFile(io.BytesIO(data)) as archive:
        assert archive.testzip() is None
        for name in archive.namelist():
            assert ".." not in PurePath(name).parts
            if name.endswith((".model", ".rels", ".xml")):
                root = ElementTree.fromstring(archive.read(name))
                spaces = {one.tag.partition("}")[0].strip("{").split("/")[2] for one in root.iter()}
                assert spaces <= {"schemas.microsoft.com", "schemas.openxmlformats.org"}
                words = [*root.itertext(), *(v for one in root.iter() for v in one.attrib.values())]
                assert_inert("".join(words))


def read_csv(data: bytes) -> None:
    assert_inert(data.decode("utf-8").replace("\r\n", "\n"))
    read_table(data)


def read_table(data: bytes) -> None:
    """A table of a library's own, which comes back letter for letter, but computes nothing."""
    text = data.decode("utf-8")
    for separator in SEPARATORS:
        for row in csv.reader(io.StringIO(text, newline=""), delimiter=separator):
            assert not [cell for cell in row if cell.lstrip(' "').startswith(FORMULA)], row


def read_json(data: bytes) -> None:
    json.loads(data)
    assert_inert(data.decode("utf-8"))


def read_json_lines(data: bytes) -> None:
    for line in data.splitlines():
        read_json(line)


def read_text(data: bytes) -> None:
    assert_inert(data.decode("utf-8"))


def read_toml(data: bytes) -> None:
    tomllib.loads(data.decode("utf-8"))


def read_yaml(data: bytes) -> None:
    yaml.safe_load(data)


def read_zip(data: bytes) -> None:
    with zipfile.ZipFile(io.BytesIO(data)) as archive:
        assert archive.testzip() is None
        for name in archive.namelist():
            assert ".." not in PurePath(name).parts
            READERS[PurePath(name).suffix](archive.read(name))


def read_c(data: bytes) -> None:
    """Hostile words are in comments and strings alone (Pygments), and no trigraph is anywhere."""
    lexers, token = import_module("pygments.lexers"), import_module("pygments.token")
    text = data.decode("ascii")
    assert "??" not in text
    code = [
        word
        for kind, word in lexers.CppLexer().get_tokens(text)
        if kind not in token.Comment and kind not in token.String
    ]
    assert not {"alert", "calc", "touch", "script"} & {*code}


def read_python(data: bytes) -> None:
    names = [one.id for one in ast.walk(ast.parse(data)) if isinstance(one, ast.Name)]
    assert not {"alert", "calc", "touch", "script"} & {*names}


READERS: dict[str, Callable[[bytes], None]] = {
    ".pdf": read_pdf,
    ".svg": read_svg,
    ".html": read_html,
    ".dxf": read_dxf,
    ".png": read_png,
    ".stl": read_stl,
    ".3mf": read_3mf,
    ".csv": read_csv,
    ".json": read_json,
    ".jsonl": read_json_lines,
    **dict.fromkeys((".txt", ""), read_text),
    ".toml": read_toml,
    ".yaml": read_yaml,
    ".zip": read_zip,
    **dict.fromkeys((".c", ".h", ".ino"), read_c),
    ".py": read_python,
}
"""By the end of a file's name."""
