"""A box that has no file yet: named at the real box, recorded, and written as a device file.

- `NEW_BOX`, `read_new_box`: what is asked about a box before it is worked
- `find_discovery`, `list_new_boxes`: the recording to go on with, the boxes that may be meant
- `begin_discovery`, `LiveDiscovery`: the run at the box, new or resumed
- `replay_discovery`: the controls that a recording leads to
- `write_device`: the text of the device file; `create_device`: begins it in a working copy
- `report_discovery`: what was found
"""

from collections.abc import Iterable, Mapping, Sequence
from contextlib import suppress
from pathlib import Path
from typing import Any, NamedTuple

from profiles.files.starters import StarterError, check_id
from profiles.files.toml_edit import EditError
from profiles.files.validate import validate_content
from profiles.live.behaviour import describe_fields
from profiles.live.discovery import COMMANDS, WORK_ONE, Discovery, arrange, draw_grid
from profiles.live.events import FoundBox, LiveError, Reader, grade_box
from profiles.live.lines import MOST_TYPED, Answer, Entry, Header
from profiles.live.recording import Recorder, read_recording, start_recording
from profiles.model import Device, Library
from profiles.plan.layout import LayoutError, read_pitch
from profiles.report.document import Column, Facts, Report, Table
from profiles.text.inert import escape_controls
from profiles.text.prose import count
from profiles.text.version import find_version
from profiles.work.beginning import AnswerError, Question
from profiles.work.contents import choose_path
from profiles.work.copy import WorkingCopy
from profiles.work.press import OTHER_BOX, LiveRun, Prompt, date_now, find_series, take_up
from profiles.work.press_boxes import NO_ACCESS, ChosenReader, describe_box
from profiles.work.starting import write_entries

HEAD = """\
# A box as `platebook press learn` found it. Kinds and numbers were heard. Places are those of a
# grid, sizes usual ones: good enough to draw and bind; measure them before you print to scale.
# Lengths are mm, a position is [x, y] of the centre, from the plate's lower left corner.

format = 1
"""

PITCH = 45.0
"""Centre to centre on the grid where the plate's size is not known, mm."""

SIZES: Mapping[str, tuple[float, float]] = {
    "momentary": (16.2, 18.0),
    "latching": (12.2, 15.0),
    "rotary": (7.2, 20.0),
    "selector": (10.2, 20.0),
    "hat": (16.2, 22.0),
    "axis": (7.2, 20.0),
}
"""Hole and front by kind, mm: those of usual panel parts. Rule of thumb."""

CROWDED = 0.7
"""A front takes at most this share of the distance to the next."""


NEW_BOX = (
    Question("id", "Letters, digits, - and _: what its file is called."),
    Question("name", "The name people use; empty: what the box calls itself."),
    Question("plate", "Width and height of its plate in mm, such as 220x120; empty: a grid's."),
)
"""What is asked before a new box is worked."""


class NewBox(NamedTuple):
    """A box to describe: the id of its file, its name or None, its width and height in mm."""

    id: str
    name: str | None
    plate: tuple[float, float] | None


def read_new_box(library: Library, answers: Mapping[str, str]) -> NewBox:
    """The answers to `NEW_BOX`. Raises AnswerError."""
    device, plate = answers["id"].strip(), answers["plate"].strip()
    try:
        check_id("id", device)
        size = read_pitch(plate) if plate else None
    except StarterError as error:
        raise AnswerError("id", str(error)) from None
    except LayoutError as error:
        raise AnswerError("plate", f"{error}. {error.remedy}") from None
    if device in library.documents:
        raise AnswerError("id", f"id `{device}` is taken in this library; choose another")
    return NewBox(device, escape_controls(answers["name"].strip()) or None, size)


