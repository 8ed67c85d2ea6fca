"""A file is read to plain content, or refused in words, whatever stands in it."""

import os
import tomllib
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from profiles.files.documents import (
    decode_text,
    find_foreign_values,
    parse_text,
    read_document,
)
from profiles.files.faults import FileFaultError
from profiles.files.limits import LARGEST
from profiles.files.places import Format
from profiles.files.yaml_reader import read_yaml, resolve_plain
from tests.hostile import NAUGHTY

posix_only = pytest.mark.skipif(os.name != "posix", reason="links and pipes of POSIX")
TOO_DEEP = "tables or lists nest deeper than 64 levels"


def _refuse(text: str, file_format: Format) -> FileFaultError:
    try:
        return next(find_foreign_values(parse_text(text, file_format)))
    except FileFaultError as fault:
        return fault


@pytest.mark.parametrize(
    ("suffix", "text"),
    [
        ("toml", "format = 1\n[device]\nid = 'é'\nhole = 16.2\nlist = [true, 2]\n"),
        ("yaml", "format: 1\ndevice:\n  id: é\n  hole: 16.2\n  list: [true, 2]\n"),
        ("yml", "{format: 1, device: {\"id\": 'é', hole: 1.62e1, list: [True, 0x2]}}"),
        ("json", '{"format": 1, "device": {"id": "é", "hole": 16.2, "list": [true, 2]}}'),
    ],
)
def test_three_formats_give_one_content(suffix: str, text: str, tmp_path: Path) -> None:
    path = tmp_path / f"box.{suffix}"
    path.write_bytes(b"\xef\xbb\xbf" + text.encode())
    assert read_document(path).content == {
        "format": 1,
        "device": {"id": "é", "hole": 16.2, "list": [True, 2]},
    }


@pytest.mark.parametrize(
    ("word", "value"),
    [
        ("null", None),
        ("~", None),
        ("true", True),
        ("False", False),
        ("0", 0),
        ("0o7", 7),
        ("0x3A", 58),
        ("-19", -19),
        ("0.", 0.0),
        ("-0.0", -0.0),
        (".5", 0.5),
        ("+12e03", 12000.0),
        ("-2E+05", -200000.0),
        (".inf", float("inf")),
        ("-.Inf", float("-inf")),
        ("+.INF", float("inf")),
        ("on", "on"),
        ("off", "off"),
        ("yes", "yes"),
        ("No", "No"),
        ("y", "y"),
        ("1_000", "1_000"),
        ("0b1", "0b1"),
        ("12:30:45", "12:30:45"),
        ("2001-12-14", "2001-12-14"),
        ("=", "="),
        (".", "."),
        ("-", "-"),
        ("1e", "1e"),
    ],
)
def test_unquoted_yaml_words_mean_what_the_core_schema_says(word: str, value: Any) -> None:
    """YAML 1.2.2, 10.3.2; the examples of its table 10.2.1.4 and of YAML 1.1's other readings."""
    assert resolve_plain(word) == value
    assert type(resolve_plain(word)) is type(value)


def test_contacts_named_on_and_off_stay_words_in_yaml() -> None:
    assert read_yaml("inputs: {on: 1, off: 2}\nyes: no\n") == {
        "inputs": {"on": 1, "off": 2},
        "yes": "no",
    }


