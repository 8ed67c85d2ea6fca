"""One option of a sheet: what it is, its default and its range, declared once for every door.

A field of a request is annotated with its `Option` and has its default; `options_of` finds them.
`Option.read` takes what a person typed or a program gave, and refuses the rest in one voice.
"""

import re
from contextlib import suppress
from dataclasses import dataclass, fields, replace
from math import isfinite, nan
from typing import get_type_hints

from profiles.text.inert import escape_controls
from profiles.text.prose import join_words
from profiles.text.suggest import closest

_PAIR = re.compile(r"(\d+(?:\.\d+)?)\s*[x×]\s*(\d+(?:\.\d+)?)")

Value = bool | str | float | None


class RequestError(ValueError):
    """What cannot be printed as it is asked for; `remedy` is a sentence, or empty."""

    def __init__(self, message: str, remedy: str = "") -> None:
        super().__init__(message)
        self.remedy = remedy
        if remedy:
            self.add_note(remedy)

    def __str__(self) -> str:
        return str(self.args[0])


class UnknownNameError(RequestError, KeyError):
    """A name that leads nowhere."""


@dataclass(frozen=True, slots=True)
class Option:
    """What can be chosen: a flag, one of `choices`, or a number of a `unit` and in a range."""

    words: str
    """What it does, as a sentence without its full stop."""
    choices: tuple[str, ...] = ()
    least: float = 0.0
    greatest: float = 0.0
    is_above: bool = False
    """Whether a number must be above `least`, not only as large."""
    unit: str = ""
    is_pair: bool = False
    """Whether it is two numbers with an x between."""
    otherwise: str = ""
    """What the default None means."""
    default: Value = None
    """As the field gives it."""

    @property
    def is_flag(self) -> bool:
        """Whether it is either given or not."""
        return isinstance(self.default, bool)

    @property
    def range(self) -> str:
        """What can be given, in words."""
        if self.is_flag:
            return "true or false"
        if self.choices:
            return join_words(self.choices, last="or")
        if self.is_pair:
            return f"two of {self.least:g} to {self.greatest:g} {self.unit} with an x between"
        if self.is_above:
            return f"above {self.least:g} and up to {self.greatest:g} {self.unit}"
        return f"{self.least:g} to {self.greatest:g} {self.unit}"

    @property
    def usual(self) -> str:
        """The default in words."""
        return self.otherwise if self.default is None else self.show(self.default)

    def show(self, value: Value) -> str:
        """A value in words."""
        if isinstance(value, bool):
            return "yes" if value else "no"
        if value is None:
            return f"default: {self.usual}"
        if isinstance(value, str):
            return f"{value} {self.unit}".rstrip()
        return f"{value:g} {self.unit}"

    def read(self, name: str, given: object) -> Value:
        """The value that was given, as text or as it is; the default for None.

        Raises:
            UnknownNameError: for what is none of the choices.
            RequestError: for what is no such number, or no flag.
        """
        if given is None:
            return self.default
        if self.is_flag and isinstance(given, bool):
            return given
        near = None
        if self.choices and not isinstance(given, bool):
            word = f"{given:g}" if isinstance(given, float) else _bare_word(str(given))
            if word in self.choices:
                return word
            near = closest(word, self.choices) if len(word) > 2 else None  # `b5` is not `a5`
        elif self.is_pair and isinstance(given, str):
            found = _PAIR.fullmatch(given.strip().lower())
            both = [float(one) for one in found.groups()] if found else []
            if both and all(self.least <= one <= self.greatest for one in both):
                return "x".join(f"{one:.12g}" for one in both)
        elif not self.is_flag and not self.is_pair and isinstance(given, str | int | float):
            with suppress(ValueError, OverflowError):
                number = nan if isinstance(given, bool) else read_number(given, self.unit)
                above = number > self.least if self.is_above else number >= self.least
                if above and number <= self.greatest:
                    return number
                given = f"{number:g}" if isfinite(number) else given
        refusal = UnknownNameError if self.choices else RequestError
        raise refusal(
            f"{name} must be {self.range}, not `{escape_controls(str(given))}`",
            f"Did you mean `{near}`?" if near else "",
        )


_UNITS = {"mm": 1.0, "cm": 10.0, "in": 25.4, "inch": 25.4, '"': 25.4}
"""Units that a length may be typed with, in mm."""

_PREFIXES = ("din", "iso", "us", "tape")
_SUFFIXES = ("tape", "paper", "millimetres", "millimeters", "mm")
"""What may be typed before and after a size of paper or tape, and means nothing more."""


def _bare_word(typed: str) -> str:
    """Return a choice as it is listed: `A4`, `DIN A 4`, `12 mm` and `12.0mm` are `a4` and `12`."""
    word = "".join(typed.casefold().split()).replace(",", ".")
    for prefix in _PREFIXES:
        if len(word) > len(prefix):
            word = word.removeprefix(prefix).lstrip("-")
    for suffix in _SUFFIXES:
        if len(word) > len(suffix):
            word = word.removesuffix(suffix).rstrip("-")
    return word.removesuffix(".0")


def read_number(typed: str | float, unit: str) -> float:
    """Return a number that may be typed with its unit, and with a decimal comma.

    A length may be in mm, cm or inches, and is mm.

    Raises:
        ValueError: where it is none.
    """
    if not isinstance(typed, str):
        return float(typed)
    text = typed.strip().casefold().replace(",", ".")
    units = _UNITS if unit == "mm" else {unit.casefold(): 1.0, "g/cm3": 1.0} if unit else {}
    for word, factor in units.items():
        if text.endswith(word):
            return float(text.removesuffix(word)) * factor
    return float(text)


_OPTIONS: dict[type, dict[str, Option]] = {}
"""The options of each class of requests that was asked for."""


def options_of(request: type) -> dict[str, Option]:
    """The options of a request's class, by name, in the order of its fields."""
    if request not in _OPTIONS:
        hints = get_type_hints(request, include_extras=True)
        _OPTIONS[request] = {
            one.name: replace(found, default=one.default)
            for one in fields(request)
            for found in getattr(hints[one.name], "__metadata__", ())
        }
    return _OPTIONS[request]
