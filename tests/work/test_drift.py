"""A profile against its application's settings file, in four invented styles of file.

The files are written by general-purpose libraries (configparser, xml.etree, json), not by ours.
"""

import configparser
import io
import json
import xml.etree.ElementTree as ET
from pathlib import Path
from random import Random
from typing import Any

import pytest

from profiles.files.faults import FileFaultError
from profiles.files.settings_reader import match, read_settings
from profiles.files.settings_tree import read_tree
from profiles.files.validate import validate_content
from profiles.model import Library
from profiles.model.settings_file import SettingsFile, split_template
from profiles.work.drift import compare_with_file

Bound = tuple[str, str, int]
"""An action's and a device's word, and the number that the file has."""


def write_ini(bound: list[Bound]) -> bytes:
    parser = configparser.ConfigParser(interpolation=None, strict=False)
    parser.optionxform = str  # type: ignore[assignment,method-assign]
    parser["Video"] = {"Width": "1920", "Button": "box 0 key 1"}
    parser["Controls"] = {action: f"box {device} key {number}" for action, device, number in bound}
    parser["Controls"]["Camera"] = "MOUSE"
    text = io.StringIO()
    parser.write(text)
    return b"; made by the game\n" + text.getvalue().encode()


def write_xml(bound: list[Bound]) -> bytes:
    root = ET.Element("settings", version="3")
    group = ET.SubElement(ET.SubElement(root, "input"), "group", name="all")
    ET.SubElement(ET.SubElement(root, "video"), "action", name="zoom", button="9")
    for action, device, number in bound:
        one = ET.SubElement(group, "action", name=action)
        ET.SubElement(one, "press", source=f"pad-{device}").text = f" {number} "
    return bytes(ET.tostring(root, xml_declaration=True, encoding="utf-8"))


def write_json(bound: list[Bound]) -> bytes:
    binds = [{"do": a, "on": {"pad": d, "key": n}, "hold": None} for a, d, n in bound]
    return json.dumps({"version": 2, "binds": binds, "sound": [1, 2]}, indent=1).encode()


def write_lines(bound: list[Bound]) -> bytes:
    lines = [f'bind  joy_{d} button{n}   "{a}"  // mine' for a, d, n in bound]
    return "\r\n".join(["# controls", *lines, "set volume 7"]).encode("utf-16")


STYLES: dict[str, tuple[dict[str, Any], Any]] = {
    "ini": (
        {"format": "ini", "at": "Controls/{action}", "value": "box {device} key {number}"},
        write_ini,
    ),
    "xml": (
        {
            "format": "xml",
            "at": "settings/input/*/action/press",
            "value": "{number}",
            "fields": {"../@name": "{action}", "@source": "pad-{device}"},
        },
        write_xml,
    ),
    "json": (
        {
            "format": "json",
            "at": "binds/*",
            "fields": {"do": "{action}", "on/pad": "{device}", "on/key": "{number}"},
        },
        write_json,
    ),
    "lines": (
        {"format": "lines", "line": 'bind joy_{device} button{number} "{action}"{any}'},
        write_lines,
    ),
}


def build(table: dict[str, Any], bindings: dict[str, str], controls: int = 12) -> Library:
    """A box of so many buttons, an application that reads such a file, and their profile."""
    return Library.of(
        [
            validate_content(one)
            for one in (
                {
                    "format": 1,
                    "device": {"id": "desk", "name": "Desk"},
                    "plate": {"width": 400.0, "height": 60.0},
                    "controls": {
                        f"c{n}": {
                            "kind": "momentary",
                            "label": f"C{n}",
                            "hole": 16.0,
                            "front": 18.0,
                            "position": [30.0 * n, 30.0],
                            "input": n,
                        }
                        for n in range(1, controls + 1)
                    },
                },
                {
                    "format": 1,
                    "application": {"id": "ferry", "name": "Ferry"},
                    "actions": {f"a{n}": {"name": f"Do {n}"} for n in range(1, controls + 9)},
                    "settings_file": {
                        **table,
                        "first_number": 0,
                        "actions": {"a1": "Sound Horn", "a2": "Ring Bell"},
                        "devices": {"desk": "7"},
                    },
                },
                {
                    "format": 1,
                    "profile": {"id": "p", "application": "ferry", "device": "desk"},
                    "bindings": bindings,
                },
            )
        ]
    )


def as_written(bindings: dict[str, str]) -> list[Bound]:
    words = {"a1": "Sound Horn", "a2": "Ring Bell"}
    return [(words.get(a, a), "7", int(key[1:]) - 1) for key, a in bindings.items()]


@pytest.mark.parametrize("style", STYLES)
def test_what_agrees_is_told_to_agree(style: str, tmp_path: Path) -> None:
    table, write = STYLES[style]
    bindings = {f"c{n}": f"a{n}" for n in range(1, 13)}
    (tmp_path / "own").write_bytes(write(as_written(bindings)))
    compared = compare_with_file(build(table, bindings).link("p"), tmp_path / "own")
    assert [row.state for row in compared.rows] == ["same"] * 12
    assert (compared.others, compared.unwritten) == ((), ())


