"""Parts: what many controls or fixtures share, described once.

A part is a table `parts.ID` of a device file, or a file of its own for all devices of a library. A
control or fixture that names one has all its keys but those that it gives itself; `fill_in` gives
them to it before it is judged, so that no room above asks where a value came from.

What a part may give is made from controls and fixtures: each key but their own, and `name`.
"""

from collections.abc import Mapping
from copy import copy
from functools import reduce
from operator import or_
from typing import TYPE_CHECKING, Annotated, Any, ClassVar, Literal, get_args

from pydantic import Field, create_model

from profiles.model.base import Identifier, Note, Value, Words
from profiles.model.control import Control
from profiles.model.fixture import Fixture

OWN_KEYS = frozenset(
    key
    for keys in (
        (
            "label",
            "short",
            "position",
            "label_at",
            "part",
            "note",
            "input",
            "inputs",
            "common",
            "axis",
            "concentric_with",
        ),
        ("crossing", "crossings", "pin", "pins", "bit", "bits"),
    )
    for key in keys
)
"""Keys of each control alone, never of what many share: its words, its place and its wires."""


JOINED_KEYS = frozenset(["led", "labels"])
"""Tables of which a control may give some keys, and its part the others."""

HOLDERS = ("controls", "fixtures")
"""Tables of a device whose members may name a part."""


def parts_named(content: Mapping[str, Any]) -> list[tuple[str, str, str]]:
    """Who names a part in the plain content of a device: table, id, and the part's id."""
    return [
        (holder, key, member["part"])
        for holder in HOLDERS
        if isinstance(content.get(holder), dict)
        for key, member in content[holder].items()
        if isinstance(member, dict) and isinstance(member.get("part"), str)
    ]


def fill_in(content: dict[str, Any]) -> dict[str, Any]:
    """The plain content of a device in which what names a part has its keys; it is not changed.

    A knob on the axis of another control has that one's place. A name that leads nowhere is left to
    whoever judges the content.
    """
    parts = content.get("parts")
    filled = dict(content)
    for holder, key, word in parts_named(content):
        part = parts.get(word) if isinstance(parts, dict) else None
        if isinstance(part, dict):
            if filled[holder] is content[holder]:
                filled[holder] = dict(content[holder])
            member = content[holder][key]
            left = {"note"} if holder == "fixtures" else {"name", "note"}
            whole = {name: one for name, one in part.items() if name not in left} | member
            for name in JOINED_KEYS & part.keys() & member.keys():
                if isinstance(part[name], dict) and isinstance(member[name], dict):
                    whole[name] = part[name] | member[name]
            filled[holder][key] = whole
    return _mount(filled)


def _mount(content: dict[str, Any]) -> dict[str, Any]:
    """The same content, in which a knob on the axis of another has that one's place and hole."""
    controls = content.get("controls")
    if not isinstance(controls, dict):
        return content
    mounted = {}
    for key, member in controls.items():
        word = member.get("concentric_with") if isinstance(member, dict) else None
        if isinstance(word, str):
            outer = controls.get(word)
            places = {"position": [0.0, 0.0], "hole": 1.0}  # where it leads to no place
            if isinstance(outer, dict):
                places |= {name: outer[name] for name in places if name in outer}
            mounted[key] = places | member
    return content | {"controls": controls | mounted} if mounted else content


class PartValue(Value):
    """What a part has whatever its kind; each kind of control adds its keys."""

    name: Words | None = None
    note: Note = ""

    stands_for: ClassVar[type[Value]] = Value
    """What such a part is for."""


class PartHeader(PartValue):
    """A part that is a file of its own."""

    id: Identifier


def _list_kinds(base: type[PartValue]) -> tuple[type[PartValue], ...]:
    """The class of part for each kind of control, and for fixtures: only `kind` must be there."""
    kinds = []
    for whole in (*get_args(get_args(Control)[0]), Fixture):
        fields: dict[str, Any] = {}
        for name, field in whole.model_fields.items():
            if name not in OWN_KEYS | PartValue.model_fields.keys():
                given = copy(field)
                if name != "kind" and given.is_required():
                    given.default = None
                fields[name] = (given.annotation, given)
        kind = create_model(
            f"{whole.__name__}{base.__name__}", __base__=base, __module__=__name__, **fields
        )
        kind.__doc__, kind.stands_for = whole.__doc__, whole
        kinds.append(kind)
    return tuple(kinds)


if TYPE_CHECKING:
    AnyPart = PartValue
    AnyPartHeader = PartHeader
else:
    AnyPart = Annotated[reduce(or_, _list_kinds(PartValue)), Field(discriminator="kind")]
    AnyPartHeader = Annotated[reduce(or_, _list_kinds(PartHeader)), Field(discriminator="kind")]


class Part(Value):
    """One part, as its file gives it."""

    format: Literal[1]
    part: AnyPartHeader

    @property
    def id(self) -> str:
        """Id, unique in the library."""
        return self.part.id

    @property
    def name(self) -> str:
        """The name people use."""
        return self.part.name or self.part.id
