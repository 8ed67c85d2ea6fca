"""Hostile words in every field that takes words, through every command that writes, read back.

The fields are those of the schemas, the commands those of `tests.work.kills`, the sheets and their
formats those of the requests: what is new there has to find its reader here.
"""

import json
import re
import shutil
import tomllib
from collections.abc import Iterator, Sequence
from itertools import cycle
from pathlib import Path
from typing import Any

import pytest
from click import Group

from profiles.cli.group import walk_commands
from profiles.files.documents import FORMATS, parse_text
from profiles.files.library import load_library
from profiles.files.write import write_content
from profiles.model import SETTINGS_NAME
from profiles.sheets.requests import SHEETS
from profiles.sheets.writing import SUFFIXES
from profiles.wiring.boards import PACKAGED
from profiles.work.outputs import _FORMS as MARKED
from tests.conftest import EXAMPLES, ROOT, Run
from tests.hostile import OWN
from tests.thread.inert import assert_inert, is_whole
from tests.thread.readers import READERS, read_table
from tests.work.kills import COMMANDS, LIBRARY, RECORDING
from tests.work.screen_save import save_on_screen

HARBOUR = EXAMPLES / "harbour"
SAMPLE = '<a> ;=1+1 "x"'
NOT_WORDS = {
    **dict.fromkeys(("at", "line", "value", "fields", "actions", "devices"), "a pattern"),
    **dict.fromkeys(("subject", "follows", "diodes", "pins", "colour"), "names something"),
}
"""Keys that take any letters by their schema, and what they hold instead of words."""

SAYING = {
    "boards": ("boards", *LIBRARY),
    "bundle show": ("bundle", "show", "mine.zip"),
    "changes": ("changes", "older", *LIBRARY),
    "explain": ("explain", "pitch"),
    "open": ("open", "mine"),
    "press learn": ("press", "learn", "helm-desk", *LIBRARY, "--from", RECORDING),
    "press list": ("press", "list", *LIBRARY),
    "press show": ("press", "show", "cobblegate-on-helm-desk", *LIBRARY, "--quiz"),
    "session": ("session", "brackwater-bridge", *LIBRARY, "--list"),
    "print comparison": ("print", "comparison", "--device", "helm-desk", *LIBRARY),
    **{
        f"wiring {one}": ("wiring", one, "helm-desk", *LIBRARY)
        for one in ("descriptor", "host", "show")
    },
}
"""How a command is typed that only says things, or is among those that write under another name."""

AT_HAND = ("open", "press show")
"""What needs a terminal or a box, and says that there is none."""

APART = ("the screen", "demo", *(name for name in COMMANDS if name.startswith("print ")))
"""What writes files that come with Platebook, or sheets, each of which has a test of its own."""

TABLES = ("bindings.csv", "table.csv")
"""Tables of bindings, which are brought in again."""


def find_words(schema: dict[str, Any]) -> Iterator[dict[str, Any]]:
    """The schemas of strings within the schema of a key."""
    if schema.get("type") == "string" and not schema.keys() & {"enum", "const"}:
        yield schema
    for inner in (
        *(one for key in ("anyOf", "oneOf", "allOf") for one in schema.get(key, ())),
        schema.get("items"),
        schema.get("additionalProperties"),
    ):
        if isinstance(inner, dict):
            yield from find_words(inner)


def list_words() -> dict[str, re.Pattern[str]]:
    """Every key that takes words, and what they must match."""
    found: dict[str, re.Pattern[str]] = {}
    for path in (ROOT / "schemas").glob("*.json"):
        schema = json.loads(path.read_text("utf-8"))
        for table in (schema, *schema["$defs"].values()):
            for key, one in table.get("properties", {}).items():
                patterns = [re.compile(each.get("pattern", "")) for each in find_words(one)]
                if fits := [each for each in patterns if each.search(SAMPLE)]:
                    found[key] = fits[-1]
    return {key: pattern for key, pattern in found.items() if key not in NOT_WORDS}


WORDS = list_words()


def add_fields(kind: str, content: dict[str, Any]) -> None:
    """Put the fields that take words wherever they may be."""
    content[kind]["note"] = "x"
    if kind == "application":
        for action in content["actions"].values():
            action |= {"note": "x", "legend": "x", "short": "x"}
    if kind == "device":
        content["plate"] |= {"material": "x", "revision": "x"}
        content["device"].setdefault("usb", {})["maker"] = "x"
        content["extras"] = [{"name": "x", "unit": "x", "quantity": 2.0, "note": "x"}]
        for control in content["controls"].values():
            control["note"] = "x"
            if "label" in control:
                control["short"] = "x"
            if "clockwise" in control.get("inputs", {}):
                control["labels"] = dict.fromkeys(control["inputs"], "x")
        if content[kind]["id"] == "lookout-box":
            content["controls"]["slide"] = {
                "kind": "axis",
                "axis": "x",
                "label": "x",
                "position": [140.0, 40.0],
                "hole": 7.0,
                "front": 12.0,
                "pin": "A0",
                "scale": {"marks": ["x", "x", "x"], "angle": 270.0},
            }
    if kind == "board":
        content["board"]["name"] = "x"
        content["limits"] |= {"source": "x", "pin_source": "x"}
        content["notes"] = dict.fromkeys(list(content["pins"])[:3], "x")


