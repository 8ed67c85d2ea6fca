"""The recording on disk: nothing recorded is ever lost, damage is refused with its line."""

import errno
import os
import sys
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from profiles.live.events import EVENT_KINDS, Event, FoundBox, LiveError
from profiles.live.lines import (
    ANSWER_KINDS,
    Answer,
    Entry,
    Header,
    Recording,
    describe_device,
    parse_line,
)
from profiles.live.recording import (
    LARGEST,
    FileSink,
    Recorder,
    parse_recording,
    read_recording,
    resume_recording,
    start_recording,
)
from profiles.model import Device
from profiles.work.recordings import list_recordings
from tests.live.simulated import make_box

HEADER = Header("helm-desk", "ab12", "0.1.0", started="2031-05-04T10:00:00", depth="full")
FIRST_LINE = (
    b'{"format": 1, "recording": "press-test", "device": "helm-desk", "description": "ab12", '
    b'"program": "0.1.0", "started": "2031-05-04T10:00:00", "depth": "full", "detents": 10}\n'
)
DOWN = Event(12.0, 3, "down", 5)
NEXT = Answer(310.0, "next")

texts = st.text(max_size=20)
counts = st.integers(0, 300)
boxes = st.builds(
    FoundBox,
    st.just(7),
    texts,
    texts,
    texts,
    texts,
    texts,
    counts,
    counts,
    counts,
)
times = st.integers(0, 10**9).map(lambda n: n / 1000)
entries = st.one_of(
    st.builds(Answer, times, st.sampled_from([one for one in ANSWER_KINDS if one != "typed"])),
    st.builds(
        Event,
        times,
        st.just(7),
        st.sampled_from(EVENT_KINDS),
        counts,
        st.integers(-32768, 32767),
        st.none() | boxes,
        st.lists(counts, max_size=4).map(tuple),
    ),
)


class Disk(FileSink):
    """A sink with so much room and no more."""

    def __init__(self, room: int) -> None:
        self.room = room
        self.data = b""
        self.synced = b""

    def write(self, data: bytes) -> int:
        if len(self.data) >= self.room:
            raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))
        fits = data[: self.room - len(self.data)]
        self.data += fits
        return len(fits)

    def sync(self) -> None:
        self.synced = self.data

    def cut(self, size: int) -> None:
        self.data = self.data[:size]

    def close(self) -> None:
        self.room = 0


def test_a_record_is_lines_that_anyone_can_read(tmp_path: Path) -> None:
    path = tmp_path / "helm.jsonl"
    recorder = start_recording(path, HEADER)
    recorder.add(DOWN, NEXT)
    recorder.close()
    assert path.read_bytes() == (
        FIRST_LINE
        + b'{"time": 12.0, "event": "down", "from": 3, "number": 5}\n'
        + b'{"time": 310.0, "answer": "next"}\n'
    )


@given(st.lists(entries, max_size=6))
def test_what_was_written_is_read_again(written: list[Entry]) -> None:
    disk = Disk(10**6)
    recorder = Recorder(disk, "recording")
    recorder.add(HEADER)
    recorder.add(*written)
    assert parse_recording(disk.data, "recording") == Recording(HEADER, tuple(written))


@given(times, st.text(max_size=40))
def test_words_typed_about_a_new_box_are_read_again_and_belong_to_no_test(
    time: float, words: str
) -> None:
    typed = Answer(time, "typed", words)
    disk = Disk(10**6)
    recorder, header = Recorder(disk, "recording"), replace(HEADER, recording="discovery")
    recorder.add(header, typed)
    assert parse_recording(disk.data, "recording") == Recording(header, (typed,))
    tested = disk.data.replace(b'"discovery"', b'"press-test"')
    with pytest.raises(LiveError) as caught:
        parse_recording(tested, "recording")
    assert caught.value.message == (
        "recording is damaged: line 2: holds typed words, which only a discovery has"
    )


def test_what_add_returned_from_is_on_the_disk() -> None:
    disk = Disk(10**6)
    recorder = Recorder(disk, "recording")
    recorder.add(DOWN)
    assert disk.synced == disk.data != b""


@given(st.integers(0, 60))
def test_a_full_disk_loses_nothing_and_says_so(room: int) -> None:
    disk = Disk(10**6)
    recorder = Recorder(disk, "helm.jsonl")
    recorder.add(DOWN)
    before = disk.data
    disk.room = len(before) + room
    with pytest.raises(LiveError) as caught:
        recorder.add(Event(13.0, 3, "up", 5), NEXT)
    assert caught.value.message == (
        "Cannot write to helm.jsonl: No space left on device; everything before is safe"
    )
    assert caught.value.remedy == (
        "Free some room on the disk, then continue: nothing is lost meanwhile"
    )
    assert disk.data == before
    disk.room = 10**6
    recorder.add()
    assert disk.synced == before + (
        b'{"time": 13.0, "event": "up", "from": 3, "number": 5}\n'
        b'{"time": 310.0, "answer": "next"}\n'
    )


