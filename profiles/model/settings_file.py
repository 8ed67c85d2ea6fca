"""How an application writes its bindings into a settings file of its own: table `settings_file`.

A binding in the file is described by templates: text that stands there as it is, with names in
braces for what differs. `{action}`, `{device}` and `{number}` are what is bound, `{any}` is passed
over. There are no regular expressions, so that no file and no table can make reading run away.
"""

import re
from collections.abc import Iterator
from functools import cached_property
from typing import Annotated, Literal

from pydantic import AfterValidator, Field, StringConstraints

from profiles.model.base import Identifier, Value, judges

HOLDERS = ("action", "device", "number", "any")
"""Names that a template may have in braces."""

_HOLDER = re.compile(r"\{([^{}]*)\}")

Piece = tuple[bool, str]
"""A part of a template: whether it is a name in braces, and the text or the name."""


def split_template(template: str) -> tuple[Piece, ...]:
    """Return the parts of a template in order.

    Raises:
        ValueError: for a name that is none of `HOLDERS`, or two with no text between them.
    """
    pieces: list[Piece] = []
    for at, words in enumerate(_HOLDER.split(template)):
        if at % 2 and words not in HOLDERS:
            known = ", ".join(f"{{{name}}}" for name in HOLDERS)
            raise ValueError(f"has `{{{words}}}`, but only {known} can stand in it")
        if at % 2 and pieces and pieces[-1][0] and pieces[-1][1] != "number":
            raise ValueError(f"needs text between `{{{pieces[-1][1]}}}` and `{{{words}}}`")
        if at % 2 or words:
            pieces.append((bool(at % 2), words))
    return tuple(pieces)


def _readable_template(text: str) -> str:
    split_template(text)
    return text


Template = Annotated[
    str,
    StringConstraints(min_length=1, max_length=200),
    AfterValidator(_readable_template),
]
"""Text with names in braces."""

Written = Annotated[str, StringConstraints(min_length=1, max_length=200)]
"""A word as it stands in the file."""


class SettingsFile(Value):
    """Where an application keeps its bindings, and how an action, device and number are written."""

    format: Literal["ini", "xml", "json", "lines"]
    at: Template | None = None
    line: Template | None = None
    value: Template | None = None
    fields: dict[Written, Template] = Field(default_factory=dict)
    actions: dict[Identifier, Written] = Field(default_factory=dict)
    devices: dict[Identifier, Written] = Field(default_factory=dict)
    first_number: Literal[0, 1] | None = None

    @judges
    def _check_words(self) -> Iterator[ValueError]:
        for table in (self.actions, self.devices):
            if len(set(table.values())) != len(table):
                yield ValueError("writes two ids as the same word")

    @judges
    def _check_templates(self) -> Iterator[ValueError]:
        is_lines = self.format == "lines"
        if is_lines and (self.line is None or self.at or self.value or self.fields):
            yield ValueError("needs `line`, and neither `at`, `value` nor `fields`, with `lines`")
        elif not is_lines and (self.at is None or self.line is not None):
            yield ValueError(f"needs `at`, and no `line`, with `{self.format}`")

    @judges
    def _check_names(self) -> Iterator[ValueError]:
        found = [name for template in self.templates for name in _names_in(template)]
        for name in ("action", "number"):
            if found.count(name) != 1:
                yield ValueError(f"needs `{{{name}}}` in just one of its templates")
        if found.count("device") > 1:
            yield ValueError("needs `{device}` in one of its templates at most")

    @property
    def templates(self) -> tuple[str, ...]:
        """Every template, where it is first."""
        own = (self.at, self.line, self.value)
        return (*(table for table in own if table is not None), *self.fields.values())

    @cached_property
    def has_device(self) -> bool:
        """Whether the file says which device an input is of."""
        return any("device" in _names_in(template) for template in self.templates)


def _names_in(template: str) -> list[str]:
    return [words for is_holder, words in split_template(template) if is_holder]