def put_texts(value: Any, texts: Iterator[str], used: set[str], key: str = "") -> Any:
    """A value with a hostile text wherever there are words."""
    if isinstance(value, dict):
        inner = {one: key if key in ("notes", "labels") else one for one in value}
        return {one: put_texts(each, texts, used, inner[one]) for one, each in value.items()}
    if isinstance(value, list):
        return [put_texts(each, texts, used, key) for each in value]
    if isinstance(value, str) and key in WORDS:
        used.add(key)
        return next(text for text in texts if WORDS[key].search(text))
    return value


def write_hostile(folder: Path, first: int = 0) -> set[str]:
    """The harbour, its words hostile texts; returns the keys that hold one."""
    usable = [text for text in OWN if text.strip() and len(text) <= 400 and is_whole(text)]
    texts, used = cycle(usable[first:] + usable[:first]), set[str]()
    boards = [PACKAGED / "atmega32u4.toml"]
    for path in (*HARBOUR.rglob("*.*"), *boards):
        text = path.read_text("utf-8")
        target = folder / (
            path.relative_to(HARBOUR) if path not in boards else f"boards/{path.name}"
        )
        target.parent.mkdir(parents=True, exist_ok=True)
        if path.suffix not in FORMATS or path.parent.name in ("recordings", "settings"):
            target.write_text(text, "utf-8", newline="\n")
            continue
        content = parse_text(text.replace('"atmega32u4"', '"own"'), FORMATS[path.suffix])
        kinds = [kind for kind in ("device", "application", "profile", "board") if kind in content]
        for kind in kinds:
            add_fields(kind, content)
            content[kind].setdefault("id", path.stem)
        content = put_texts(content, texts, used)
        if path.name == SETTINGS_NAME:
            target.write_text(write_content(content, "toml"), "utf-8", newline="\n")
        else:
            target.with_suffix(".json").write_text(json.dumps(content), "utf-8", newline="\n")
    return used


@pytest.fixture
def scene(tmp_path: Path, platebook: Run) -> Path:
    """A folder as `tests.work.kills` has it, of hostile libraries."""
    write_hostile(tmp_path / "mine")
    write_hostile(tmp_path / "older", first=7)
    profile = "mine/profiles/brackwater-bridge.json"
    assert platebook("convert", profile, "--csv", "-o", "bindings.csv").code == 0
    assert (
        platebook("bundle", "make", "brackwater-bridge", "--library", "mine", "-o", "mine.zip").code
        == 0
    )
    return tmp_path


def test_every_field_that_takes_words_is_in_the_trial(tmp_path: Path) -> None:
    assert write_hostile(tmp_path) == WORDS.keys()
    assert load_library(tmp_path).problems == ()


def test_every_format_has_a_second_reader() -> None:
    sheets = {SUFFIXES[form] for sheet in SHEETS.values() for form in sheet.formats}
    marked = {f".{form}" for form in MARKED}
    files = {suffix.replace(".yml", ".yaml") for suffix in FORMATS}
    assert sheets | marked | files | {*SUFFIXES.values()} <= READERS.keys()


def read_all(folder: Path) -> set[str]:
    """Read every file of a folder a second time; returns the ends of their names."""
    found = [path for path in folder.rglob("*") if path.is_file()]
    for path in found:
        read = read_table if path.name in TABLES else READERS[path.suffix]
        read(path.read_bytes())
    return {path.suffix for path in found}


@pytest.mark.long
@pytest.mark.parametrize("sheet", SHEETS)
def test_every_sheet_in_every_format_is_read_by_others(
    platebook: Run, scene: Path, sheet: str
) -> None:
    kind = SHEETS[sheet]
    command = ("compare",) if sheet == "comparison" else ("print", sheet)
    profile = ("--profile", "brackwater-bridge") if kind.takes[1] else ("--device", "lookout-box")
    profile = ("--device", "lookout-box") if sheet == "comparison" else profile
    forms = [word for form in kind.formats for word in ("--format", form)]
    ran = platebook(*command, *profile, "--library", "mine", "--no-date", *forms, "-o", "out/")
    assert ran.code == 0, ran.err
    assert_inert(ran.out + ran.err)
    assert read_all(scene / "out") == {SUFFIXES[form] for form in kind.formats}


def in_json(words: Sequence[str]) -> list[str]:
    """How a command is typed for the hostile libraries, whose files are JSON."""
    names = {"lookout-box.toml": "lookout-box.json", "bridge.toml": "bridge.json"}
    return [
        next((word.replace(old, new) for old, new in names.items() if old in word), word)
        for word in words
    ]


