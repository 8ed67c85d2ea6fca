"""YAML read event by event: plain content only, and where each part stands.

Plain scalars follow the core schema of YAML 1.2 (chapter 10.3): only ``true`` and ``false`` are
truth values, so the contacts `on` and `off` stay words; dates stay words too. What would hide
content or run away is refused: aliases, anchors, merge keys, tags, repeated keys, keys that are
not text, more than one document. The events come one after another, so depth needs no stack of
the interpreter, and it is held to `DEEPEST`.
"""

import re
from typing import Any

from profiles.files.faults import FileFaultError
from profiles.files.limits import DEEPEST, DIGITS, MOST_VALUES, refuse_crowd, refuse_depth
from profiles.files.places import Lines, Region, Span, SpanMap, Spans
from profiles.files.syntax_faults import explain_syntax
from profiles.text.inert import escape_controls

INTEGER = re.compile(r"[-+]?[0-9]+|0o[0-7]+|0x[0-9a-fA-F]+")
NUMBER = re.compile(r"[-+]?(?:\.[0-9]+|[0-9]+(?:\.[0-9]*)?)(?:[eE][-+]?[0-9]+)?")
INFINITIES = ("inf", "Inf", "INF")
WORDS: dict[str, Any] = {
    **dict.fromkeys(("", "~", "null", "Null", "NULL")),
    **dict.fromkeys(("true", "True", "TRUE"), True),
    **dict.fromkeys(("false", "False", "FALSE"), False),
    **{f"{sign}.{word}": float(sign + word) for sign in ("", "+", "-") for word in INFINITIES},
    **dict.fromkeys((".nan", ".NaN", ".NAN"), float("nan")),
}

ONE = ", so that each place has one meaning"


def read_yaml(text: str) -> Any:
    """Return the content of a YAML text: tables, lists and scalars of plain types.

    Raises:
        FileFaultError: where the text is no YAML, or uses what is refused here.
    """
    return _Builder(text, None).build()


def scan_yaml(text: str) -> SpanMap:
    """Return the spans of every key path in a YAML text."""
    spans: SpanMap = {}
    _Builder(text, spans).build()
    return spans


def resolve_plain(word: str) -> Any:
    """Return what an unquoted scalar means by the core schema."""
    if word in WORDS:
        return WORDS[word]
    if word[0] not in "+-.0123456789":
        return word
    if not INTEGER.fullmatch(word):
        return float(word) if NUMBER.fullmatch(word) else word
    if word[:2] in ("0o", "0x"):
        return int(word, 0)
    return int(word) if len(word) <= DIGITS else 10**DIGITS


