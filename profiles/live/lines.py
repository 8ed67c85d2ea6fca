"""The lines of a recording, and what they say.

    {"format": 1, "recording": "press-test", "program": "0.1.0", "device": "helm-desk", ...}
    {"time": 12.0, "event": "down", "from": 3, "number": 5}
    {"time": 310.0, "answer": "next"}
    {"time": 950.0, "answer": "typed", "words": "Fog horn @ 1,2"}

`write_line` makes a line, `parse_line` reads one and refuses what is not of this form. Times are
ms since the test began. Strings come from anywhere and are made inert where shown.
"""

import json
from collections.abc import Callable, Collection, Iterable, Mapping
from dataclasses import MISSING, asdict, dataclass, fields
from hashlib import sha256
from typing import Any, Literal, get_args

from profiles.host.axes import LAST_INPUT
from profiles.live.events import EVENT_KINDS, Event, FoundBox
from profiles.model import Device
from profiles.text.inert import escape_controls

FORMAT = 1
RECORDING_KINDS = ("press-test", "quiz", "discovery")
LONGEST_LINE = 1_000_000
"""Bytes beyond which a line is no line of ours, so that a hostile file costs little."""

MOST_TYPED = 1000
"""Letters of one line that a person typed."""

MOST_DETENTS = 1000
"""Detents that one turn of a test may have."""

AnswerKind = Literal["next", "skip", "back", "again", "stop", "quiet", "typed", "follow"]
ANSWER_KINDS: tuple[AnswerKind, ...] = get_args(AnswerKind)

SPEAKING = ("typed", "follow")
"""Answers that have words."""

Depth = Literal["short", "full"]
DEPTHS: tuple[Depth, ...] = get_args(Depth)


@dataclass(frozen=True, slots=True)
class Answer:
    """What the person said, at a time in ms; `quiet` says only that time passed.

    `typed` are words about a box without a file; `follow` names the step that is asked once all
    were done, by its key, or none.
    """

    time: float
    kind: AnswerKind
    words: str = ""


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
    patience: int = 0


@dataclass(frozen=True, slots=True)
class Recording:
    """A recording as read; `cut` says that the last line was cut short and ignored."""

    header: Header
    entries: tuple[Entry, ...]
    cut: bool = False


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
    wiring = plain.get("wiring", {})
    told = {
        "id": device.id,
        "report": plain["device"].get("report"),
        "wiring": {key: value for key, value in wiring.items() if key not in UNTESTED},
        "controls": {
            name: {key: value for key, value in control.items() if key not in LOOKS}
            for name, control in plain.get("controls", {}).items()
        },
    }
    text = json.dumps(told, sort_keys=True, ensure_ascii=True)
    return sha256(text.encode("ascii")).hexdigest()


class DamageError(ValueError):
    """Why a line cannot be read."""


class NewerError(DamageError):
    """The recording was written by a newer program."""


def parse_line(line: bytes, *, is_first: bool) -> Header | Entry:
    """Read one line; the first one is the header. Raises DamageError."""
    if len(line) > LONGEST_LINE:
        raise DamageError("is too long")

    def refuse(word: str) -> float:
        raise DamageError(f"holds {word}, which is no number")

    try:
        table = json.loads(line.decode("utf-8-sig" if is_first else "utf-8"), parse_constant=refuse)
    except DamageError:
        raise
    except (ValueError, RecursionError):
        raise DamageError("is no JSON") from None
    if not isinstance(table, dict):
        raise DamageError("is no JSON object")
    if is_first:
        return _parse_header(table)
    if "answer" not in table:
        return _parse_event(table)
    _keep_to(table, ["time", "answer", *(["words"] if table["answer"] in SPEAKING else [])])
    if table["answer"] not in ANSWER_KINDS:
        raise DamageError("holds an unknown answer")
    words: str = _take(table, "words", "text", "")
    if len(words) > MOST_TYPED:
        raise DamageError(f"holds more than {MOST_TYPED} letters typed")
    return Answer(_take(table, "time", "a number of ms"), table["answer"], words)


