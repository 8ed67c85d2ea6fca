"""A library of 300 profiles of 60 bindings, for measuring.

Run as a program with a folder that holds one small and one big library, it prints in JSON how many
kilobytes of memory loading the big one takes at its highest.
"""

import json
import sys
from pathlib import Path

PROFILES, BINDINGS = 300, 60


def write_library(folder: Path, profiles: int = PROFILES) -> int:
    """Write a library and return its size in bytes."""
    controls = [f"button-{number:02}" for number in range(BINDINGS)]
    _write(folder / "desk.toml", _device(controls))
    _write(folder / "harbour.toml", _application(BINDINGS))
    for number in range(profiles):
        _write(folder / "profiles" / f"{number:03}.toml", _profile(number, controls))
    return sum(path.stat().st_size for path in folder.rglob("*.toml"))


def _write(path: Path, lines: list[str]) -> None:
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_text("\n".join([*lines, ""]), "utf-8")


def _device(controls: list[str]) -> list[str]:
    lines = ["format = 1", "[device]", 'id = "desk"', 'name = "Desk"']
    lines += ["[plate]", "width = 400.0", "height = 300.0"]
    for number, control in enumerate(controls):
        x, y = 20.0 + 35.0 * (number % 10), 20.0 + 45.0 * (number // 10)
        lines += [f"[controls.{control}]", 'kind = "momentary"', f'label = "B{number}"']
        lines += [f"position = [{x}, {y}]", "hole = 16.2", f"input = {number + 1}"]
    return lines


def _application(actions: int) -> list[str]:
    lines = ["format = 1", "[application]", 'id = "harbour"', 'name = "Harbour"']
    for number in range(actions):
        lines += [f"[actions.do-{number:02}]", f'name = "Do number {number}"']
    return lines


def _profile(number: int, controls: list[str]) -> list[str]:
    lines = ["# One of many.", "format = 1", "[profile]", f'id = "profile-{number:03}"']
    lines += ['application = "harbour"', 'device = "desk"', "", "[bindings]"]
    for at, control in enumerate(controls):
        action = f"do-{(at + number) % len(controls):02}"
        if at % 6 == 0:
            lines.append(f'{control} = {{ action = "{action}", legend = "DO {at}" }}')
        else:
            lines.append(f'"{control}.press" = "{action}"')
    return lines


def measure_memory(folder: str) -> int:
    """Return the kilobytes that loading takes at its highest.

    Counted from the interpreter with pydantic loaded and the model's validators built, which
    cost the same whatever the library's size.
    """
    from profiles.files.library import load_library

    load_library(f"{folder}/small")
    before = _read_memory("VmRSS")
    loaded = load_library(f"{folder}/big")
    assert len(loaded.library.profiles) == PROFILES
    return _read_memory("VmHWM") - before


def _read_memory(name: str) -> int:
    """Return a figure of proc_pid_status(5) in kB; `getrusage` would count the parent's too."""
    lines = Path("/proc/self/status").read_text("ascii").splitlines()
    return next(int(line.split()[1]) for line in lines if line.startswith(name))


if __name__ == "__main__":
    print(json.dumps(measure_memory(sys.argv[1])))
