"""`platebook press show`: what a control does, and the quiz."""

import json
from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.cli.conftest import Run, edit
from tests.cli.pressing import Deed, Stage, stage
from tests.live.virtual import VirtualBox

__all__ = ["stage"]


@pytest.fixture
def virtual(stage: Stage) -> Iterator[VirtualBox]:
    with VirtualBox(8) as plugged:
        yield plugged


def test_a_pressed_control_says_what_it_does(
    platebook: Run, library: Path, stage: Stage, virtual: VirtualBox
) -> None:
    def script() -> Iterator[Deed]:
        yield from stage.press(virtual, 1)
        yield from stage.press(virtual, 2)
        yield "stop"

    stage.put(script())
    ran = platebook("press", "show", "harbour-desk", "--library", library)
    assert (ran.code, ran.out) == (0, "")
    assert ran.err.splitlines() == [
        "Harbour. Press a control to see what it does.",
        "HORN. HORN: Sound the horn",
        "BELL. BELL: Ring the bell",
    ]


def test_held_controls_and_unbound_ones_are_said(
    platebook: Run, library: Path, stage: Stage, virtual: VirtualBox
) -> None:
    edit(
        library / "bindings.toml", 'horn = "sound-horn"\nbell', '"bell + horn" = "sound-horn"\nbell'
    )

    def script() -> Iterator[Deed]:
        yield from stage.press(virtual, 1)
        virtual.set(2, True)
        yield None
        yield from stage.press(virtual, 1)
        yield "stop"

    stage.put(script())
    ran = platebook("press", "show", "harbour-desk", "--library", library)
    assert ran.err.splitlines()[1:] == [
        "nothing. HORN is not bound",
        "BELL. BELL: Ring the bell",
        "HORN. HORN: Sound the horn. with BELL held",
    ]


def test_a_box_plugged_in_again_is_known_again(platebook: Run, library: Path, stage: Stage) -> None:
    first, second = VirtualBox(8), VirtualBox(8)

    def script() -> Iterator[Deed]:
        first.unplug()
        yield None
        second.__enter__()
        yield None
        yield from stage.press(second, 2)
        yield "stop"

    with first:
        stage.put(script())
        ran = platebook("press", "show", "harbour-desk", "--library", library)
        second.unplug()
    assert ran.err.splitlines()[1:] == [
        "A box is unplugged; plug it in again to continue.",
        "BELL. BELL: Ring the bell",
    ]


def quiz(stage: Stage, virtual: VirtualBox) -> Iterator[Deed]:
    """Seed 5 asks for the bell: found after 2 s and a wrong press; the horn is given up."""
    yield None
    stage.wait(1500.0)
    yield from stage.press(virtual, 1, 100.0)
    stage.wait(400.0)
    yield from stage.press(virtual, 2, 100.0)
    yield "skip"
    stage.wait(900.0)
    yield from stage.press(virtual, 2, 100.0)
    yield "stop"


def test_a_drill_measures_time_and_errors_and_its_record_says_the_same(
    platebook: Run, library: Path, stage: Stage, virtual: VirtualBox
) -> None:
    stage.put(quiz(stage, virtual))
    words = ("press", "show", "harbour-desk", "--library", library)
    ran = platebook(*words, "--quiz", "--seed", "5", "--json")
    told = {one["action"]: one for one in json.loads(ran.out)["actions"]}
    assert (told["ring-bell"]["times"], told["ring-bell"]["errors"]) == ([2000.0, 900.0], 1)
    assert (told["sound-horn"]["times"], told["sound-horn"]["given_up"]) == ([], 1)
    assert ran.err.splitlines()[:3] == [
        "BELL. Find it: Ring the bell",
        "BELL. Find it: Ring the bell. No, that is: Sound the horn",
        "HORN. Find it: Sound the horn",
    ]
    assert ran.err.splitlines()[3] == ("BELL. Find it: Ring the bell. Sound the horn was on HORN")
    again = platebook(*words, "--from", "harbour-desk-quiz.jsonl", "--json")
    assert again.out == ran.out
    both = ("--from", "harbour-desk-quiz.jsonl") * 2
    together = platebook(*words, *both)
    assert together.out == (
        "Harbour: 4 actions found, 2 wrong presses\n\n"
        "Action          Where  Found  Mean time  Wrong  Given up\n"
        "--------------  -----  -----  ---------  -----  --------\n"
        "Ring the bell   BELL   4      1.4 s      2      0\n"
        "Sound the horn  HORN   0                 0      2\n"
    )


def test_a_drill_ends_after_its_rounds(
    platebook: Run, library: Path, stage: Stage, virtual: VirtualBox
) -> None:
    stage.put(iter(["skip"] * 9))
    ran = platebook(
        "press", "show", "harbour-desk", "--library", library, "--quiz", "--rounds", "3"
    )
    assert ran.err.count("Find it: ") == 3
    assert ran.err.endswith("note: recorded in harbour-desk-quiz.jsonl\n")
    assert ran.out.startswith("Harbour: 0 actions found, 0 wrong presses\n")


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (
            ("harbour-desk", "--rounds", "3"),
            "platebook: --rounds, --seed, --recording and --json go with --quiz\n"
            "  see `platebook press show --help`\n",
        ),
        (
            ("harbour-dusk",),
            "platebook: the library has no profile `harbour-dusk`\n"
            "  Did you mean `harbour-desk`?\n",
        ),
    ],
)
def test_a_wrong_call_is_answered_with_one_remedy(
    platebook: Run, library: Path, words: tuple[str, ...], said: str
) -> None:
    ran = platebook("press", "show", *words, "--library", library)
    assert (ran.code, ran.out, ran.err) == (2, "", said)


def test_a_profile_without_bindings_has_nothing_to_quiz(
    platebook: Run, library: Path, stage: Stage
) -> None:
    edit(library / "bindings.toml", 'horn = "sound-horn"\nbell = "ring-bell"\n', "")
    ran = platebook("press", "show", "harbour-desk", "--library", library, "--quiz")
    assert (ran.code, ran.err) == (
        2,
        "platebook: profile `harbour-desk` binds nothing\n  Bind some actions first.\n",
    )


def test_a_record_of_a_test_is_no_quiz(platebook: Run) -> None:
    from tests.cli.test_press_test import EXAMPLE, HARBOUR

    ran = platebook("press", "show", "brackwater-bridge", "--library", HARBOUR, "--from", EXAMPLE)
    assert (ran.code, ran.err) == (
        2,
        f"platebook: {EXAMPLE} is a recording of a press-test, not of a quiz\n"
        "  Choose another recording.\n",
    )
