"""`platebook press test`: through SDL's virtual joystick, and from recordings."""

import json
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

from profiles.api import load
from profiles.live import recording as recording_room
from profiles.live.faults import Fault
from profiles.live.recording import read_recording
from profiles.model import Device
from tests.cli.conftest import EXAMPLES, Run
from tests.cli.pressing import Deed, Stage, damaged, stage, write_device
from tests.live.simulated import make_box
from tests.live.test_recording import Disk
from tests.live.virtual import VirtualBox

__all__ = ["stage"]

HARBOUR = EXAMPLES / "harbour"
EXAMPLE = HARBOUR / "recordings" / "helm-desk-press.jsonl"
SWAPPED = Fault("swapped", (0, 1))


@pytest.fixture
def device() -> Device:
    return make_box(3, 4, diodes=True)


@pytest.fixture
def boxes(device: Device, tmp_path: Path) -> Path:
    """A library of one box of 3 rows and 4 columns."""
    write_device(tmp_path / "boxes", device)
    return tmp_path / "boxes"


@pytest.fixture
def virtual(stage: Stage) -> Iterator[VirtualBox]:
    with VirtualBox(20) as plugged:
        yield plugged


def test_a_sound_box_is_found_as_described(
    platebook: Run, boxes: Path, device: Device, stage: Stage, virtual: VirtualBox
) -> None:
    person = stage.put(stage.do_steps(virtual, damaged(device, virtual=virtual)))
    ran = platebook("press", "test", "bench", "--library", boxes)
    assert ran.out == (
        "Bench box (bench): 16 of 16 steps done\n"
        "16 right\n\n"
        "What explains it best\n"
        "  over 99 %: The box is as described.\n"
    )
    assert ran.code == 0
    assert person.closed


def test_swapped_rows_are_named_with_their_pins_and_each_step_is_told_once(
    platebook: Run, boxes: Path, device: Device, stage: Stage, virtual: VirtualBox
) -> None:
    stage.put(stage.do_steps(virtual, damaged(device, SWAPPED, virtual=virtual)))
    ran = platebook("press", "test", "bench", "--library", boxes, "--full")
    assert ran.code == 1
    assert (
        "What explains it best\n"
        "  over 99 %: Row 1 (pin A0) and row 2 (pin A1) are swapped at the board.\n"
        "  Exchange the yellow wire at pin A0 and the yellow wire at pin A1.\n\n"
        "When that is fixed, test again: one fault can hide another.\n\n"
        "Before you open the box\n"
        "  Unplug the box before you open it, measure in it or solder. Ask qualified help when\n"
        "  unsure; local codes and the makers' instructions come first.\n\n"
        "Verdict  Contact "
    ) in ran.out
    told = [line for line in ran.err.splitlines() if line.strip().startswith("wrong")]
    assert told[0] == "    wrong  b11.on: heard input 5 instead of input 1"
    assert len(told) == len(set(told))


def test_the_record_replays_to_the_same_outcome(
    platebook: Run, boxes: Path, device: Device, stage: Stage, virtual: VirtualBox
) -> None:
    stage.put(stage.do_steps(virtual, damaged(device, SWAPPED, virtual=virtual)))
    live = platebook("press", "test", "bench", "--library", boxes)
    again = platebook("press", "test", "bench", "--library", boxes, "--from", "bench-press.jsonl")
    assert (again.code, again.out, again.err) == (live.code, live.out, "")


def test_what_is_asked_and_heard_goes_to_stderr_a_line_each(
    platebook: Run, boxes: Path, device: Device, stage: Stage, virtual: VirtualBox
) -> None:
    stage.put(stage.do_steps(virtual, damaged(device, virtual=virtual), most=3))
    ran = platebook("press", "test", "bench", "--library", boxes)
    assert ran.err.splitlines() == [
        "Bench box: 16 steps; recorded in bench-press.jsonl",
        "Answers, each on a line: next, skip, back, again, stop (resume later)",
        "[1/16] Let go of everything, put latching controls off and selectors to position 1",
        "    right  at rest: heard nothing, as it should be",
        "[2/16] Put b11 on",
        "    right  b11.on: heard input 1",
        "[3/16] Put b11 off",
        "    right  b11.off: heard nothing, as it should be",
        "[4/16] Press and release b12",
        "note: stopped; run the same command again to resume bench-press.jsonl",
    ]