class LiveDiscovery(LiveRun):
    """A box worked control by control; what is read and typed is recorded first."""

    def __init__(self, discovery: Discovery, path: Path) -> None:
        super().__init__()
        self.discovery, self.path = discovery, path
        done = count(len(discovery.controls), "control")
        known = f"{done} named already; " if discovery.controls else ""
        where = f"{known}recorded in {escape_controls(str(path))}"
        self.greeting: tuple[str, ...] = (where, WORK_ONE, f"{COMMANDS[0].upper()}{COMMANDS[1:]}.")

    def listen(self, reader: Reader, recorder: Recorder) -> None:
        """Take up box and recording."""
        self.reader, self.recorder = reader, recorder
        self.pump()

    @property
    def prompt(self) -> Prompt | None:
        """What is asked now, and while a place is asked for the grid."""
        found = self.discovery
        if not self.is_live or found.is_over:
            return None
        where = draw_grid(found.controls) if found.phase == "placing" else ()
        return Prompt(found.asked, f"[{found.progress}]" if found.progress else "", where=where)

    def pump(self) -> tuple[str, ...]:
        """Read what happened; what there is to say of it. Raises LiveError."""
        if self.reader is None:
            return ()
        said = self._take(*self.reader.poll())
        return (*said, *self.discovery.tick(self.reader.now()))

    def say(self, words: str) -> tuple[str, ...]:
        """Take what the person typed, after what the box did before."""
        if self.reader is None:
            return ()
        if len(words) > MOST_TYPED:
            return (f"That is too long: type {MOST_TYPED} letters at most.",)
        said = self.pump()
        said += self._take(Answer(self.reader.now(), "typed", words))
        if self.discovery.is_over:
            self.close()
        return said

    def stop(self) -> None:
        """Stop, to be resumed later."""
        if self.reader is not None:
            self._take(Answer(self.reader.now(), "stop"))
            self.close()

    def _take(self, *entries: Entry) -> tuple[str, ...]:
        was_troubled = self.trouble is not None
        self.record(*entries)
        said = self.discovery.take(*entries)
        if self.trouble is not None and not was_troubled:
            said += (self.trouble.sentences,)
        return said


def begin_discovery(
    device: str, path: Path, reader: Reader, box: FoundBox, resumed: Discovery | None
) -> LiveDiscovery:
    """Begin at this box of those plugged in, or resume.

    Raises LiveError, the reader closed.
    """
    try:
        if resumed is None:
            header = Header(
                device=device,
                description="",
                program=find_version(),
                recording="discovery",
                started=date_now(),
                instance=box.instance,
            )
            discovery, recorder = Discovery(box.instance), start_recording(path, header)
        else:
            discovery, recorder = resumed, take_up(path, resumed)
    except LiveError:
        reader.close()
        raise
    run = LiveDiscovery(discovery, path)
    run.listen(ChosenReader(reader, box), recorder)
    if discovery.phase == "stopped":
        run.close()
        raise LiveError(*OTHER_BOX)
    return run


def replay_discovery(device: str, path: Path) -> Discovery:
    """What a recording leads to. Raises LiveError if it is none, or of another box."""
    recording = read_recording(path, "discovery")
    if recording.header.device != device:
        raise LiveError(
            f"{escape_controls(str(path))} is of `{escape_controls(recording.header.device)}`, "
            f"not of `{escape_controls(device)}`",
            "Name that one, or another recording",
        )
    discovery = Discovery(recording.header.instance)
    discovery.take(*recording.entries)
    return discovery


def find_discovery(device: str, folder: Path = Path()) -> tuple[Path, Discovery | None]:
    """Where to record, and what to resume: the last recording of this box, unless it is finished
    or damaged. Raises LiveError if the folder holds too many."""
    last, new = find_series(f"{device}-learn", folder)
    if last is not None:
        with suppress(LiveError):
            resumed = replay_discovery(device, last)
            if resumed.phase != "finished":
                return last, resumed
    return new, None


def list_new_boxes(boxes: Sequence[FoundBox], devices: Iterable[Device]) -> tuple[FoundBox, ...]:
    """The boxes that may be meant: the only one, or the only one that no device of the library is,
    or all. Raises LiveError if none is plugged in."""
    if not boxes:
        raise LiveError("No box is plugged in", f"Plug it in. {NO_ACCESS}")
    usb = [one.device.usb for one in devices if one.device.usb]
    strange = tuple(box for box in boxes if not any(grade_box(box, one) for one in usb))
    return strange if len(strange) == 1 else tuple(boxes)


