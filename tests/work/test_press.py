"""The whole way: SDL's virtual joystick, the reader, the recording, the session, the diagnosis."""

from concurrent.futures import Future
from dataclasses import replace
from pathlib import Path

import pytest

from profiles.live.diagnosis import diagnose
from profiles.live.events import Event, FoundBox, LiveError
from profiles.live.faults import Fault
from profiles.live.lines import Answer, Header, describe_device
from profiles.live.plan import plan_test
from profiles.live.reader import SdlReader
from profiles.live.recording import read_recording, start_recording
from profiles.live.session import replay
from profiles.live.words import describe_faults
from profiles.model import Device
from profiles.work import press
from profiles.work.press import LiveTest, TestOptions, begin_test, find_options, resume_options
from tests.live.conftest import FakeClock, clock
from tests.live.simulated import SimulatedBox, make_box
from tests.live.test_recording import Disk
from tests.live.virtual import VirtualBox

__all__ = ["clock"]

START = 1000.0


@pytest.fixture
def device() -> Device:
    return make_box(4, 5, diodes=True)


@pytest.fixture
def reader(clock: FakeClock) -> SdlReader:
    return SdlReader(clock)


def begin(device: Device, reader: SdlReader, path: Path, instance: int) -> LiveTest:
    boxes = {box.instance: box for box in reader.devices()}
    options = TestOptions(device, path, "full")
    return begin_test(options, reader, boxes.get(instance, FoundBox(instance, "gone")))


def resume(device: Device, path: Path, clock: FakeClock) -> LiveTest:
    options = resume_options(device, path)
    reader = SdlReader(clock, start=options.time)
    return begin_test(options, reader, reader.devices()[0])


def act(test: LiveTest, box: VirtualBox, event: Event, clock: FakeClock) -> None:
    """Let SDL have one event of the simulated box, at its time."""
    clock.time = START + event.time
    box.set(event.number, event.kind == "down")
    test.pump()


def do_steps(
    test: LiveTest, virtual: VirtualBox, box: SimulatedBox, clock: FakeClock, most: int = 1000
) -> None:
    """A patient person, who answers `next` where a step does not end by itself."""
    for _ in range(most):
        step = test.session.step
        if step is None:
            return
        for event in box.perform(step):
            act(test, virtual, event, clock)
        clock.time = START + box.time
        test.pump()
        if test.session.step is step:
            test.answer("next")


@pytest.mark.parametrize(
    "faults",
    [
        (),
        (Fault("swapped", (0, 2)),),
        (Fault("exchanged", (3, 11)),),
        (Fault("dead", (5,)),),
        (Fault("bridged", (4, 6)),),
        (Fault("stuck", (9,)),),
        (Fault("diode-reversed", (9,)),),
        (Fault("turns-back", (0,)),),
        (Fault("skips", (0,)),),
        (Fault("bounces", (9,)),),
        (Fault("transposed"), Fault("dead", (1,))),
    ],
)
def test_a_box_pressed_through_sdl_is_diagnosed(
    device: Device,
    reader: SdlReader,
    clock: FakeClock,
    tmp_path: Path,
    faults: tuple[Fault, ...],
) -> None:
    path = tmp_path / "helm.jsonl"
    with VirtualBox(30) as virtual:
        box = SimulatedBox(device, faults)
        for number in box.levels(()):
            virtual.set(number, True)
        box.down = box.levels(())
        test = begin(device, reader, path, virtual.instance)
        do_steps(test, virtual, box, clock)
        session = test.session
        test.close()
    (best, *_) = diagnose(session.model, session.observations).explanations
    assert set(best.faults) == set(faults), describe_faults(session.model, best.faults)
    again = replay(device, read_recording(path))
    assert again.observations == session.observations
    assert not again.changed


def test_stopping_and_resuming_ends_with_the_same_verdicts(
    device: Device, clock: FakeClock, tmp_path: Path
) -> None:
    path = tmp_path / "helm.jsonl"
    box = SimulatedBox(device)
    with VirtualBox(30) as virtual:
        test = begin(device, SdlReader(clock), path, virtual.instance)
        do_steps(test, virtual, box, clock, most=9)
        test.close()
    stopped = resume_options(device, path).resumed
    assert stopped is not None
    assert (stopped.phase, len(stopped.observations)) == ("stopped", 9)
    with VirtualBox(30) as virtual:
        test = resume(device, path, clock)
        do_steps(test, virtual, box, clock)
        test.close()
    session = test.session
    assert {verdict.kind for verdict in session.verdicts()} == {"right"}
    assert len(session.verdicts()) == len(session.steps)
    assert replay(device, read_recording(path)).verdicts() == session.verdicts()


