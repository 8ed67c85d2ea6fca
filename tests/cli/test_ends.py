"""How a run ends: faults of Platebook, readers that leave, streams that are closed or narrow."""

import os
import subprocess
import sys
from pathlib import Path

import click
import pytest

from profiles.cli import group
from profiles.cli.exits import Exit
from profiles.cli.meant import MEANT
from tests.cli.conftest import EXAMPLES, ROOT, Run

FAULTY = str(EXAMPLES / "faulty")
PLATEBOOK = [sys.executable, "-m", "profiles"]
needs_posix = pytest.mark.skipif(os.name == "nt", reason="streams as POSIX shells pass them")


def run_process(*words: str, **settings: str) -> subprocess.CompletedProcess[bytes]:
    return subprocess.run(
        [*PLATEBOOK, *words],
        capture_output=True,
        cwd=ROOT,
        env={**os.environ, **settings},
        check=False,
    )


def run_in_shell(line: str) -> subprocess.CompletedProcess[str]:
    """Run a line of POSIX shell in which $P is the command and $F the faulty library."""
    return subprocess.run(
        ["/bin/sh", "-c", line],
        capture_output=True,
        text=True,
        cwd=ROOT,
        env={**os.environ, "P": f"{sys.executable} -m profiles", "F": FAULTY},
        check=False,
    )


def break_command(monkeypatch: pytest.MonkeyPatch, error: BaseException) -> None:
    def fail(*_args: object, **_named: object) -> None:
        raise error

    monkeypatch.setattr(group.platebook, "invoke", fail)


def test_every_command_that_a_word_means_is_there() -> None:
    context = click.Context(group.platebook)
    for commands in MEANT.values():
        for whole in commands:
            inner: click.Command = group.platebook
            for part in whole.split():
                if part.startswith("--"):
                    continue
                assert isinstance(inner, click.Group)
                found = inner.get_command(context, part)
                assert found is not None, whole
                inner = found


