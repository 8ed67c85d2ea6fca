"""Commands killed while they write; run as `python -m tests.work.kills [ROUNDS]`, 300 by default.

Every command that writes runs in a child, over files that it wrote before from an older library.
The child counts what it does to files and kills itself (SIGKILL) at a random one of these events,
before it is done, or so many calls after it, before the next: no clock, so that every kill falls
between the first write and the last, however busy the machine. Then every file is held against
what a run that nobody kills leaves: it must be as before, as after, or, where it was not there
before, absent; the same command run again must bring all of it to its end, and leave nothing else
behind. Prints a table; ends with 1 where anything was half.
"""

import json
import os
import random
import shutil
import signal
import sys
import tempfile
from collections.abc import Sequence
from pathlib import Path
from typing import NamedTuple

from profiles.cli.main import run
from profiles.work.outputs import write_output
from tests.conftest import EXAMPLES
from tests.systems.meanwhile import is_change
from tests.work.libraries import write_desk
from tests.work.screen_save import save_on_screen

BRIDGE = "brackwater-bridge"
LIBRARY = ("--library", "mine")
BOX = (*LIBRARY, "--device", "lookout-box", "--no-date", "--replace", "-o", "out/")
RECORDING = "mine/recordings/helm-desk-press.jsonl"
TEST = ("press", "test", "helm-desk", *LIBRARY, "--from", RECORDING, "--report")

COMMANDS: dict[str, tuple[str, ...]] = {
    "print legend": ("print", "legend", *BOX, "--format", "pdf", "--format", "svg"),
    "print strip": ("print", "strip", *BOX, "--format", "pdf", "--format", "dxf"),
    "print card": (
        *("print", "card", *LIBRARY, "--profile", BRIDGE, "--no-date", "--replace", "-o", "out/"),
        *("--format", "text", "--format", "csv", "--format", "html", "--format", "json"),
    ),
    "print drill": ("print", "drill", *BOX, "--format", "csv", "--format", "dxf"),
    "print coupon": ("print", "coupon", *BOX, "--format", "stl", "--format", "3mf"),
    "print plate": ("print", "plate", *BOX, "--format", "stl", "--format", "svg"),
    "print cut": ("print", "cut", *BOX, "--format", "svg", "--format", "dxf"),
    "print all": ("print", "all", "out", *LIBRARY, "--no-date", "--replace"),
    "handover": (
        *("handover", "lookout-box", *LIBRARY, "--no-date", "--replace", "-o", "out/box.html"),
    ),
    "session --sheet": (
        *("session", BRIDGE, *LIBRARY, "--no-date", "--replace", "--sheet", "out/steps.csv"),
    ),
    "bundle make": ("bundle", "make", BRIDGE, *LIBRARY, "--replace", "-o", "out/bridge.zip"),
    "bundle unpack": (*("bundle", "unpack", "mine.zip", "theirs", "--library", "mine/recordings"),),
    "print parts": ("print", "parts", *BOX, "--format", "pdf", "--format", "csv"),
    "print wiring": ("print", "wiring", *BOX, "--format", "png", "--format", "csv"),
    "compare": ("compare", *BOX, "--format", "html", "--format", "json"),
    "firmware avr": ("firmware", "lookout-box", *LIBRARY, "--for", "avr", "-o", "out"),
    "schema": ("schema", "out"),
    "new device": ("new", "device", "spare", *LIBRARY),
    "new board": ("new", "board", "spare", *LIBRARY),
    "convert": ("convert", "mine/devices/lookout-box.toml", "--to", "yaml", "-o", "out.yaml"),
    "convert --csv": ("convert", "bindings.csv", "--csv", "--into", f"mine/profiles/{BRIDGE}.toml"),
    "wiring renumber": (
        *("wiring", "renumber", "helm-desk", *LIBRARY, "--along", "columns", "--write"),
    ),
    "demo": ("demo", "show", "--no-date"),
    "print ruler": ("print", "ruler", *BOX),
    "handover pdf": (
        *("handover", "lookout-box", *LIBRARY, "--no-date", "--replace", "-o", "out/box.pdf"),
        *("--format", "pdf"),
    ),
    "changes --print": (
        *("changes", "older", *LIBRARY, "--no-date", "--replace", "--print", "out"),
    ),
    "new application": ("new", "application", "spare", *LIBRARY),
    "new part": ("new", "part", "spare", *LIBRARY),
    "new profile": (
        *("new", "profile", "spare", *LIBRARY, "--application", "brackwater"),
        *("--device", "lookout-box"),
    ),
    "convert -o table": ("convert", f"mine/profiles/{BRIDGE}.toml", "--csv", "-o", "table.csv"),
    "arrange": ("arrange", "lookout-box", *LIBRARY, "--shift", "1,0", "--write"),
    "wiring plan": ("wiring", "plan", "lookout-box", *LIBRARY, "--rewire", "--write"),
    "suggest": ("suggest", BRIDGE, *LIBRARY, "--may", "--write"),
    "check --fix": ("check", "mine", "--fix", "--yes"),
    "press test": (*TEST, "out/report.pdf", "--report", "out/report.html"),
    "press measurements": ("press", "measurements", RECORDING, *LIBRARY, "--svg", "out/plots.svg"),
    "rename": ("rename", "lookout-box", "tower", *LIBRARY, "--write"),
    "delete": ("delete", "ninefold-on-helm-desk", *LIBRARY, "--write"),
    "changes --labels": (
        *("changes", "older", *LIBRARY, "--no-date", "--replace", "--labels", "out"),
    ),
    "the screen": ("the screen", "desk", "x"),
}
"""Every command that writes files, by a short name, and the screen with the keys that are pressed.
"""

