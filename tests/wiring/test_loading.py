"""What loading this room costs: nothing heavy comes along with what `check` needs."""

import subprocess
import sys

import pytest

HEAVY = ("numpy", "scipy", "networkx", "random", "tomllib", "decimal")


@pytest.mark.parametrize("module", ["circuit", "leds", "timing", "diodes", "electrical", "box"])
def test_loading_brings_nothing_heavy(module: str) -> None:
    """In a fresh interpreter, beyond what the model itself loads."""
    code = (
        "import sys, profiles.model; before = set(sys.modules); "
        f"import profiles.wiring.{module}; print(*set(sys.modules) - before)"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    loaded = done.stdout.split()
    assert f"profiles.wiring.{module}" in loaded
    assert set(HEAVY).isdisjoint(loaded)
