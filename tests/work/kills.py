"""Commands killed while they write; run as `python -m tests.work.kills [ROUNDS]`, 300 by default.

Every command that writes runs in a child, over files that it wrote before from an older library.
The child is killed (SIGKILL) at a random moment between its first write and its end. Then every
file is held against what a run that nobody kills leaves: it must be as before, as after, or, where
it was not there before, absent; the same command run again must bring all of it to its end, and
leave nothing else behind. Prints a table; ends with 1 where anything was half.
"""

import os
import random
import shutil
import signal
import sys
import tempfile
import time
from collections.abc import Sequence
from pathlib import Path
from typing import NamedTuple

from profiles.cli.main import run
from profiles.work.outputs import write_output
from tests.conftest import EXAMPLES

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
    "press test": (*TEST, "out/report.pdf", "--report", "out/report.html"),
    "press measurements": ("press", "measurements", RECORDING, *LIBRARY, "--svg", "out/plots.svg"),
}
"""Every command that writes files, by a short name."""

CHANGES = {
    '\nname = "': '\nname = "New ',
    "width = 170.0": "width = 171.0",
    "hole = 3.4": "hole = 3.6",
    "debounce = 7.0": "debounce = 8.0",
    "board_at = [85.0, 60.0]": "board_at = [95.0, 60.0]",
}
"""What is changed in the devices, so that every file made from them is another."""

REFUSES_AGAIN = ("new device", "new board", "convert")
"""What is refused where its file is there already."""

WRITES_ANEW = (*REFUSES_AGAIN, "schema", "demo", "wiring renumber", "convert --csv")
"""What has written nothing before."""

Tree = dict[str, bytes]


class Kill(NamedTuple):
    """What one killed run left."""

    command: str
    was_writing: bool
    """Whether the kill came before the end."""
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
    return Path(name).name.startswith(".platebook-saving-")


def in_child(folder: Path, words: Sequence[str]) -> tuple[int, bool]:
    """Run a command in a child; its id, as soon as it first writes or ends, and which it was."""
    reader, writer = os.pipe()
    sys.stdout.flush()
    child = os.fork()
    if child:
        os.close(writer)
        has_written = bool(os.read(reader, 1))
        os.close(reader)
        return child, has_written
    sys.dont_write_bytecode = True
    os.chdir(folder)
    with Path(os.devnull).open("w") as nothing:
        os.dup2(nothing.fileno(), 1)
        os.dup2(nothing.fileno(), 2)
    told = False

    def listen(event: str, arguments: tuple[object, ...]) -> None:
        nonlocal told
        writes = event in ("tempfile.mkstemp", "os.mkdir", "os.rename", "os.link") or (
            event == "open" and bool({*"wxa"} & {*str(arguments[1])})
        )
        if writes and not told:
            told = True
            os.write(writer, b"w")

    sys.addaudithook(listen)
    os._exit(run(list(words)))


def run_whole(folder: Path, words: Sequence[str]) -> tuple[int, float]:
    """Run a command to its end; its exit code, and seconds from its first write to its end."""
    child, has_written = in_child(folder, words)
    start = time.perf_counter()
    _, status = os.waitpid(child, 0)
    return os.waitstatus_to_exitcode(status), time.perf_counter() - start if has_written else 0.0


def run_killed(folder: Path, words: Sequence[str], delay: float) -> bool:
    """Kill a command some seconds after its first write; whether that was before its end."""
    child, _ = in_child(folder, words)
    end = time.perf_counter() + delay
    while time.perf_counter() < end:
        pass
    os.kill(child, signal.SIGKILL)
    _, status = os.waitpid(child, 0)
    return os.WIFSIGNALED(status)


class Scene:
    """A command's folder: as before it runs, and as it leaves it."""

    def __init__(self, command: str, folder: Path) -> None:
        self.command, self.words, self.folder = command, COMMANDS[command], folder
        write_tree(folder, {})
        folder.mkdir()
        shutil.copytree(EXAMPLES / "harbour", folder / "mine")
        profile = f"mine/profiles/{BRIDGE}.toml"
        run_whole(folder, ("convert", profile, "--csv", "-o", "bindings.csv"))
        table = folder / "bindings.csv"
        table.write_text(table.read_text("utf-8").replace("raise-glass", "look-ahead"), "utf-8")
        if command not in WRITES_ANEW:
            code, _ = run_whole(folder, self.words)
            assert code in (0, 1), command
            for path in (folder / "mine" / "devices").iterdir():
                text = path.read_text("utf-8")
                for old, new in CHANGES.items():
                    text = text.replace(old, new)
                path.write_text(text, "utf-8")
        self.before = read_tree(folder)
        self.code, self.window = run_whole(folder, self.words)
        self.after = read_tree(folder)
        assert self.code in (0, 1), command
        assert self.window > 0, command

    def kill(self, delay: float) -> Kill:
        write_tree(self.folder, self.before)
        was_writing = run_killed(self.folder, self.words, delay)
        problems = [
            f"{name} is half"
            for name, data in read_tree(self.folder).items()
            if not is_leftover(name) and data not in (self.before.get(name), self.after.get(name))
        ]
        problems += [f"{name} is gone" for name in self.before if not (self.folder / name).exists()]
        code, _ = run_whole(self.folder, self.words)
        if code not in (self.code, 2 if self.command in REFUSES_AGAIN else self.code):
            problems.append(f"run again, it ends with {code}")
        for folder in {path.parent for path in self.folder.rglob(".platebook-saving-*")}:
            if self.command in REFUSES_AGAIN:  # nothing was written, so nothing was cleared away
                write_output(folder / "next.html", b"<p>next</p>")
                (folder / "next.html").unlink()
        if read_tree(self.folder) != self.after:
            problems.append("run again, it does not come to its end")
        return Kill(self.command, was_writing, tuple(problems))


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
        kills.append(scene.kill(chance.uniform(0, scene.window)))
    return kills


def main(rounds: int) -> int:
    with tempfile.TemporaryDirectory() as place:
        kills = kill_commands(rounds, Path(place))
    print(f"{'command':20} {'kills':>5} {'while writing':>13} {'half':>5}")
    for command in COMMANDS:
        own = [kill for kill in kills if kill.command == command]
        writing, half = (
            sum(kill.was_writing for kill in own),
            sum(bool(kill.problems) for kill in own),
        )
        print(f"{command:20} {len(own):5} {writing:13} {half:5}")
    problems = [f"{kill.command}: {problem}" for kill in kills for problem in kill.problems]
    print("\n".join([f"{len(kills)} kills, {len(problems)} problems", *problems]))
    return 1 if problems else 0


if __name__ == "__main__":
    sys.exit(main(int(sys.argv[1]) if len(sys.argv) > 1 else 300))
