"""Every kind of file that Platebook reads, and the commands that read it, run as a user runs them.

A case is the bytes of one such file. It is put into a small library of its own, and each command
that reads such a file is run on it. What goes wrong is a `Fault`: a traceback (exit code 3), more
processor time or memory than a case may take, an answer that cannot be printed, or a file that is
left behind.
"""

import contextlib
import io
import json
import os
import shutil
import signal
import sys
import tempfile
import time
from collections.abc import Callable, Sequence
from pathlib import Path
from random import Random
from typing import Any, NamedTuple
from unittest.mock import patch
from zlib import crc32

from profiles.cli.main import run
from profiles.files.documents import FORMATS, parse_text
from profiles.files.faults import FileFaultError
from profiles.files.library import load_library
from profiles.files.validate import KINDS
from profiles.live.lines import RECORDING_KINDS
from profiles.sheets.requests import SHEETS
from profiles.wiring.boards import PACKAGED
from profiles.work.every_sheet import LISTING, list_left
from profiles.work.outputs import stamp
from profiles.work.recovery import PREFIX, find_leftovers
from profiles.work.remembered import ENVIRONMENT_NAME as REMEMBERED
from profiles.work.remembered import recall
from tests.conftest import APPLICATION, DEVICE, EXAMPLES, PROFILE
from tests.fuzz import bundles
from tests.fuzz.tear import bend_content, make_case, make_content, tear_bytes, tear_content

MOST_SECONDS = 2.0
"""Processor time of one case."""

MOST_DIAGNOSING = 10.0
"""Processor time of a recording: where nothing explains it, every pair of faults is weighed."""

MOST_PRINTING = 5.0
"""Processor time of a sheet, or of its refusal."""

MOST_MEMORY = 300
"""MB that the process has ever taken after a case, the program and its libraries included."""

FINE = (0, 1, 2)
"""Exit codes of a run that ended as it should."""

HARBOUR = EXAMPLES / "harbour"
DOCUMENTS = sorted(
    path
    for path in EXAMPLES.rglob("*.*")
    if path.suffix in FORMATS and path.parts[-2] != "broken" and path.stat().st_size < 40_000
)
DEVICE_FILES = [path for path in DOCUMENTS if b"controls" in path.read_bytes()]
RECORDING = HARBOUR / "recordings" / "helm-desk-press.jsonl"
HARBOUR_FILES = sorted(path for path in DOCUMENTS if path.is_relative_to(HARBOUR))
PROFILES = ("brackwater-bridge", "cobblegate-on-helm-desk", "ninefold-on-helm-desk")
QUIZZED = "cobblegate-on-helm-desk"
USES = (
    *(
        f"print {sheet} --format {form} -o {{out}}.{form}"
        for sheet, kind in SHEETS.items()
        for form in kind.formats
        if kind.takes[0] == 0
    ),
    *(f"wiring {one} DEVICE" for one in ("show", "host", "descriptor", "plan", "renumber")),
    *("firmware DEVICE --for avr -o {out}", "handover DEVICE -o {out}.html"),
    *("convert {path} --csv", "arrange DEVICE --shift 1,0", "press learn DEVICE", "boards"),
)
"""What is worked out of a device alone."""

BOTH = (
    *(f"print card --profile {one} --format html -o {{out}}.html" for one in PROFILES),
    *(f"print legend --profile {one} --format svg -o {{out}}.svg" for one in PROFILES),
    *(f"session {one} --list" for one in PROFILES),
    *(f"suggest {one} --json" for one in PROFILES),
    *(f"bundle make {one} -o {{out}}.zip" for one in PROFILES),
    *("compare --device helm-desk --format csv -o {out}.csv", "rename helm-desk tower --write"),
    *("delete brackwater --write", "handover helm-desk -o {out}.html", "check --json"),
    *("check --sarif", "check --fix --yes", "schema --verify", f"changes {HARBOUR}"),
    *("press test helm-desk --from " + str(RECORDING), "wiring plan helm-desk --json"),
    *("new profile again --application brackwater --device helm-desk", "boards --json"),
)
"""What is worked out of a library."""

