"""Plain content written as TOML, YAML or JSON, laid out as a person would.

What is written reads back as equal content in all three formats (`documents.parse_text`). Texts
that another YAML reader could take for something else are put in quotes.
"""

import json
import re
from collections.abc import Iterator
from typing import Any

from profiles.files.places import Format
from profiles.files.toml_edit import TABLES_OF_TABLES, write_key, write_value

WIDEST = 96
"""Letters of a line up to which a list or small table stays on it."""

SCHEMA_LINES: dict[Format, str] = {
    "toml": "#:schema {}",
    "yaml": "# yaml-language-server: $schema={}",
}
"""The comment by which editors find a file's schema (Taplo; YAML language server)."""

SCHEMA_LINE = re.compile(r"^#(?::schema[ \t]+|[ \t]*yaml-language-server:[ \t]*\$schema=)(\S+)")


def write_content(content: dict[str, Any], file_format: Format, schema: str | None = None) -> str:
    """Return content as a text, `format` first; `schema` is named in a comment where one can be."""
    ordered = {key: content[key] for key in sorted(content, key=lambda key: key != "format")}
    text = WRITERS[file_format](ordered)
    if schema is None or file_format not in SCHEMA_LINES:
        return text
    return f"{SCHEMA_LINES[file_format].format(schema)}\n{text}"


def find_schema(text: str) -> str | None:
    """Return the schema that a comment at the top of a text names, or None."""
    for line in text.splitlines():
        match = SCHEMA_LINE.match(line)
        if match is not None:
            return match[1]
        if line.strip() and not line.startswith("#"):
            return None
    return None


def _write_json(content: dict[str, Any]) -> str:
    return json.dumps(content, ensure_ascii=False, indent=2) + "\n"


def _write_toml(content: dict[str, Any]) -> str:
    return "\n".join(_list_toml_lines(content, ())).lstrip("\n") + "\n"


def _list_toml_lines(table: dict[str, Any], path: tuple[str, ...]) -> Iterator[str]:
    sections = {key: value for key, value in table.items() if _wants_header(value, (*path, key))}
    for key, value in table.items():
        if key not in sections:
            yield from _list_entry_lines(key, value)
    for key, value in sections.items():
        inner = (*path, key)
        words = ".".join(write_key(part) for part in inner)
        if isinstance(value, list):
            for member in value:
                yield from ("", f"[[{words}]]", *_list_toml_lines(member, inner))
            continue
        lines = list(_list_toml_lines(value, inner))
        if not lines or lines[0] != "":
            yield from ("", f"[{words}]")
        yield from lines


def _wants_header(value: Any, path: tuple[str, ...]) -> bool:
    if isinstance(value, list):
        members = bool(value) and all(isinstance(member, dict) for member in value)
        return members and path[0] != "bindings" and _is_wide(value)
    if not isinstance(value, dict):
        return False
    if len(path) == 1 or (len(path) == 2 and path[0] in TABLES_OF_TABLES):
        return True
    return path[0] != "bindings" and _is_wide(value)


def _is_wide(value: Any) -> bool:
    return len(write_value(value)) > WIDEST


def _list_entry_lines(key: str, value: Any) -> Iterator[str]:
    line = f"{write_key(key)} = {write_value(value)}"
    if len(line) <= WIDEST or not isinstance(value, list) or not value:
        yield line
        return
    yield f"{write_key(key)} = ["
    for member in value:
        yield f"  {write_value(member)},"
    yield "]"


def _write_yaml(content: dict[str, Any]) -> str:
    import yaml

    text: str = yaml.serialize(
        _make_node(content, ()), Dumper=yaml.SafeDumper, allow_unicode=True, width=WIDEST
    )
    return text


def _make_node(value: Any, path: tuple[str, ...]) -> Any:
    import yaml

    core = "tag:yaml.org,2002:"
    match value:
        case dict():
            pairs = [
                (_make_node(key, path), _make_node(one, (*path, key))) for key, one in value.items()
            ]
            flow = len(path) > 2 or (path[:1] == ("bindings",) and len(path) == 2)
            return yaml.MappingNode(f"{core}map", pairs, flow_style=flow or not value)
        case list():
            members = [_make_node(one, (*path, "")) for one in value]
            flow = not any(isinstance(one, dict) for one in value) or path[:1] == ("bindings",)
            return yaml.SequenceNode(f"{core}seq", members, flow_style=flow)
        case str():
            return yaml.ScalarNode(f"{core}str", value, style=_choose_quote(value))
        case bool():
            return yaml.ScalarNode(f"{core}bool", "true" if value else "false")
        case int():
            return yaml.ScalarNode(f"{core}int", str(value))
        case _:
            return yaml.ScalarNode(f"{core}float", _write_yaml_float(value))


def _choose_quote(text: str) -> str | None:
    """Ask for quotes where plain text would be no text, or a line end of YAML 1.1 be folded."""
    from profiles.files.yaml_reader import resolve_plain

    is_plain = text and text.isprintable() and isinstance(resolve_plain(text), str)
    return None if is_plain else '"'


def _write_yaml_float(value: float) -> str:
    """Return a number that every YAML reader takes for one: `1e16` needs its point."""
    digits, exponent, power = repr(value).partition("e")
    return f"{digits if '.' in digits else digits + '.0'}{exponent}{power}"


WRITERS = {"toml": _write_toml, "yaml": _write_yaml, "json": _write_json}