@pytest.mark.parametrize(
    ("file_format", "text", "code", "message", "place"),
    [
        ("toml", "a = x", "broken-syntax", "TOML stops here: a text without quotes", (1, 5)),
        ("toml", 'a = 1\nb = "x', "broken-syntax", None, (2, 6)),
        ("toml", "a = 1\na = 2", "repeated-key", "a key is a duplicate", (2, 5)),
        ("toml", "[a]\n[a]", "repeated-key", "a table is opened twice", (2, 3)),
        ("toml", "a = nan", "foreign-value", "no finite number stands here", None),
        ("toml", "a = 2020-01-01", "foreign-value", "a date or time stands here", None),
        ("toml", "a = 0x8000000000000000", "foreign-value", None, None),
        ("toml", "a = " + "9" * 5000, "foreign-value", None, None),
        ("toml", "a = " + "[" * 100_000, "too-deep", TOO_DEEP, None),
        ("toml", "a" + ".a" * 100 + " = 1", "too-deep", TOO_DEEP, (1, 1)),
        ("toml", "[" + '"a".' * 200_000 + "a]", "too-deep", TOO_DEEP, (1, 2)),
        ("toml", "é = 1", "broken-syntax", "TOML stops here: invalid statement", (1, 1)),
        ("json", "[1]", "broken-syntax", "file is no table of keys", None),
        ("json", '{"a": 1 2}', "broken-syntax", None, (1, 9)),
        ("json", '{"a": 1,}', "broken-syntax", None, None),  # at the comma from Python 3.13 on
        ("json", '{"a": {"b": 1,\n"b": 2}}', "repeated-key", "key `b` is a duplicate", (2, 1)),
        (
            "json",
            '{"a": 1,\n"a": {"b": 1, "b": 2}}',
            "repeated-key",
            "key `a` is a duplicate",
            (2, 1),
        ),
        (
            "json",
            '{"a": 1, "a": 2},\n',
            "broken-syntax",
            "JSON stops here: extra data",
            (1, 17),
        ),
        ("json", '{"a": null}', "foreign-value", "key `a` with no value stands here", None),
        ("json", '{"a": NaN}', "foreign-value", "`NaN` is no number in JSON", None),
        ("json", '{"a": -Infinity}', "foreign-value", None, None),
        ("json", '{"a": 1e999}', "foreign-value", "no finite number stands here", None),
        ("json", '{"a": "\\ud800"}', "foreign-value", None, None),
        ("json", '{"\\ud800": 1}', "foreign-value", None, None),
        ("json", '{"a":' * 100_000, "too-deep", TOO_DEEP, None),
        ("json", '{"a":' * 65 + "1" + "}" * 65, "too-deep", TOO_DEEP, None),
        ("yaml", "", "broken-syntax", "file is empty", None),
        ("yaml", "- 1", "broken-syntax", "file is no table of keys", None),
        ("yaml", "a: &x 1\nb: *x", "yaml-shortcut", "anchor `&x` is not read", (1, 4)),
        ("yaml", "a: *x", "yaml-shortcut", "alias `*x` is not read", (1, 4)),
        ("yaml", "b: {<<: 1}", "yaml-shortcut", "merge key `<<` is not read", (1, 5)),
        ("yaml", "a: !!str x", "yaml-shortcut", None, (1, 4)),
        ("yaml", "!!python/object/apply:os.system [ls]", "yaml-shortcut", None, (1, 1)),
        ("yaml", "a: 1\na: 2", "repeated-key", "key `a` is a duplicate", (2, 1)),
        ("yaml", "1: 2", "foreign-value", "key `1` is not text", (1, 1)),
        ("yaml", "true: 2", "foreign-value", "key `true` is not text", (1, 1)),
        ("yaml", "? [a]\n: 2", "foreign-value", "a key here is not text", (1, 3)),
        ("yaml", "a: .nan", "foreign-value", "no finite number stands here", None),
        ("yaml", "a:", "foreign-value", "key `a` with no value stands here", None),
        ("yaml", "a: 1\n---\nb: 1", "broken-syntax", None, (2, 1)),
        ("yaml", "\ta: 1", "broken-syntax", None, (1, 1)),
        ("yaml", "a: b: c", "broken-syntax", None, (1, 5)),
        ("yaml", "[" * 100_000, "too-deep", TOO_DEEP, None),
        ("yaml", "\n".join(" " * n + "a:" for n in range(70)), "too-deep", TOO_DEEP, None),
    ],
)
def test_what_is_refused_is_named_and_placed(
    file_format: Format, text: str, code: str, message: str | None, place: Any
) -> None:
    fault = _refuse(text, file_format)
    assert fault.code == code
    assert message in (None, fault.message)
    assert place in (None, fault.region and fault.region[:2])
    assert fault.remedy[0].isupper()


def test_the_nine_by_nine_alias_bomb_is_refused_at_its_first_anchor() -> None:
    """The bomb of nine lines of nine aliases: 9 to the 9 leaves if it were unfolded."""
    lines = ['a: &a ["x","x","x","x","x","x","x","x","x"]']
    lines += [f"{b}: &{b} [{','.join([f'*{a}'] * 9)}]" for a, b in zip("abcdefgh", "bcdefghi")]  # noqa: B905
    assert _refuse("\n".join(lines), "yaml").region == (1, 4, 8)


