"""A change in place changes what it names and leaves every other byte alone."""

import tomllib
from pathlib import Path
from random import Random
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from profiles.files.edit import FileEditor
from profiles.files.save import ChangedOnDiskError
from profiles.files.toml_edit import (
    EditError,
    remove_key,
    rename_key,
    same_content,
    set_value,
    write_value,
)
from tests.files.documents import KEYS, SCALARS, contents, list_paths, render_toml, with_change

DEVICE = """\
#:schema ../schemas/device.json
# The helm desk, by hand.
format = 1

[device]
id   = 'helm-desk'   # never change
name = "Helm desk"
usb.vendor = "1209"
usb.product = "0001"  # as sold

[plate]
width = 220.0
height = 120.00

# The big red one.
[controls.horn]
kind = "momentary"
label = "HORN"
position = [
  30.0,  # from the left
  90.0,
]
hole = 16.2

# Down on the right.
[controls.trim]
kind = "rotary"
label = "TRIM"
position = [60, 90]
hole = 7
inputs = { clockwise = 4, anticlockwise = 5 }
# The end.
"""

PROFILE = """\
format = 1
[profile]
application = "harbour"
device = "helm-desk"

[bindings]
horn = "sound-horn" # loud
"trim . clockwise" = "trim-up"
"shift + horn" = ["fog-signal", "menu-back"]

# Nothing below.
"""


@pytest.fixture
def device(tmp_path: Path) -> FileEditor:
    return _open(tmp_path / "helm.toml", DEVICE)


@pytest.fixture
def profile(tmp_path: Path) -> FileEditor:
    return _open(tmp_path / "harbour.toml", PROFILE.replace("trim . clock", "trim.clock"))


def _open(path: Path, text: str) -> FileEditor:
    path.write_bytes(text.encode())
    return FileEditor.open(path)


def _diff(before: str, after: str) -> list[str]:
    """Lines taken out (-) and put in (+), between the common start and the common end."""
    old, new = before.split("\n"), after.split("\n")
    while old and new and old[0] == new[0]:
        old, new = old[1:], new[1:]
    while old and new and old[-1] == new[-1]:
        old, new = old[:-1], new[:-1]
    return [f"-{line}" for line in old] + [f"+{line}" for line in new]


def test_a_value_is_replaced_and_its_comment_kept(device: FileEditor) -> None:
    device.set(("device", "id"), "bridge")
    assert _diff(DEVICE, device.text) == [
        "-id   = 'helm-desk'   # never change",
        '+id   = "bridge"   # never change',
    ]


def test_an_equal_value_changes_nothing(device: FileEditor) -> None:
    device.set(("plate", "height"), 120.0)
    assert device.text == DEVICE


def test_a_new_field_stands_before_the_comment_of_the_next_table(device: FileEditor) -> None:
    device.set_control_field("horn", "front", 18.0)
    assert _diff(DEVICE, device.text) == ["+front = 18.0"]
    assert "hole = 16.2\nfront = 18.0\n\n# Down" in device.text


def test_a_field_of_a_dotted_table_is_written_dotted(device: FileEditor) -> None:
    device.set(("device", "usb", "serial"), "A1")
    assert _diff(DEVICE, device.text) == ['+usb.serial = "A1"']
    assert 'sold\nusb.serial = "A1"\n' in device.text


def test_a_field_of_an_inline_table_is_written_inline(device: FileEditor) -> None:
    device.set(("controls", "trim", "inputs", "press"), 6)
    assert _diff(DEVICE, device.text) == [
        "-inputs = { clockwise = 4, anticlockwise = 5 }",
        "+inputs = { clockwise = 4, anticlockwise = 5, press = 6 }",
    ]


def test_a_new_control_gets_a_header_after_the_last_one(device: FileEditor) -> None:
    bell = {"kind": "momentary", "label": "BELL", "position": [90.0, 90.0], "hole": 16.2}
    device.set_control("bell", bell)
    assert _diff(DEVICE, device.text) == [
        "+",
        "+[controls.bell]",
        '+kind = "momentary"',
        '+label = "BELL"',
        "+position = [90.0, 90.0]",
        "+hole = 16.2",
    ]
    assert device.text.endswith("hole = 16.2\n# The end.\n")
    device.validate()


def test_a_whole_control_is_given_field_by_field(device: FileEditor) -> None:
    horn = device.content["controls"]["horn"] | {"hole": 16.0, "note": "new"}
    del horn["kind"]
    device.set_control("horn", horn | {"kind": "momentary"})
    assert _diff(DEVICE, device.text) == ["-hole = 16.2", "+hole = 16.0", '+note = "new"']


def test_a_missing_table_is_made(device: FileEditor) -> None:
    device.set(("wiring", "rows"), ["A0", "A1"])
    assert _diff(DEVICE, device.text) == ["+", "+[wiring]", '+rows = ["A0", "A1"]']


