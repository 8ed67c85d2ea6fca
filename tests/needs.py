"""What a test needs beside Python: skipped with a reason where absent, required in CI.

`.ci/run` sets PLATEBOOK_REQUIRE_ALL=1, so that there nothing is skipped for want of a program.
"""

import importlib.util
import os
import shutil
from pathlib import Path

import pytest

REQUIRE_ALL = bool(os.environ.get("PLATEBOOK_REQUIRE_ALL"))


def skip_unless(there: object, reason: str) -> pytest.MarkDecorator:
    """A mark: skipped where something is not there; in CI it runs, and fails for want of it."""
    return pytest.mark.skipif(not there and not REQUIRE_ALL, reason=reason)


def need_program(name: str) -> str:
    """The program's path, or a skip (a failure in CI) that names it."""
    found = shutil.which(name)
    if found is None:
        _miss(f"needs the program `{name}`")
    return str(found)


def need_module(name: str) -> None:
    """Skip (fail in CI) where an optional package is not installed."""
    if importlib.util.find_spec(name) is None:
        _miss(f"needs the package `{name}`")


def need_path(path: str | Path) -> Path:
    """The path, or a skip (a failure in CI) where it is not there."""
    if not Path(path).exists():
        _miss(f"needs {path}")
    return Path(path)


def _miss(reason: str) -> None:
    if REQUIRE_ALL:
        pytest.fail(reason, pytrace=False)
    pytest.skip(reason)