@pytest.mark.parametrize(
    ("data", "message", "place"),
    [
        (b"\xff\xfea\x00", "file is UTF-16, not UTF-8", None),
        ("a".encode("utf-16-be"), "a NUL byte, so this is no text", (1, 1)),
        (b"a = 1\nb\x00", "a NUL byte, so this is no text", (2, 2)),
        ("a = 1\r\nb = 'ó".encode("latin-1"), "byte 0xf3 is no UTF-8", (2, 6)),
        (b"\xef\xbb\xbf\xc3\xa9 = '\xb3'", "byte 0xb3 is no UTF-8", (1, 6)),
    ],
)
def test_other_encodings_are_named_with_their_line(data: bytes, message: str, place: Any) -> None:
    with pytest.raises(FileFaultError) as caught:
        decode_text(data)
    assert (caught.value.code, caught.value.message) == ("not-utf-8", message)
    assert (caught.value.region and caught.value.region[:2]) == place


def _refuse_file(path: Path) -> str:
    with pytest.raises(FileFaultError) as caught:
        read_document(path)
    return f"{caught.value.code}: {caught.value.message}"


def test_a_file_of_fifty_megabytes_is_refused_unread(tmp_path: Path) -> None:
    path = tmp_path / "log.json"
    with path.open("wb") as file:
        file.truncate(50 * 1024 * 1024)
    assert _refuse_file(path) == "too-large: file of 50.0 MB, more than the 2 MB that are read"
    with path.open("wb") as file:
        file.truncate(LARGEST)
    assert _refuse_file(path).startswith("not-utf-8")


def test_a_file_of_too_many_values_is_refused() -> None:
    """Each value that does not fit would be an error of its own, so their number is bounded."""
    form: Format
    for text, form in (
        ("a = [" + "1," * 40_001 + "]", "toml"),
        ("a = [" + "1," * 80_001, "toml"),  # before it is read, so its end does not matter
        ('a = ["""x"""", ' + "1," * 80_001 + '"', "toml"),  # whose text ends with a quote
        ("a = ['''x''''', " + "1," * 80_001 + "'", "toml"),
        ("a: [" + "1," * 40_000 + "1]", "yaml"),
        ('{"a": [' + "1," * 40_000 + "1]}", "json"),
    ):
        fault = _refuse(text, form)
        assert (fault.code, fault.message) == ("too-large", "more than 40,000 values in one file")


@pytest.mark.parametrize(
    "text",
    [
        f'a = "{80_001 * ","}"',
        f'a = "\\"{80_001 * "="}"',
        f"a = '{80_001 * ','}'",
        f'a = """{80_001 * ",="}\\""""',
        f"a = '''{80_001 * ','}'''",
        f"a = 1 # {80_001 * ','}",
    ],
)
def test_signs_within_texts_and_comments_are_no_values(text: str) -> None:
    assert parse_text(text, "toml") == tomllib.loads(text)


@pytest.mark.parametrize(
    "text",
    [
        'a = """' + '\\"""\n' * 10_000 + "," * 80_001,  # each quote might begin a text
        'a = "' + '\\"' * 20_000 + "," * 80_001,
        'a = """' + "," * 80_001 + "\\",
        "a = '''" + "," * 80_001,
        "a = '" + "," * 80_001,
    ],
)
def test_a_text_that_does_not_end_is_told_before_the_signs_in_it(text: str) -> None:
    assert _refuse(text, "toml").code == "broken-syntax"


@pytest.mark.parametrize("form", ["toml", "yaml", "json"])
def test_a_file_of_as_many_values_as_may_be_is_read(form: Format) -> None:
    ones = ",".join(["1"] * 39_999)
    text = {"toml": f"a = [{ones}]", "yaml": f"a: [{ones}]", "json": f'{{"a": [{ones}]}}'}[form]
    content = parse_text(text, form)
    assert list(find_foreign_values(content)) == []