class _Builder:
    """Builds content from events, with a stack of the containers that are open."""

    def __init__(self, text: str, spans: SpanMap | None) -> None:
        self.text = text
        self.spans = spans
        self.root: list[Any] = []
        self.open: list[Any] = [self.root]
        self.path: list[str | int] = []
        self.starts: list[Span] = []
        self.keys: list[Span | None] = []
        self.key: Span | None = None
        self.documents = 0
        self.values = -1  # the whole file is none

    def build(self) -> Any:
        import yaml

        try:
            for event in yaml.parse(self.text, getattr(yaml, "CSafeLoader", yaml.SafeLoader)):
                handle = HANDLERS.get(type(event).__name__)
                if handle is not None:
                    handle(self, event)
        except yaml.YAMLError as error:
            mark = getattr(error, "problem_mark", None) or getattr(error, "context_mark", None)
            at = mark.index if mark is not None else getattr(error, "position", None)
            said = getattr(error, "problem", None) or getattr(error, "reason", None) or "no YAML"
            if "maximum nesting depth" in said:
                raise refuse_depth() from None
            region = None if at is None else Lines(self.text).point(at)
            raise explain_syntax("yaml", said, region) from None
        return self.root[0] if self.root else None

    def _refuse(self, event: Any, code: str, message: str, remedy: str) -> FileFaultError:
        return FileFaultError(code, message, remedy, self._region(event))

    def _region(self, event: Any) -> Region:
        start, end = (min(at, len(self.text)) for at in self._span(event))
        return Lines(self.text).region(Span(start, end))

    def _start_document(self, event: Any) -> None:
        self.documents += 1
        if self.documents > 1:
            message = "a second document starts in this file"
            raise self._refuse(event, "broken-syntax", message, "Move it to a file of its own")

    def _refuse_alias(self, event: Any) -> None:
        message = f"alias `*{escape_controls(event.anchor)}` is not read"
        raise self._refuse(event, "yaml-shortcut", message, f"Write the content out here{ONE}")

    def _check_plain(self, event: Any) -> None:
        if event.anchor is not None:
            message = f"anchor `&{escape_controls(event.anchor)}` is not read"
            remedy = "Remove the anchor and write the content out where it is used"
            raise self._refuse(event, "yaml-shortcut", message, remedy)
        if event.tag is not None:
            message = f"tag `{escape_controls(event.tag)}` is not read"
            remedy = "Remove the tag; put text in quotes"
            raise self._refuse(event, "yaml-shortcut", message, remedy)

    def _scalar(self, event: Any) -> None:
        self._check_plain(event)
        plain = not event.style and event.implicit[0]
        value = resolve_plain(event.value) if plain else event.value
        if not self._expects_key():
            self._put(value)
            self._note(self.key, self._span(event))
            return
        if plain and value == "<<":
            remedy = f"Write the merged keys out here{ONE}"
            raise self._refuse(event, "yaml-shortcut", "merge key `<<` is not read", remedy)
        name = escape_controls(event.value)
        if not isinstance(value, str):
            message, remedy = f"key `{name}` is not text", f'Put it in quotes: "{name}"'
            raise self._refuse(event, "foreign-value", message, remedy)
        if value in self.open[-1]:
            message = f"key `{name}` is a duplicate"
            raise self._refuse(event, "repeated-key", message, "Remove one of the two")
        self.path[-1] = value
        self.key = self._span(event)

    def _expects_key(self) -> bool:
        return bool(self.path) and self.path[-1] == "" and self.key is None

    def _span(self, event: Any) -> Span:
        return Span(event.start_mark.index, event.end_mark.index)

    def _put(self, value: Any) -> None:
        """Put a value into the container that is open; stop where there are too many."""
        self.values += 1
        if self.values > MOST_VALUES:
            raise refuse_crowd()
        holder = self.open[-1]
        if isinstance(holder, dict):
            holder[self.path[-1]] = value
        else:
            holder.append(value)

    def _note(self, key: Span | None, span: Span) -> None:
        """Note where the value at the path stands, and go on to the next."""
        if self.spans is not None and self.path:
            self.spans[tuple(self.path)] = Spans(key, span)
        self.key = None
        if self.path:
            last = self.path[-1]
            self.path[-1] = last + 1 if isinstance(last, int) else ""

    def _start(self, event: Any) -> None:
        self._check_plain(event)
        if self._expects_key():
            raise self._refuse(
                event, "foreign-value", "a key here is not text", "Write the key as one word"
            )
        if len(self.open) > DEEPEST:
            raise refuse_depth(self._region(event))
        is_table = type(event).__name__ == "MappingStartEvent"
        value: Any = {} if is_table else []
        self._put(value)
        self.open.append(value)
        self.starts.append(self._span(event))
        self.keys.append(self.key)
        self.path.append("" if is_table else 0)
        self.key = None

    def _end(self, event: Any) -> None:
        self.open.pop()
        self.path.pop()
        start = self.starts.pop().start
        self._note(self.keys.pop(), Span(start, max(start, event.end_mark.index)))


HANDLERS = {
    "DocumentStartEvent": _Builder._start_document,
    "AliasEvent": _Builder._refuse_alias,
    "ScalarEvent": _Builder._scalar,
    "MappingStartEvent": _Builder._start,
    "SequenceStartEvent": _Builder._start,
    "MappingEndEvent": _Builder._end,
    "SequenceEndEvent": _Builder._end,
}
