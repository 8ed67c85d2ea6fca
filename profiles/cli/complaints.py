"""How a run that fails says so: in one voice, whichever library noticed.

What the user can fix is shown with its remedy. Anything else is a fault of Platebook: one line,
and how to report it; PLATEBOOK_TRACEBACK=1 shows where it happened.
"""

import os
import re
from collections.abc import Iterable

import click

from profiles.cli.exits import Exit
from profiles.cli.output import note, silence_stdout
from profiles.text.inert import escape_controls, visible_block
from profiles.text.suggest import closest

CHECK_PATH = "Check the name and the folder before it, and that you may use both."
"""What helps where the system refuses a path and nobody here knows why it is wanted."""


def complain(error: Exception) -> int:
    """Put what went wrong on stderr and return the exit code it ends with.

    Raises:
        Exception: the error itself, where PLATEBOOK_TRACEBACK asks for the place of a fault.
    """
    from profiles.drawing.surface import FormatError
    from profiles.live.events import LiveError
    from profiles.sheets.options import RequestError
    from profiles.work.outputs import OutputError

    if isinstance(error, click.UsageError) and error.message.startswith("Usage: "):
        note(error.message)
        return Exit.UNUSABLE
    if isinstance(error, click.ClickException):
        note(f"platebook: {visible_block(_word(error))}")
        if isinstance(error, click.UsageError) and error.ctx is not None:
            note(f"  see `{visible_block(error.ctx.command_path)} --help`")
        return int(error.exit_code)
    if isinstance(error, RequestError | OutputError | FormatError):  # what the floor below refused
        words = f"{error}\n  {error.remedy}" if error.remedy else str(error)
        note(f"platebook: {visible_block(words)}")
        return Exit.UNUSABLE
    if isinstance(error, LiveError):  # something outside went wrong
        first = error.message.split(" ", 1)[0]
        rest = error.message[1:]
        message = f"{error.message[:1].lower()}{rest}" if first.isalpha() else error.message
        note(f"platebook: {visible_block(message)}\n  {visible_block(error.advice)}")
        return Exit.UNUSABLE
    if os.environ.get("PLATEBOOK_TRACEBACK"):
        raise error
    if isinstance(error, OSError):  # the system refused a file, or what is written to
        where, remedy = escape_controls(str(error.filename)), f"\n  {CHECK_PATH}"
        if error.filename is None and isinstance(error, FileNotFoundError):  # asked for by `getcwd`
            where, remedy = "the current folder", "\n  Change to a folder that is there."
        elif error.filename is None:
            where, remedy = "the output", ""
            silence_stdout()
        note(f"platebook: cannot use {where}: {error.strerror or error}{remedy}")
        return Exit.UNUSABLE
    message = escape_controls(str(error))[:200]
    note(
        f"platebook: internal fault, {type(error).__name__}{f' ({message})' if message else ''}\n"
        "  This is no fault of yours. Run it again with PLATEBOOK_TRACEBACK=1 set, and report\n"
        "  what it prints together with the files that bring it about."
    )
    return Exit.INTERNAL


def unknown_word(kind: str, word: str, known: Iterable[str]) -> str:
    """That there is no such command or option, with one close spelling."""
    near = closest(word, known)
    hint = f"; did you mean `{near}`?" if near else ""
    return f"no {kind} `{escape_controls(word)}`{hint}"


def _word(error: click.ClickException) -> str:
    """The message in this tool's words: no capital, no full stop, one suggestion."""
    if isinstance(error, click.NoSuchOption):
        options = error.ctx.command.params if error.ctx else []
        known = [word for one in options for word in one.opts if word[:2] == "--"]
        return unknown_word("option", error.option_name, known)
    message = error.format_message()
    if not isinstance(error, click.UsageError) or not message[:1].isupper():
        return message
    if message.startswith("No such command"):
        word = error.message.partition("'")[2].rpartition("'")[0]
        if error.ctx is not None and isinstance(error.ctx.command, click.Group):
            from profiles.cli.meant import unknown_command

            return unknown_command(error.ctx, error.ctx.command, word)
    message = " ".join(message.split())
    message = (message[0].lower() + message[1:]).removesuffix(".")
    near = _close_choice(error) or _as_option(error)
    return f"{message}; did you mean `{near}`?" if near else message


def _as_option(error: click.UsageError) -> str | None:
    """The device option with the one word that was given, where a command takes no other word."""
    extra = re.fullmatch(r"Got unexpected extra argument \((\S+)\)", error.format_message())
    options = error.ctx.command.params if extra and error.ctx else []
    has_words = any(isinstance(option, click.Argument) for option in options)
    has_device = any("--device" in option.opts for option in options) and not has_words
    return f"--device {extra[1]}" if extra and has_device else None


def _close_choice(error: click.UsageError) -> str | None:
    """The one word that an option takes and that a wrong one is close to, or the beginning of."""
    kind = error.param.type if isinstance(error, click.BadParameter) and error.param else None
    quoted = re.search(r": '([^']*)' is not ", error.format_message())
    if not isinstance(kind, click.Choice) or quoted is None or not quoted[1]:
        return None
    longer = [choice for choice in kind.choices if choice.startswith(quoted[1].casefold())]
    return longer[0] if len(longer) == 1 else closest(quoted[1], kind.choices)