SETTINGS_TABLES = {
    "txt": "format = 'lines'\nline = '{any}\"{action}\" = {device}/{number}'",
    "ini": "format = 'ini'\nat = '{device}/{action}'\nvalue = 'Button{number}'",
    "xml": "format = 'xml'\nat = 'keys/{action}'\nfields = { n = '{number}' }",
    "json": "format = 'json'\nat = 'keys/{action}'\nvalue = '{number}'",
}
SETTINGS = {
    "txt": b'key "sound-horn" = desk0/11\nkey "ring-bell" = desk0/2\n',
    "ini": b"[desk]\nsound-horn = Button1\nring-bell=Button2\n; said\n",
    "xml": b"<s><keys><sound-horn n='1'/><ring-bell n='2'>x</ring-bell></keys></s>",
    "json": b'{"keys": {"sound-horn": "1", "ring-bell": 2, "other": [1, null, {"a": true}]}}',
}
BINDINGS_TABLE = b"contact,action,legend\nhorn,sound-horn,HORN\nbell,ring-bell,\n"
CONTROLS_TABLE = (
    b"control,label,kind,x,y,hole,front\nhorn,HORN,momentary,30,40,16.2,18\n"
    b"bell,BELL,momentary,90,40,16.2,18\nthird;,x,momentary,60,20,7,9\n"
)
LIST = b"# Deck\n- Sound the horn\n- Ring the bell\n\nBridge:\n  1. Turn\tthe wheel\n"
RULES = (
    b'format = 1\n[severity]\ncontact-unused = "off"\n[[accept]]\ncode = "contact-unused"\n'
    b'subject = "desk:controls.horn"\nreason = "spare"\n'
)
STATE = b'{"format": 1, "profile": "harbour-desk", "states": {"horn": "done", "a": "skipped"}}'
SHEET_LISTING = b'{"format": 1, "sheets": {"a.pdf": "0f", "b/c.svg": "1e"}}'
LOOKED_AT = b'{"format": 1, "look": "dark", "places": {"/x": ["p", "d"], "/y": ["q", "e"]}}'
WORK = json.dumps({"format": 1, "work": {"desk": [DEVICE, DEVICE]}}).encode()


class Case(NamedTuple):
    """The bytes of one file, and the end of its name."""

    suffix: str
    data: bytes


Reader = Callable[[Case, Path], None]
"""Reads a case in a folder that is thrown away."""


class Target(NamedTuple):
    """A kind of file: sound ones, how one is read, and how much each command may take."""

    seeds: Callable[[], Sequence[Case]]
    read: Reader
    seconds: float = MOST_SECONDS
    megabytes: float = MOST_MEMORY


class FaultError(Exception):
    """A case that was not read as it should be."""


class TooSlowError(BaseException):
    """A case took its processor time; no `except Exception` of the program catches it."""


_taken: list[float] = []
"""Processor seconds of each command of a case."""


def command(*words: str | os.PathLike[str]) -> str:
    """Run a command of Platebook; returns what it printed, stderr last.

    Raises:
        FaultError: for a traceback, a wrong exit code, or letters that move a terminal's cursor.
    """
    out, err, started = io.StringIO(), io.StringIO(), time.process_time()
    with contextlib.redirect_stdout(out), contextlib.redirect_stderr(err):
        code = run([os.fspath(word) for word in words])
    _taken.append(time.process_time() - started)
    printed = out.getvalue() + err.getvalue()
    if code not in FINE or "Traceback" in printed:
        raise FaultError(f"exit code {code} of {words[0]}: {printed[-400:]}")
    for letter in printed:
        if (ord(letter) < 32 and letter != "\n") or 0x7F <= ord(letter) < 0xA0:
            raise FaultError(f"{words[0]} printed the control letter {letter!r}")
    return printed


