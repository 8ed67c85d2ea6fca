"""The one door out: stdout is data, stderr is notes, colour only where it is wanted.

Colour never carries meaning alone: every coloured word says the same in plain letters.
"""

import os
import sys
from collections.abc import Callable, Iterable, Iterator, Sequence
from contextlib import contextmanager, suppress
from errno import EINVAL
from typing import TYPE_CHECKING, Any, TextIO, TypeVar

import click

from profiles.cli.exits import Unusable
from profiles.text.inert import escape_controls, visible_block

if TYPE_CHECKING:
    from pathlib import Path

    from profiles.report.document import Report
    from profiles.work.outputs import Output

Command = TypeVar("Command", bound=Callable[..., Any])


class ReaderGoneError(Exception):
    """Whoever read stdout has closed it; there is nobody left to tell."""


def is_colour_wanted(stream: TextIO | None) -> bool:
    """Whether to colour: a terminal that has not asked for plain text (no-color.org)."""
    if stream is None or os.environ.get("NO_COLOR") or os.environ.get("TERM") == "dumb":
        return False
    return bool(os.environ.get("FORCE_COLOR")) or stream.isatty()


def write(text: str) -> None:
    """Put data on stdout with one line end; letters its encoding lacks become escapes."""
    _put(sys.stdout, _fit(sys.stdout, _end_line(text)))


def write_file_text(text: str) -> None:
    """Put the text of a file on stdout: for a reader that is no terminal as UTF-8, unchanged.

    A terminal shows what it would obey or hide.
    """
    stream = sys.stdout
    if is_terminal() or not hasattr(stream, "buffer"):
        write(visible_block(text))
    else:
        _put(stream, _end_line(text).encode("utf-8"))


def is_terminal() -> bool:
    """Whether somebody reads stdout on a terminal."""
    return sys.stdout is not None and sys.stdout.isatty()


def write_report(report: "Report", *, as_json: bool = False) -> None:
    """Put a report on stdout: as JSON, or as text as wide as the terminal where there is one."""
    if as_json:
        from profiles.report.data import render_json

        write(render_json(report))
        return
    from shutil import get_terminal_size

    from profiles.report.terminal import render_text

    width = get_terminal_size().columns if is_terminal() else None
    if text := render_text(report, width=width, colour=is_colour_wanted(sys.stdout)):
        write(text)


def note(text: str) -> None:
    """Put a note on stderr, after all data written so far."""
    if sys.stdout is not None:
        _guard(sys.stdout.flush)
    _put(sys.stderr, _fit(sys.stderr, _end_line(text)))


def _end_line(text: str) -> str:
    return text if text.endswith("\n") else text + "\n"


def _fit(stream: TextIO | None, text: str) -> str:
    encoding = getattr(stream, "encoding", None) or "utf-8"
    return text.encode(encoding, errors="backslashreplace").decode(encoding)


def _put(stream: TextIO | None, data: str | bytes) -> None:
    """Write at once; a stream that was closed before the start takes nothing, as everywhere."""
    if stream is None:
        return
    _guard(lambda: _write_now(stream, data))


def _write_now(stream: TextIO, data: str | bytes) -> None:
    if isinstance(data, bytes):
        stream.flush()
        stream.buffer.write(data)
    else:
        stream.write(data)
    stream.flush()


def _guard(act: Callable[[], object]) -> None:
    """Do something to a stream; a reader gone or a full disk ends the run in one clear way."""
    try:
        act()
    except BrokenPipeError:
        silence_stdout()
        raise ReaderGoneError from None
    except OSError as error:
        silence_stdout()
        if os.name == "nt" and error.errno == EINVAL:  # a pipe too (python/cpython, issue 79935)
            raise ReaderGoneError from None
        raise Unusable(f"cannot write the output: {error.strerror}") from None


def silence_stdout() -> None:
    """Point stdout at nothing once it fails, so that the interpreter's last flush cannot."""
    with suppress(OSError):  # a stream without a number has nothing to be pointed elsewhere
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())


def replace_option(command: Command) -> Command:
    """Add `--replace` to a command that writes files."""
    return click.option(
        "--replace", is_flag=True, help="Replace files that are not as Platebook made them, too."
    )(command)


def date_option(command: Command) -> Command:
    """Add `--no-date` to a command that dates what it writes; it gets `today`, empty for none."""

    def read_date(_context: click.Context, _parameter: click.Parameter, no_date: bool) -> str:
        from datetime import date

        return "" if no_date else date.today().isoformat()

    return click.option(
        "--no-date",
        "today",
        is_flag=True,
        callback=read_date,
        help="Write no date: same input, same bytes.",
    )(command)


def put_outputs(outputs: "Sequence[Output]", *, replace: bool | None = None) -> list[bool]:
    """Write files, all or none, and say of each whether one was there before.

    `replace` is None where the command has no option for it.

    Raises:
        Unusable: where one is not Platebook's to replace, or cannot be written.
    """
    from profiles.work.outputs import write_outputs

    with explained_refusals(replace=replace):
        return write_outputs(outputs, replace=bool(replace))


def judge_outputs(places: "Iterable[tuple[Path, str]]", *, replace: bool) -> None:
    """Refuse places and formats that no output can have, before it is worked out.

    Raises:
        Unusable: for the first of them.
    """
    from profiles.work.outputs import judge_place

    with explained_refusals(replace=replace):
        for path, form in places:
            judge_place(path, form, replace=replace)


@contextmanager
def explained_refusals(*, replace: bool | None) -> Iterator[None]:
    """Turn the refusal of an output into an Unusable that offers what the command has.

    `replace` is None where the command has no option for it.
    """
    from profiles.work.outputs import OutputError

    try:
        yield
    except OutputError as error:
        offer = " Or add --replace." if replace is not None and error.may_replace else ""
        raise Unusable(str(error), f"{error.remedy}{offer}") from None


def show_path(path: object) -> str:
    """A path fit for one line of a terminal."""
    return escape_controls(str(path))