WITHOUT = {
    **dict.fromkeys(("boards", "bundle show", "explain", "wiring descriptor"), "writes nothing"),
    **dict.fromkeys(("wiring host", "wiring show", "press list"), "writes nothing"),
    **dict.fromkeys(("press learn", "press show"), "writes line by line, as it is told"),
    "print comparison": "is `compare`",
    "open": "is the screen",
}
"""Commands that are not among these, and why."""

CHANGES = {
    '\nname = "': '\nname = "New ',
    "width = 170.0": "width = 171.0",
    "hole = 3.4": "hole = 3.6",
    "debounce = 7.0": "debounce = 8.0",
    "board_at = [85.0, 60.0]": "board_at = [95.0, 60.0]",
}
"""What is changed in the devices, so that every file made from them is another."""

SLIPS = {
    "suggest": ('"lookout-box/glass" =', '# "lookout-box/glass" ='),
    "check --fix": ("raise-glass", "raise-glas"),
    "changes --labels": ("raise-glass", "look-ahead"),
}
"""What else is changed in the profile, so that a command has something to do."""

REFUSES_AGAIN = (
    *("new device", "new board", "new application", "new part", "new profile"),
    *("convert", "bundle unpack", "rename", "delete"),
)
"""What is refused where it is done already."""

EDITS = (
    *("wiring renumber", "wiring plan", "convert --csv", "arrange", "suggest", "check --fix"),
    "the screen",
)
"""What changes a file of the library."""

WRITES_ANEW = (
    *(*REFUSES_AGAIN, *EDITS),
    *("schema", "demo", "print ruler", "convert -o table", "changes --labels"),
)
"""What has written nothing before."""

LEFTOVERS = (".platebook-saving-", ".platebook-bundle-", ".platebook-unsaved-")
"""How the names of hidden files and folders begin that are on their way to another's place."""

Tree = dict[str, bytes]


class Moment(NamedTuple):
    """When to be killed: at an event, or so many calls after it, before the next at the latest."""

    event: int
    """Counted from 1."""
    calls: int


