"""A press test as it happens: a reader, a session and a recording, held together.

`LiveTest.pump` is called again and again by whoever shows the test (some 100 times a second is
plenty); `answer` says what the person said. What was read is recorded first and judged then. A
disk that is full does not stop the test: `trouble` says so until the waiting lines are written.
"""

import sys
from pathlib import Path

from profiles.live.buttons import inputs_by_button
from profiles.live.events import Event, LiveError, Reader
from profiles.live.lines import Answer, AnswerKind, Depth, Entry, Header, describe_device
from profiles.live.plan import plan_test
from profiles.live.recording import Recorder, resume_recording, start_recording
from profiles.live.session import Session, replay
from profiles.model import Device


class LiveTest:
    """One person at one box."""

    def __init__(self, reader: Reader, session: Session, recorder: Recorder) -> None:
        self.reader = reader
        self.session = session
        self.recorder = recorder
        self.trouble: LiveError | None = None

    def pump(self) -> list[Event]:
        """Read, record and judge what happened since the last call; returns it."""
        events = self.reader.poll()
        self._take(*events)
        position = self.session.position
        self.session.tick(self.reader.now())
        if self.session.position != position:
            self._take(Answer(self.session.time, "quiet"))
        return events

    def answer(self, kind: AnswerKind) -> None:
        """Take what the person said."""
        self._take(Answer(self.reader.now(), kind))

    def retry(self) -> bool:
        """Write the lines that still wait, without reading; tell whether all are written."""
        self._take()
        return self.trouble is None

    def close(self) -> None:
        """Leave off so that the test can be resumed. Raises LiveError if lines are unsaved."""
        self.answer("stop")
        self.reader.close()
        self.recorder.close()

    def _take(self, *entries: Entry) -> None:
        if entries or self.recorder.waiting:
            try:
                self.recorder.add(*entries)
                self.trouble = None
            except LiveError as trouble:
                self.trouble = trouble
        self.session.take(*entries)


def start_sitting(
    device: Device,
    reader: Reader,
    path: Path,
    *,
    program: str,
    started: str,
    depth: Depth = "short",
    detents: int = 10,
    instance: int | None = None,
    every: bool = False,
) -> LiveTest:
    """Begin a test. `started` is the date in words; `every` asks contacts without a number too.

    Raises LiveError, also if the file is there.
    """
    header = Header(
        device=device.id,
        description=describe_device(device),
        program=program,
        started=started,
        depth=depth,
        detents=detents,
        every=every,
        instance=instance,
        host=sys.platform,
    )
    inputs = inputs_by_button(device)
    steps = plan_test(device, depth, detents, every=every)
    session = Session(device, depth, detents, instance, inputs, steps)
    return LiveTest(reader, session, start_recording(path, header))


def resume_session(device: Device, path: Path) -> tuple[Session, Recorder]:
    """Resume a recorded test; a sitting that broke off is closed first.

    The reader must start at the session's `time`. Raises LiveError.
    """
    recording, recorder = resume_recording(path)
    session = replay(device, recording)
    if session.phase in ("asking", "unplugged"):
        stop = Answer(session.time, "stop")
        recorder.add(stop)
        session.take(stop)
    return session, recorder
