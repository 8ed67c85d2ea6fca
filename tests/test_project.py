"""The project as a whole: small modules, documented surface, a clean tree, a complete wheel."""

import ast
import os
import re
import tomllib
import zipfile
from collections.abc import Iterator
from fnmatch import fnmatch
from importlib import import_module
from pathlib import Path

import pytest

from tests.conftest import ROOT

MOST_LINES = 500

ELSEWHERE = re.compile(
    "|".join(
        [
            r"/(work|root|opt|Users)/",
            r"/home/\w",
            r"/tmp/pb\b",
            r"[A-Z]:\\Users\\",
            r"\b(pypi|pythonhosted|npmjs|crates|docker)\.(org|com|io)\b",
            "seed" + r"[ -]document",
            r"\b(ai|coding|language)[ -]" + r"(agents?|models?|assistants?)\b",
            r"\b(co-authored" + r"-by|generated" + r" with)\b",
        ]
    ),
    re.IGNORECASE,
)
"""Paths of one machine, addresses of registries, and traces of how a text came about."""


def read(path: Path) -> str:
    return (ROOT / path).read_text(encoding="utf-8")


def list_files() -> Iterator[Path]:
    """The tree without what version control leaves out, relative to its top."""
    names = [".git", *read(Path(".gitignore")).replace("/\n", "\n").split()]
    for folder, folders, files in os.walk(ROOT):
        folders[:] = [name for name in sorted(folders) if not is_ignored(name, names)]
        for name in sorted(files):
            if not is_ignored(name, names):
                yield Path(folder, name).relative_to(ROOT)


def is_ignored(name: str, patterns: list[str]) -> bool:
    return any(fnmatch(name, pattern) for pattern in patterns)


FILES = list(list_files())
MODULES = [path for path in FILES if path.suffix == ".py"]
OURS = [path for path in MODULES if path.parts[0] == "profiles"]
DATA = [path for path in FILES if path.parts[0] in ("example_profiles", "schemas")]


def test_no_module_is_long() -> None:
    lengths = {path.as_posix(): len(read(path).splitlines()) for path in MODULES}
    assert {path: lines for path, lines in lengths.items() if lines > MOST_LINES} == {}


def find_undocumented(node: ast.AST, name: str) -> Iterator[str]:
    """Public modules, classes and functions without a docstring, not looking into functions."""
    if isinstance(node, ast.Module | ast.ClassDef | ast.FunctionDef | ast.AsyncFunctionDef):
        if ast.get_docstring(node) is None:
            yield name
        if isinstance(node, ast.Module | ast.ClassDef):
            for inner in node.body:
                inner_name = getattr(inner, "name", "_")
                if not inner_name.startswith("_"):
                    yield from find_undocumented(inner, f"{name}.{inner_name}")


def test_everything_public_is_documented() -> None:
    found = [one for path in OURS for one in find_undocumented(ast.parse(read(path)), str(path))]
    assert found == []


def test_every_test_module_says_what_it_holds() -> None:
    modules = [path for path in MODULES if path.parts[0] == "tests" and read(path)]
    assert [str(path) for path in modules if ast.get_docstring(ast.parse(read(path))) is None] == []


def test_nothing_in_the_tree_points_to_one_machine() -> None:
    found = []
    for path in FILES:
        text = (ROOT / path).read_bytes().decode("utf-8", errors="replace")
        found += [f"{path}: {match.group()}" for match in ELSEWHERE.finditer(text)]
    here = Path(__file__).relative_to(ROOT)
    assert [one for one in found if not one.startswith(f"{here}: ")] == []


@pytest.mark.parametrize("name", ["LICENSE", "CHANGELOG.md", "DEVELOPERS.md", "README.md"])
def test_the_usual_files_are_there(name: str) -> None:
    assert len(read(Path(name))) > 500


def test_the_licence_and_the_version_are_those_of_the_project() -> None:
    project = tomllib.loads(read(Path("pyproject.toml")))["project"]
    assert project["license"] == "MIT"
    assert read(Path("LICENSE")).startswith("MIT License\n")
    assert f"\n## {project['version']} " in read(Path("CHANGELOG.md"))


@pytest.fixture(scope="module")
def wheel(tmp_path_factory: pytest.TempPathFactory) -> zipfile.ZipFile:
    """The wheel as its build library makes it from this tree, without a network."""
    builder = import_module("hatchling.builders.wheel").WheelBuilder(str(ROOT))
    (path,) = builder.build(directory=str(tmp_path_factory.mktemp("wheel")), versions=["standard"])
    return zipfile.ZipFile(path)


def test_the_wheel_carries_every_file_of_the_package(wheel: zipfile.ZipFile) -> None:
    """Modules, boards, cores, starters, styles, widths of letters."""
    package = [path for path in FILES if path.parts[0] == "profiles"]
    assert {path.suffix for path in package} >= {".py", ".toml", ".tcss", ".metrics", ".ino", ".h"}
    for path in package:
        assert wheel.read(path.as_posix()) == (ROOT / path).read_bytes()


def test_the_wheel_carries_examples_and_schemas(wheel: zipfile.ZipFile) -> None:
    assert {path.parts[0] for path in DATA} == {"example_profiles", "schemas"}
    for path in DATA:
        assert wheel.read(f"profiles/_data/{path.as_posix()}") == (ROOT / path).read_bytes()


def test_the_wheel_carries_nothing_else(wheel: zipfile.ZipFile) -> None:
    expected = {path.as_posix() for path in FILES if path.parts[0] == "profiles"}
    expected |= {f"profiles/_data/{path.as_posix()}" for path in DATA}
    names = {name for name in wheel.namelist() if ".dist-info/" not in name}
    assert names - expected == set()


def test_the_wheel_names_its_command_and_licence(wheel: zipfile.ZipFile) -> None:
    inside = {Path(name).name: name for name in wheel.namelist() if ".dist-info/" in name}
    assert b"platebook = profiles.cli.main:main" in wheel.read(inside["entry_points.txt"])
    assert wheel.read(inside["LICENSE"]) == (ROOT / "LICENSE").read_bytes()