def test_a_removed_control_takes_its_lines_and_no_others(device: FileEditor) -> None:
    device.remove_control("horn")
    assert device.text == DEVICE.replace(
        DEVICE[DEVICE.index("[controls.horn]") : DEVICE.index("\n# Down")], ""
    )


def test_a_renamed_control_is_renamed_wherever_it_stands(tmp_path: Path) -> None:
    text = '[controls.horn]\nkind = "x"\n[controls."horn".led] # horn\npin = "horn"\n'
    assert rename_key(text, ("controls", "horn"), "bell 2") == (
        '[controls."bell 2"]\nkind = "x"\n[controls."bell 2".led] # horn\npin = "horn"\n'
    )


def test_a_rename_to_a_taken_name_is_refused(device: FileEditor) -> None:
    with pytest.raises(EditError, match="there is a key `trim` already"):
        device.rename_control("horn", "trim")


def test_bindings_are_found_however_their_keys_are_spaced(profile: FileEditor) -> None:
    before = profile.text
    profile.set_binding("shift+horn", "menu-back")
    profile.remove_binding("trim.clockwise")
    profile.rename_binding("horn", "bell")
    profile.set_binding("start", {"action": "start-engine", "legend": "START"})
    assert _diff(before, profile.text) == [
        '-horn = "sound-horn" # loud',
        '-"trim.clockwise" = "trim-up"',
        '-"shift + horn" = ["fog-signal", "menu-back"]',
        '+bell = "sound-horn" # loud',
        '+"shift + horn" = "menu-back"',
        '+start = { action = "start-engine", legend = "START" }',
    ]
    profile.save()
    assert profile.path.read_text() == profile.text


def test_what_is_not_there_cannot_be_changed(device: FileEditor) -> None:
    with pytest.raises(EditError, match=r"there is no `controls\.bell` to change"):
        device.remove_control("bell")
    with pytest.raises(EditError, match="there is no control `bell` to change"):
        device.set_control_field("bell", "hole", 3.0)
    with pytest.raises(EditError, match=r"there is no `plate\.depth` to change"):
        device.rename(("plate", "depth"), "d")


def test_what_the_model_refuses_is_not_saved(device: FileEditor) -> None:
    device.set_control_field("horn", "hole", "big")
    with pytest.raises(EditError) as caught:
        device.save()
    assert str(caught.value) == (
        "`helm.toml` would not be sound: `controls.horn.hole` is `big`, not a number, a list or "
        "a table"
    )
    assert device.path.read_text() == DEVICE


def test_a_file_changed_meanwhile_is_not_overwritten(device: FileEditor) -> None:
    device.set(("device", "name"), "Mine")
    device.path.write_text(DEVICE + "# theirs\n")
    with pytest.raises(ChangedOnDiskError):
        device.save()
    assert device.path.read_text() == DEVICE + "# theirs\n"


def test_an_editor_can_save_twice(device: FileEditor) -> None:
    for name in ("One", "Two"):
        device.set(("device", "name"), name)
        device.save()
    assert 'name = "Two"\n' in device.path.read_text()


def test_yaml_and_json_are_changed_in_place_too(tmp_path: Path) -> None:
    texts = {
        "p.yaml": (
            "format: 1\nprofile: {application: a, device: b}  # one\nbindings:\n  horn: toot\n",
            "  horn: toot\n  shift + bell: [ding, {action: dong, legend: DONG}]\n",
        ),
        "p.json": (
            '{"format": 1, "profile": {"application": "a", "device": "b"},\n'
            ' "bindings": {"horn": "toot"}}\n',
            '"toot", "shift + bell": ["ding", {"action": "dong", "legend": "DONG"}]',
        ),
    }
    for name, (text, new) in texts.items():
        (tmp_path / name).write_text(text)
        editor = FileEditor.open(tmp_path / name)
        editor.set_binding("shift+bell", "ding")
        editor.set_binding("shift + bell", ["ding", {"action": "dong", "legend": "DONG"}])
        editor.save()
        old = "  horn: toot\n" if name == "p.yaml" else '"toot"'
        found = (tmp_path / name).read_text()
        assert found == text.replace(old, new.replace("shift + bell", "shift+bell"))


def test_line_ends_mark_and_missing_last_line_end_are_kept(tmp_path: Path) -> None:
    path = tmp_path / "p.toml"
    old = b"\xef\xbb\xbf" + PROFILE.strip().replace("\n", "\r\n").encode()
    path.write_bytes(old.replace(b"trim . clock", b"trim.clock").replace(b"# Nothing below.", b""))
    editor = FileEditor.open(path)
    before = path.read_bytes()
    editor.set_binding("bell", "ring")
    editor.save()
    added = b'bell = "ring"\r\n'
    assert path.read_bytes().replace(added, b"") == before
    last = b'[bindings]\r\nhorn = "sound-horn"'
    path.write_bytes(before[: before.index(b"[bindings]")] + last)
    editor = FileEditor.open(path)
    editor.set_binding("bell", "ring")
    editor.save()
    assert path.read_bytes().endswith(last + b'\r\nbell = "ring"')