def _read_document(case: Case, folder: Path) -> None:
    (folder / f"torn{case.suffix}").write_bytes(case.data)
    command("check", folder, "--each")
    printed = command("check", folder, "--json")
    if printed.startswith("{"):
        json.loads(printed[: printed.rindex("}") + 1])


def _read_board(case: Case, folder: Path) -> None:
    _read_document(case, folder)
    (folder / "desk.toml").write_text(
        f'{DEVICE}led = {{ forward_voltage = 2.0, current = 8.0, pin = "2" }}\n'
        '[wiring]\nboard = "atmega32u4"\n',
        "utf-8",
    )
    command("check", folder)
    command("boards", "--library", folder)


def _read_bundle(case: Case, folder: Path) -> None:
    (folder / "torn.bundle").write_bytes(case.data)
    command("bundle", "show", folder / "torn.bundle")
    command("bundle", "unpack", folder / "torn.bundle", folder / "inside" / "chosen")
    found = {path.relative_to(folder).parts[0] for path in folder.rglob("*")}
    if not found <= {"torn.bundle", "inside"}:
        raise FaultError(f"a bundle left {found}")


def _use_device(case: Case, folder: Path) -> None:
    """One of the commands that work out something of a device, by the bytes of the case."""
    path = folder / f"torn{case.suffix}"
    path.write_bytes(case.data)
    for device in load_library(folder).library.devices:
        words = USES[crc32(case.data) % len(USES)].format(path=path, out=folder / "out").split()
        if device.startswith("-"):
            return
        command(*(device if word == "DEVICE" else word for word in words), "--library", folder)


def _use_library(case: Case, folder: Path) -> None:
    """One of the commands on the harbour, in which the case stands for the document of its id."""
    content: dict[str, Any] = {}
    with contextlib.suppress(FileFaultError, UnicodeDecodeError):
        content = parse_text(case.data.decode(), FORMATS[case.suffix])
    for path in HARBOUR_FILES:
        inside = folder / path.relative_to(HARBOUR)
        inside.parent.mkdir(exist_ok=True)
        if names_of(parse_text(path.read_text("utf-8"), FORMATS[path.suffix])) != names_of(content):
            inside.write_bytes(path.read_bytes())
    (folder / f"torn{case.suffix}").write_bytes(case.data)
    words = BOTH[crc32(case.data) % len(BOTH)].format(out=folder.parent / "out").split()
    command(*words, "--library", folder)


def names_of(content: dict[str, Any]) -> tuple[object, object]:
    """The kind of a document, and its id where it has one."""
    kind = next((one for one in KINDS if isinstance(content.get(one), dict)), "")
    return kind, content.get(kind, {}).get("id")


def _read_recording(case: Case, folder: Path) -> None:
    torn = folder / "torn.jsonl"
    torn.write_bytes(case.data)
    library = ("--library", HARBOUR)
    command("press", "test", "helm-desk", *library, "--from", torn)
    command("press", "measurements", torn, *library)
    command("press", "learn", "helm-desk", *library, "--from", torn)
    command("press", "learn", "new-box", "--library", folder, "--from", torn)
    command("press", "show", QUIZZED, "--quiz", *library, "--from", torn)


def _read_state(case: Case, folder: Path) -> None:
    _write_small(folder)
    torn = folder.parent / "torn.json"
    torn.write_bytes(stamp(case.data, "json"))
    command("session", "harbour-desk", "--library", folder, "--state", torn, "--list")


def _read_sheet_listing(case: Case, folder: Path) -> None:
    (folder / LISTING).write_bytes(stamp(case.data, "json"))
    list_left(folder, ())


def _read_remembered(case: Case, folder: Path) -> None:
    (folder / "screen.json").write_bytes(case.data)
    with patch.dict(os.environ, {REMEMBERED: str(folder)}):
        recall()


