"""Texts stay readable and cannot act, whatever they are written into."""

import ast
import csv
import io
import re
import unicodedata
from html.parser import HTMLParser
from pathlib import PurePosixPath, PureWindowsPath
from xml.etree import ElementTree

import pytest
from ezdxf.lldxf.encoding import decode_dxf_unicode
from hypothesis import example, given
from hypothesis import strategies as st

from profiles.text.inert import (
    c_comment,
    c_string,
    csv_cell,
    dxf_text,
    escape_controls,
    file_name,
    restore_csv_cell,
    visible_block,
    xml_attribute,
    xml_text,
)
from tests.hostile import NAUGHTY, hostile_texts

any_text = st.one_of(hostile_texts(), st.text(), st.text(st.characters(codec=None)))
STEERS = ("Cc", "Cs", "Zl", "Zp")


@pytest.mark.parametrize(
    ("text", "shown"),
    [
        ("HORN", "HORN"),
        ("Łódź ß Ωμέγα Щука 港 🚢", "Łódź ß Ωμέγα Щука 港 🚢"),
        ("می‌خواهم", "می‌خواهم"),
        ("a\tb\nc\x00d\x1b[31m\x7f", "a␉b␊c␀d␛[31m␡"),
        ("\x85\u202eevil\u2066\u2028\ufeff", r"\u{0085}\u{202E}evil\u{2066}\u{2028}\u{FEFF}"),
        ("\ud800", r"\u{D800}"),
        ("no break", "no break"),
    ],
)
def test_visible_marks_what_cannot_be_seen_and_leaves_the_rest(text: str, shown: str) -> None:
    assert escape_controls(text) == shown


@given(any_text)
def test_visible_text_is_one_line_without_controls_and_marks_nothing_twice(text: str) -> None:
    shown = escape_controls(text)
    assert not [c for c in shown if unicodedata.category(c) in STEERS]
    assert not set(shown) & set(
        "\u061c\u200e\u200f\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2069"
    )
    assert len(shown.splitlines()) <= 1
    assert escape_controls(shown) == shown


def test_visible_block_keeps_line_ends_only() -> None:
    assert visible_block("one\r\ntwo\tthree\n\x1bfour\rfive") == "one\ntwo␉three\n␛four␍five"


@given(any_text)
def test_xml_reads_back_as_written_where_xml_can_hold_it(text: str) -> None:
    """XML 1.0, production 2; control characters that it forbids come back as marks."""
    element = ElementTree.fromstring(f'<t a="{xml_attribute(text)}">{xml_text(text)}</t>')
    expected = "".join(_expect_xml(c) for c in text)
    assert (element.text or "") == expected
    assert element.get("a") == expected


def _expect_xml(letter: str) -> str:
    plain = letter in "\t\n\r" or letter.isprintable()
    marked = unicodedata.category(letter) in ("Cc", "Cs") or ord(letter) & 0xFFFE == 0xFFFE
    return escape_controls(letter) if marked and not plain else letter


class _Reader(HTMLParser):
    """Counts what a browser's reader would see beside text."""

    def __init__(self) -> None:
        super().__init__()
        self.tags: list[tuple[str, list[tuple[str, str | None]]]] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append((tag, attrs))


@pytest.mark.parametrize("text", NAUGHTY)
def test_html_gains_no_tag_and_no_attribute(text: str) -> None:
    reader = _Reader()
    reader.feed(f'<p title="{xml_attribute(text)}">{xml_text(text)}</p>')
    reader.close()
    assert [(tag, [name for name, _ in attrs]) for tag, attrs in reader.tags] == [("p", ["title"])]


@given(any_text)
def test_csv_cells_are_restored_exactly(text: str) -> None:
    assert restore_csv_cell(csv_cell(text)) == text


@given(any_text)
def test_csv_cells_never_start_a_formula(text: str) -> None:
    """OWASP, CSV Injection: the first letters = + - @, tab, carriage return and line feed."""
    assert not csv_cell(text).lstrip().startswith(("=", "+", "-", "@", "\t", "\r", "\n"))


