"""The workflow for hosted runners and the single-file program, as far as a file can show it."""

import ast
from typing import Any

import pytest
import yaml

from tests.conftest import ROOT
from tests.readme import read_blocks

WORKFLOW = ROOT / ".github" / "workflows" / "systems.yml"
SPEC = ROOT / ".ci" / "platebook.spec"


@pytest.fixture(scope="module")
def job() -> Any:
    (found,) = yaml.safe_load(WORKFLOW.read_text("utf-8"))["jobs"].values()
    return found


def test_the_workflow_runs_on_all_three_systems(job: Any) -> None:
    """Labels of hosted runners: documentation of GitHub Actions, choosing a runner."""
    systems = job["strategy"]["matrix"]["system"]

    assert systems == ["ubuntu-latest", "windows-latest", "macos-latest"]
    assert job["runs-on"] == "${{ matrix.system }}"
    assert job["strategy"]["fail-fast"] is False


def test_the_workflow_does_what_the_readme_says(job: Any) -> None:
    """Its lines are those of the set-up, with the runner's own Python for that of `.venv`."""
    run = [step["run"] for step in job["steps"] if "run" in step]
    shown = [
        line
        for block in read_blocks((ROOT / "README.md").read_text("utf-8"))
        for line in block.lines
    ]
    (line,) = [one for one in shown if "pytest" in one and "\\" not in one]
    _, install, tests = line.split(" && ")

    assert install.replace(".venv/bin/pip", "python -m pip") in run
    assert tests.replace(".venv/bin/", "") in run
    assert "platebook demo" in run


def test_the_single_file_is_packed_and_tried_in_both_places(job: Any) -> None:
    run = [step["run"] for step in job["steps"] if "run" in step]
    script = (ROOT / ".ci" / "single").read_text("utf-8")

    assert "pyinstaller .ci/platebook.spec" in run
    assert "dist/platebook demo packed" in run
    assert ".ci/platebook.spec" in script
    assert '.ci/single "$tools/single"' in (ROOT / ".ci" / "run").read_text("utf-8")


def test_the_packer_takes_all_data_and_late_modules() -> None:
    """Data files lie beside modules, and commands are imported by name: whole packages it is."""
    named = {
        node.value
        for node in ast.walk(ast.parse(SPEC.read_text("utf-8")))
        if isinstance(node, ast.Constant)
    }

    assert {"profiles", "textual", "pymupdf_fonts", "sdl2dll", "manifold3d", "pypdfium2"} <= named
