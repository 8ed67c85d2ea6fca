"""Commands that the system refuses a file: a full disk, nothing but reading, a second saver.

Run as `python -m tests.work.refusals [COMMAND...]`, on Linux: every command of `tests.work.kills`
runs in a child with file systems of its own (`tests.systems.apart`), nothing is simulated:

- full: a file system in memory with so many blocks free, from none until it suffices
- read-only: a mount that is read-only (EROFS); folders without the right to write (EACCES); the
  files that are to be replaced without it
- races: at every change of a file that a command makes, another run begins, and goes on to its end
  or until it has to wait for the first

A refused run ends with 2 and one message, leaves every file whole, as before or as after, and no
hidden file; the same command, once it may, comes to its end. Of two runs the files are as one after
the other leaves them, or one was refused and said so. Prints a table; ends with 1 at a problem.
"""

import os
import re
import stat
import sys
import tempfile
from collections.abc import Callable, Iterator, Sequence
from functools import partial
from pathlib import Path
from typing import NamedTuple

from profiles.work.every_sheet import LISTING
from profiles.work.outputs import is_own
from tests.systems.apart import (
    drop_privileges,
    mount_memory,
    mount_read_only,
    run_apart,
    unmount,
)
from tests.systems.meanwhile import Told, begin, run_both
from tests.work.kills import (
    COMMANDS,
    LIBRARY,
    REFUSES_AGAIN,
    Scene,
    Tree,
    is_leftover,
    read_tree,
    run_words,
    write_tree,
)

ROOM = 96 * 1024 * 1024
"""Bytes of the file system in memory."""

FULL = "no space left on device"
REFUSED = ("read-only", "permission denied", "may not be")
"""Words of a refusal, in small letters."""

RACED = (
    *("changed on disk", "is there already", "made meanwhile", "changes all the time"),
    *("is taken by", "is taken in", "was changed meanwhile"),
)
"""Words of a run that another was faster than."""

DONE = re.compile(r"(?m)^\d+/\d+ .*\n")
"""A line that tells of a sheet among many, done before the one that was refused."""

UP = ("--shift", "0,-1", "--write")
PROFILE = "mine/profiles/brackwater-bridge.toml"
OTHERS = {
    **dict.fromkeys(("arrange", "wiring plan"), ("arrange", "lookout-box", *LIBRARY, *UP)),
    "wiring renumber": ("arrange", "helm-desk", *LIBRARY, *UP),
    "convert --csv": ("convert", "others.csv", "--csv", "--into", PROFILE),
    "suggest": ("convert", "bindings.csv", "--csv", "--into", PROFILE),
    "check --fix": ("convert", "bindings.csv", "--csv", "--into", PROFILE),
    "the screen": ("the screen", "desk", "right", "x"),
}
"""What runs meanwhile: another change of the same file; where there is none, the command itself."""


class Try(NamedTuple):
    """One run that was refused, or was not, and what was wrong with it."""

    command: str
    trial: str
    was_refused: bool
    problems: tuple[str, ...]


def tell(folder: Path, words: Sequence[str], before: Callable[[], object] = int) -> Told:
    """Run a command in a child to its end; first it does something else."""

    def deed() -> int:
        before()
        return run_words(words)

    return begin(folder, deed).finish()


def find_faults(scene: Scene, told: Told, why: Sequence[str]) -> Iterator[str]:
    """What is wrong with a run that could not write: its code, its words, the files it left."""
    if told.code != 2:
        yield f"ends with {told.code}"
    yield from find_words(told, why)
    yield from find_half(scene)


def find_words(told: Told, why: Sequence[str]) -> Iterator[str]:
    """What is wrong with how a run says why it was refused, its progress until then left out."""
    words = DONE.sub("", told.words)
    shown = words.replace("\n", " / ")
    if words.count("platebook: ") != 1 or not words.startswith("platebook: "):
        yield f"not one message: {shown}"
    if not any(word in told.words.lower() for word in why) or "Traceback" in told.words:
        yield f"does not say why: {shown}"


def find_half(scene: Scene) -> Iterator[str]:
    now = read_tree(scene.folder)
    for name, data in now.items():
        if is_leftover(name):
            yield f"{name} is left over"
        elif Path(name).name == LISTING and is_own(data):
            continue  # it grows with every sheet
        elif data not in (scene.before.get(name), scene.after.get(name)):
            yield f"{name} is half, or another"
    yield from (f"{name} is gone" for name in scene.after if scene.is_lost(name))
    if not scene.after.keys() <= now.keys():
        yield from (f"{name} is gone" for name in scene.before if name not in now)


def find_end(scene: Scene) -> Iterator[str]:
    """What is wrong with the same command run again, now that it may write."""
    scene.end_renaming()
    is_done = read_tree(scene.folder) == scene.after
    again = tell(scene.folder, scene.words)
    if again.code != scene.code and not (is_done and scene.command in REFUSES_AGAIN):
        yield f"run again, it ends with {again.code}: {again.words}"
    if read_tree(scene.folder) != scene.after:
        yield "run again, it does not come to its end"


