"""Content stays equal from format to format, and what is lost is said."""

import itertools
import json
import tomllib
from pathlib import Path
from typing import Any

import pytest
import yaml
from hypothesis import given, settings
from hypothesis import strategies as st

from profiles.files.convert import convert_file, count_comments
from profiles.files.documents import parse_text
from profiles.files.faults import FileFaultError
from profiles.files.places import Format
from profiles.files.toml_edit import same_content
from profiles.files.walk import find_files
from profiles.files.write import find_schema, write_content
from tests.files.documents import contents, render_toml
from tests.hostile import NAUGHTY

FORMATS: tuple[Format, ...] = ("toml", "yaml", "json")
EXAMPLES = Path(__file__).parents[2] / "example_profiles" / "harbour"


@settings(max_examples=400, deadline=None)
@given(contents(), st.sampled_from(FORMATS))
def test_content_written_reads_back_equal(content: dict[str, Any], file_format: Format) -> None:
    text = write_content(content, file_format, "any.schema.json")
    assert same_content(parse_text(text, file_format), content)


@pytest.mark.parametrize("path", list(find_files(EXAMPLES)), ids=lambda path: path.name)
@pytest.mark.parametrize("formats", list(itertools.permutations(FORMATS)), ids="-".join)
def test_examples_go_through_all_formats_and_back(
    path: Path, formats: tuple[Format, ...], tmp_path: Path
) -> None:
    first = path
    for file_format in formats:
        new = tmp_path / f"file.{file_format}"
        new.write_text(convert_file(path, file_format).text, "utf-8", newline="\n")
        path = new
    content = parse_text(first.read_text("utf-8"), first.suffix[1:])  # type: ignore[arg-type]
    assert same_content(parse_text(path.read_text("utf-8"), formats[-1]), content)


@settings(max_examples=200, deadline=None)
@given(contents())
def test_other_readers_take_the_same_from_what_is_written(content: dict[str, Any]) -> None:
    """PyYAML reads by YAML 1.1, where `on`, `1e3` and dates could be something else."""
    assert json.loads(write_content(content, "json")) == content
    assert tomllib.loads(write_content(content, "toml")) == content
    assert yaml.safe_load(write_content(content, "yaml")) == content


@pytest.mark.parametrize("file_format", FORMATS)
def test_hostile_texts_are_content_and_nothing_else(file_format: Format) -> None:
    content = {"format": 1, "note": list(NAUGHTY), "table": dict.fromkeys(NAUGHTY, "x")}
    assert same_content(parse_text(write_content(content, file_format), file_format), content)


PROFILE = {
    "profile": {"application": "harbour", "device": "helm-desk"},
    "format": 1,
    "bindings": {
        "horn": "sound-horn",
        "sel.on": ["a", {"action": "b", "legend": "on"}],
        "trim.clockwise": {"action": "trim-up", "legend": "1e3"},
    },
    "controls": {"horn": {"position": [1.0, 2.5], "inputs": {"press": 6}, "label": "yes"}},
}


def test_toml_is_laid_out_as_a_person_would() -> None:
    assert (
        write_content(PROFILE, "toml", "../profile.json")
        == """\
#:schema ../profile.json
format = 1

[profile]
application = "harbour"
device = "helm-desk"

[bindings]
horn = "sound-horn"
"sel.on" = ["a", { action = "b", legend = "on" }]
"trim.clockwise" = { action = "trim-up", legend = "1e3" }

[controls.horn]
position = [1.0, 2.5]
inputs = { press = 6 }
label = "yes"
"""
    )


def test_yaml_is_laid_out_as_a_person_would() -> None:
    assert (
        write_content(PROFILE, "yaml", "../profile.json")
        == """\
# yaml-language-server: $schema=../profile.json
format: 1
profile:
  application: harbour
  device: helm-desk
bindings:
  horn: sound-horn
  sel.on: [a, {action: b, legend: 'on'}]
  trim.clockwise: {action: trim-up, legend: "1e3"}
controls:
  horn:
    position: [1.0, 2.5]
    inputs: {press: 6}
    label: 'yes'
"""
    )


def test_lost_comments_are_counted_and_the_schema_is_kept(tmp_path: Path) -> None:
    path = tmp_path / "p.toml"
    path.write_text(
        '#:schema ../s.json\n# one\nformat = 1 # two\nnote = "# none"\nlist = [ # three\n "#" ]\n'
    )
    converted = convert_file(path, "yaml")
    assert converted.notes == ("p.toml: 3 comments are not carried over",)
    assert converted.text.startswith("# yaml-language-server: $schema=../s.json\nformat: 1\n")
    assert convert_file(path, "json").notes == ("p.toml: 4 comments are not carried over",)


def test_a_file_without_comments_is_converted_without_a_word(tmp_path: Path) -> None:
    path = tmp_path / "p.yaml"
    path.write_text("# yaml-language-server: $schema=s.json\na: 'x # y'\nb: x#y\n")
    assert convert_file(path, "toml").notes == ()
    assert convert_file(path, "toml").text.startswith("#:schema s.json\n")


@settings(max_examples=100, deadline=None)
@given(contents(), st.randoms(use_true_random=False))
def test_hash_signs_within_texts_are_no_comments(content: dict[str, Any], random: Any) -> None:
    text = render_toml(content, random)
    marked = text.count("# [x]") + text.count("# a = [1]")
    assert count_comments(text, "toml") >= 0
    if "#" not in json.dumps(content) and '# ] "' not in text and "# x" not in text:
        assert count_comments(text, "toml") == marked + text.count('# k = """')


def test_what_only_one_format_can_carry_is_refused_with_its_place(tmp_path: Path) -> None:
    path = tmp_path / "p.toml"
    path.write_text("format = 1\nnote = 2024-05-01\n")
    with pytest.raises(FileFaultError) as caught:
        convert_file(path, "json")
    assert str(caught.value) == "a date or time stands here"
    assert caught.value.region == (2, 8, 18)


def test_the_schema_is_found_at_the_top_only() -> None:
    assert find_schema("# a\n\n#:schema x.json\n") == "x.json"
    assert find_schema("format = 1\n#:schema x.json\n") is None
