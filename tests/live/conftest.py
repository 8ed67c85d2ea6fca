"""SDL without a display, for every test of real boxes."""

import os

import pytest

os.environ["SDL_VIDEODRIVER"] = "dummy"


@pytest.fixture
def clock() -> "FakeClock":
    return FakeClock()


class FakeClock:
    """A clock that stands still until it is told."""

    def __init__(self) -> None:
        self.time = 1000.0

    def __call__(self) -> float:
        return self.time