def _read_settings_file(case: Case, folder: Path) -> None:
    _write_small(folder, SETTINGS_TABLES[case.suffix])
    torn = folder.parent / f"torn.{case.suffix}"
    torn.write_bytes(case.data)
    command("check", folder, "--against", torn, "--profile", "harbour-desk")
    command("new", "profile", "again", "--library", folder, "--from", torn)


def _read_bindings(case: Case, folder: Path) -> None:
    _bring_in(case, folder, "harbour-desk.toml")


def _read_controls(case: Case, folder: Path) -> None:
    _bring_in(case, folder, "desk.toml")


def _bring_in(case: Case, folder: Path, into: str) -> None:
    _write_small(folder)
    torn = folder.parent / "torn.csv"
    torn.write_bytes(case.data)
    command("convert", torn, "--csv", "--into", folder / into, "--library", folder)
    command("check", folder)


def _read_list(case: Case, folder: Path) -> None:
    torn = folder.parent / "torn.txt"
    torn.write_bytes(case.data)
    command("new", "application", "made", "--actions", torn, "--library", folder)
    command("new", "device", "box", "--grid", "3x2", "--labels", torn, "--library", folder)
    command("check", folder)


def _read_rules(case: Case, folder: Path) -> None:
    _write_small(folder)
    (folder / "platebook.toml").write_bytes(case.data)
    command("check", folder, "--each")


def _read_work(case: Case, folder: Path) -> None:
    (folder / f"{PREFIX}999999999.json").write_bytes(case.data)
    find_leftovers(folder)


def _write_small(folder: Path, settings_table: str = "") -> None:
    table = f"\n[settings_file]\n{settings_table}\n" if settings_table else ""
    texts = {"desk": DEVICE, "harbour": APPLICATION + table, "harbour-desk": PROFILE}
    for name, text in texts.items():
        (folder / f"{name}.toml").write_text(text, "utf-8")


TARGETS = {
    "used device": Target(
        lambda: [Case(path.suffix, path.read_bytes()) for path in DEVICE_FILES],
        _use_device,
        MOST_PRINTING,
        500,
    ),
    "used library": Target(
        lambda: [Case(path.suffix, path.read_bytes()) for path in HARBOUR_FILES],
        _use_library,
        MOST_DIAGNOSING,
        500,
    ),
    "document": Target(
        lambda: [Case(path.suffix, path.read_bytes()) for path in DOCUMENTS], _read_document
    ),
    "board": Target(
        lambda: [Case(".toml", path.read_bytes()) for path in sorted(PACKAGED.glob("*.toml"))],
        _read_board,
    ),
    "bundle": Target(lambda: [Case("", bundles.SOUND)], _read_bundle),
    "recording": Target(
        lambda: [Case("", _record(kind)) for kind in RECORDING_KINDS],
        _read_recording,
        MOST_DIAGNOSING,
    ),
    "settings file": Target(
        lambda: [Case(suffix, data) for suffix, data in SETTINGS.items()], _read_settings_file
    ),
    "bindings table": Target(lambda: [Case("", BINDINGS_TABLE)], _read_bindings),
    "controls table": Target(lambda: [Case("", CONTROLS_TABLE)], _read_controls),
    "list": Target(lambda: [Case("", LIST)], _read_list),
    "session state": Target(lambda: [Case(".json", STATE)], _read_state),
    "sheet listing": Target(lambda: [Case(".json", SHEET_LISTING)], _read_sheet_listing),
    "remembered": Target(lambda: [Case(".json", LOOKED_AT)], _read_remembered),
    "rules": Target(lambda: [Case("", RULES)], _read_rules),
    "unsaved work": Target(lambda: [Case("", WORK)], _read_work),
}
"""Every kind of file that is read, by its name in reports."""