def _count_lost_lines(before: str, after: str) -> int:
    return sum(line.startswith("-") for line in _diff(before, after))


def _choose(parsed: dict[str, Any], random: Random) -> tuple[Any, ...]:
    paths = [path for path, _ in list_paths(parsed) if not isinstance(path[-1], int)]
    return random.choice(paths) if paths else ()


seeds = st.integers(0, 2**32)


@settings(max_examples=150, deadline=None)
@given(contents(), seeds, SCALARS)
def test_any_value_of_any_document_can_be_replaced(
    content: dict[str, Any], seed: int, value: Any
) -> None:
    text = render_toml(content, Random(seed))
    parsed = tomllib.loads(text)
    leaves = [path for path, old in list_paths(parsed) if not isinstance(old, dict | list)]
    if not leaves:
        return
    path = Random(seed).choice(leaves)
    after = set_value(text, path, value)
    assert same_content(tomllib.loads(after), with_change(parsed, path, value))
    written = write_value(value)
    assert after == text or after.replace(written, "", 1) != after
    start = len(_common_start(text, after))
    end = len(_common_start(text[start:][::-1], after[start:][::-1]))
    assert len(after) - start - end <= len(written)


def _common_start(one: str, other: str) -> str:
    length = next((at for at, (a, b) in enumerate(zip(one, other, strict=False)) if a != b), None)
    return one[: min(len(one), len(other)) if length is None else length]


@settings(max_examples=150, deadline=None)
@given(contents(), seeds, KEYS, SCALARS)
def test_a_key_added_to_any_table_leaves_every_other_line(
    content: dict[str, Any], seed: int, key: str, value: Any
) -> None:
    """The one line that may change is that of an inline table."""
    text = render_toml(content, Random(seed))
    parsed = tomllib.loads(text)
    tables = [(), *[path for path, old in list_paths(parsed) if isinstance(old, dict)]]
    holder = Random(seed).choice(tables)
    if any(path == (*holder, key) for path, _ in list_paths(parsed)):
        return
    after = set_value(text, (*holder, key), value)
    assert _count_lost_lines(text, after) <= 1
    added = dict(list_paths(tomllib.loads(after)))
    assert same_content(added.pop((*holder, key)), value)


@settings(max_examples=150, deadline=None)
@given(contents(), seeds)
def test_a_key_removed_from_any_document_takes_nothing_else(
    content: dict[str, Any], seed: int
) -> None:
    text = render_toml(content, Random(seed))
    path = _choose(tomllib.loads(text), Random(seed))
    if not path:
        return
    after = remove_key(text, path)
    left = {one for one, _ in list_paths(tomllib.loads(after))}
    before = {one for one, _ in list_paths(tomllib.loads(text))}
    gone = {one for one in before if one[: len(path)] == path}
    assert left <= before - gone
    assert all(one == path[: len(one)] for one in before - gone - left), "but emptied parents"


@settings(max_examples=150, deadline=None)
@given(contents(), seeds)
def test_a_key_renamed_in_any_document_changes_no_line_count(
    content: dict[str, Any], seed: int
) -> None:
    text = render_toml(content, Random(seed))
    path = _choose(tomllib.loads(text), Random(seed))
    if not path:
        return
    after = rename_key(text, path, "a brand new name")
    assert after.count("\n") == text.count("\n")
    back = rename_key(after, (*path[:-1], "a brand new name"), path[-1])
    assert back.count("\n") == text.count("\n")
    assert tomllib.loads(back) == tomllib.loads(text)


STARTED = """\
format = 1
[profile]
application = "harbour"
device = "desk"
note = '''
# bell = ""
'''
[bindings]
horn = "toot"  # HORN, input 1
# bell = ""  # BELL, input 2
# "trim.clockwise" = ""  # TRIM, input 3

# Still to bind:
#   ring: Ring the bell (may, pulse)
#   trim-up: Trim up (want, step)
"""


def test_a_binding_takes_the_line_that_the_starter_keeps_for_it(tmp_path: Path) -> None:
    editor = FileEditor(tmp_path / "p.toml", STARTED.encode())
    editor.set_binding("bell", "ring")
    assert editor.text == STARTED.replace('\n# bell = ""  #', '\nbell = "ring"  #').replace(
        "#   ring: Ring the bell (may, pulse)\n", ""
    )
    editor.set_binding("trim.clockwise", ["trim-up", {"action": "more", "legend": "UP"}])
    assert editor.text.endswith(
        'bell = "ring"  # BELL, input 2\n'
        '"trim.clockwise" = ["trim-up", { action = "more", legend = "UP" }]  # TRIM, input 3\n'
    )
    editor.validate()