def fill_disk(scene: Scene) -> Iterator[Try]:
    """Run with so many blocks free, none at first, until there is room for all."""
    filler, free = scene.folder.parent / "filler", 0
    while True:
        write_tree(scene.folder, scene.before)
        room = os.statvfs(scene.folder)
        with filler.open("wb") as file:
            for _ in range(room.f_bavail - free):
                file.write(bytes(room.f_bsize))
        told = tell(scene.folder, scene.words)
        filler.unlink()
        if told.code == scene.code and read_tree(scene.folder) == scene.after:
            break
        problems = [*find_faults(scene, told, [FULL]), *find_end(scene)]
        yield Try(scene.command, "full", True, tuple(f"{free} free: {one}" for one in problems))
        free = max(free + 1, free * 3)


def forbid(scene: Scene) -> Iterator[Try]:
    """Run where nothing can be written, for three reasons."""
    write_tree(scene.folder, scene.before)
    mount_read_only(scene.folder)
    told = tell(scene.folder, scene.words)
    unmount(scene.folder)
    problems = [*find_faults(scene, told, REFUSED), *find_end(scene)]
    yield Try(scene.command, "mount", True, tuple(problems))

    write_tree(scene.folder, scene.before)
    folders = [scene.folder, *(path for path in scene.folder.rglob("*") if path.is_dir())]
    allow(folders, writing=False)
    told = tell(scene.folder, scene.words, drop_privileges)
    allow(folders, writing=True)
    problems = [*find_faults(scene, told, REFUSED), *find_end(scene)]
    yield Try(scene.command, "folder", True, tuple(problems))

    write_tree(scene.folder, scene.before)
    replaced = {name for name, data in scene.before.items() if data != scene.after.get(name)}
    if replaced:
        files = [scene.folder / name for name in replaced]
        allow(files, writing=False)
        told = tell(scene.folder, scene.words, drop_privileges)
        changed = {
            name for name in replaced if (scene.folder / name).read_bytes() != scene.before[name]
        }
        allow(files, writing=True)
        problems = [f"{name} was written over" for name in changed]
        problems += [*find_faults(scene, told, REFUSED), *find_end(scene)]
        yield Try(scene.command, "file", True, tuple(problems))


def allow(paths: Sequence[Path], *, writing: bool) -> None:
    """Give the right to write to these, or take it from all."""
    for path in paths:
        mode = stat.S_IMODE(path.stat().st_mode)
        path.chmod(mode | stat.S_IWUSR if writing else mode & ~0o222)


def race(scene: Scene, moments: int) -> Iterator[Try]:
    """At so many changes that the command makes let another run, to its end or until it waits."""
    first, second = scene.words, OTHERS.get(scene.command, scene.words)
    ends = {
        (True, True): [run_all(scene, first, second), run_all(scene, second, first)],
        (True, False): [run_all(scene, first)],
        (False, True): [run_all(scene, second)],
    }
    last = len(scene.calls) - 1
    for event in sorted({last * step // moments for step in range(moments + 1)}):
        write_tree(scene.folder, scene.before)
        runs = (partial(run_words, first), partial(run_words, second))
        told = run_both(scene.folder, *runs, event)
        done = (told[0].code != 2, told[1].code != 2)
        problems = [
            problem
            for each in told
            for problem in (find_words(each, RACED) if each.code == 2 else ())
        ]
        if first == second:
            problems += find_half(scene)
        if any(done) and read_tree(scene.folder) not in ends[done]:
            problems.append(f"something is lost: {told}")
        if not any(done) and first != second:
            problems.append(f"each is in the other's way: {told}")
        problems = [f"change {event + 1}: {problem}" for problem in problems]
        yield Try(scene.command, "race", not all(done), tuple(problems))


def run_all(scene: Scene, *runs: Sequence[str]) -> Tree:
    """What is there after these, one after another."""
    write_tree(scene.folder, scene.before)
    for words in runs:
        tell(scene.folder, words)
    return read_tree(scene.folder)


def try_command(command: str, moments: int) -> list[Try]:
    """All trials of a command, in a child with a file system of its own.

    Other runs begin at the first and the last change of a file, and in between, evenly spread, so
    that there are so many `moments` more.
    """

    def try_all() -> list[Try]:
        with tempfile.TemporaryDirectory() as place:
            mount_memory(Path(place), ROOM)
            scene = Scene(command, Path(place) / "scene")
            found = [*fill_disk(scene), *forbid(scene), *race(scene, moments)]
            unmount(Path(place))
        return found

    return [Try(*each) for each in run_apart(try_all)]


def main(commands: Sequence[str]) -> int:
    kinds = ("full", "mount", "folder", "file", "race")
    print(f"{'command':20}", *(f"{kind:>12}" for kind in kinds), f"{'problems':>9}")
    problems = []
    for command in commands or COMMANDS:
        tries = try_command(command, 4)
        counts = [[each for each in tries if each.trial == kind] for kind in kinds]
        cells = (f"{sum(one.was_refused for one in each)} of {len(each)}" for each in counts)
        found = [f"{command}, {each.trial}: {one}" for each in tries for one in each.problems]
        print(f"{command:20}", *(f"{cell:>12}" for cell in cells), f"{len(found):9}", flush=True)
        problems += found
    print("\n".join([f"{len(problems)} problems", *problems]))
    return 1 if problems else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