class Kill(NamedTuple):
    """What one killed run left."""

    command: str
    was_killed: bool
    """Whether the run was killed before its end."""
    leftovers: int
    """Hidden files that it left, which the next run has to clear away."""
    problems: tuple[str, ...]


def read_tree(folder: Path) -> Tree:
    return {
        path.relative_to(folder).as_posix(): path.read_bytes()
        for path in folder.rglob("*")
        if path.is_file()
    }


def write_tree(folder: Path, tree: Tree) -> None:
    shutil.rmtree(folder, ignore_errors=True)
    for name, data in tree.items():
        path = folder / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(data)


def is_leftover(name: str) -> bool:
    return any(part.startswith(LEFTOVERS) for part in Path(name).parts)


def run_words(words: Sequence[str]) -> int:
    """Run a command, or the screen on a library with keys that are pressed."""
    if words[0] == "the screen":
        return save_on_screen(Path(words[1]), words[2:])
    return run(list(words))


def run_child(
    folder: Path, words: Sequence[str], moment: Moment | None = None
) -> tuple[int, list[int]]:
    """Run a command in a child that kills itself at a moment, if one is given.

    Its exit code, negative where it was killed; and, where it was not, how many calls came after
    each of its events, before the next.
    """
    reader, writer = os.pipe()
    sys.stdout.flush()
    child = os.fork()
    if child:
        os.close(writer)
        with os.fdopen(reader, "rb") as pipe:
            told = pipe.read()
        _, status = os.waitpid(child, 0)
        return os.waitstatus_to_exitcode(status), json.loads(told or b"[]")
    sys.dont_write_bytecode = True
    os.chdir(folder)
    with Path(os.devnull).open("w") as nothing:
        os.dup2(nothing.fileno(), 1)
        os.dup2(nothing.fileno(), 2)
    calls: list[int] = []

    def die() -> None:
        os.kill(os.getpid(), signal.SIGKILL)

    def listen(event: str, arguments: tuple[object, ...]) -> None:
        if not is_change(event, arguments):
            return
        if moment and len(calls) == moment.event:
            die()
        calls.append(0)
        if moment == (len(calls), 0):
            die()
        if len(calls) == 1:
            sys.setprofile(count)

    def count(*_: object) -> None:
        calls[-1] += 1
        if moment == (len(calls), calls[-1]):
            die()

    sys.addaudithook(listen)
    code = run_words(words)
    sys.setprofile(None)
    os.write(writer, json.dumps(calls).encode())
    os._exit(code)