def test_a_test_that_was_stopped_is_gone_on_with_by_the_same_call(
    platebook: Run, boxes: Path, device: Device, stage: Stage, virtual: VirtualBox
) -> None:
    box = damaged(device, virtual=virtual)
    stage.put(stage.do_steps(virtual, box, most=5))
    first = platebook("press", "test", "bench", "--library", boxes)
    assert first.out.startswith("Bench box (bench): 5 of 16 steps done\n5 right, 11 open\n")
    stage.put(stage.do_steps(virtual, box))
    second = platebook("press", "test", "bench", "--library", boxes)
    assert second.err.startswith(
        "Bench box: 16 steps, 5 of them done; recorded in bench-press.jsonl\n"
    )
    assert second.out.startswith("Bench box (bench): 16 of 16 steps done\n16 right\n")


def test_after_a_finished_test_the_same_call_begins_another_recording(
    platebook: Run, boxes: Path, device: Device, stage: Stage, virtual: VirtualBox
) -> None:
    box = damaged(device, virtual=virtual)
    for name in ("bench-press.jsonl", "bench-press-2.jsonl"):
        stage.put(stage.do_steps(virtual, box))
        ran = platebook("press", "test", "bench", "--library", boxes)
        assert ran.err.startswith(f"Bench box: 16 steps; recorded in {name}\n")
    ran = platebook(
        "press", "test", "bench", "--library", boxes, "--recording", "bench-press.jsonl"
    )
    assert (ran.code, ran.err) == (
        2,
        "platebook: bench-press.jsonl is the recording of a finished test\n"
        "  See it with --from bench-press.jsonl, or start a new one with --new.\n",
    )


def test_back_asks_again_and_an_unknown_word_is_answered_with_the_known_ones(
    platebook: Run, boxes: Path, device: Device, stage: Stage, virtual: VirtualBox
) -> None:
    def script() -> Iterator[Deed]:
        yield "next"
        yield "skip"
        yield "back"
        yield "hello"
        yield "stop"

    stage.put(script())
    ran = platebook("press", "test", "bench", "--library", boxes)
    assert ran.err.splitlines()[3:] == [
        "    right  at rest: heard nothing, as it should be",
        "[2/16] Put b11 on",
        "  skipped  b11.on: not tested",
        "[3/16] Put b11 off",
        "back",
        "[2/16] Put b11 on",
        "Answers, each on a line: next, skip, back, again, stop (resume later)",
        "[2/16] Put b11 on",
        "note: stopped; run the same command again to resume bench-press.jsonl",
    ]


def test_a_box_unplugged_in_a_step_is_waited_for_and_nothing_is_lost(
    platebook: Run, boxes: Path, device: Device, stage: Stage
) -> None:
    first, second = VirtualBox(20), VirtualBox(20)

    def script(box_now: VirtualBox) -> Iterator[Deed]:
        yield from stage.do_steps(box_now, box, most=4)
        box_now.set(3, True)
        yield None
        box_now.unplug()
        yield None
        yield None
        second.__enter__()
        yield None
        stage.wait(5000.0)
        box.time = stage.clock.time
        yield from stage.do_steps(second, box)

    with first:
        box = damaged(device, virtual=first)
        stage.put(script(first))
        ran = platebook("press", "test", "bench", "--library", boxes)
        second.unplug()
    message = "The box is unplugged. Plug it in again: this step is asked once more."
    assert ran.err.splitlines().count(message) == 1
    assert ran.out.startswith("Bench box (bench): 16 of 16 steps done\n16 right\n")


def test_two_boxes_alike_have_to_be_chosen_from(
    platebook: Run, boxes: Path, device: Device, stage: Stage
) -> None:
    with VirtualBox(20) as one, VirtualBox(20) as other:
        ran = platebook("press", "test", "bench", "--library", boxes)
        assert (ran.code, ran.err) == (
            2,
            "platebook: 2 boxes that are plugged in may be `bench`: "
            "1: Bench box, 1209:0001; 2: Bench box, 1209:0001\n"
            "  Choose with --which 1 to 2, or unplug the others.\n",
        )
        noise = damaged(device, SWAPPED, virtual=one)
        assert noise.levels(()) == set()

        def script() -> Iterator[Deed]:
            yield from stage.do_steps(other, damaged(device, virtual=other), most=4)
            yield from stage.press(one, 5)
            stage.wait(5000.0)
            yield None

        stage.put(script())
        ran = platebook("press", "test", "bench", "--library", boxes, "--which", "2")
        assert ran.out.startswith("Bench box (bench): 4 of 16 steps done\n4 right, 12 open\n")
        ran = platebook("press", "test", "bench", "--library", boxes, "--which", "3", "--new")
        assert (ran.code, ran.err) == (
            2,
            "platebook: --which 3 is none of the 2 boxes that may be `bench`\n"
            "  Choose with --which 1 to 2.\n",
        )


