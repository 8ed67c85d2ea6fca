"""A box without a file, described by working its controls one after another and naming each.

A `Discovery` takes events and what was typed, like a press test, with no input, output or clock of
its own, so a recording replays to the same controls. Words that are typed once something was heard
name it: `NAME`, `NAME = KIND`, `NAME @ ROW,COLUMN`. While nothing is heard they are `done`, `back`
or `stop`; an empty line forgets what was heard. The place is asked for where it was not typed.
"""

import re
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Literal

from pydantic import TypeAdapter, ValidationError

from profiles.files.lists import make_id
from profiles.live.behaviour import (
    KINDS,
    SORTS,
    Behaviour,
    Trace,
    UnclearError,
    describe_fields,
    read_behaviour,
)
from profiles.live.events import Event, FoundBox, follow_box
from profiles.live.lines import Entry
from profiles.model.base import Legend, UnknownSignError
from profiles.text.inert import escape_controls
from profiles.text.suggest import closest

QUIET = 700.0
"""What was worked is told once the box has been quiet for so long, ms."""

MOST_PLACES = 64
"""Rows and columns of the grid at most."""

MOST_FOUND = 512
"""Controls of one box."""

WORK_ONE = (
    "Work one control through all it does, then type its name. A button: press it. A toggle: put "
    "it up, wait for 2 s, and back, then down. A knob: turn it clockwise, then back, at least 3 "
    "detents, then push it. A selector: from its first position through all, waiting at each."
)
"""What a hand has to do so that a kind shows."""

COMMANDS = "type done when all are named, back to take back the last, stop to resume later"
"""What may be typed while nothing new was heard."""

_AT = r"(\d{1,4})\s*[,/ x]\s*(\d{1,4})"
_PLACE = re.compile(_AT)
_NAMED = re.compile(
    rf"(?P<label>.*?)(?:\s*=\s*(?P<kind>[^=@]*?))?(?:\s*@\s*(?P<place>{_AT}))?\s*", re.DOTALL
)
_LABEL: TypeAdapter[str] = TypeAdapter(Legend)

Place = tuple[int, int]
"""Row from the top and column from the left, both from 1."""

Phase = Literal["working", "placing", "unplugged", "stopped", "finished"]


@dataclass(frozen=True, slots=True)
class FoundControl:
    """A control that was worked and named."""

    label: str
    behaviour: Behaviour
    place: Place