@pytest.mark.long
@pytest.mark.parametrize("name", [name for name in COMMANDS if name not in APART])
def test_what_every_command_writes_is_read_by_others(
    platebook: Run, scene: Path, name: str
) -> None:
    ran = platebook(*in_json(COMMANDS[name]))
    assert ran.code in (0, 1), ran.err
    assert_inert(ran.out + ran.err)
    assert read_all(scene) >= {".json", ".csv", ".zip"}


@pytest.mark.long
def test_what_the_demo_writes_is_read_by_others(platebook: Run, tmp_path: Path) -> None:
    ran = platebook("demo", "=1+1;<b>", "--no-date")
    assert ran.code == 0, ran.err
    assert_inert(ran.out + ran.err)
    shutil.rmtree(tmp_path / "=1+1;<b>" / "example_profiles" / "broken")
    assert read_all(tmp_path) >= {".toml", ".yaml", ".json", ".jsonl", ".pdf", ".txt"}


def test_what_the_screen_saves_is_read_by_others(scene: Path) -> None:
    before = {path: path.read_bytes() for path in scene.rglob("*.json")}
    assert save_on_screen(scene / "mine", ["right", "x"]) == 0
    changed = [path for path, data in before.items() if path.read_bytes() != data]
    assert len(changed) == 1
    read_all(scene)


def list_commands() -> Iterator[tuple[str, bool]]:
    """Every command by its words, and whether it can say what it says as JSON."""
    for path, context in walk_commands():
        if not isinstance(context.command, Group):
            yield path, any("--json" in one.opts for one in context.command.params)


@pytest.mark.long
@pytest.mark.parametrize(("name", "has_json"), [*list_commands()])
def test_what_every_command_says_is_inert(
    platebook: Run, scene: Path, name: str, has_json: bool
) -> None:
    known = (each for each in COMMANDS.values() if each[: len(name.split())] == (*name.split(),))
    words = in_json(SAYING.get(name) or next(known))
    ran = platebook(*words, *(["--json"] if has_json else []))
    assert ran.code in ((2,) if name in AT_HAND else (0, 1)), ran.err
    assert_inert(ran.out + ran.err)
    if has_json and name not in AT_HAND:
        json.loads(ran.out)


def test_a_settings_file_of_hostile_words_stays_words(platebook: Run, scene: Path) -> None:
    """What an application wrote is shown, compared and made a profile of."""
    lines = [f'key "{text}" = desk0/{n}' for n, text in enumerate(OWN) if is_whole(text)]
    Path("theirs.txt").write_text("\n".join(lines), "utf-8", newline="\n")
    library = ("--library", "mine", "--profile", "ninefold-on-helm-desk")
    new = ("new", "profile", "again", "--library", "mine", "--from", "theirs.txt")
    for words in (
        ("check", "mine", "--against", "theirs.txt", *library[2:]),
        ("check", "mine", "--against", "theirs.txt", "--json", *library[2:]),
        (*new, "--application", "ninefold", "-o", "mine/again.toml"),
    ):
        ran = platebook(*words)
        assert ran.code in (0, 1, 2), ran.err
        assert_inert(ran.out + ran.err)
    Path("theirs.txt").unlink()
    read_all(scene)


def list_named() -> list[str]:
    """Every command with an option for a name, and the option, from the parser."""
    return [
        f"{path} {one.opts[0]}"
        for path, context in walk_commands()
        for one in context.command.params
        if one.metavar == "NAME"
    ]


BOX = ("--device", "helm-desk")
NAMED = {
    **{f"new {kind} --name": ("new", kind, "made") for kind in ("application", "board", "part")},
    "new device --name": ("new", "device", "made", "--grid", "2x1"),
    "new profile --name": ("new", "profile", "made", "--application", "ninefold", *BOX),
    "press learn --name": (*SAYING["press learn"][:2], "made", *SAYING["press learn"][3:]),
    "press test --by": (*COMMANDS["press test"], "--report", "out/report.csv", "--replace"),
}
"""How a command is typed that takes a name of any letters."""


def test_every_name_that_is_typed_is_in_the_trial() -> None:
    assert sorted(list_named()) == sorted(NAMED)


@pytest.mark.parametrize("typed", [each for each in NAMED if each.startswith("new ")])
def test_a_hostile_name_that_is_typed_is_a_name_in_the_file(
    platebook: Run, scene: Path, typed: str
) -> None:
    path, kind = scene / "mine" / "made.toml", NAMED[typed][1]
    for text in (text for text in OWN if len(text) <= 400):
        ran = platebook(*NAMED[typed], *LIBRARY, "--name", text)
        assert_inert(ran.out + ran.err)
        assert ran.code == 0, (text, ran.err)
        assert tomllib.loads(path.read_text("utf-8"))[kind]["name"] == text
        path.unlink()


@pytest.mark.long
def test_a_hostile_tester_is_a_word_in_the_report(platebook: Run, scene: Path) -> None:
    for text in (" ".join(text[:60] for text in OWN if is_whole(text)), "=1+1", "</script>"):
        ran = platebook(*NAMED["press test --by"], "--by", text)
        assert ran.code == 1, ran.err
        assert_inert(ran.out + ran.err)
    assert read_all(scene / "out") == {".csv", ".html", ".pdf"}