@pytest.mark.skipif(not sys.platform.startswith("linux"), reason="the full device is Linux's")
def test_the_systems_own_full_device_gives_the_same_message() -> None:
    recorder = Recorder(FileSink(Path("/dev/full"), new=False), "/dev/full")
    with pytest.raises(LiveError, match="Cannot write to /dev/full: No space left on device"):
        recorder.add(DOWN)


def test_a_record_that_is_there_is_not_overwritten(tmp_path: Path) -> None:
    path = tmp_path / "helm.jsonl"
    start_recording(path, HEADER).close()
    with pytest.raises(LiveError) as caught:
        start_recording(path, HEADER)
    assert caught.value.message == f"{path} exists already"
    assert path.read_bytes() == FIRST_LINE


@given(st.data())
def test_a_record_cut_anywhere_keeps_all_whole_lines(data: st.DataObject) -> None:
    disk = Disk(10**6)
    recorder = Recorder(disk, "recording")
    recorder.add(HEADER)
    recorder.add(DOWN, NEXT)
    size = data.draw(st.integers(len(FIRST_LINE), len(disk.data)))
    left = disk.data[:size]
    recording = parse_recording(left, "recording")
    whole = left.count(b"\n") - 1
    assert recording.entries[:whole] == (DOWN, NEXT)[:whole]
    assert recording.cut or len(recording.entries) >= whole


def test_going_on_drops_the_cut_line_and_adds_behind_the_last_whole_one(tmp_path: Path) -> None:
    path = tmp_path / "helm.jsonl"
    path.write_bytes(FIRST_LINE + b'{"time": 12.0, "event": "down", "from": 3, "nu')
    recording, recorder = resume_recording(path)
    recorder.add(NEXT)
    recorder.close()
    assert recording == Recording(HEADER, (), cut=True)
    assert read_recording(path) == Recording(HEADER, (NEXT,))


def test_going_on_after_a_last_line_without_its_end_keeps_it(tmp_path: Path) -> None:
    path = tmp_path / "helm.jsonl"
    path.write_bytes(FIRST_LINE + b'{"time": 310.0, "answer": "next"}')
    recording, recorder = resume_recording(path)
    recorder.add(NEXT)
    recorder.close()
    assert recording == Recording(HEADER, (NEXT,))
    assert read_recording(path) == Recording(HEADER, (NEXT, NEXT))


def test_all_damage_is_named_with_its_lines() -> None:
    data = FIRST_LINE + (
        b"not json\n"
        b'{"time": 1, "answer": "maybe"}\n'
        b'{"time": 1, "answer": "next"}\n'
        b'{"time": -1, "event": "down", "from": 3}\n'
        b'{"time": 1, "event": "down", "from": 3, "colour": 4}\n'
        b'{"time": NaN, "event": "down", "from": 3}\n'
        b'{"time": 1, "event": "down", "from": "x"}\n'
        b"[]\n"
        b'{"time": 1, "event": "down", "from": 3, "number": 9223372036854775808}\n'
        b'{"time": 1, "event": "added", "from": 3, "down": [-1]}\n'
    )
    with pytest.raises(LiveError) as caught:
        parse_recording(data, "helm.jsonl")
    assert caught.value.message == (
        "helm.jsonl is damaged: line 2: is no JSON; line 3: holds an unknown answer; "
        "line 5: `time` must be a number of ms; line 6: holds an unknown key: colour; "
        "line 7: holds NaN, which is no number; line 8: `from` must be a whole number; "
        "line 9: is no JSON object; "
        "line 10: `number` must be a whole number from 0 to 196649; "
        "line 11: `down` must be a list of whole numbers from 0 to 196649"
    )


def test_more_damage_than_fits_is_counted() -> None:
    with pytest.raises(LiveError, match=r"line 11: is no JSON; and 5 more$"):
        parse_recording(FIRST_LINE + b"x\n" * 15, "helm.jsonl")


@pytest.mark.parametrize(
    ("data", "message"),
    [
        (b"", "r is damaged: line 1: holds no header"),
        (b'{"format": 2, "colour": 1}\nx\n', "r has format 2, newer than this program's 1"),
        (b"{}\n", 'r is damaged: line 1: is no header of a recording (it needs "format": 1)'),
        (
            FIRST_LINE.replace(b'"detents": 10', b'"detents": 0'),
            "r is damaged: line 1: `detents` must be from 1 to 1000",
        ),
        (
            FIRST_LINE.replace(b'"full"', b'"deep"'),
            "r is damaged: line 1: `depth` must be short or full",
        ),
        (
            FIRST_LINE.replace(b"press-test", b"diary"),
            "r is damaged: line 1: is a recording of an unknown kind: diary",
        ),
        (b'{"a":' * 100_000, "r is damaged: line 1: is no JSON"),
        (b'"' + b"a" * 2_000_000, "r is damaged: line 1: is too long"),
        (b"\xff\xfe\n", "r is damaged: line 1: is no JSON"),
    ],
)
def test_what_is_no_record_is_refused(data: bytes, message: str) -> None:
    with pytest.raises(LiveError) as caught:
        parse_recording(data, "r")
    assert caught.value.message == message