def test_a_fault_of_platebook_is_told_in_short_and_ends_with_3(
    platebook: Run, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.delenv("PLATEBOOK_TRACEBACK", raising=False)
    break_command(monkeypatch, KeyError("horn\x1b[2J"))
    ran = platebook("check")
    assert (ran.code, ran.out) == (Exit.INTERNAL, "")
    assert ran.err == (
        "platebook: internal fault, KeyError ('horn\\x1b[2J')\n"
        "  This is no fault of yours. Run it again with PLATEBOOK_TRACEBACK=1 set, and report\n"
        "  what it prints together with the files that bring it about.\n"
    )


def test_the_place_of_a_fault_is_shown_where_it_is_asked_for(
    platebook: Run, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("PLATEBOOK_TRACEBACK", "1")
    break_command(monkeypatch, KeyError("horn"))
    with pytest.raises(KeyError):
        platebook("check")


def test_what_the_system_refuses_is_told_by_its_name(
    platebook: Run, monkeypatch: pytest.MonkeyPatch
) -> None:
    break_command(monkeypatch, PermissionError(13, "Permission denied", "boxes/horn.toml"))
    ran = platebook("check")
    assert (ran.code, ran.out) == (2, "")
    assert ran.err == (
        "platebook: cannot use boxes/horn.toml: Permission denied\n"
        "  Check the name and the folder before it, and that you may use both.\n"
    )


def test_a_run_stopped_by_hand_says_so(platebook: Run, monkeypatch: pytest.MonkeyPatch) -> None:
    break_command(monkeypatch, KeyboardInterrupt())
    ran = platebook("check")
    assert (ran.code, ran.err) == (Exit.STOPPED, "\nstopped\n")


@pytest.mark.parametrize("words", [[], ["new"], ["print"]])
def test_no_command_shows_the_help_on_stderr(platebook: Run, words: list[str]) -> None:
    ran = platebook(*words)
    assert (ran.code, ran.out) == (2, "")
    assert ran.err.startswith("Usage: platebook")
    assert "see `platebook" not in ran.err


@pytest.mark.parametrize(
    ("words", "first"),
    [
        (["new", "devise", "x"], "no command `devise`; did you mean `device`?"),
        (["print", "legnd"], "no command `legnd`; did you mean `legend`?"),
        (
            ["label"],
            "no command `label`; did you mean `platebook print strip` or `platebook print legend`?",
        ),
        (["test"], "no command `test`; did you mean `platebook press test`?"),
        (["Drill"], "no command `Drill`; did you mean `platebook print drill`?"),
        (["cards"], "no command `cards`; did you mean `platebook print card`?"),
        (["lint"], "no command `lint`; did you mean `platebook check`?"),
        (["qwertz"], "no command `qwertz`"),
        (["print", "label"], "no command `label`; did you mean `strip` or `legend`?"),
        (["press", "bom"], "no command `bom`; did you mean `platebook print parts`?"),
        (["print", "zzz"], "no command `zzz`"),
        (["check", "--jso"], "no option `--jso`; did you mean `--json`?"),
        (
            ["check", "--severity", "warn"],
            "invalid value for '--severity': 'warn' is not one of 'error', 'warning', 'note'; "
            "did you mean `warning`?",
        ),
        (
            ["arrange", "box", "--mirror", "leftright"],
            "invalid value for '--mirror': 'leftright' is not one of 'left-right', 'top-bottom'; "
            "did you mean `left-right`?",
        ),
        (
            ["check", "--severity", "zzz"],
            "invalid value for '--severity': 'zzz' is not one of 'error', 'warning', 'note'",
        ),
        (["check", "--zzz"], "no option `--zzz`"),
        (["new", "device"], "missing argument 'ID'"),
        (["check", "a", "b"], "got unexpected extra argument (b)"),
        (
            ["print", "wiring", "box"],
            "got unexpected extra argument (box); did you mean `--device box`?",
        ),
        (["check", "a", "--library", "b"], "name the library once: as LIBRARY or with --library"),
    ],
)
def test_a_wrong_call_is_answered_in_one_voice(
    platebook: Run, words: list[str], first: str
) -> None:
    ran = platebook(*words)
    assert (ran.code, ran.out) == (2, "")
    assert ran.err.splitlines()[0] == f"platebook: {first}"
    assert ran.err.splitlines()[1].startswith("  see `platebook")


@needs_posix
def test_a_reader_that_leaves_early_is_no_error() -> None:
    ran = run_in_shell("{ $P check $F; echo ended $? >&2; } | head -n 1")
    assert len(ran.stdout.splitlines()) == 1
    assert "ended 0" in ran.stderr or "ended 1" in ran.stderr
    assert "Traceback" not in ran.stderr
    assert "Exception" not in ran.stderr


@needs_posix
@pytest.mark.parametrize(
    ("streams", "said"), [(">&-", ""), ("<&-", None), ("2>&-", None), (">&- 2>&- <&-", "")]
)
def test_closed_streams_are_borne(streams: str, said: str | None) -> None:
    ran = run_in_shell(f"$P check $F {streams}")
    assert ran.returncode == 1
    assert ran.stderr == ""
    if said is not None:
        assert ran.stdout == said
    else:
        assert "Found " in ran.stdout


@needs_posix
@pytest.mark.parametrize(
    ("words", "code", "said"),
    [
        ("check --fix $F", 1, ""),
        ("open $F", 2, "platebook: the screen needs a terminal of its own\n"),
        (
            "new application new --actions - --library $F",
            2,
            "platebook: the list names no action\n",
        ),
    ],
)
def test_where_nothing_can_be_typed_nothing_is_asked(words: str, code: int, said: str) -> None:
    ran = run_in_shell(f"$P {words} <&-")
    assert (ran.returncode, ran.stderr[: len(said)]) == (code, said)


@needs_posix
def test_a_list_without_end_is_refused() -> None:
    ran = run_in_shell("$P new application new --actions - --library $F < /dev/zero")
    assert (ran.returncode, ran.stderr) == (
        2,
        "platebook: standard input gives more than the 2 MB that are read\n"
        "  Give it a list of names, one a line.\n",
    )


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="a disk that is always full")
@pytest.mark.parametrize(
    ("words", "verb"), [("check $F", "write"), ("explain", "write"), ("--help", "use")]
)
def test_a_full_disk_is_told_in_one_line(words: str, verb: str) -> None:
    ran = run_in_shell(f"$P {words} > /dev/full")
    assert ran.returncode == 2
    assert ran.stderr == f"platebook: cannot {verb} the output: No space left on device\n"


def test_letters_the_terminal_lacks_become_escapes(tmp_path: Path) -> None:
    device = (
        'format = 1\n[device]\nid = "d"\nname = "D"\n[plate]\nwidth = 90.0\nheight = 90.0\n'
        '[controls.a]\nkind = "momentary"\nlabel = "a"\nlaebl = "Łódź"\n'
        "position = [20.0, 20.0]\nhole = 12.0\ninput = 1\n"
    )
    (tmp_path / "d.toml").write_text(device, encoding="utf-8")
    ran = run_process("check", str(tmp_path), PYTHONIOENCODING="ascii")
    assert ran.returncode == 2
    assert b'11 | laebl = "\\u0141\\xf3d\\u017a"' in ran.stdout
    assert ran.stderr == b""


def test_the_text_of_a_file_is_utf_8_whatever_the_locale(tmp_path: Path) -> None:
    path = tmp_path / "a.json"
    path.write_text('{"name": "Łódź"}', encoding="utf-8")
    ran = run_process("convert", str(path), "--to", "toml", PYTHONIOENCODING="ascii")
    assert (ran.returncode, ran.stderr) == (0, b"")
    assert ran.stdout.decode("utf-8") == 'name = "Łódź"\n'


@pytest.mark.parametrize("name", ["box.yaml", "box.json", "box"])
def test_a_starter_goes_into_toml_only(platebook: Run, tmp_path: Path, name: str) -> None:
    ran = platebook("new", "device", "box", "-o", name)
    assert ran.code == 2
    assert ran.err.splitlines() == [
        f"platebook: a starter is TOML, and {name} does not end with .toml",
        "  Name it so; `platebook convert` makes YAML or JSON of it.",
    ]
    assert not (tmp_path / name).exists()


@needs_posix
def test_a_current_folder_that_is_gone_is_named(tmp_path: Path) -> None:
    ran = run_in_shell(f"mkdir {tmp_path}/x && cd {tmp_path}/x && rmdir {tmp_path}/x && $P check")
    assert (ran.returncode, ran.stdout, ran.stderr) == (
        *(2, ""),
        "platebook: cannot use the current folder: No such file or directory\n"
        "  Change to a folder that is there.\n",
    )


@needs_posix
def test_a_folder_that_begins_like_a_users_is_a_folder(platebook: Run, library: Path) -> None:
    library.rename(library.parent / "~nobody-at-all")
    assert platebook("check", "~nobody-at-all").code == 0
    ran = platebook("print", "legend", "--library", "./~nobody-at-all", "-o", "~no/x.svg")
    assert (ran.code, ran.out) == (0, "~no/x.svg\n"), ran.err


STOP_AT_IMPORT = """
import os, sys

class Finder:
    def find_spec(self, name, path=None, target=None):
        if name == {name!r}:
            os.kill(os.getpid(), 2)

sys.meta_path.insert(0, Finder())
sys.argv = ["platebook", "check", {library!r}]
from profiles.__main__ import main
{then}
main()
"""


def stop_at(name: str = "", then: str = "") -> "subprocess.CompletedProcess[str]":
    """Check a library, stopped where a module is looked for, or doing something else first."""
    script = STOP_AT_IMPORT.format(name=name, then=then, library=FAULTY)
    return subprocess.run(
        [sys.executable, "-c", script], capture_output=True, text=True, cwd=ROOT, check=False
    )


@needs_posix
@pytest.mark.parametrize(
    "name", ["click", "profiles.cli.exits", "pydantic", "profiles.cli.commands.check_command"]
)
def test_a_stop_while_modules_load_ends_with_130_and_no_traceback(name: str) -> None:
    ran = stop_at(name)
    assert (ran.returncode, ran.stdout, ran.stderr) == (Exit.STOPPED, "", "\nstopped\n")


@needs_posix
@pytest.mark.parametrize("name", ["signal", "enum", "profiles.cli", "profiles.cli.main"])
def test_a_stop_before_it_can_be_listened_for_says_nothing(name: str) -> None:
    """From the first line that is ours: what Python does before, no program can change."""
    ran = stop_at(name)
    assert (ran.returncode, ran.stdout, ran.stderr) == (Exit.STOPPED, "", "")


@needs_posix
def test_a_stop_between_the_start_and_the_run_ends_with_130() -> None:
    """Where the script that `pip` made works out how the program was called."""
    ran = stop_at(then="os.kill(os.getpid(), 2)")
    assert (ran.returncode, ran.stdout, ran.stderr) == (Exit.STOPPED, "", "\nstopped\n")


@needs_posix
def test_a_stop_that_python_makes_another_error_of_is_a_stop() -> None:
    """Until 3.12 what is raised in `__set_name__` is a RuntimeError (python/cpython, 77757)."""
    then = """
import os
from click import Group

class Stopped:
    def __set_name__(self, owner, name):
        os.kill(os.getpid(), 2)

Group.main = lambda *_, **__: type("Anything", (), {"stopped": Stopped()})
"""
    ran = stop_at(then=then)
    assert (ran.returncode, ran.stdout, ran.stderr) == (Exit.STOPPED, "", "stopped\n")


@needs_posix
def test_a_stop_is_not_heard_where_the_shell_has_switched_it_off() -> None:
    """POSIX 2.12: a shell without job control starts `&` jobs with SIGINT ignored."""
    script = STOP_AT_IMPORT.format(name="click", then="", library=str(EXAMPLES / "harbour"))
    ran = subprocess.run(
        ["/bin/sh", "-c", "trap '' INT; exec $0 -c \"$1\"", sys.executable, script],
        capture_output=True,
        text=True,
        cwd=ROOT,
        check=False,
    )
    assert (ran.returncode, ran.stdout) == (0, "Nothing found.\n")
    assert "stopped" not in ran.stderr