def choose_new_box(
    boxes: Sequence[FoundBox], devices: Sequence[Device], which: int | None
) -> FoundBox:
    """The box that is meant.

    Raises LiveError if none is plugged in, or several may be meant and `which` chooses none.
    """
    found = list_new_boxes(boxes, devices)
    if which is None and len(found) == 1:
        return found[0]
    told = "; ".join(f"{at}: {describe_box(box)}" for at, box in enumerate(boxes, 1))
    choice = f"Choose with --which 1 to {len(boxes)}"
    if which is None:
        raise LiveError(f"{count(len(boxes), 'box')} are plugged in: {told}", choice)
    if which > len(boxes):
        raise LiveError(f"--which {which} is none of them: {told}", choice)
    return boxes[which - 1]


def write_device(
    discovery: Discovery, device: str, name: str | None, plate: tuple[float, float] | None
) -> str:
    """The text of the device file; `plate` is width and height, mm.

    Raises:
        ExceptionGroup: of FileFaultErrors if the model refuses it, such as an id of other letters.
    """
    box, controls = discovery.box, arrange(discovery.controls)
    rows, columns = (max(one.place[at] for one in discovery.controls.values()) for at in (0, 1))
    width, height = plate or (columns * PITCH, rows * PITCH)
    across, down = width / columns, height / rows
    for key, control in controls.items():
        row, column = discovery.controls[key].place
        hole, front = SIZES[control["kind"]]
        front = round(min(front, CROWDED * min(across, down)), 1)
        where = [round((column - 0.5) * across, 1), round(height - (row - 0.5) * down, 1)]
        control |= {"position": where, "hole": min(hole, front), "front": front}
    header: dict[str, Any] = {"id": device, "name": name or device}
    if box is not None:
        shown = escape_controls(box.name).strip()[:400]
        header["name"] = name or shown or device
        if box.vendor != "0000" or box.product != "0000":
            told = {"serial": escape_controls(box.serial).strip()[:400], "name": shown}
            usb = {"vendor": box.vendor, "product": box.product}
            header["usb"] = usb | {key: words for key, words in told.items() if words}
        report = {"buttons": box.buttons, "axes": min(box.axes, 8), "hats": min(box.hats, 4)}
        header["report"] = {key: number for key, number in report.items() if number}
    content: dict[str, Any] = {
        "format": 1,
        "device": header,
        "plate": {"width": width, "height": height},
        "controls": controls,
    }
    validate_content(content)
    lines = [HEAD]
    for key in ("device", "plate", "controls"):
        lines += [f"[{key}]", *write_entries(content[key]), ""]
    return "\n".join(lines).rstrip("\n") + "\n"


def create_device(copy: WorkingCopy, discovery: Discovery, box: NewBox) -> None:
    """Begin the device in a working copy; saving writes its file. Raises EditError."""
    try:
        text = write_device(discovery, box.id, box.name, box.plate)
    except ExceptionGroup as group:
        raise EditError("; ".join(str(one) for one in group.exceptions)) from None
    path, data = choose_path(copy.loaded, "device", f"{box.id}.toml"), text.encode()
    copy.edit(f"Start {path.name}", lambda files: files.begin(box.id, path, data))


def report_discovery(discovery: Discovery, device: str, path: Path) -> Report:
    """What was found, and what of the box was never heard."""
    rows = tuple(
        (
            key,
            found.label,
            found.behaviour.kind,
            describe_fields(found.behaviour.fields),
            f"{found.place[0]},{found.place[1]}",
        )
        for key, found in discovery.controls.items()
    )
    columns = (
        Column("Control", key="control"),
        Column("Name", key="name", wraps=True),
        Column("Kind", key="kind"),
        Column("Heard as", key="heard_as", wraps=True),
        Column("Row,column", key="place"),
    )
    box, unheard = discovery.box, describe_fields(discovery.unheard)
    facts = Facts({"device": device, "file": str(path), "never_heard": unheard})
    named = f"{count(len(rows), 'control')} of {escape_controls(box.name)}" if box else device
    rest = f"Never heard: {unheard}" if unheard else ""
    return Report(named, (facts, Table(columns, rows, key="controls")), rest)
