"""The library on which most tests of the working copy work, and its copy."""

from pathlib import Path

import pytest

from profiles.files.library import load_library
from profiles.work.copy import WorkingCopy
from tests.work.libraries import write_desk


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A small library of one desk and two profiles, on disk."""
    return write_desk(tmp_path / "library")


@pytest.fixture
def copy(folder: Path) -> WorkingCopy:
    """The working copy of that library."""
    return WorkingCopy(load_library(folder))
