"""Figures of the speed tests in words, shown with `pytest -rP`.

Speed is measured by one process alone: `pytest tests/benchmarks`. Beside other workers, as in
`pytest -n auto`, it would only measure their load, so there these tests are skipped.
"""

import os
from collections.abc import Iterator
from importlib import import_module

import pytest
from pytest_benchmark.fixture import BenchmarkFixture

from profiles.facts.device import DeviceFacts
from profiles.live.diagnosis import explain
from profiles.plate.labels import place_again, place_large_again
from profiles.wiring.harness import chain_through
from profiles.wiring.ladder import propose_steps


@pytest.fixture(scope="session", autouse=True)
def no_waiting_for_disks() -> None:
    """Whoever saves here waits as users do."""


@pytest.fixture(autouse=True)
def nothing_kept(monkeypatch: pytest.MonkeyPatch) -> None:
    """What is measured in several rounds is worked out in each."""
    for kept in (place_again, place_large_again, chain_through, propose_steps, explain):
        module = import_module(kept.__module__)
        monkeypatch.setattr(module, kept.__name__, kept.__wrapped__)
    monkeypatch.setattr("profiles.facts.survey.share_facts", DeviceFacts)


@pytest.fixture(autouse=True)
def figures(request: pytest.FixtureRequest) -> Iterator[None]:
    """Print what a test noted beside its times."""
    if "benchmark" not in request.fixturenames:
        yield
        return
    benchmark: BenchmarkFixture = request.getfixturevalue("benchmark")
    yield
    for name, value in benchmark.extra_info.items():
        print(f"{name}: {value}")


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Leave speed out where several workers share the machine."""
    if "PYTEST_XDIST_WORKER" not in os.environ:
        return
    alone = pytest.mark.skip(reason="speed is measured alone: pytest tests/benchmarks")
    for item in items:
        if item.path.parent.name == "benchmarks":
            item.add_marker(alone)