def test_a_test_that_broke_off_is_resumed(device: Device, clock: FakeClock, tmp_path: Path) -> None:
    """No `stop` in the recording, and half a line at its end, as after a power cut."""
    path = tmp_path / "helm.jsonl"
    box = SimulatedBox(device)
    with VirtualBox(30) as virtual, SdlReader(clock) as reader:
        test = begin(device, reader, path, virtual.instance)
        do_steps(test, virtual, box, clock, most=5)
    path.write_bytes(path.read_bytes() + b'{"time": 99999, "ev')
    with VirtualBox(30):
        resume(device, path, clock).close()
    recording = read_recording(path)
    assert not recording.cut
    again = [at for at, one in enumerate(recording.entries) if isinstance(one, Event) and one.box]
    before = replace(recording, entries=recording.entries[: again[1]])
    session = replay(device, before)
    assert (session.phase, len(session.observations)) == ("stopped", 5)


def test_a_full_disk_is_said_and_the_test_goes_on_without_a_loss(
    device: Device, reader: SdlReader, clock: FakeClock, tmp_path: Path
) -> None:
    path = tmp_path / "helm.jsonl"
    disk = Disk(10**6)
    with VirtualBox(30) as virtual:
        test = begin(device, reader, path, virtual.instance)
        assert test.recorder is not None
        test.recorder._sink, test.recorder._size = disk, 0
        test.answer("next")
        disk.room = len(disk.data) + 30
        act(test, virtual, Event(5.0, 0, "down", 1), clock)
        assert test.trouble is not None
        assert test.trouble.message.endswith("No space left on device; everything before is safe")
        act(test, virtual, Event(90.0, 0, "up", 1), clock)
        kept = disk.data
        disk.room = 10**6
        test.pump()
        assert test.trouble is None
        assert disk.data.startswith(kept)
        assert disk.data.count(b'"event": "down"') == 1
        assert disk.data.count(b'"event": "up"') == 1
        test.close()


def test_unplugging_in_a_step_is_seen_and_the_step_asked_again(
    device: Device, reader: SdlReader, clock: FakeClock, tmp_path: Path
) -> None:
    with VirtualBox(30) as virtual:
        test = begin(device, reader, tmp_path / "helm.jsonl", virtual.instance)
        test.pump()
        test.answer("next")
        step = test.session.step
        virtual.set(5, True)
        test.pump()
    test.pump()
    assert test.session.phase == "unplugged"
    with VirtualBox(30) as again:
        test.pump()
        assert (test.session.phase, test.session.step) == ("asking", step)
        assert test.session.instance == again.instance
        test.close()


def test_a_recording_in_a_folder_that_is_missing_is_refused_plainly(
    device: Device, reader: SdlReader, tmp_path: Path
) -> None:
    path = tmp_path / "none" / "helm.jsonl"
    with pytest.raises(LiveError) as caught:
        begin(device, reader, path, 0)
    reader.close()
    assert caught.value.message == f"Cannot open {path}: No such file or directory"


def test_an_unfinished_recording_is_offered_unless_the_device_has_changed(
    device: Device, clock: FakeClock, tmp_path: Path
) -> None:
    (new,) = find_options(device, folder=tmp_path)
    assert (new.path, new.resumed) == (tmp_path / "bench-press.jsonl", None)
    with VirtualBox(30) as virtual:
        test = begin(device, SdlReader(clock), new.path, virtual.instance)
        test.answer("next")
        test.close()
    old, new = find_options(device, "press", "full", folder=tmp_path)
    assert old.resumed is not None
    assert (old.path.name, len(old.resumed.observations)) == ("bench-press.jsonl", 1)
    assert (new.path.name, new.depth, new.resumed) == ("bench-press-2.jsonl", "full", None)
    wiring = device.wiring.model_copy(update={"debounce": 9.0})
    changed = device.model_copy(update={"wiring": wiring})
    (new,) = find_options(changed, folder=tmp_path)
    assert new.path.name == "bench-press-2.jsonl"


