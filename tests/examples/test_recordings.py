"""The example's recording is what the simulated helm desk makes of its device file."""

from profiles.live.outcome import sum_up
from profiles.live.recording import read_recording
from profiles.live.session import Session, replay
from tests.live.bench import (
    RECORDING,
    Bench,
    faults_of,
    helm_desk,
    make_entries,
    write_recording,
)
from tests.live.simulated import INSTANCE


def test_the_record_is_up_to_date() -> None:
    """After a change of helm-desk.toml: `python -m tests.live.bench`."""
    assert RECORDING.read_bytes() == write_recording(helm_desk())


def test_the_helm_desk_as_described_is_right_in_every_step() -> None:
    device = helm_desk()
    session = Session(device, "full", instance=INSTANCE)
    session.take(*make_entries(device, ()))
    assert {verdict.kind for verdict in session.verdicts()} == {"right"}


def test_the_record_tells_the_faults_it_was_made_with() -> None:
    device = helm_desk()
    session = replay(device, read_recording(RECORDING))
    assert session.phase == "finished"
    assert not session.changed
    (best, *_) = sum_up([session]).explanations
    assert set(best.faults) == set(faults_of(Bench(device)))