def _parse_header(table: dict[str, Any]) -> Header:
    version = table.pop("format", None)
    if isinstance(version, int) and version > FORMAT:
        raise NewerError(f"has format {version}, newer than this program's {FORMAT}")
    if version != FORMAT:
        raise DamageError('is no header of a recording (it needs "format": 1)')
    _keep_to(table, [field.name for field in fields(Header)])
    header = Header(**_take_fields(Header, table, {"recording"}))
    if header.recording not in RECORDING_KINDS:
        raise DamageError(f"is a recording of an unknown kind: {escape_controls(header.recording)}")
    if header.depth not in DEPTHS:
        raise DamageError("`depth` must be short or full")
    if header.patience < 0:
        raise DamageError("`patience` must not be negative")
    if not 1 <= header.detents <= MOST_DETENTS:
        raise DamageError(f"`detents` must be from 1 to {MOST_DETENTS}")
    return header


def _parse_event(table: dict[str, Any]) -> Event:
    _keep_to(table, ["time", "event", "from", "number", "value", "box", "down"])
    kind, box = table.get("event"), None
    if kind not in EVENT_KINDS:
        raise DamageError("holds neither a known event nor an answer")
    instance = _take(table, "from", "a whole number")
    if "box" in table:
        plain = table["box"]
        if not isinstance(plain, dict):
            raise DamageError("`box` must be an object")
        _keep_to(plain, [field.name for field in fields(FoundBox) if field.name != "instance"])
        box = FoundBox(**_take_fields(FoundBox, {"name": "", **plain, "instance": instance}))
    return Event(
        _take(table, "time", "a number of ms"),
        instance,
        kind,
        _take(table, "number", AN_INPUT, 0),
        _take(table, "value", "a whole number", 0),
        box,
        tuple(_take(table, "down", SOME_INPUTS, [])),
    )


def _keep_to(table: dict[str, Any], known: Iterable[str]) -> None:
    strange = sorted(set(table) - set(known))
    if strange:
        raise DamageError(f"holds an unknown key: {escape_controls(strange[0])[:40]}")


AN_INPUT = f"a whole number from 0 to {LAST_INPUT}"
SOME_INPUTS = f"a list of whole numbers from 0 to {LAST_INPUT}"

_FORMS: Mapping[str, Callable[[Any], bool]] = {
    "text": lambda value: isinstance(value, str),
    "a whole number": lambda value: type(value) is int and abs(value) <= 2**63,
    "true or false": lambda value: isinstance(value, bool),
    "a number of ms": lambda value: type(value) in (int, float) and 0 <= value < 1e15,
    AN_INPUT: lambda value: type(value) is int and 0 <= value <= LAST_INPUT,
    SOME_INPUTS: lambda value: isinstance(value, list) and all(map(_FORMS[AN_INPUT], value)),
}


def _take(table: dict[str, Any], key: str, form: str, default: Any = None) -> Any:
    value = table.get(key, default)
    if not _FORMS[form](value):
        raise DamageError(f"`{key}` must be {form}")
    return float(value) if form == "a number of ms" else value


def _take_fields(
    kind: type[Header | FoundBox], table: dict[str, Any], needed: Collection[str] = ()
) -> dict[str, Any]:
    """The values of a dataclass's fields; those `needed` or without a default must be there."""
    found = {}
    for field in fields(kind):
        if field.name in table or field.name in needed or field.default is MISSING:
            is_whole = field.name == "instance" or type(field.default) is int
            form = "true or false" if field.default is False else "text"
            found[field.name] = _take(table, field.name, "a whole number" if is_whole else form)
    return found


_ALWAYS = ("device", "description", "program", "recording", "started", "depth", "detents")


def write_line(entry: Header | Entry) -> bytes:
    """The line of a recording that says this, with its line end."""
    table: dict[str, Any]
    if isinstance(entry, Header):
        table = {"format": FORMAT, "recording": entry.recording}
        for field in fields(Header):
            value = getattr(entry, field.name)
            if value is not None and (field.name in _ALWAYS or value != field.default):
                table[field.name] = value
    elif isinstance(entry, Answer):
        table = {"time": round(entry.time, 3), "answer": entry.kind}
        table |= {"words": entry.words} if entry.kind in SPEAKING else {}
    else:
        table = {"time": round(entry.time, 3), "event": entry.kind, "from": entry.device}
        table |= {key: value for key in ("number", "value") if (value := getattr(entry, key))}
        if entry.box is not None:
            table["box"] = asdict(entry.box)
            del table["box"]["instance"]
        if entry.down:
            table["down"] = entry.down
    return json.dumps(table, ensure_ascii=True, allow_nan=False).encode("ascii") + b"\n"
