"""The one hint on what is not installed: a command that any shell runs with this very Python."""

import subprocess
import sys

import pytest

from profiles.text.install import pip_command
from tests.conftest import Run


def test_the_command_names_this_very_python() -> None:
    assert pip_command("numpy", "pypdfium2") == f"{sys.executable} -m pip install numpy pypdfium2"
    assert pip_command("numpy", again=True) == (
        f"{sys.executable} -m pip install --force-reinstall numpy"
    )


@pytest.mark.parametrize(
    ("path", "written"),
    [
        ("my tools/bin/python", '"my tools/bin/python"'),
        ("tools\\python.exe", "tools\\python.exe"),
        ("", "python"),
    ],
)
def test_only_a_path_with_a_space_is_quoted(
    monkeypatch: pytest.MonkeyPatch, path: str, written: str
) -> None:
    monkeypatch.setattr(sys, "executable", path)
    assert pip_command("numpy") == f"{written} -m pip install numpy"


@pytest.mark.parametrize(("prompt", "start"), [("$P$G", '"'), (None, '& "')])
def test_a_quoted_path_is_run_by_either_shell_of_windows(
    monkeypatch: pytest.MonkeyPatch, prompt: str | None, start: str
) -> None:
    """cmd sets PROMPT for its programs (Windows Commands, `prompt`), PowerShell does not."""
    monkeypatch.delenv("PROMPT", raising=False)
    if prompt is not None:
        monkeypatch.setenv("PROMPT", prompt)
    monkeypatch.setattr(sys, "platform", "win32")
    monkeypatch.setattr(sys, "executable", "D:\\my tools\\python.exe")
    assert pip_command("numpy") == f'{start}D:\\my tools\\python.exe" -m pip install numpy'


def test_the_help_of_press_has_the_command_on_a_line_of_its_own(platebook: Run) -> None:
    ran = platebook("press", "--help")
    assert f"\n    {sys.executable} -m pip install pysdl2 pysdl2-dll\n" in ran.out
    assert "'" not in ran.out.split("Commands")[0].split("pip install")[1]


def test_the_help_of_press_loads_no_model() -> None:
    script = "import sys, profiles.cli.commands.press_command; print(*sys.modules)"
    loaded = subprocess.run(
        [sys.executable, "-c", script], capture_output=True, text=True, check=True
    ).stdout.split()
    assert "profiles.text.install" in loaded
    assert {"pydantic", "profiles.model"}.isdisjoint(loaded)
