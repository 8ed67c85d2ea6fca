"""A box without a file: a run that broke off is taken up again with its own box, and no other."""

from pathlib import Path

import pytest

from profiles.live.discovery import Discovery
from profiles.live.events import Event, FoundBox, LiveError
from profiles.live.lines import Answer, Header
from profiles.live.recording import start_recording
from profiles.work.press_new import begin_discovery, replay_discovery
from tests.work.test_press_show import ADDED, ScriptReader


def break_off(path: Path, box: FoundBox) -> Discovery:
    """What a recording without a `stop` leads to, as after a power cut: one control is named."""
    header = Header("front", "", "0.1.0", recording="discovery", instance=box.instance)
    recorder = start_recording(path, header)
    recorder.add(
        Event(0.0, box.instance, "added", box=box),
        Event(1000.0, box.instance, "down", 1),
        Event(1090.0, box.instance, "up", 1),
        Answer(3000.0, "typed", "Horn @ 1,1"),
    )
    recorder.close()
    return replay_discovery("front", path)


def test_a_run_that_broke_off_hears_the_box_that_is_plugged_in_now(tmp_path: Path) -> None:
    path = tmp_path / "front.jsonl"
    resumed = break_off(path, FoundBox(7, "Desk"))
    reader = ScriptReader(ADDED, Event(4000.0, 1, "down", 2), Event(4090.0, 1, "up", 2))
    run = begin_discovery("front", path, reader, reader.devices()[0], resumed)
    run.say("Bell @ 1,2")
    run.close()
    assert [*run.discovery.controls] == ["horn", "bell"]
    assert [*replay_discovery("front", path).controls] == ["horn", "bell"]


def test_a_run_is_not_taken_up_again_with_another_box(tmp_path: Path) -> None:
    path = tmp_path / "front.jsonl"
    resumed = break_off(path, FoundBox(7, "Another"))
    reader = ScriptReader(ADDED)
    with pytest.raises(LiveError) as caught:
        begin_discovery("front", path, reader, reader.devices()[0], resumed)
    assert caught.value.sentences == (
        "The box that is plugged in is not the one this recording was started with. "
        "Plug that one in, or start a new recording."
    )
    assert reader.is_closed
    assert [*replay_discovery("front", path).controls] == ["horn"]