class Discovery:
    """The controls of one box, as they are worked and named.

    `instance` is the box; None: the first that is plugged in.
    """

    def __init__(self, instance: int | None = None) -> None:
        self.instance = instance
        self.box: FoundBox | None = None
        self.controls: dict[str, FoundControl] = {}
        self.phase: Phase = "working"
        self.time = 0.0
        self._down: set[int] = set()
        self._trace = Trace()
        self._began = 0.0
        self._named: tuple[str, Behaviour] | None = None
        self._told = ""

    @property
    def is_over(self) -> bool:
        """Whether nothing is asked any more."""
        return self.phase in ("stopped", "finished")

    @property
    def taken(self) -> Mapping[tuple[str, int], str]:
        """The control that has each button, hat and axis."""
        return {one: key for key, found in self.controls.items() for one in found.behaviour.fields}

    @property
    def unheard(self) -> frozenset[tuple[str, int]]:
        """Buttons, hats and axes of the box that no control has."""
        every = {(sort, at) for sort, many in self._counts.items() for at in range(1, many + 1)}
        return frozenset(every - self.taken.keys())

    @property
    def _counts(self) -> Mapping[str, int]:
        box = self.box
        return {"button": box.buttons, "hat": box.hats, "axis": box.axes} if box else {}

    @property
    def asked(self) -> str:
        """What is asked now."""
        if self.phase == "unplugged":
            return "The box is unplugged. Plug it in again, or type stop."
        if self.phase == "placing":
            row, column = self._suggest()
            return f"Where is it? Type row,column from the top left; Enter: {row},{column}"
        return f"Work {'another' if self.controls else 'a'} control, then type its name."

    @property
    def progress(self) -> str:
        """How much of the box has a name."""
        sorts = [sort for sort, _ in self.taken]
        return ", ".join(
            f"{SORTS[sort]} {sorts.count(sort)} of {many}"
            for sort, many in self._counts.items()
            if many
        )

    def take(self, *entries: Entry) -> tuple[str, ...]:
        """Events and what was typed, in their order; what there is to say of it."""
        said: list[str] = []
        for entry in entries:
            said += self.tick(entry.time)
            if isinstance(entry, Event):
                said += self._hear(entry)
            elif entry.kind == "typed":
                said += self._read(entry.words)
            elif entry.kind == "stop":
                self._stop()
        return tuple(said)

    def tick(self, time: float) -> tuple[str, ...]:
        """The time is now so many ms; what was worked, once the box is quiet."""
        self.time = max(self.time, time)
        if self.phase != "working" or self._trace.is_empty:
            return ()
        if self.time - self._trace.last < QUIET:
            return ()
        try:
            told = f"Heard: {self._judge().words}. Type its name, or Enter to work it again."
        except UnclearError as unclear:
            told = f"Unclear: {unclear}. Enter forgets it."
        if told == self._told:
            return ()
        self._told = told
        return (told,)

    def _judge(self, kind: str = "") -> Behaviour:
        return read_behaviour(self._trace, self.time, kind)

    def _hear(self, event: Event) -> list[str]:
        if event.kind == "added" and self.phase != "finished":
            known = self.box
            is_mine = self.instance == event.device or (
                self.instance is None
                and (known is None or event.box is None or follow_box(known, event.box))
            )
            if is_mine:
                self.instance, self.box = event.device, event.box or known
                self._down = set(event.down)
                self.phase, self._named = "working", None
                self._listen()
            return []
        if event.device != self.instance:
            return []
        if event.kind == "removed":
            self.instance, self.phase, self._named = None, "unplugged", None
            self._down.clear()
            self._listen()
            return [self.asked]
        if event.kind in ("down", "up"):
            (self._down.add if event.kind == "down" else self._down.discard)(event.number)
        sort = event.kind if event.kind in ("hat", "axis") else "button"
        name = self.taken.get((sort, event.number))
        if self.phase == "working" and name is None:
            self._trace.take(event, self._began)
        elif self.phase == "working" and event.kind in ("down", "hat"):
            again = f"That is `{name}`, which has a name already."
            if again != self._told:
                self._told = again
                return [again]
        return []

    def _listen(self) -> None:
        """Begin with the next control."""
        self._trace, self._began = Trace(frozenset(self._down)), self.time
        self._told = ""

    def _read(self, words: str) -> list[str]:
        """What was typed: a place, a command, or a name for what was heard."""
        words = words.strip()
        if self.is_over:
            return []
        if self.phase == "placing":
            return self._place(words)
        if self.phase == "unplugged" or self._trace.is_empty:
            return self._obey(words.casefold())
        if not words:
            self._listen()
            return ["Forgotten: work it again."]
        return self._name(words)

    def _stop(self) -> None:
        """Stop, to be resumed; the box may have another instance then."""
        if self.phase != "finished":
            self.phase, self.instance = "stopped", None

    def _obey(self, word: str) -> list[str]:
        if word == "stop":
            self._stop()
        elif word == "back" and self.controls:
            name, _ = self.controls.popitem()
            self._listen()
            return [f"`{name}` is taken back: work it again."]
        elif word == "done" and self.controls:
            if problem := self._find_gap():
                return [problem]
            self.phase = "finished"
        elif word:
            return [f"Nothing new was heard yet. Work a control first, or {COMMANDS}."]
        return []

    def _find_gap(self) -> str:
        """That hats were named without those before them, which hosts count by their order."""
        hats = {number for sort, number in self.taken if sort == "hat"}
        missing = set(range(1, max(hats, default=0))) - hats
        if not missing:
            return ""
        told = describe_fields(("hat", number) for number in missing)
        return f"Work {told} too: hats are counted in the order of the file."

    def _name(self, words: str) -> list[str]:
        match = _NAMED.fullmatch(words)
        assert match is not None  # it takes any text
        label = escape_controls(match["label"].strip())
        kind = (match["kind"] or "").strip()
        if kind and kind not in KINDS:
            near = closest(kind, KINDS)
            hint = f"did you mean {near}?" if near else f"there are {', '.join(KINDS)}."
            return [f"There is no kind `{escape_controls(kind)}`: {hint}"]
        try:
            _LABEL.validate_python(label)
        except ValidationError as error:
            why = error.errors()[0].get("ctx", {}).get("error")
            told = f"it {why}" if isinstance(why, UnknownSignError) else "write 1 to 400 letters"
            return [f"That is no name: {told}."]
        if any(label.casefold() == found.label.casefold() for found in self.controls.values()):
            return [f"`{label}` is named already: type another name."]
        if len(self.controls) >= MOST_FOUND:
            return [f"There are {MOST_FOUND} controls already: type Enter, then done."]
        try:
            self._named = label, self._judge(kind)
        except UnclearError as unclear:
            return [f"Unclear: {unclear}. Enter forgets it, or type {label} = KIND."]
        self.phase = "placing"
        return self._place(match["place"]) if match["place"] else []

    def _suggest(self) -> Place:
        """The next free place in the row of the last control."""
        row, column = list(self.controls.values())[-1].place if self.controls else (1, 0)
        taken = {found.place for found in self.controls.values()}
        while (row, column) in taken or not column:
            column += 1
        return row, column

    def _place(self, words: str) -> list[str]:
        assert self._named is not None
        if words.casefold() in ("back", "stop"):
            self._named, self.phase = None, "working"
            self._listen()
            return self._obey("stop") if words.casefold() == "stop" else ["Work it again."]
        match = _PLACE.fullmatch(words)
        if words and match is None:
            return ["That is no place: type row,column such as 2,3; or back, or stop."]
        place = (int(match[1]), int(match[2])) if match else self._suggest()
        if not all(1 <= one <= MOST_PLACES for one in place):
            return [f"Rows and columns go from 1 to {MOST_PLACES}."]
        for key, found in self.controls.items():
            if found.place == place:
                return [f"`{key}` is there already: type another row,column."]
        label, behaviour = self._named
        key = make_id(label, self.controls, "control")
        self.controls[key] = FoundControl(label, behaviour, place)
        self._named, self.phase = None, "working"
        self._listen()
        told = f"{label}: {behaviour.words}, at {place[0]},{place[1]}."
        if not self.unheard:
            told = f"{told} Every button, hat and axis has a name: type done."
        return [told]


def draw_grid(controls: Mapping[str, FoundControl]) -> tuple[str, ...]:
    """The grid as lines of text: the first letters of each id where it is, dots where none is."""
    rows = max((found.place[0] for found in controls.values()), default=1)
    columns = max((found.place[1] for found in controls.values()), default=1)
    names = {found.place: key for key, found in controls.items()}
    lines = ["     " + " ".join(f"{column:<4}" for column in range(1, columns + 2)).rstrip()]
    for row in range(1, rows + 2):
        cells = [names.get((row, column), ".")[:4] for column in range(1, columns + 2)]
        lines.append(f"{row:>4} " + " ".join(f"{cell:<4}" for cell in cells).rstrip())
    return tuple(lines)


def arrange(controls: Mapping[str, FoundControl]) -> dict[str, dict[str, Any]]:
    """The controls as a device file has them but for places and sizes; hats in their own order."""

    def order(item: tuple[str, FoundControl]) -> int:
        hats = [number for sort, number in item[1].behaviour.fields if sort == "hat"]
        return min(hats, default=0)

    return {
        key: {"kind": found.behaviour.kind, "label": found.label, **found.behaviour.keys}
        for key, found in sorted(controls.items(), key=order)
    }
