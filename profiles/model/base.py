"""The ground every value of the model stands on: strict, frozen, unknown keys refused.

Lengths are millimetres, times milliseconds unless a field says otherwise, currents milliamperes,
voltages volts. A point has its origin at the plate's lower left corner, seen from the front,
x to the right and y up.
"""

from collections.abc import Callable, Iterator, Sequence
from contextlib import suppress
from typing import Annotated, Any, ClassVar, NamedTuple, TypeVar

from pydantic import (
    AfterValidator,
    BaseModel,
    ConfigDict,
    Field,
    StringConstraints,
    ValidationInfo,
    model_validator,
)

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


class UnsoundError(ValueError):
    """Somebody asked for what a key gives whose value cannot be used."""


class Unsound:
    """Stands for a value that cannot be used, where the rest of its table is judged all the same.

    That it is there can be asked; whatever else is asked of it raises UnsoundError.
    """

    def _refuse(self, *_given: object) -> Any:
        raise UnsoundError

    __getattr__ = __getitem__ = __iter__ = __len__ = __bool__ = __contains__ = _refuse
    __eq__ = __lt__ = __le__ = __gt__ = __ge__ = __hash__ = __format__ = __str__ = _refuse
    __add__ = __radd__ = __sub__ = __rsub__ = __truediv__ = __rtruediv__ = _refuse


class Judged:
    """Faults of values by what does not go together in them, kept instead of raised."""

    def __init__(self) -> None:
        self._found: dict[int, tuple[Value, list[ValueError]]] = {}

    def keep(self, value: Value, fault: ValueError) -> None:
        """Keep a fault of a value."""
        self._found.setdefault(id(value), (value, []))[1].append(fault)

    def faults_of(self, value: Value) -> Sequence[ValueError]:
        """The faults of this very value."""
        return self._found[id(value)][1] if id(value) in self._found else ()


V = TypeVar("V", bound=Value)


def judges(check: Callable[[V], Iterator[ValueError]]) -> Any:
    """Make a validator of a method that yields what does not go together in a sound value.

    It raises the first fault; validated with a `Judged` as context, all are kept in there.
    """

    def judge(self: V, info: ValidationInfo) -> V:
        if not isinstance(info.context, Judged):
            for fault in check(self):
                raise fault
            return self
        with suppress(UnsoundError, TypeError):  # TypeError: from what is written in C
            for fault in check(self):
                info.context.keep(self, fault)
        return self

    return model_validator(mode="after")(judge)