class Scene:
    """A command's folder: as before it runs, and as it leaves it."""

    def __init__(self, command: str, folder: Path) -> None:
        self.command, self.words, self.folder = command, COMMANDS[command], folder
        write_tree(folder, {})
        folder.mkdir()
        for name in ("mine", *(["older"] if "older" in self.words else [])):
            shutil.copytree(EXAMPLES / "harbour", folder / name)
        if "desk" in self.words:  # beside a library a demo is refused
            write_desk(folder / "desk")
        profile = f"mine/profiles/{BRIDGE}.toml"
        run_child(folder, ("convert", profile, "--csv", "-o", "bindings.csv"))
        run_child(folder, ("bundle", "make", BRIDGE, *LIBRARY, "-o", "mine.zip"))
        table = (folder / "bindings.csv").read_text("utf-8")
        for name, action in {"bindings.csv": "look-ahead", "others.csv": "look-port"}.items():
            (folder / name).write_text(table.replace("raise-glass", action), "utf-8")
        if command in SLIPS:
            path = folder / profile
            path.write_text(path.read_text("utf-8").replace(*SLIPS[command]), "utf-8")
        if command not in WRITES_ANEW:
            code, _ = run_child(folder, self.words)
            assert code in (0, 1), command
            for path in (folder / "mine" / "devices").iterdir():
                text = path.read_text("utf-8")
                for old, new in CHANGES.items():
                    text = text.replace(old, new)
                path.write_text(text, "utf-8")
        self.before = read_tree(folder)
        self.code, self.calls = run_child(folder, self.words)
        self.after = read_tree(folder)
        assert self.code in (0, 1), command
        assert self.calls, command

    def choose(self, chance: random.Random) -> Moment:
        """A moment from the first event to the last; half of them at an event itself."""
        event = chance.randint(1, len(self.calls))
        is_between = event < len(self.calls) and chance.random() < 0.5
        return Moment(event, chance.randint(0, self.calls[event - 1]) if is_between else 0)

    def kill(self, moment: Moment) -> Kill:
        write_tree(self.folder, self.before)
        ended, _ = run_child(self.folder, self.words, moment)
        leftovers = [path for path in self.folder.rglob("*") if path.name.startswith(LEFTOVERS)]
        problems = [
            f"{name} is half"
            for name, data in read_tree(self.folder).items()
            if not is_leftover(name) and data not in (self.before.get(name), self.after.get(name))
        ]
        problems += [f"{name} is gone" for name in self.after if self.is_lost(name)]
        self.end_renaming()
        code, _ = run_child(self.folder, self.words)
        if code not in (self.code, 2 if self.command in REFUSES_AGAIN else self.code):
            problems.append(f"run again, it ends with {code}")
        for folder in {path.parent for path in self.folder.rglob(".platebook-saving-*")}:
            if self.command in REFUSES_AGAIN:  # nothing was written, so nothing was cleared away
                write_output(folder / "next.html", b"<p>next</p>")
                (folder / "next.html").unlink()
        if read_tree(self.folder) != self.after:
            problems.append("run again, it does not come to its end")
        return Kill(self.command, ended == -signal.SIGKILL, len(leftovers), tuple(problems))

    def is_lost(self, name: str) -> bool:
        """Whether a file that was there and is to stay is not there any more."""
        return name in self.before and not (self.folder / name).exists()

    def end_renaming(self) -> None:
        """Where a document stands under both its ids, the old one is deleted by hand."""
        old, new = (f"mine/devices/{id_}.toml" for id_ in ("lookout-box", "tower"))
        if (self.folder / old).exists() and (self.folder / new).exists():
            assert run_child(self.folder, ("check", "mine"))[0] in (0, 1), "a sound library"
            run_child(self.folder, ("delete", "lookout-box", *LIBRARY, "--write"))


def kill_commands(
    rounds: int, folder: Path, commands: Sequence[str] = tuple(COMMANDS), seed: int = 7
) -> list[Kill]:
    """Kill these commands in turn, so many times in all."""
    chance = random.Random(seed)
    scenes: dict[str, Scene] = {}
    kills = []
    for number in range(rounds):
        command = commands[number % len(commands)]
        if command not in scenes:
            scenes[command] = Scene(command, folder / command.replace(" ", "-"))
        scene = scenes[command]
        kills.append(scene.kill(scene.choose(chance)))
    return kills


def main(rounds: int) -> int:
    with tempfile.TemporaryDirectory() as place:
        kills = kill_commands(rounds, Path(place))
    print(f"{'command':20} {'kills':>5} {'killed':>6} {'leftovers':>9} {'half':>5}")
    for command in COMMANDS:
        own = [kill for kill in kills if kill.command == command]
        killed, half = (
            sum(kill.was_killed for kill in own),
            sum(bool(kill.problems) for kill in own),
        )
        left = sum(bool(kill.leftovers) for kill in own)
        print(f"{command:20} {len(own):5} {killed:6} {left:9} {half:5}")
    swept = sum(bool(kill.leftovers) and not kill.problems for kill in kills)
    print(f"{swept} kills left a hidden file, and the next run cleared it away")
    problems = [f"{kill.command}: {problem}" for kill in kills for problem in kill.problems]
    print("\n".join([f"{len(kills)} kills, {len(problems)} problems", *problems]))
    return 1 if problems else 0


if __name__ == "__main__":
    sys.exit(main(int(sys.argv[1]) if len(sys.argv) > 1 else 300))