def test_a_folder_and_a_missing_file_are_refused(tmp_path: Path) -> None:
    (tmp_path / "dir.toml").mkdir()
    assert _refuse_file(tmp_path / "dir.toml") == (
        "unreadable-file: `dir.toml` is a folder, not a file"
    )
    assert _refuse_file(tmp_path / "no.toml") == "unreadable-file: there is no file `no.toml`"
    assert _refuse_file(tmp_path / "no.txt") == (
        "unreadable-file: `no.txt` has no suffix that is read here"
    )
    assert _refuse_file(tmp_path / "a\0.toml") == (
        "unreadable-file: the name of the file holds a NUL"
    )


@posix_only
def test_links_in_circles_and_pipes_are_refused(tmp_path: Path) -> None:
    loop, broken, pipe = (tmp_path / name for name in ("loop.toml", "gone.toml", "pipe.toml"))
    loop.symlink_to("loop.toml")
    broken.symlink_to("nothing.toml")
    os.mkfifo(pipe)
    assert _refuse_file(loop) == "unreadable-file: link `loop.toml` leads in a circle"
    assert _refuse_file(broken) == "unreadable-file: link `gone.toml` leads to nothing"
    assert _refuse_file(pipe) == "unreadable-file: `pipe.toml` is a device or pipe, not a file"


@posix_only
@pytest.mark.skipif(os.name != "posix" or os.geteuid() == 0, reason="root may read everything")
def test_a_file_that_may_not_be_read_is_refused(tmp_path: Path) -> None:
    path = tmp_path / "mine.toml"
    path.write_text("format = 1\n")
    path.chmod(0)
    assert _refuse_file(path) == "unreadable-file: `mine.toml` may not be read"


@pytest.mark.parametrize("file_format", ["toml", "yaml", "json"])
@given(text=st.one_of(st.sampled_from([n for n in NAUGHTY if len(n) < 100]), st.text(max_size=30)))
def test_any_text_is_content_or_a_fault(file_format: Format, text: str) -> None:
    try:
        result: Any = parse_text(text, file_format)
    except FileFaultError as fault:
        result = fault.message
    assert isinstance(result, dict) or result.isprintable()


@given(st.binary(max_size=40))
def test_any_bytes_are_text_or_a_fault(data: bytes) -> None:
    try:
        text, code = decode_text(data), "not-utf-8"
    except FileFaultError as fault:
        text, code = "", fault.code
    assert (code, text.count("\0")) == ("not-utf-8", 0)


@pytest.mark.parametrize(
    ("written", "told"),
    [
        ("width = ", "a key without a value -> Write a value behind `=`, or remove the line"),
        (
            "a = { hole = 16,2, front = 18 }",
            "a comma in a number -> Write `a = { hole = 16.2, front = 18 }`",
        ),
        (
            "a = { position = (25.0, 60.0), front = 18 }",
            "a list in round brackets -> Write `a = { position = [25.0, 60.0], front = 18 }`",
        ),
        (
            'a = { label = "UP (2)" hole = 7 }',
            'entries without a comma between them -> Write `a = { label = "UP (2)", hole = 7 }`',
        ),
        (
            'a = { label = "UP", }',
            'a comma before the closing brace -> Write `a = { label = "UP" }`',
        ),
        (
            "a = { label = UP, driver = true }",
            'a text without quotes -> Write `a = { label = "UP", driver = true }`',
        ),
        (
            'a = { label: "UP", hole = 7 }',
            'a colon where `=` belongs -> Write `a = { label = "UP", hole = 7 }`',
        ),
        (
            'a = { label = "UP, hole = 7 }',
            'a text without its closing quote -> Write `a = { label = "UP", hole = 7 }`',
        ),
        (
            'a = { hole = 7, label = "UP }',
            'a text without its closing quote -> Write `a = { hole = 7, label = "UP" }`',
        ),
        (
            "position = [25,5; 60,0]",
            "commas in numbers -> Write `position = [25.5, 60.0]`",
        ),
        (
            f'a = {{ hole = 7, note = {"n" * 30!r}, label = "{"U" * 180} }}',
            "a text without its closing quote -> Close the text with the quote it starts with",
        ),
    ],
)
def test_a_slip_in_a_line_of_a_control_is_told_with_the_line_as_it_was_meant(
    written: str, told: str
) -> None:
    fault = _refuse(f"format = 1\n{written}\n", "toml")

    assert f"{fault.message} -> {fault.remedy}" == f"TOML stops here: {told}"
    assert fault.region is not None
    assert fault.region.line == 2
