"""The ground every value of the model stands on: strict, frozen, unknown keys refused.

Lengths are millimetres, times milliseconds unless a field says otherwise, currents milliamperes,
voltages volts. A point has its origin at the plate's lower left corner, seen from the front,
x to the right and y up.
"""

from collections.abc import Sequence
from typing import Annotated, Any, ClassVar, NamedTuple

from pydantic import AfterValidator, BaseModel, ConfigDict, Field, StringConstraints

from profiles.text.sign_words import SIGN_WIDTHS, find_unknown_sign

Identifier = Annotated[
    str, StringConstraints(pattern=r"^[A-Za-z0-9][A-Za-z0-9_-]*$", max_length=64)
]
"""The id of a device, application, profile, control, action, context, group or board."""


def _refuse_blank(text: str) -> str:
    if not text.strip():
        raise ValueError("must hold at least one letter")
    return text


Words = Annotated[
    str,
    StringConstraints(max_length=400),
    AfterValidator(_refuse_blank),
    Field(json_schema_extra={"pattern": r"\S"}),
]
"""A name, label or legend: any text a person reads, not blank, at most 400 letters."""


class UnknownSignError(ValueError):
    """Words name a sign in braces that there is not; `known` are those there are."""

    def __init__(self, word: str, known: Sequence[str]) -> None:
        super().__init__(f"holds {{{word}}}, but there is no sign `{word}`")
        self.word, self.known = word, tuple(known)


def _refuse_unknown_signs(text: str) -> str:
    if word := find_unknown_sign(text):
        raise UnknownSignError(word, tuple(SIGN_WIDTHS))
    return text


def _add_sign_pattern(schema: dict[str, Any]) -> None:
    """Refuse a single brace and a name that is no sign, as a schema can: ECMA 262, lookahead."""
    known = "|".join(SIGN_WIDTHS)
    unknown = rf"(?:^|[^{{])\{{(?!(?:{known})\}})[a-z][a-z0-9-]*\}}"
    schema["pattern"] = rf"^(?![\s\S]*{unknown})[\s\S]*\S"


Legend = Annotated[
    str,
    StringConstraints(max_length=400),
    AfterValidator(_refuse_blank),
    AfterValidator(_refuse_unknown_signs),
    Field(json_schema_extra=_add_sign_pattern),
]
"""Words on a plate; a name in braces, such as {up}, is a sign (`text.sign_words`)."""

Note = Annotated[str, StringConstraints(max_length=4000)]
"""Free words of the owner; may be empty."""

Length = Annotated[float, Field(gt=0, le=5000, allow_inf_nan=False)]
"""A length above zero, in mm."""

Distance = Annotated[float, Field(ge=0, le=5000, allow_inf_nan=False)]
"""A length of zero or more, in mm."""

Coordinate = Annotated[float, Field(ge=-5000, le=5000, allow_inf_nan=False)]
"""A coordinate in mm."""

Point = Annotated[tuple[Coordinate, Coordinate], Field(strict=False)]
"""x and y in mm, from the plate's lower left corner seen from the front."""

Colour = Annotated[str, StringConstraints(pattern=r"^#([0-9A-Fa-f]{3}|[0-9A-Fa-f]{6})$")]
"""A colour written as in CSS: #rgb or #rrggbb."""

Duration = Annotated[float, Field(gt=0, le=10000, allow_inf_nan=False)]
"""A time above zero, in ms."""

InputNumber = Annotated[int, Field(ge=1, le=65535)]
"""A number the host reports; HID Button usages run from 1 to 65535 (HUT 1.12, table 14)."""

PinName = Annotated[str, StringConstraints(pattern=r"^[A-Za-z0-9][A-Za-z0-9_./-]*$", max_length=32)]
"""A pin of the board, as printed beside it."""


class Value(BaseModel):
    """A frozen value read from a file; strict in types, refuses keys it does not know."""

    model_config: ClassVar[ConfigDict] = ConfigDict(
        frozen=True,
        strict=True,
        extra="forbid",
        hide_input_in_errors=True,
        defer_build=True,
    )

    def plain(self) -> dict[str, Any]:
        """The value as it would stand in a file: plain types, only the keys that were given."""
        return self.model_dump(mode="json", by_alias=True, exclude_unset=True)


KeyPath = tuple[str | int, ...]
"""Keys and places in lists that lead from a value to one inside it."""


class UnknownName(NamedTuple):
    """A name inside one value that leads nowhere in it: what it should name, and what there is.

    `path` leads from the value to the name, which is the key itself or what stands at it.
    """

    kind: str
    path: KeyPath
    word: str
    known: tuple[str, ...]


class UnknownNamesError(ValueError):
    """A value names parts that it does not have; `whole` says what would have them."""

    def __init__(self, names: Sequence[UnknownName], whole: str) -> None:
        super().__init__(f"`{names[0].path[0]}` names no {names[0].kind} of this {whole}")
        self.names = tuple(names)
