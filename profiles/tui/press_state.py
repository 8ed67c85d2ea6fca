"""What the Press view holds, without the toolkit: a test that goes on, a recording, what is shown.

All of it runs on one thread, since SDL wants it so. `pump` never waits: it is called again and
again while the view is open, and says whether anything is different.

- `Start`, `find_starts`: the ways to begin a test of a device
- `Trial`: one press test, live or replayed; nothing that was recorded is lost when it ends
- `Viewing`: what a pressed control does in the chosen profile
"""

from dataclasses import dataclass
from pathlib import Path

from profiles.live.boxes import Chosen, describe_box
from profiles.live.events import Box, Event, LiveError, Reader, match_boxes
from profiles.live.lines import AnswerKind, Depth
from profiles.live.prompt import describe_heard
from profiles.live.recording import read_recording
from profiles.live.series import date_now, find_series, replay_open
from profiles.live.session import Session, replay
from profiles.live.show import Board, Triggered
from profiles.live.showing import attach
from profiles.live.sitting import LiveTest, resume_session, start_sitting
from profiles.model import Device, Link
from profiles.text.inert import escape_controls
from profiles.text.version import find_version


@dataclass(frozen=True, slots=True)
class Start:
    """A way to begin: a recording to go on with after `done` steps, or a new one.

    `time` is where the recording left off, ms.
    """

    device: Device
    path: Path
    depth: Depth = "short"
    done: int | None = None
    time: float = 0.0


def find_starts(device: Device, folder: Path) -> tuple[Start, ...]:
    """Every way to begin a test; going on with the last recording first. Raises LiveError."""
    last, new = find_series(folder, f"{device.id}-press")
    fresh = (Start(device, new), Start(device, new, "full"))
    left = replay_open(device, last) if last else None
    if last is None or left is None:
        return fresh
    recording = read_recording(last)
    again = Start(device, last, recording.header.depth, len(left.observations), recording.end)
    return (again, *fresh)


def open_reader(start: float = 0.0) -> Reader:
    """A reader of real boxes. Raises LiveError where SDL is absent or broken."""
    from profiles.live.reader import SdlReader

    return SdlReader(start=start)


def find_boxes(reader: Reader, device: Device) -> tuple[Box, ...]:
    """The boxes that may be this device. Raises LiveError where none is plugged in."""
    boxes = reader.devices()
    found = match_boxes(boxes, device.device.usb)
    if not found:
        seen = "; ".join(describe_box(box) for box in boxes) or "no game controller at all"
        usb = device.device.usb
        identity = f" (USB {usb.vendor}:{usb.product})" if usb else ""
        raise LiveError(
            f"No box that is plugged in is {escape_controls(device.id)}{identity}; this "
            "computer shows "
            f"{seen}",
            "Plug it in, then press t again; on Linux you also need leave to read /dev/input",
        )
    return found


def begin_trial(start: Start, reader: Reader, box: Box) -> "Trial":
    """Begin or go on at a box; the reader is closed where that fails. Raises LiveError."""
    others = [one for one in reader.devices() if one != box]
    chosen = Chosen(reader, others)
    try:
        sitting, started = _sit_down(start, chosen, box)
    except LiveError:
        reader.close()
        raise
    sitting.pump()
    trial = Trial(sitting.session, start.path, started, sitting)
    if sitting.session.phase == "stopped":
        trial.leave()
        raise LiveError(
            "The box that is plugged in is not the one this recording was started with",
            "Plug that one in, or start a new recording",
        )
    return trial


def _sit_down(start: Start, reader: Reader, box: Box) -> tuple[LiveTest, str]:
    if start.done is not None:
        session, recorder = resume_session(start.device, start.path)
        return LiveTest(reader, session, recorder), read_recording(start.path).header.started
    started = date_now()
    sitting = start_sitting(
        start.device,
        reader,
        start.path,
        program=find_version(),
        started=started,
        depth=start.depth,
        instance=box.instance,
    )
    return sitting, started


def replay_trial(device: Device, path: Path) -> "Trial":
    """The trial that a recording leads to; no box is needed. Raises LiveError."""
    recording = read_recording(path)
    if recording.header.recording != "press-test":
        raise LiveError(
            f"{escape_controls(str(path))} is a recording of a {recording.header.recording}, "
            "not of a press-test",
            "Choose another recording",
        )
    return Trial(replay(device, recording), path, recording.header.started)


class Trial:
    """One press test. `sitting` is None once box and recording are let go of."""

    def __init__(
        self, session: Session, path: Path, started: str, sitting: LiveTest | None = None
    ) -> None:
        self.session, self.path, self.started = session, path, started
        self.sitting = sitting
        self._is_leaving = False
        self._failure: LiveError | None = None
        self._told: object = None

    @property
    def is_live(self) -> bool:
        """Whether the box is listened to, or lines still wait to be written."""
        return self.sitting is not None

    @property
    def is_asking(self) -> bool:
        """Whether answers are taken."""
        return self.sitting is not None and not self._is_leaving

    @property
    def trouble(self) -> LiveError | None:
        """What keeps lines from being written, or kept the last of them."""
        return self.sitting.trouble if self.sitting else self._failure

    def pump(self) -> bool:
        """Listen, or write what still waits; whether something is to be shown again.

        Raises LiveError where the box cannot be read.
        """
        if self.sitting is not None:
            if self._is_leaving:
                self.leave()
            else:
                self.sitting.pump()
                self._end_where_finished()
        told = (self.session.phase, self.session.position, describe_heard(self.session))
        state = (*told, self.trouble is None, self.is_live)
        is_new, self._told = state != self._told, state
        return is_new

    def answer(self, kind: AnswerKind) -> None:
        """Take what the person said."""
        if self.sitting is not None and not self._is_leaving:
            self.sitting.answer(kind)
            self._end_where_finished()

    def _end_where_finished(self) -> None:
        if self.session.phase == "finished":
            self.leave()

    def leave(self) -> bool:
        """Leave off; False while lines wait to be written: then `pump` tries on."""
        self._is_leaving = True
        if self.sitting is None:
            return True
        if self.sitting.retry():
            self.close()
        return self.sitting is None

    def close(self) -> None:
        """Let go of box and recording, come what may; `trouble` says what was not written."""
        sitting, self.sitting = self.sitting, None
        if sitting is None:
            return
        try:
            sitting.close()
        except LiveError as error:
            self._failure = error


class Viewing:
    """Boxes of a profile that come and go, and what was touched last."""

    def __init__(self, link: Link, reader: Reader) -> None:
        self.reader = reader
        self.link, self.board = link, Board(link)
        self.touched: Triggered | None = None
        self.boxes: set[int] = set()

    def take_link(self, link: Link) -> None:
        """Show another profile with the same boxes."""
        self.link, self.board, self.touched = link, Board(link), None
        self.boxes.clear()
        for box in self.reader.devices():
            self._attach(Event(self.reader.now(), box.instance, "added", box=box))

    def pump(self) -> bool:
        """Read what happened; whether something is to be shown again. Raises LiveError."""
        before = len(self.boxes)
        touched = [one for event in self.reader.poll() for one in self._take(event)]
        if touched:
            self.touched = touched[-1]
        return bool(touched) or len(self.boxes) != before

    def _take(self, event: Event) -> tuple[Triggered, ...]:
        self._attach(event)
        if event.kind == "removed":
            self.boxes.discard(event.device)
        return self.board.take(event)

    def _attach(self, event: Event) -> None:
        if attach(self.board, self.link, event) is not None:
            self.boxes.add(event.device)

    def close(self) -> None:
        """Let go of all boxes."""
        self.reader.close()
