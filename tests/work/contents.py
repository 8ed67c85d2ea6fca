"""Contents of every kind of file, among them every key that the schemas publish."""

from collections.abc import Iterator
from pathlib import Path
from typing import Any

from profiles.files.documents import find_format, parse_text
from profiles.files.library import load_library
from profiles.model import SETTINGS_NAME
from profiles.wiring import boards
from tests.work.libraries import EXAMPLES

ODD = Path(__file__).with_name("odd")
"""A library with the keys that no example has."""


def list_contents() -> Iterator[tuple[str, dict[str, Any]]]:
    """Kinds and contents: the examples, the bundled boards, odd ones, and parts as documents."""
    folder = Path(boards.__file__).parent / "boards"
    found = [("board", path) for path in folder.glob("*.toml")]
    for library in (EXAMPLES / "harbour", EXAMPLES / "boatyard", EXAMPLES / "faulty", ODD):
        found += [(one.kind, one.path) for one in load_library(library).sources.values()]
    contents = [
        (kind, parse_text(path.read_text("utf-8"), find_format(path))) for kind, path in found
    ]
    for kind, content in contents:
        if kind == "profile":  # without an id it would get one where what it is made of changes
            content["profile"].setdefault("id", "own")
        yield kind, content
        for key, part in content.get("parts", {}).items():
            if "kind" in part:
                yield "part", {"format": 1, "part": {"id": key, **part}}
    for name in ("boatyard", "faulty"):
        path = EXAMPLES / name / SETTINGS_NAME
        yield "settings", parse_text(path.read_text("utf-8"), "toml")
    yield "settings", {"format": 1, "printing": {"measured": [99.5, 100.2]}}
