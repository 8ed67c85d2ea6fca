"""Every key and value is found where it stands, in all three formats.

The oracle is each format's own parser: with the text at the place of a value replaced, the
parsed content differs in that value and in nothing else; so for keys.
"""

import json
import tomllib
from random import Random
from typing import Any

import pytest
import yaml
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from profiles.files.documents import decode_text
from profiles.files.json_places import find_repeated_key
from profiles.files.locator import Locator, scan_spans
from profiles.files.places import Format, Lines, Region, Span
from profiles.files.yaml_reader import read_yaml
from tests.files.documents import (
    contents,
    list_paths,
    render_toml,
    toml_contents,
    with_change,
    with_renamed,
)

MARK = "found § here"
seeds = st.integers(0, 2**32)


def _replace(text: str, span: Span, new: str) -> str:
    return text[: span.start] + new + text[span.end :]


def _check_leaves(text: str, file_format: Format, content: Any, parse: Any) -> None:
    """Hold the spans of a text against its parser, leaf by leaf."""
    spans = scan_spans(text, file_format)
    paths = dict(list_paths(content))
    assert set(spans) == set(paths)
    for path, value in paths.items():
        if isinstance(value, dict | list):
            continue
        changed = parse(_replace(text, spans[path].value, json.dumps(MARK)))
        assert changed == with_change(content, path, MARK)
        key = spans[path].key
        assert (key is None) == isinstance(path[-1], int)
        if key is not None:
            renamed = parse(_replace(text, key, json.dumps("renamed § key")))
            assert renamed == with_renamed(content, path, "renamed § key")


@settings(max_examples=1500, deadline=None)
@given(toml_contents(), seeds)
def test_toml_places_hold_in_every_spelling(content: dict[str, Any], seed: int) -> None:
    text = render_toml(content, Random(seed))
    parsed = tomllib.loads(text)
    spans = scan_spans(text, "toml")
    paths = dict(list_paths(parsed))
    assert set(spans) == set(paths)
    for path, value in paths.items():
        key, place = spans[path]
        assert (key is None) == isinstance(path[-1], int)
        if key is not None:
            assert tomllib.loads(f"{text[key.start : key.end]} = 1") == {path[-1]: 1}
        opened_by_header = place == key or (isinstance(value, dict) and text[place.start] != "{")
        if not opened_by_header:
            assert tomllib.loads(f"k = {text[place.start : place.end]}") == {"k": value}


@settings(max_examples=600, deadline=None)
@given(toml_contents(), seeds)
def test_toml_places_point_at_the_one_value_and_the_one_key(
    content: dict[str, Any], seed: int
) -> None:
    text = render_toml(content, Random(seed))
    _check_leaves(text, "toml", tomllib.loads(text), tomllib.loads)


@settings(max_examples=300, deadline=None)
@given(contents(), st.sampled_from([None, 0, 3, "\t"]), st.booleans())
def test_json_places_hold(content: dict[str, Any], indent: Any, ascii_only: bool) -> None:
    text = json.dumps(content, indent=indent, ensure_ascii=ascii_only)
    _check_leaves(text, "json", content, json.loads)


@settings(max_examples=300, deadline=None)
@given(
    contents(),
    st.sampled_from([None, True, False]),
    st.sampled_from(["'", '"']),
    st.sampled_from([20, 10_000]),
)
def test_yaml_places_hold(content: dict[str, Any], flow: Any, quote: str, width: int) -> None:
    text = yaml.safe_dump(
        content,
        default_flow_style=flow,
        default_style=quote,
        width=width,
        allow_unicode=True,
        sort_keys=False,
    )
    # The writer loses U+0085 within a key: its text then means something else.
    assume(yaml.safe_load(text) == content)
    text = text.replace("!!int ", "").replace("!!bool ", "").replace("!!float ", "")
    _check_leaves(text, "yaml", read_yaml(text), read_yaml)


EXAMPLE = """\
# A box.
format = 1
[device]
id = "helm-desk"; usb = { vendor = "1209", product = "0001" }
""".replace("; ", "\n")


@pytest.mark.parametrize(
    ("path", "region"),
    [
        (("format",), Region(2, 1, 11)),
        (("device",), Region(3, 2, 8)),
        (("device", "id"), Region(4, 1, 17)),
        (("device", "usb", "product"), Region(5, 26, 42)),
        (("device", "usb", "serial"), Region(5, 1, 44)),
        (("device", "nothing", "below"), Region(3, 2, 8)),
        (("plate", "width"), None),
        ((), None),
    ],
)
def test_a_path_that_is_not_there_gives_its_nearest_parent(path: Any, region: Any) -> None:
    assert Locator(EXAMPLE, "toml").locate(path) == region


@pytest.mark.parametrize("end", ["\n", "\r\n", "\r"])
def test_lines_and_columns_count_characters_whatever_ends_a_line(end: str) -> None:
    text = end.join(["{", '  "é🚢": 1,', '  "horn": "x"', "}"])
    locator = Locator(text, "json")
    assert locator.locate(("é🚢",)) == Region(2, 3, 10)
    assert locator.locate(("horn",), "value") == Region(3, 11, 14)
    assert locator.lines.line(3) == '  "horn": "x"'


def test_a_byte_order_mark_is_no_column() -> None:
    text = decode_text(b"\xef\xbb\xbfformat = 1\n")
    assert Locator(text, "toml").locate(("format",), "key") == Region(1, 1, 7)


def test_a_place_over_several_lines_ends_with_its_first_line() -> None:
    text = 'a = """one\ntwo"""\nb = [\n 1,\n]\n'
    locator = Locator(text, "toml")
    assert locator.locate(("a",), "value") == Region(1, 5, 11)
    assert locator.locate(("a",)) == Region(1, 1, 2)
    assert locator.locate(("b", 0)) == Region(4, 2, 3)


def test_a_point_past_the_end_is_the_last_letter() -> None:
    assert Lines("ab\ncd\n\n").point(99) == Region(2, 2, 3)


def test_the_second_place_of_a_repeated_json_key_is_found() -> None:
    text = '{"a": {"x": 1}, "b": {"x": 1, "y": 2, "x": 3}}'
    assert find_repeated_key(text) == (("b", "x"), Span(38, 41))
    with pytest.raises(ValueError, match="no key is a duplicate"):
        find_repeated_key('{"a": [{"x": 1}, {"x": 1}]}')
