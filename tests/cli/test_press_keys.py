"""Keys of a terminal and lines of an input that is none."""

import io
import os
import sys
from collections.abc import Iterator

import pytest

from profiles.cli.press_keys import ANSWERS, END, Keys, LineKeys, open_keys
from profiles.live.lines import ANSWER_KINDS

ENOUGH = 5.0
"""Seconds within which a waiting line or key is there; nothing takes that long."""


def test_lines_are_words_and_the_end_stays_the_end() -> None:
    keys = LineKeys(io.StringIO("Skip\n\n  back \n"))
    assert [keys.next(ENOUGH) for _ in range(5)] == ["skip", "enter", "back", END, END]


def test_no_input_at_all_is_at_its_end() -> None:
    assert LineKeys(None).next(ENOUGH) == END


def test_an_input_that_is_no_terminal_is_read_by_lines() -> None:
    keys = open_keys(stream=io.StringIO("stop\n"))
    assert (keys.by_line, keys.next(ENOUGH)) == (True, "stop")


def test_every_answer_has_a_key_and_a_word() -> None:
    asked = {kind for kind in ANSWER_KINDS if kind not in ("quiet", "typed", "follow")}
    assert {ANSWERS[word] for word in ANSWERS if len(word) == 1 or word == "enter"} == asked
    assert asked <= ANSWERS.keys()


@pytest.fixture
def terminal() -> Iterator[tuple[int, Keys]]:
    """The far end of a terminal, and its keys."""
    if sys.platform == "win32":
        pytest.skip("pseudo terminals are for POSIX")
    far, near = os.openpty()
    with os.fdopen(near, encoding="utf-8") as stream:
        keys = open_keys(stream=stream)
        yield far, keys
        keys.close()
    os.close(far)


def test_a_key_needs_no_enter(terminal: tuple[int, Keys]) -> None:
    far, keys = terminal
    os.write(far, b"S")
    assert (keys.by_line, keys.next(ENOUGH)) == (False, "s")


def test_named_keys(terminal: tuple[int, Keys]) -> None:
    far, keys = terminal
    os.write(far, b"\n \x1b[D\x1b[A\x1b[15~x")
    found = [keys.next(ENOUGH) for _ in range(6)]
    assert found == ["enter", "space", "left", "up", "escape", "x"]


def test_no_key_is_none(terminal: tuple[int, Keys]) -> None:
    assert terminal[1].next(0.0) is None


def test_the_terminal_is_given_back_as_it_was(terminal: tuple[int, Keys]) -> None:
    import termios

    far, keys = terminal
    changed = termios.tcgetattr(far)[3] & termios.ICANON
    keys.close()
    assert not changed
    assert termios.tcgetattr(far)[3] & termios.ICANON