def test_no_box_is_said_with_its_identity(platebook: Run, stage: Stage) -> None:
    ran = platebook("press", "test", "helm-desk", "--library", HARBOUR)
    assert (ran.code, ran.err) == (
        2,
        "platebook: no box that is plugged in is `helm-desk` (USB 1209:0001, serial HD-01)\n"
        "  Plug it in. Nothing that reports as a game controller can be read here; on Linux you "
        "also need permission to read /dev/input.\n",
    )


def test_without_sdl_the_way_to_install_it_is_told(
    platebook: Run, boxes: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setitem(sys.modules, "sdl2", None)
    for words in (("list",), ("test", "bench"), ("learn", "bench")):
        ran = platebook("press", *words, "--library", boxes)
        assert (ran.code, ran.out, ran.err) == (
            2,
            "",
            "platebook: reading a box needs SDL, which is not installed\n"
            f"  Install it: {sys.executable} -m pip install pysdl2 pysdl2-dll\n",
        )


def test_a_full_disk_is_said_and_nothing_is_lost_once_there_is_room(
    platebook: Run,
    boxes: Path,
    device: Device,
    stage: Stage,
    virtual: VirtualBox,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    disk = Disk(10**6)
    monkeypatch.setattr(recording_room, "FileSink", lambda path, new: disk)
    kept = []

    def script() -> Iterator[Deed]:
        box = damaged(device, virtual=virtual)
        yield from stage.do_steps(virtual, box, most=2)
        disk.room = len(disk.data)
        kept.append(disk.data)
        yield from stage.do_steps(virtual, box, most=2)
        disk.room = 10**6
        yield from stage.do_steps(virtual, box)

    stage.put(script())
    ran = platebook("press", "test", "bench", "--library", boxes)
    full = (
        "Cannot write to bench-press.jsonl: No space left on device; everything before is safe. "
        "Free some room on the disk, then continue: nothing is lost meanwhile."
    )
    assert ran.err.splitlines().count(full) == 1
    assert ran.err.splitlines().count("All is written to the disk again.") == 1
    assert ran.code == 0
    assert disk.data.startswith(kept[0])
    Path("copy.jsonl").write_bytes(disk.data)
    again = platebook("press", "test", "bench", "--library", boxes, "--from", "copy.jsonl")
    assert again.out == ran.out


def test_giving_up_on_a_full_disk_still_tells_the_outcome_and_fails(
    platebook: Run,
    boxes: Path,
    device: Device,
    stage: Stage,
    virtual: VirtualBox,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    disk = Disk(10**6)
    monkeypatch.setattr(recording_room, "FileSink", lambda path, new: disk)

    def script() -> Iterator[Deed]:
        yield "next"
        disk.room = len(disk.data)
        yield "skip"
        yield "stop"
        yield "again"
        yield "stop"

    stage.put(script())
    ran = platebook("press", "test", "bench", "--library", boxes)
    assert ran.code == 2
    assert ran.out.startswith(
        "Bench box (bench): 1 of 16 steps done\n1 right, 1 skipped, 14 open\n"
    )
    assert ran.err.count("No space left on device") == 3


def test_ctrl_c_leaves_a_record_that_can_be_gone_on_with(
    platebook: Run, boxes: Path, device: Device, stage: Stage, virtual: VirtualBox
) -> None:
    def script() -> Iterator[Deed]:
        yield from stage.do_steps(virtual, damaged(device, virtual=virtual), most=3)
        raise KeyboardInterrupt

    person = stage.put(script())
    ran = platebook("press", "test", "bench", "--library", boxes)
    assert ran.code == 130
    assert [line for line in ran.err.splitlines() if line][-2:] == [
        "note: stopped; run the same command again to resume bench-press.jsonl",
        "stopped",
    ]
    assert person.closed
    assert not read_recording(Path("bench-press.jsonl")).cut
    again = platebook("press", "test", "bench", "--library", boxes, "--from", "bench-press.jsonl")
    assert again.out.startswith("Bench box (bench): 3 of 16 steps done\n")


def test_the_example_record_names_the_exchanged_columns_without_a_box(platebook: Run) -> None:
    pins = load(HARBOUR).library.devices["helm-desk"].wiring.columns
    ran = platebook("press", "test", "helm-desk", "--from", EXAMPLE, "--library", HARBOUR)
    assert ran.code == 1
    told = ran.out.partition("What explains it best")[2].partition("\n\n")[0]
    assert " ".join(told.split()) == (
        f"over 99 %: Column 2 (pin {pins[1]}) and column 4 (pin {pins[3]}) are swapped at the "
        "board; and bell.press bounces for longer than the debounce time. "
        f"Exchange the blue wire at pin {pins[1]} and the blue wire at pin {pins[3]}. "
        "Raise the debounce time above 7 ms, or change the switch."
    )


def test_faults_that_read_the_same_share_one_confidence_and_a_question_decides(
    platebook: Run, boxes: Path, device: Device, stage: Stage, virtual: VirtualBox
) -> None:
    """Only the first row was pressed: the wire may be off its pin, or the switch broken."""
    box = damaged(device, Fault("open", (1,)), virtual=virtual)
    stage.put(stage.do_steps(virtual, box, most=5))
    ran = platebook("press", "test", "bench", "--library", boxes)
    told = ran.out.partition("What explains it best\n")[2].splitlines()
    assert told[0].endswith(": One of these, which nothing in this recording tells apart:")
    assert told[1].startswith("  - ")
    assert any("b12.press never closes" in line for line in told)
    assert "What would decide" in told
    assert max(map(len, told)) <= 100


def test_json_tells_steps_diagnosis_and_measurements(platebook: Run) -> None:
    words = ("press", "test", "helm-desk", "--from", EXAMPLE, "--library", HARBOUR, "--json")
    told = json.loads(platebook(*words).out)
    assert (told["format"], told["device"], told["planned"]) == (1, "helm-desk", 60)
    assert sum(told["counts"].values()) == 60
    horn = next(one for one in told["steps"] if one["step"] == "press horn.press")
    assert horn == {
        "step": "press horn.press",
        "contact": "horn.press",
        "held": [],
        "verdict": "wrong",
        "expected": [7],
        "heard": [9],
        "words": "heard input 9 instead of input 7",
    }
    best = told["diagnosis"][0]
    assert [fault["kind"] for fault in best["faults"]] == ["swapped", "bounces"]
    assert 0.99 < best["confidence"] <= 1.0
    assert told["measurements"]["turns"][0]["per_detent"] == 1.0


def test_of_several_records_the_later_one_counts(
    platebook: Run, boxes: Path, device: Device, stage: Stage, virtual: VirtualBox
) -> None:
    """As after a repair: the second test of the same steps replaces the first."""
    for faults in ((SWAPPED,), ()):
        stage.put(stage.do_steps(virtual, damaged(device, *faults, virtual=virtual)))
        platebook("press", "test", "bench", "--library", boxes)
    names = ("--from", "bench-press.jsonl", "--from", "bench-press-2.jsonl")
    ran = platebook("press", "test", "bench", "--library", boxes, *names)
    assert (ran.code, ran.out.splitlines()[1]) == (0, "16 right")


def test_a_good_part_of_a_test_says_how_much_is_left(
    platebook: Run, boxes: Path, device: Device, stage: Stage, virtual: VirtualBox
) -> None:
    stage.put(stage.do_steps(virtual, damaged(device, virtual=virtual), most=4))
    ran = platebook("press", "test", "bench", "--library", boxes)
    assert ran.out.splitlines()[-3:] == [
        "What explains it best",
        "  over 99 %: The box is as described.",
        "  So far: 12 steps not tested yet.",
    ]


def test_a_control_that_moves_a_hat_is_told_with_what_is_not_judged(
    platebook: Run, boxes: Path, stage: Stage
) -> None:
    def script(box: VirtualBox) -> Iterator[Deed]:
        yield "next"
        box.turn_hat(1, 1)
        yield None
        yield "next"

    with VirtualBox(20, hats=1) as box:
        stage.put(script(box))
        ran = platebook("press", "test", "bench", "--library", boxes)
    assert ran.out.splitlines()[3] == "The box also has 1 hat: recorded, but not judged."
    assert "missing  b11.on   did not hear input 1; but hat 1 moved" in ran.out


def test_each_box_of_a_profile_of_two_is_listened_to(platebook: Run, stage: Stage) -> None:
    def script() -> Iterator[Deed]:
        yield from stage.press(lookout, 1)
        yield from stage.press(desk, 7)
        yield "stop"

    with (
        VirtualBox(34, name="Helm desk", product=0x0001) as desk,
        VirtualBox(9, name="Lookout box", product=0x0002) as lookout,
    ):
        stage.put(script())
        ran = platebook("press", "show", "brackwater-bridge", "--library", HARBOUR)
    assert len(ran.err.splitlines()) == 3
    assert ran.err.splitlines()[2] == "HORN. HORN: Sound the horn"
