"""The whole way: SDL's virtual joystick, the reader, the recording, the session, the diagnosis."""

from pathlib import Path

import pytest

from profiles.live.diagnosis import diagnose
from profiles.live.events import Event, LiveError
from profiles.live.faults import Fault
from profiles.live.reader import SdlReader
from profiles.live.recording import read_recording
from profiles.live.session import replay
from profiles.live.sitting import LiveTest, resume_session, start_sitting
from profiles.live.words import describe_faults
from profiles.model import Device
from tests.live.conftest import FakeClock
from tests.live.simulated import SimulatedBox, make_box
from tests.live.test_recording import Disk
from tests.live.virtual import VirtualBox

START = 1000.0


@pytest.fixture
def device() -> Device:
    return make_box(4, 5, diodes=True)


@pytest.fixture
def reader(clock: FakeClock) -> SdlReader:
    return SdlReader(clock)


def begin(device: Device, reader: SdlReader, path: Path, instance: int) -> LiveTest:
    return start_sitting(
        device,
        reader,
        path,
        program="0.1.0",
        started="2031-05-04",
        depth="full",
        instance=instance,
    )


def act(sitting: LiveTest, box: VirtualBox, event: Event, clock: FakeClock) -> None:
    """Let SDL have one event of the simulated box, at its time."""
    clock.time = START + event.time
    box.set(event.number, event.kind == "down")
    sitting.pump()


def do_steps(
    sitting: LiveTest, virtual: VirtualBox, box: SimulatedBox, clock: FakeClock, most: int = 1000
) -> None:
    """A patient person, who answers `next` where a step does not end by itself."""
    for _ in range(most):
        step = sitting.session.step
        if step is None:
            return
        for event in box.perform(step):
            act(sitting, virtual, event, clock)
        clock.time = START + box.time
        sitting.pump()
        if sitting.session.step is step:
            sitting.answer("next")


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
        sitting = begin(device, reader, path, virtual.instance)
        do_steps(sitting, virtual, box, clock)
        session = sitting.session
        sitting.close()
    (best, *_) = diagnose(session.model, session.observations).explanations
    assert set(best.faults) == set(faults), describe_faults(session.model, best.faults)
    again = replay(device, read_recording(path))
    assert again.observations == session.observations
    assert not again.changed


def test_stopping_and_going_on_ends_with_the_same_verdicts(
    device: Device, clock: FakeClock, tmp_path: Path
) -> None:
    path = tmp_path / "helm.jsonl"
    box = SimulatedBox(device)
    with VirtualBox(30) as virtual:
        sitting = begin(device, SdlReader(clock), path, virtual.instance)
        do_steps(sitting, virtual, box, clock, most=9)
        sitting.close()
    session, recorder = resume_session(device, path)
    assert (session.phase, len(session.observations)) == ("stopped", 9)
    with VirtualBox(30) as virtual:
        sitting = LiveTest(SdlReader(clock, start=session.time), session, recorder)
        do_steps(sitting, virtual, box, clock)
        sitting.close()
    assert {verdict.kind for verdict in session.verdicts()} == {"right"}
    assert len(session.verdicts()) == len(session.steps)
    assert replay(device, read_recording(path)).verdicts() == session.verdicts()


def test_a_test_that_broke_off_is_gone_on_with(
    device: Device, clock: FakeClock, tmp_path: Path
) -> None:
    """No `stop` in the recording, and half a line at its end, as after a power cut."""
    path = tmp_path / "helm.jsonl"
    box = SimulatedBox(device)
    with VirtualBox(30) as virtual, SdlReader(clock) as reader:
        sitting = begin(device, reader, path, virtual.instance)
        do_steps(sitting, virtual, box, clock, most=5)
    path.write_bytes(path.read_bytes() + b'{"time": 99999, "ev')
    session, recorder = resume_session(device, path)
    recorder.close()
    assert (session.phase, len(session.observations)) == ("stopped", 5)
    assert not read_recording(path).cut


def test_a_full_disk_is_said_and_the_test_goes_on_without_a_loss(
    device: Device, reader: SdlReader, clock: FakeClock, tmp_path: Path
) -> None:
    path = tmp_path / "helm.jsonl"
    disk = Disk(10**6)
    with VirtualBox(30) as virtual:
        sitting = begin(device, reader, path, virtual.instance)
        sitting.recorder._sink = disk
        sitting.answer("next")
        disk.room = len(disk.data) + 30
        act(sitting, virtual, Event(5.0, 0, "down", 1), clock)
        assert sitting.trouble is not None
        assert sitting.trouble.message.endswith(
            "No space left on device; everything before is safe"
        )
        act(sitting, virtual, Event(90.0, 0, "up", 1), clock)
        kept = disk.data
        disk.room = 10**6
        sitting.pump()
        assert sitting.trouble is None
        assert disk.data.startswith(kept)
        assert disk.data.count(b'"event": "down"') == 1
        assert disk.data.count(b'"event": "up"') == 1
        sitting.close()


def test_unplugging_in_a_step_is_seen_and_the_step_asked_again(
    device: Device, reader: SdlReader, clock: FakeClock, tmp_path: Path
) -> None:
    with VirtualBox(30) as virtual:
        sitting = begin(device, reader, tmp_path / "helm.jsonl", virtual.instance)
        sitting.pump()
        sitting.answer("next")
        step = sitting.session.step
        virtual.set(5, True)
        sitting.pump()
    sitting.pump()
    assert sitting.session.phase == "unplugged"
    with VirtualBox(30) as again:
        sitting.pump()
        assert (sitting.session.phase, sitting.session.step) == ("asking", step)
        assert sitting.session.instance == again.instance
        sitting.close()


def test_a_record_in_a_folder_that_is_missing_is_refused_plainly(
    device: Device, reader: SdlReader, tmp_path: Path
) -> None:
    path = tmp_path / "none" / "helm.jsonl"
    with pytest.raises(LiveError) as caught:
        begin(device, reader, path, 0)
    reader.close()
    assert caught.value.message == f"Cannot open {path}: No such file or directory"