def test_a_recording_is_not_resumed_with_another_box(
    device: Device, clock: FakeClock, tmp_path: Path
) -> None:
    path = tmp_path / "helm.jsonl"
    with VirtualBox(30) as virtual:
        begin(device, SdlReader(clock), path, virtual.instance).close()
    with VirtualBox(30, name="Another"), pytest.raises(LiveError) as caught:
        resume(device, path, clock)
    assert caught.value.message == (
        "The box that is plugged in is not the one this recording was started with"
    )
    assert replay(device, read_recording(path)).phase == "stopped"


@pytest.mark.parametrize(
    "data",
    [
        b"format = 1\n[device]\n",
        b'{"format": 1, "recording": "quiz", "device": "bench", "description": "a", '
        b'"program": "0.1.0"}\n{"time": 1, "ans',
        b'{"format": 1, "recording": "press-test", "device": "other", "description": "a", '
        b'"program": "0.1.0"}\n{"time": 1, "ans',
    ],
    ids=["no recording", "of a quiz", "of another box"],
)
def test_a_file_that_is_no_recording_of_this_box_is_never_touched(
    device: Device, reader: SdlReader, clock: FakeClock, tmp_path: Path, data: bytes
) -> None:
    path = tmp_path / "helm.jsonl"
    path.write_bytes(data)
    with pytest.raises(LiveError):
        resume_options(device, path)
    old = resume_options(device, made_by(device, tmp_path / "own.jsonl"))
    with VirtualBox(30) as virtual:
        box = next(one for one in reader.devices() if one.instance == virtual.instance)
        for options in (TestOptions(device, path), replace(old, path=path)):
            with pytest.raises(LiveError):
                begin_test(options, reader, box)
            reader = SdlReader(clock)
    reader.close()
    assert path.read_bytes() == data


def made_by(device: Device, path: Path) -> Path:
    """A recording of this device in which nothing happened yet."""
    start_recording(path, Header(device.id, describe_device(device), "0.1.0")).close()
    return path


def test_what_follows_is_found_aside_while_the_box_is_heard_and_recorded(
    reader: SdlReader, clock: FakeClock, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    device, path = make_box(2, 2), tmp_path / "free.jsonl"
    thought: Future[Answer] = Future()
    monkeypatch.setattr(press, "think_aside", lambda _: thought)
    with VirtualBox(16) as virtual:
        box = next(one for one in reader.devices() if one.instance == virtual.instance)
        test = begin_test(TestOptions(device, path, patience=1000), reader, box)
        for _ in range(60):
            clock.time += 500.0
            test.pump()
            if test.session.is_waiting:
                test.session._silent = 0  # somebody is there
        assert test.session.phase == "thinking"
        assert test.prompt is not None
        assert test.prompt.words == "Working out what to ask next."
        virtual.set(3, True)
        test.pump()
        assert test.session.down == {3}
        thought.set_result(Answer(0.0, "follow", "press b21.press"))
        test.pump()
        assert test.session.step is not None
        assert test.session.step.key == "press b21.press"
        test.close()
    again = replay(device, read_recording(path))
    assert [one.key for one in again.steps[-1:]] == ["press b21.press"]
    assert again.tries == test.session.tries


def test_a_test_that_broke_off_while_it_thought_hears_the_box_that_is_plugged_in_now(
    reader: SdlReader, clock: FakeClock, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    device, path = make_box(2, 2), tmp_path / "free.jsonl"
    monkeypatch.setattr(press, "think_aside", lambda _: Future())
    gone = FoundBox(7_000, "Bench box", "1209", "0001")
    header = Header(device.id, describe_device(device), "0.1.0", patience=1000, instance=7_000)
    recorder = start_recording(path, header)
    skipped = [Answer(float(at), "skip") for at, _ in enumerate(plan_test(device), 1)]
    recorder.add(Event(0.0, 7_000, "added", box=gone), *skipped)
    recorder.close()
    with VirtualBox(16) as virtual:
        test = resume(device, path, clock)
        assert test.session.phase == "thinking"
        virtual.set(3, True)
        test.pump()
        assert test.session.down == {3}
        test.close()
    reader.close()


def test_what_is_worked_out_aside_comes_back() -> None:
    assert press.think_aside(lambda: Answer(1.0, "follow")).result(60.0) == Answer(1.0, "follow")

    def fail() -> Answer:
        raise ValueError("no")

    with pytest.raises(ValueError, match="no"):
        press.think_aside(fail).result(60.0)