@pytest.mark.parametrize("style", STYLES)
def test_every_disagreement_is_found_and_none_invented(style: str, tmp_path: Path) -> None:
    """Fifty random disagreements in each of four styles: two hundred."""
    table, write = STYLES[style]
    random = Random(style)
    made = 0
    while made < 50:
        actions = random.sample(range(1, 21), 12)
        bindings = {f"c{n}": f"a{action}" for n, action in enumerate(actions[:9], 1)}
        there = as_written(bindings)
        expected: dict[str, str] = {}
        for at in random.sample(range(9), random.randint(0, 3)):
            action = bindings[f"c{at + 1}"]
            if random.random() < 0.5:
                expected[action] = "only here"
                there[at] = ("", "", -1)
            else:
                expected[action] = "other input"
                word, device, number = there[at]
                there[at] = (word, device, (number + random.randint(1, 40)))
        for action in (f"a{one}" for one in actions[9 : 9 + random.randint(0, 3)]):
            expected[action] = "only there"
            there += as_written({f"c{random.randint(1, 60)}": action})
        kept = [one for one in there if one[2] >= 0]
        random.shuffle(kept)
        (tmp_path / "own").write_bytes(write(kept))
        compared = compare_with_file(build(table, bindings).link("p"), tmp_path / "own")
        assert {r.action: r.state for r in compared.rows if r.state != "same"} == expected
        assert len(compared.rows) == len({*bindings.values(), *expected})
        made += len(expected)


def test_other_devices_and_other_writing_are_named_not_compared(tmp_path: Path) -> None:
    table, write = STYLES["ini"]
    (tmp_path / "own").write_bytes(write([("Sound Horn", "7", 0), ("Ring Bell", "3", 0)]))
    compared = compare_with_file(
        build(table, {"c1": "a1", "c1 + c2": "a3"}).link("p"), tmp_path / "own"
    )
    assert [(row.action, row.state) for row in compared.rows] == [("a1", "same")]
    assert [one.device for one in compared.others] == ["3"]
    assert compared.unread == 1
    assert compared.unwritten == ("c1 + c2",)


BOMB = b"""<?xml version="1.0"?>
<!DOCTYPE s [<!ENTITY a "aaaaaaaaaa"><!ENTITY b "&a;&a;&a;&a;&a;&a;&a;&a;&a;&a;">]>
<s><x>&b;</x></s>"""
FETCH = b"""<!DOCTYPE s [<!ENTITY x SYSTEM "file:///etc/passwd">]><s>&x;</s>"""


@pytest.mark.parametrize("data", [BOMB, FETCH, b"<!DOCTYPE s SYSTEM 'other.dtd'><s/>"])
def test_xml_with_a_document_type_is_refused(data: bytes) -> None:
    """Entities that grow or fetch: OWASP, XML External Entity Prevention."""
    with pytest.raises(FileFaultError, match="the file has a document type"):
        read_tree(data, "xml")


@pytest.mark.parametrize(
    ("data", "form"),
    [
        (b"<a>" * 100 + b"</a>" * 100, "xml"),
        (b"[" * 5000 + b"]" * 5000, "json"),
        (b"[" * 100 + b"]" * 100, "json"),
        (b"{", "json"),
        (b"<a", "xml"),
        (b"\xff\xfea", "ini"),
        (b"<keys><horn n='1'/>\n</keys>", "ini"),
        (b'; said\n\n{"keys": 1}', "ini"),
        (b"<a>\xed\xa0\x80</a>", "xml"),
        (b"<a>&unknown;</a>", "xml"),
    ],
)
def test_what_is_too_deep_or_broken_is_refused(data: bytes, form: Any) -> None:
    with pytest.raises(FileFaultError):
        read_tree(data, form)


def test_a_template_reads_in_one_pass() -> None:
    """The text on which a careless regular expression runs away (OWASP, ReDoS)."""
    pieces = split_template("a{action}a{number}a{any}b")
    assert match(pieces, "a" * 200_000) is None
    assert match(split_template("B{number}"), "B123") == {"number": "123"}
    assert match(split_template("B{number}"), "B12x") is None
    assert match(split_template("B{number}"), "B" + "9" * 99) is None
    assert match(split_template("B{number}"), "B٣") is None
    assert match(split_template("{action}={number}"), "=1") is None


@pytest.mark.parametrize(
    ("table", "message"),
    [
        ({"format": "lines"}, "needs `line`"),
        ({"format": "ini"}, "needs `at`, and no `line`, with `ini`"),
        ({"format": "ini", "at": "{action}", "value": "{key}"}, "has `{key}`"),
        ({"format": "ini", "at": "{action}"}, "needs `{number}` in just one"),
        ({"format": "lines", "line": "{action}{number}"}, "needs text between `{action}`"),
        (
            {"format": "lines", "line": "{action} {number}", "devices": {"a": "x", "b": "x"}},
            "writes two ids as the same word",
        ),
    ],
)
def test_a_table_that_cannot_be_read_by_is_refused(table: dict[str, Any], message: str) -> None:
    with pytest.raises(ValueError, match=message.replace("{", r"\{")):
        SettingsFile.model_validate(table)


def test_numbers_count_as_the_table_says() -> None:
    table = SettingsFile.model_validate({"format": "lines", "line": "{action} {number}"})
    assert [one.number for one in read_settings(b"a 1\nb 0", table, 1).bindings] == [1]
    assert [one.number for one in read_settings(b"a 1\nb 0", table, 0).bindings] == [2, 1]
