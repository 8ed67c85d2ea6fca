"""The library on which most tests of the screen work."""

from pathlib import Path

import pytest

from tests.tui.desks import write_desk


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A small library of one desk and two profiles, on disk."""
    return write_desk(tmp_path / "library")