def _record(kind: str) -> bytes:
    """The recording of the example, as one of this kind would be."""
    first, *lines = RECORDING.read_bytes().splitlines(keepends=True)
    header = json.loads(first) | {"recording": kind}
    if kind == "quiz":
        header |= {"profile": QUIZZED, "seed": 3}
    if kind == "discovery":
        header |= {"device": "new-box"}
        lines = [each for line in lines for each in (line, *_name_control(json.loads(line)))]
    return b"".join([json.dumps(header).encode() + b"\n", *lines])


def _name_control(line: dict[str, object]) -> list[bytes]:
    """What is typed behind an answer: the name of a control and its place."""
    typed = {"time": line["time"], "answer": "typed", "words": f"Horn {line['time']} @ 1,2"}
    return [json.dumps(typed).encode() + b"\n"] if "answer" in line else []


def make_torn(name: str, random: Random) -> Case:
    """A torn file of a kind."""
    if name == "document":
        return Case(*make_case(random, DOCUMENTS))
    if name == "used device":
        return Case(*make_content(random, bend_content, "device"))
    if name == "used library":
        path = random.choice(HARBOUR_FILES)
        content = parse_text(path.read_text("utf-8"), FORMATS[path.suffix])
        return Case(".json", json.dumps(bend_content(content, random)).encode())
    if name == "board":
        return Case(*make_case(random, sorted(PACKAGED.glob("*.toml")), "board"))
    if name == "bundle" and random.random() < 0.5:
        return Case("", bundles.make_hostile(random))
    seed = random.choice(TARGETS[name].seeds())
    if name == "recording" and random.random() < 0.7:
        return Case("", _tear_lines(seed.data, random))
    return seed._replace(data=tear_bytes(seed.data, random))


def _tear_lines(data: bytes, random: Random) -> bytes:
    """Tear the content of some lines of JSON, and move, double or drop lines."""
    lines = data.splitlines(keepends=True)
    for _ in range(random.randint(1, 6)):
        at = random.randrange(len(lines))
        match random.randrange(4):
            case 0:
                del lines[at : at + random.randint(1, 20)]
            case 1:
                lines.insert(random.randrange(len(lines)), lines[at])
            case _:
                entry = json.loads(lines[at])
                torn = tear_content(entry, random) if isinstance(entry, dict) else entry
                lines[at] = json.dumps(torn).encode() + b"\n"
        lines = lines or [b"{}\n"]
    return b"".join(lines)


def run_case(
    name: str, case: Case, seconds: float | None = None, megabytes: float | None = None
) -> str:
    """Read one file; returns what went wrong, empty where nothing did.

    In each command `seconds` of processor time may pass, and the process may take `megabytes` at
    most, all that it took before included; if none are given, those of its kind.
    """
    seconds = TARGETS[name].seconds if seconds is None else seconds
    megabytes = TARGETS[name].megabytes if megabytes is None else megabytes
    scratch = Path(tempfile.mkdtemp(prefix="torn-"))
    (scratch / "library").mkdir()

    def stop(_number: int, _frame: object) -> None:
        raise TooSlowError

    before = signal.signal(signal.SIGPROF, stop)
    _taken.clear()
    try:
        signal.setitimer(signal.ITIMER_PROF, seconds * 20)  # ends what would never end
        TARGETS[name].read(case, scratch / "library")
        signal.setitimer(signal.ITIMER_PROF, 0)
    except TooSlowError:
        return f"took over {seconds * 20:.0f} s"
    except FaultError as fault:
        return str(fault)
    except Exception as error:
        return f"{type(error).__name__}: {error}"
    finally:
        signal.setitimer(signal.ITIMER_PROF, 0)
        signal.signal(signal.SIGPROF, before)
        shutil.rmtree(scratch, ignore_errors=True)
    if max(_taken, default=0) > seconds:
        return f"took {max(_taken):.1f} s"
    memory = peak_memory()
    return f"took {memory:.0f} MB" if memory > megabytes else ""


def peak_memory() -> float:
    """MB that this process has taken at most, as far as the system tells."""
    import resource

    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    return peak / (1024 * 1024 if sys.platform == "darwin" else 1024)
