"""Figures of the speed tests in words, shown with `pytest -rP`."""

from collections.abc import Iterator

import pytest
from pytest_benchmark.fixture import BenchmarkFixture


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
