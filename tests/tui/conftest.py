"""The library on which most tests of the screen work; style sheets that are parsed once."""

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from textual.css.stylesheet import Stylesheet

from tests.tui.desks import write_desk


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A small library of one desk and two profiles, on disk."""
    return write_desk(tmp_path / "library")


@pytest.fixture(scope="session", autouse=True)
def style_sheets_parsed_once() -> Iterator[None]:
    """Every screen parses the same style sheets; the rules hang on their words and colours alone,
    and none is changed afterwards."""
    parse, known = Stylesheet._parse_rules, dict[Any, Any]()

    def parse_once(sheet: Stylesheet, css: str, *where: Any, **more: Any) -> Any:
        key = (css, where, *more.items(), *sheet._variables.items())
        if key not in known:
            known[key] = parse(sheet, css, *where, **more)
        return known[key]

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(Stylesheet, "_parse_rules", parse_once)
        yield
