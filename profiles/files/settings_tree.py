"""The settings file of an application as a tree of named nodes, whatever its format.

| format | a node is | its value |
|---|---|---|
| ini | a section, a key in it; keys before any section are at the top | what stands behind `=` |
| json | a key, or the place in a list, from 0 | text, number or truth |
| xml | an element, and `@name` for an attribute | its text |

The file is a stranger's: size, depth and number of nodes are bounded, and XML with a document type
is refused, so that there are no entities to expand or to fetch (XML 1.0, 4.1 and 4.4).
"""

import json
from dataclasses import dataclass, field
from typing import Any, Literal
from xml.parsers import expat

from profiles.files.documents import BYTE_ORDER_MARK
from profiles.files.faults import FileFaultError

LARGEST = 8 * 1024 * 1024
"""Bytes of a settings file that is read."""

MOST_NODES = 200_000
DEEPEST = 64


@dataclass(slots=True)
class Node:
    """A named place of a settings file; `line` is counted from 1, 0 where it is not known."""

    name: str
    value: str | None = None
    line: int = 0
    parent: "Node | None" = field(default=None, repr=False)
    children: "list[Node]" = field(default_factory=list)

    def add(self, name: str, value: str | None = None, line: int = 0) -> "Node":
        """Put a node below this one."""
        node = Node(name, value, line, self)
        self.children.append(node)
        return node


def decode_settings(data: bytes) -> str:
    """Return the text of a settings file: UTF-8, or UTF-16 with a byte order mark.

    Raises:
        FileFaultError: where it is neither.
    """
    encoding = "utf-16" if data[:2] in (b"\xff\xfe", b"\xfe\xff") else "utf-8"
    try:
        return data.removeprefix(BYTE_ORDER_MARK).decode(encoding)
    except UnicodeDecodeError:
        raise _refuse(f"the file is not {encoding.upper()}", "Save it as UTF-8 first") from None


def read_tree(data: bytes, form: Literal["ini", "xml", "json"]) -> Node:
    """Return the tree of a settings file.

    Raises:
        FileFaultError: where it is not of this format, or larger than any real one.
    """
    match form:
        case "ini":
            root = _read_ini(decode_settings(data))
        case "json":
            root = _read_json(decode_settings(data))
        case "xml":
            root = _read_xml(decode_settings(data))
    return root


def _refuse(message: str, remedy: str) -> FileFaultError:
    return FileFaultError("unreadable-file", message, remedy)


def _refuse_size() -> FileFaultError:
    return _refuse("the file holds more than any real settings file", "Choose another file")


def _read_ini(text: str) -> Node:
    root = Node("")
    section = root
    others = 0
    for number, line in enumerate(text.splitlines(), 1):
        words = line.strip()
        if number > MOST_NODES:
            raise _refuse_size()
        if not words or words[0] in ";#":
            continue
        if words[0] == "[" and words[-1] == "]":
            section = root.add(words[1:-1].strip(), None, number)
            continue
        key, sign, value = words.partition("=")
        if sign and words[0] not in "<{":  # as XML and JSON begin
            section.add(key.strip(), value.strip(), number)
        else:
            others += 1
    if others and not root.children:
        raise _refuse("the file is no INI", "Choose the application's own file")
    return root


def _read_json(text: str) -> Node:
    try:
        content = json.loads(text)
    except RecursionError:
        raise _refuse_size() from None
    except ValueError as error:
        where = f" in line {error.lineno}" if isinstance(error, json.JSONDecodeError) else ""
        raise _refuse(f"the file is no JSON{where}", "Choose the application's own file") from None
    root = Node("")
    waiting: list[tuple[Node, Any, int]] = [(root, content, 0)]
    made = 0
    while waiting:
        node, value, depth = waiting.pop()
        if made > MOST_NODES or depth > DEEPEST:
            raise _refuse_size()
        if isinstance(value, dict | list):
            pairs = value.items() if isinstance(value, dict) else enumerate(value)
            added = [(node.add(str(key)), inner, depth + 1) for key, inner in pairs]
            waiting += reversed(added)
            made += len(added)
        elif value is not None:
            node.value = value if isinstance(value, str) else json.dumps(value)
    return root


def _read_xml(text: str) -> Node:
    """Read XML without a document type; expat itself fetches nothing."""
    root = here = Node("")
    made = depth = 0
    parser = expat.ParserCreate()

    def start(name: str, attributes: dict[str, str]) -> None:
        nonlocal here, made, depth
        made, depth = made + 1 + len(attributes), depth + 1
        if made > MOST_NODES or depth > DEEPEST:
            raise _refuse_size()
        line = parser.CurrentLineNumber
        here = here.add(name, "", line)
        for key, value in attributes.items():
            here.add(f"@{key}", value, line)

    def end(_name: str) -> None:
        nonlocal here, depth
        depth -= 1
        here.value = "".join(parts.pop(id(here), ())).strip()
        here = here.parent or root

    def take(words: str) -> None:
        parts.setdefault(id(here), []).append(words)

    def refuse(*_given: object) -> None:
        raise _refuse(
            "the file has a document type, which may hide what it holds",
            "Choose the application's own file, or remove the line with `<!DOCTYPE`",
        )

    parts: dict[int, list[str]] = {}
    parser.StartElementHandler, parser.EndElementHandler = start, end
    parser.CharacterDataHandler, parser.StartDoctypeDeclHandler = take, refuse
    parser.buffer_text = True
    try:
        # The declaration may name an encoding that the text, once decoded, no longer has.
        parser.Parse(_without_declaration(text), True)
    except expat.ExpatError as error:
        words = f"the file is no XML in line {error.lineno}"
        raise _refuse(words, "Choose the application's own file") from None
    except UnicodeEncodeError:
        raise _refuse("the file is no XML", "Choose the application's own file") from None
    return root


def _without_declaration(text: str) -> str:
    """The text with its XML declaration blanked, so that lines keep their numbers."""
    if not text.startswith("<?xml"):
        return text
    end = text.find("?>")
    return text if end < 0 else "\n" * text.count("\n", 0, end) + text[end + 2 :]
