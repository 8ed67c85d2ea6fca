"""The project as a whole: small modules, documented surface, a clean tree, a complete wheel."""

import ast
import os
import re
import sys
import tomllib
import zipfile
from collections.abc import Iterator
from fnmatch import fnmatch
from importlib import import_module
from pathlib import Path

import networkx
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.conftest import ROOT, list_modules

MOST_LINES = 500

HOSTS = {
    "docs.oasis-open.org",
    "json-schema.org",
    "schemas.microsoft.com",
    "schemas.openxmlformats.org",
    "www.w3.org",
}
"""Hosts that addresses in the tree may name: publishers of the standards that outputs follow, and
names under `.example`, which never lead anywhere (RFC 2606)."""

TOP_FOLDERS = {"bin", "dev", "etc", "proc", "usr", "3D"}
"""Top folders that absolute paths in the tree may name: those of every Linux system (Filesystem
Hierarchy Standard 3.0, chapters 3, 4 and 6), and that of the parts of a 3MF package (3MF Core
Specification, 2.1). All else is relative to the tree."""

PICTURES = {".png"}


def read(path: Path) -> str:
    return (ROOT / path).read_text(encoding="utf-8")


def list_files() -> Iterator[Path]:
    """The tree without what version control ignores, relative to its top."""
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
TEXTS = [path for path in FILES if path.suffix not in PICTURES]


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


def name_module(path: Path) -> str:
    parts = path.with_suffix("").parts
    return ".".join(parts[:-1] if parts[-1] == "__init__" else parts)


def find_imports(tree: ast.AST, known: set[str]) -> Iterator[str]:
    """Our own modules that one names anywhere: at its top, late, or for the types alone."""
    for node in ast.walk(tree):
        if isinstance(node, ast.Import):
            yield from known & {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom) and node.module is not None:
            for alias in node.names:
                inner = f"{node.module}.{alias.name}"
                yield from known & {inner if inner in known else node.module}


def find_circles(sources: dict[str, str]) -> list[list[str]]:
    """Sets of modules of which each is reached from each other by imports."""
    graph = networkx.DiGraph()
    for name, source in sources.items():
        found = find_imports(ast.parse(source), set(sources))
        graph.add_edges_from((name, target) for target in found)
    circles = [*networkx.strongly_connected_components(graph)]
    return sorted(
        sorted(circle) for circle in circles if len(circle) > 1 or graph.has_edge(*[*circle] * 2)
    )


def test_circles_are_found_at_the_top_late_and_for_types() -> None:
    sources = {
        "room": "",
        "room.a": "from room import b",
        "room.b": "def late() -> None:\n    import room.c",
        "room.c": "if TYPE_CHECKING:\n    from room.a import Value",
        "room.d": "from room.a import Value",
    }
    assert find_circles(sources) == [["room.a", "room.b", "room.c"]]


def test_no_module_imports_itself_by_way_of_others() -> None:
    """Late imports and those for types count; `lint-imports` holds the order of the rooms."""
    assert find_circles({name_module(path): read(path) for path in OURS}) == []


def find_addresses(text: str) -> set[str]:
    """Hosts of the addresses in a text."""
    return {host.lower() for host in re.findall(r"\b[a-z][a-z+.-]*://([\w-]+(?:\.[\w-]+)+)", text)}


def test_addresses_name_publishers_of_standards_alone() -> None:
    found = {(str(path), host) for path in TEXTS for host in find_addresses(read_any(path))}
    named = {(path, host) for path, host in found if not host.endswith(".example")}
    assert {(path, host) for path, host in named if host not in HOSTS} == set()
    assert {host for _, host in named} == HOSTS


def find_absolute_paths(text: str) -> Iterator[str]:
    """Paths from the root of a file system or a drive, of two parts at least."""
    before = r"(?:^|(?<=[\s\"'`(=<>!]))"
    for match in re.finditer(rf"{before}(?:file://)?/(\w[\w.-]*)(?:/[\w.-]+)+", text, re.MULTILINE):
        if match[1] not in TOP_FOLDERS:
            yield match[0]
    yield from re.findall(rf"{before}[A-Za-z]:[\\/]+\w+[\\/]+\w+", text, re.MULTILINE)


def read_any(path: Path) -> str:
    """A file as text, whatever its encoding: some examples are broken on purpose."""
    return (ROOT / path).read_bytes().decode("utf-8", errors="replace")


def test_absolute_paths_are_seen_but_for_those_of_every_system() -> None:
    top, drive = "/srv", "D:"
    text = f"see {top}/box/a.toml, `/dev/null`, \"{top}/x\" and '{drive}\\data\\x'; a/b/c, </svg>"
    assert list(find_absolute_paths(text)) == [f"{top}/box/a.toml", f"{top}/x", f"{drive}\\data\\x"]


def test_nothing_in_the_tree_points_out_of_it() -> None:
    """The same tree serves on any machine; system programs and devices are all it needs beside."""
    found = [f"{path}: {one}" for path in TEXTS for one in find_absolute_paths(read_any(path))]
    assert found == []


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
    assert b"platebook = profiles.__main__:main" in wheel.read(inside["entry_points.txt"])
    assert wheel.read(inside["LICENSE"]) == (ROOT / "LICENSE").read_bytes()


@given(st.sampled_from(list_modules()))
def test_what_laws_draw_hangs_on_no_test_that_ran_before(module: str) -> None:
    """Hypothesis draws from the constants of all modules that are loaded."""
    assert module in sys.modules
