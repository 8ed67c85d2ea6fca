"""The lines of a recording, and what they say.

    {"format": 1, "recording": "press-test", "program": "0.1.0", "device": "helm-desk", ...}
    {"time": 12.0, "event": "down", "from": 3, "number": 5}
    {"time": 310.0, "answer": "next"}

`write_line` makes a line, `parse_line` reads one and refuses what is not of this form. Times are
ms since the test began. Strings come from anywhere and are made inert where shown.
"""

import json
from collections.abc import Iterable
from dataclasses import dataclass, fields
from hashlib import sha256
from typing import Any, Literal, get_args

from profiles.live.events import EVENT_KINDS, Box, Event
from profiles.model import Device
from profiles.text.inert import escape_controls

FORMAT = 1
RECORDING_KINDS = ("press-test", "quiz")
LONGEST_LINE = 1_000_000
"""Bytes beyond which a line is no line of ours, so that a hostile file costs little."""

MOST_DETENTS = 1000
"""Detents that one turn of a test may have."""

AnswerKind = Literal["next", "skip", "back", "again", "stop", "quiet"]
ANSWER_KINDS: tuple[AnswerKind, ...] = get_args(AnswerKind)

Depth = Literal["short", "full"]
DEPTHS: tuple[Depth, ...] = get_args(Depth)


@dataclass(frozen=True, slots=True)
class Answer:
    """What the person said, at a time in ms; `quiet` says only that time passed."""

    time: float
    kind: AnswerKind


Entry = Event | Answer


@dataclass(frozen=True, slots=True)
class Header:
    """First line of a recording: what was tested, by which program, along which plan.

    `description` is the hash of what a test depends on in the device file, `started` a date and
    time in words, `detents` how far a rotary is turned, `every` whether contacts without a number
    were asked too, `instance` the box the test began with; `profile` and `seed` belong to a quiz.
    `host` is the platform it was made on (as `sys.platform` says it), by
    which button numbers are inputs; empty: they are inputs already.
    """

    device: str
    description: str
    program: str
    recording: str = "press-test"
    started: str = ""
    depth: Depth = "short"
    detents: int = 10
    every: bool = False
    instance: int | None = None
    profile: str = ""
    seed: int = 0
    host: str = ""


@dataclass(frozen=True, slots=True)
class Recording:
    """A recording as read; `cut` says that the last line was cut short and left out."""

    header: Header
    entries: tuple[Entry, ...]
    cut: bool = False

    @property
    def end(self) -> float:
        """Time of the last entry, ms."""
        return max((entry.time for entry in self.entries), default=0.0)


LOOKS = frozenset(
    [
        "label",
        "labels",
        "label_place",
        "label_at",
        "part",
        "unit_price",
        "note",
        "led",
        "hole",
        "front",
        "rotation",
    ]
)
"""Keys of a control that a test does not depend on."""

UNTESTED = frozenset(["board_at", "gauge", "slack", "usb_current"])
"""Keys of the wiring that a test does not depend on."""


def describe_device(device: Device) -> str:
    """Hash of what a test depends on, to tell whether the device file changed since in that.

    Places count, since they give the order of the steps; words, sizes and prices do not.
    """
    plain = device.plain()
    told = {
        "id": device.id,
        "report": plain["device"].get("report"),
        "wiring": _without(plain.get("wiring", {}), UNTESTED),
        "controls": {
            name: _without(control, LOOKS) for name, control in plain.get("controls", {}).items()
        },
    }
    text = json.dumps(told, sort_keys=True, ensure_ascii=True)
    return sha256(text.encode("ascii")).hexdigest()


def _without(table: dict[str, Any], keys: frozenset[str]) -> dict[str, Any]:
    return {key: value for key, value in table.items() if key not in keys}


class DamageError(ValueError):
    """Why a line cannot be read."""


class NewerError(DamageError):
    """The recording was written by a newer program."""


def parse_line(line: bytes, *, is_first: bool) -> Header | Entry:
    """Read one line; the first one is the header. Raises DamageError."""
    if len(line) > LONGEST_LINE:
        raise DamageError("is too long")
    table = _decode(line)
    if is_first:
        return _parse_header(table)
    if "answer" in table:
        return _parse_answer(table)
    return _parse_event(table)


def _refuse(word: str) -> float:
    raise DamageError(f"holds {word}, which is no number")


def _decode(line: bytes) -> dict[str, Any]:
    try:
        table = json.loads(line.decode("utf-8"), parse_constant=_refuse)
    except DamageError:
        raise
    except (ValueError, RecursionError):
        raise DamageError("is no JSON") from None
    if not isinstance(table, dict):
        raise DamageError("is no JSON object")
    return table