@given(st.text(st.characters(exclude_categories=["Cs"])))
def test_csv_cells_survive_a_csv_writer_and_reader(text: str) -> None:
    file = io.StringIO(newline="")
    csv.writer(file).writerow([csv_cell(text), "next"])
    rows = list(csv.reader(io.StringIO(file.getvalue(), newline="")))
    assert [restore_csv_cell(rows[0][0]), rows[0][1]] == [text, "next"]


splitting = st.text(st.sampled_from(";|\t\n\r'\"=+-@, ax"), max_size=12)


@given(st.lists(splitting, min_size=1, max_size=3), st.sampled_from(";|\t"))
@example(["x;=1+1;y"], ";")
@example(['x;"=1+1";y'], ";")
def test_no_reader_that_splits_elsewhere_finds_a_formula(cells: list[str], delimiter: str) -> None:
    """A file with commas, read by a program that splits at another sign (CWE-1236)."""
    file = io.StringIO(newline="")
    csv.writer(file).writerow([csv_cell(cell) for cell in cells])
    rows = csv.reader(io.StringIO(file.getvalue(), newline=""), delimiter=delimiter)
    assert not [cell for row in rows for cell in row if re.match(r"[\"\s]*[=+\-@]", cell)]
    assert [restore_csv_cell(csv_cell(cell)) for cell in cells] == cells


def test_a_text_with_its_own_apostrophe_keeps_it() -> None:
    assert csv_cell("'=1+1") == "''=1+1"
    assert restore_csv_cell("'tis") == "'tis"


@given(any_text)
def test_c_strings_are_ascii_and_read_back_as_the_visible_text(text: str) -> None:
    """Python's bytes literals share C's octal escapes; ``\\?`` is C's alone (ISO C 6.4.4.4)."""
    inside = c_string(text)
    assert inside.isascii()
    assert inside.isprintable()
    assert "??" not in inside
    literal = f'b"{inside}"'.replace("\\?", "?")
    assert ast.literal_eval(literal) == escape_controls(text).encode("utf-8")


@given(any_text)
def test_c_comments_stay_comments(text: str) -> None:
    inside = c_comment(text)
    assert inside.isascii()
    assert inside.isprintable()
    assert not re.search(r"\*/|/\*|\?\?|\\", inside)


@given(any_text)
def test_dxf_text_is_ascii_and_reads_back_as_the_visible_text(text: str) -> None:
    """ezdxf is the independent reader of the ``\\U+XXXX`` form."""
    written = dxf_text(text)
    assert written.isascii()
    assert written.isprintable()
    assert not re.search(r"%%|\^|\\(?!U\+[0-9A-F]{4})", written)
    read = decode_dxf_unicode(written).encode("utf-16", "surrogatepass").decode("utf-16")
    assert read == escape_controls(text)


@given(any_text)
def test_file_names_are_safe_on_three_systems(text: str) -> None:
    """Microsoft, Naming Files, Paths, and Namespaces; POSIX.1 3.170 Filename."""
    stem = file_name(text)
    assert stem
    assert not set(stem) & set('<>:"/\\|?*')
    assert not stem.startswith((".", "-", " "))
    assert not stem.endswith((".", " "))
    assert len(stem.encode("utf-8")) <= 200
    assert PureWindowsPath(stem + ".pdf").name == PurePosixPath(stem + ".pdf").name == stem + ".pdf"
    assert stem.partition(".")[0].upper() not in ("CON", "PRN", "AUX", "NUL", "COM1", "LPT9")
    assert file_name(stem) == stem


@pytest.mark.parametrize(
    ("text", "stem"),
    [
        ("Helm desk", "Helm-desk"),
        ("../../etc/passwd", "etc-passwd"),
        ("C:\\boot.ini", "C-boot.ini"),
        ("con.txt", "_con.txt"),
        ("Łódź – 港", "Łódź-–-港"),
        ("...", "unnamed"),
        ("", "unnamed"),
    ],
)
def test_file_names_stay_readable(text: str, stem: str) -> None:
    assert file_name(text) == stem
