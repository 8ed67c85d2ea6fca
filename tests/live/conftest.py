"""SDL without a display, for every test of real boxes."""

import os
from collections.abc import Callable
from concurrent.futures import Future

import pytest

from profiles.live.lines import Answer
from profiles.work import press

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


def think_at_once(monkeypatch: pytest.MonkeyPatch) -> None:
    """Have what follows a test worked out on the spot, not on a thread of its own."""

    def think(work: Callable[[], Answer]) -> "Future[Answer]":
        thought: Future[Answer] = Future()
        thought.set_result(work())
        return thought

    monkeypatch.setattr(press, "think_aside", think)