def _parse_header(table: dict[str, Any]) -> Header:
    version = table.pop("format", None)
    if isinstance(version, int) and version > FORMAT:
        raise NewerError(f"has format {version}, newer than this program's {FORMAT}")
    if version != FORMAT:
        raise DamageError('is no header of a recording (it needs "format": 1)')
    _keep_to(table, [field.name for field in fields(Header)])
    header = Header(
        device=_text(table, "device"),
        description=_text(table, "description"),
        program=_text(table, "program"),
        recording=_text(table, "recording"),
        started=_text(table, "started", ""),
        depth=table.get("depth", "short"),
        detents=_whole(table, "detents", 10),
        every=_flag(table, "every"),
        instance=_whole(table, "instance", -1) if "instance" in table else None,
        profile=_text(table, "profile", ""),
        seed=_whole(table, "seed", 0),
        host=_text(table, "host", ""),
    )
    _check_header(header)
    return header


def _check_header(header: Header) -> None:
    if header.recording not in RECORDING_KINDS:
        raise DamageError(f"is a recording of an unknown kind: {escape_controls(header.recording)}")
    if header.depth not in DEPTHS:
        raise DamageError("`depth` must be short or full")
    if not 1 <= header.detents <= MOST_DETENTS:
        raise DamageError(f"`detents` must be from 1 to {MOST_DETENTS}")


def _parse_answer(table: dict[str, Any]) -> Answer:
    _keep_to(table, ["time", "answer"])
    kind = table["answer"]
    if kind not in ANSWER_KINDS:
        raise DamageError("holds an unknown answer")
    return Answer(_time(table), kind)


def _parse_event(table: dict[str, Any]) -> Event:
    _keep_to(table, ["time", "event", "from", "number", "value", "box", "down"])
    kind = table.get("event")
    if kind not in EVENT_KINDS:
        raise DamageError("holds neither a known event nor an answer")
    return Event(
        _time(table),
        _whole(table, "from"),
        kind,
        _whole(table, "number", 0),
        _whole(table, "value", 0),
        _parse_box(table["box"], _whole(table, "from")) if "box" in table else None,
        _wholes(table.get("down", [])),
    )


def _parse_box(table: object, instance: int) -> Box:
    if not isinstance(table, dict):
        raise DamageError("`box` must be an object")
    _keep_to(table, [field.name for field in fields(Box) if field.name != "instance"])
    return Box(
        instance,
        name=_text(table, "name", ""),
        vendor=_text(table, "vendor", "0000"),
        product=_text(table, "product", "0000"),
        serial=_text(table, "serial", ""),
        path=_text(table, "path", ""),
        buttons=_whole(table, "buttons", 0),
        axes=_whole(table, "axes", 0),
        hats=_whole(table, "hats", 0),
    )


def _keep_to(table: dict[str, Any], known: Iterable[str]) -> None:
    strange = sorted(set(table) - set(known))
    if strange:
        raise DamageError(f"holds an unknown key: {escape_controls(strange[0])[:40]}")


def _text(table: dict[str, Any], key: str, default: str | None = None) -> str:
    value = table.get(key, default)
    if not isinstance(value, str):
        raise DamageError(f"`{key}` must be text")
    return value


def _whole(table: dict[str, Any], key: str, default: int | None = None) -> int:
    value = table.get(key, default)
    if isinstance(value, bool) or not isinstance(value, int) or abs(value) > 2**63:
        raise DamageError(f"`{key}` must be a whole number")
    return value


def _flag(table: dict[str, Any], key: str) -> bool:
    value = table.get(key, False)
    if not isinstance(value, bool):
        raise DamageError(f"`{key}` must be true or false")
    return value


def _wholes(value: object) -> tuple[int, ...]:
    if not isinstance(value, list) or not all(type(one) is int for one in value):
        raise DamageError("`down` must be a list of whole numbers")
    return tuple(value)


def _time(table: dict[str, Any]) -> float:
    value = table.get("time")
    if isinstance(value, bool) or not isinstance(value, int | float) or not 0 <= value < 1e15:
        raise DamageError("`time` must be a number of ms")
    return float(value)


def write_line(entry: Header | Entry) -> bytes:
    """The line of a recording that says this, with its line end."""
    table = _plain_header(entry) if isinstance(entry, Header) else _plain(entry)
    return json.dumps(table, ensure_ascii=True, allow_nan=False).encode("ascii") + b"\n"


_ALWAYS = ("device", "description", "program", "recording", "started", "depth", "detents")


def _plain_header(header: Header) -> dict[str, Any]:
    table: dict[str, Any] = {"format": FORMAT, "recording": header.recording}
    for field in fields(Header):
        value = getattr(header, field.name)
        if value is not None and (field.name in _ALWAYS or value != field.default):
            table[field.name] = value
    return table


def _plain(entry: Entry) -> dict[str, Any]:
    time = round(entry.time, 3)
    if isinstance(entry, Answer):
        return {"time": time, "answer": entry.kind}
    table: dict[str, Any] = {"time": time, "event": entry.kind, "from": entry.device}
    if entry.number:
        table["number"] = entry.number
    if entry.value:
        table["value"] = entry.value
    if entry.box is not None:
        table["box"] = _plain_box(entry.box)
    if entry.down:
        table["down"] = list(entry.down)
    return table


def _plain_box(box: Box) -> dict[str, Any]:
    names = [field.name for field in fields(Box) if field.name != "instance"]
    return {name: getattr(box, name) for name in names}