def test_hostile_names_are_inert_in_the_file_and_in_messages() -> None:
    disk = Disk(10**6)
    recorder = Recorder(disk, "recording")
    recorder.add(Event(1.0, 3, "added", box=FoundBox(3, "\x1b]52;c;aGk=\x07\u202e")))
    assert disk.data.isascii()
    assert b"\x1b" not in disk.data
    assert b"\x07" not in disk.data
    with pytest.raises(LiveError) as caught:
        parse_recording(FIRST_LINE + b'{"time": 1, "answer": "next", "\\u001b[8m": 1}\n', "\x1b[2J")
    assert caught.value.message == "␛[2J is damaged: line 2: holds an unknown key: ␛[8m"


def test_a_missing_record_is_said_plainly(tmp_path: Path) -> None:
    path = tmp_path / "none.jsonl"
    with pytest.raises(LiveError) as caught:
        read_recording(path)
    assert caught.value.message == f"Cannot read {path}: there is no file `none.jsonl`"


@pytest.mark.skipif(os.name != "posix", reason="pipes and devices of POSIX")
@pytest.mark.parametrize("read", [read_recording, resume_recording])
def test_pipes_and_endless_files_are_refused_at_once(
    read: Callable[[Path], object], tmp_path: Path
) -> None:
    pipe = tmp_path / "pipe.jsonl"
    os.mkfifo(pipe)
    for path in (pipe, Path("/dev/zero")):
        with pytest.raises(LiveError) as caught:
            read(path)
        assert caught.value.message == (
            f"Cannot read {path}: `{path.name}` is a device or pipe, not a file"
        )


@pytest.mark.skipif(os.name != "posix", reason="links and pipes of POSIX")
def test_a_recording_is_resumed_through_no_link(tmp_path: Path) -> None:
    path, link = tmp_path / "helm.jsonl", tmp_path / "link.jsonl"
    start_recording(path, HEADER).close()
    link.symlink_to(path)
    with pytest.raises(LiveError) as caught:
        resume_recording(link)
    assert caught.value.message == f"{link} is a link, and links are not followed"


@pytest.mark.skipif(os.name != "posix", reason="links and pipes of POSIX")
def test_a_pipe_among_recordings_is_not_waited_for(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "helm.jsonl")
    (tmp_path / "endless.jsonl").symlink_to("/dev/zero")
    assert list_recordings(tmp_path, "helm") == ()


def test_a_recording_is_read_in_bounded_memory(tmp_path: Path) -> None:
    path = tmp_path / "long.jsonl"
    with path.open("wb") as file:
        file.truncate(LARGEST + 1)
    with pytest.raises(LiveError) as caught:
        read_recording(path)
    assert caught.value.message == (
        f"Cannot read {path}: file of 8.0 MB, more than the 8 MB that are read"
    )
    assert caught.value.remedy == "Test the box in several shorter runs"


def test_a_device_is_another_for_a_test_when_its_wiring_changed_not_its_words() -> None:
    device = make_box(2, 2)
    content = device.plain()
    content["controls"]["b12"]["label"] = "HORN"
    content["controls"]["b12"]["front"] = 19.0
    content["wiring"]["gauge"] = 30
    assert describe_device(Device.model_validate(content)) == describe_device(device)
    for path, value in (
        (("controls", "b12", "position"), [1.0, 2.0]),
        (("controls", "b12", "crossing"), [2, 1]),
        (("wiring", "rows"), ["B0", "B1"]),
    ):
        changed = device.plain()
        table = changed
        for key in path[:-1]:
            table = table[key]
        table[path[-1]] = value
        assert describe_device(Device.model_validate(changed)) != describe_device(device)


def test_of_a_file_that_is_no_recording_a_thousand_lines_are_read(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Counted, not timed: a megabyte of line ends is refused as fast as a page of them."""
    read = []

    def count_line(line: bytes, *, is_first: bool) -> Header | Entry:
        read.append(line)
        return parse_line(line, is_first=is_first)

    monkeypatch.setattr("profiles.live.recording.parse_line", count_line)
    with pytest.raises(LiveError, match=r"; and at least 990 more$"):
        parse_recording(b"\n" * 1_000_000, "recording")
    assert len(read) == 1_000
