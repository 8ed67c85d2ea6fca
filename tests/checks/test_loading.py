"""What checking loads: the registry alone nothing heavy, and wiring only for a wired device."""

import subprocess
import sys

import pytest

HEAVY = ("numpy", "scipy", "reportlab", "textual", "jsonschema", "tomlkit", "networkx", "yaml")
ROOMS = ("profiles.wiring", "profiles.plate", "profiles.host", "profiles.lettering")

PLAIN = """
from profiles.checks.registry import run_checks
from profiles.model import Device, Library
box = {"format": 1, "device": {"id": "desk", "name": "Desk"},
       "plate": {"width": 100.0, "height": 100.0},
       "controls": {"horn": {"kind": "momentary", "label": "HORN", "position": [50.0, 50.0],
                             "hole": 16.0, "input": 1}}}
assert run_checks(Library.of([Device.model_validate(box)])).findings == ()
"""


def loaded_by(code: str) -> set[str]:
    """Modules that a fresh interpreter has loaded after running this code."""
    script = f"{code}\nimport sys\nprint('\\n'.join(sys.modules))"
    done = subprocess.run(
        [sys.executable, "-c", script], capture_output=True, text=True, check=True
    )
    return set(done.stdout.split())


@pytest.mark.parametrize(
    "code", ["import profiles.checks.registry", PLAIN], ids=["import", "plain"]
)
def test_checking_loads_no_heavy_library(code: str) -> None:
    assert loaded_by(code).isdisjoint(HEAVY)


def test_the_registry_loads_no_room_below_but_the_model_and_words() -> None:
    loaded = loaded_by("import profiles.checks.registry")

    assert loaded.isdisjoint(ROOMS)


def test_a_device_without_wiring_loads_no_wiring() -> None:
    loaded = loaded_by(PLAIN)

    assert loaded.isdisjoint(
        {"profiles.wiring.circuit", "profiles.wiring.leds", "profiles.lettering"}
    )


def test_the_screen_is_there_before_anything_that_its_library_needs_is_loaded() -> None:
    """`platebook open` shows its frame first, and reads the files behind it."""
    loaded = loaded_by("import profiles.cli.commands.open_command, profiles.tui.run")
    assert "textual" in loaded
    needed = {"pydantic", "yaml", "reportlab", "jsonschema", "tomlkit", "profiles.model"}
    assert loaded.isdisjoint(needed)
