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
    if file_format == "json":
        return json.dumps(ordered, ensure_ascii=False, indent=2) + "\n"
    if file_format == "toml":
        text = "\n".join(_list_toml_lines(ordered, ())).lstrip("\n") + "\n"
    else:
        text = write_node(make_node(ordered, ()), WIDEST)
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


def _list_toml_lines(table: dict[str, Any], path: tuple[str, ...]) -> Iterator[str]:
    sections = {}
    for key, value in table.items():
        inner = (*path, key)
        is_wide = inner[0] != "bindings" and len(write_value(value)) > WIDEST
        if isinstance(value, dict):
            by_custom = not path or (len(path) == 1 and path[0] in TABLES_OF_TABLES)
            has_header = by_custom or is_wide
        else:
            has_header = isinstance(value, list) and bool(value) and is_wide
            has_header = has_header and all(isinstance(member, dict) for member in value)
        line = f"{write_key(key)} = {write_value(value)}"
        if has_header:
            sections[key] = value
        elif len(line) <= WIDEST or not isinstance(value, list) or not value:
            yield line
        else:
            members = (f"  {write_value(member)}," for member in value)
            yield from (f"{write_key(key)} = [", *members, "]")
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


def make_node(value: Any, path: tuple[str, ...]) -> Any:
    """Return a value as a node of YAML, laid out as suits its place."""
    import yaml

    from profiles.files.yaml_reader import resolve_plain

    core = "tag:yaml.org,2002:"
    match value:
        case dict():
            pairs = [
                (make_node(key, path), make_node(one, (*path, key))) for key, one in value.items()
            ]
            flow = len(path) > 2 or (path[:1] == ("bindings",) and len(path) == 2)
            return yaml.MappingNode(f"{core}map", pairs, flow_style=flow or not value)
        case list():
            members = [make_node(one, (*path, "")) for one in value]
            flow = not any(isinstance(one, dict) for one in value) or path[:1] == ("bindings",)
            return yaml.SequenceNode(f"{core}seq", members, flow_style=flow)
        case str():
            # Quotes where plain text would be no text, or a line end of YAML 1.1 be folded.
            plain = value and value.isprintable() and isinstance(resolve_plain(value), str)
            return yaml.ScalarNode(f"{core}str", value, style=None if plain else '"')
        case bool():
            return yaml.ScalarNode(f"{core}bool", "true" if value else "false")
        case int():
            return yaml.ScalarNode(f"{core}int", str(value))
        case _:
            digits, exponent, power = repr(value).partition("e")
            point = "" if "." in digits else ".0"  # without it `1e16` is text to many readers
            return yaml.ScalarNode(f"{core}float", f"{digits}{point}{exponent}{power}")


def write_node(node: Any, width: int = 10**9) -> str:
    """Return a node of YAML as text, its lines folded at a width."""
    import yaml

    written: str = yaml.serialize(node, Dumper=yaml.SafeDumper, allow_unicode=True, width=width)
    return written
