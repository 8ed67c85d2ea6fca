"""Running commands as a user would, without a process each time."""

import gc
import os
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from importlib import import_module
from pathlib import Path
from pkgutil import walk_packages

import pytest
from hypothesis import HealthCheck, settings

import profiles
from profiles.cli.main import run

settings.register_profile(
    "steady",
    derandomize=True,
    deadline=None,
    suppress_health_check=[HealthCheck.too_slow],
)
settings.load_profile("steady")

os.environ["PLATEBOOK_CONFIG"] = ""  # no test remembers what another did
os.environ["PLATEBOOK_CACHE"] = ""  # each test works everything out itself, and so do its children
os.environ.pop("PYTHONDONTWRITEBYTECODE", None)  # they need not compile every module, though


def list_modules() -> list[str]:
    """The names of all modules of the program, but for the one that runs it."""
    found = walk_packages(profiles.__path__, "profiles.")
    return [module.name for module in found if module.name != "profiles.__main__"]


def pytest_sessionstart() -> None:
    """Look for no rings of objects until all tests are collected."""
    gc.disable()


def pytest_collection_finish(session: pytest.Session) -> None:
    """Load every module before the first law is tried: hypothesis draws from the constants of those
    that are loaded, so that what it draws would hang on the tests that ran before.

    Look for rings of objects seldom, and never among those that stay to the end anyway: it took
    a quarter of the time. The command line and the screen do likewise."""
    if any(item.get_closest_marker("hypothesis") for item in session.items):
        for name in list_modules():
            import_module(name)
    gc.collect()
    gc.freeze()
    gc.set_threshold(20_000, 10, 10)
    gc.enable()


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Put long tests first, the others in their order behind them."""
    items.sort(key=lambda item: item.get_closest_marker("long") is None)


@pytest.fixture(scope="session", autouse=True)
def no_waiting_for_disks() -> Iterator[None]:
    """No test pulls the plug, so none waits until a disk has what is saved; processes of their own
    still do."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(os, "fsync", os.fstat)  # it refuses a closed file as well
        yield


Run = Callable[..., "Ran"]
ROOT = Path(__file__).resolve().parents[1]
EXAMPLES = ROOT / "example_profiles"


@dataclass(frozen=True)
class Ran:
    """What a command gave back."""

    code: int
    out: str
    err: str


@pytest.fixture
def platebook(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> Run:
    """Run `platebook` with these words in an empty folder, with no settings from outside."""
    for name in ("PLATEBOOK_LIBRARY", "NO_COLOR", "FORCE_COLOR"):
        monkeypatch.delenv(name, raising=False)
    monkeypatch.chdir(tmp_path)

    def call(*words: str | os.PathLike[str]) -> Ran:
        capsys.readouterr()
        code = run([os.fspath(word) for word in words])
        streams = capsys.readouterr()
        assert "Traceback" not in streams.err
        return Ran(code, streams.out, streams.err)

    return call


DEVICE = """\
format = 1

[device]
id = "desk"
name = "Desk"

[plate]
width = 120.0
height = 80.0

[controls.horn]
kind = "momentary"
label = "HORN"
position = [30.0, 40.0]
hole = 16.2
front = 18.0
input = 1

[controls.bell]
kind = "momentary"
label = "BELL"
position = [90.0, 40.0]
hole = 16.2
front = 18.0
input = 2
"""

APPLICATION = """\
format = 1

[application]
id = "harbour"
name = "Harbour"

[actions.sound-horn]
name = "Sound the horn"
legend = "HORN"
need = "must"

[actions.ring-bell]
name = "Ring the bell"
legend = "BELL"
"""

PROFILE = """\
format = 1

[profile]
id = "harbour-desk"
application = "harbour"
device = "desk"

[bindings]
horn = "sound-horn"
bell = "ring-bell"
"""


@pytest.fixture
def library(tmp_path: Path) -> Path:
    """A library of two controls and two actions in which nothing is wrong."""
    folder = tmp_path / "boxes"
    folder.mkdir()
    for name, text in (("desk", DEVICE), ("harbour", APPLICATION), ("bindings", PROFILE)):
        (folder / f"{name}.toml").write_text(text, encoding="utf-8")
    return folder


def edit(path: Path, old: str, new: str) -> None:
    """Replace one part of a file that must be there."""
    text = path.read_text(encoding="utf-8")
    assert old in text
    path.write_text(text.replace(old, new, 1), encoding="utf-8")
