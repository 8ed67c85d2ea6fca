"""How a run that fails says so: in one voice, whichever library noticed.

What the user can mend is told with its remedy. Anything else is a fault of Platebook: one line,
and how to report it; PLATEBOOK_TRACEBACK=1 shows where it happened.
"""

import os
from collections.abc import Iterable

import click

from profiles.cli.exits import Exit
from profiles.cli.output import note, silence_stdout
from profiles.text.inert import escape_controls, visible_block
from profiles.text.suggest import closest


def complain(error: Exception) -> int:
    """Put what went wrong on stderr and return the exit code it ends with.

    Raises:
        Exception: the error itself, where PLATEBOOK_TRACEBACK asks for the place of a fault.
    """
    if isinstance(error, click.UsageError) and error.message.startswith("Usage: "):
        note(error.message)
        return Exit.UNUSABLE
    if isinstance(error, click.ClickException):
        note(f"platebook: {visible_block(_word(error))}")
        if isinstance(error, click.UsageError) and error.ctx is not None:
            note(f"  see `{visible_block(error.ctx.command_path)} --help`")
        return int(error.exit_code)
    refusal = _find_refusal(error)
    if refusal:
        note(f"platebook: {visible_block(refusal)}")
        return Exit.UNUSABLE
    if os.environ.get("PLATEBOOK_TRACEBACK"):
        raise error
    if isinstance(error, OSError):
        return _complain_of_system(error)
    note(f"platebook: {_word_fault(error)}")
    return Exit.INTERNAL


def _find_refusal(error: Exception) -> str:
    """What the floor below refused, and its remedy on a line of its own; empty for a fault."""
    from profiles.sheets.options import RequestError
    from profiles.work.outputs import OutputError

    if not isinstance(error, RequestError | OutputError):
        return ""
    return f"{error}\n  {error.remedy}" if error.remedy else str(error)


def _complain_of_system(error: OSError) -> int:
    """The system refused something: a file by its name, else what is written to."""
    where = "the output" if error.filename is None else escape_controls(str(error.filename))
    if error.filename is None:
        silence_stdout()
    note(f"platebook: cannot use {where}: {error.strerror or error}")
    return Exit.UNUSABLE


def unknown_word(kind: str, word: str, known: Iterable[str]) -> str:
    """That there is no such command or option, with one close spelling."""
    near = closest(word, known)
    hint = f"; did you mean `{near}`?" if near else ""
    return f"no {kind} `{escape_controls(word)}`{hint}"


def _word(error: click.ClickException) -> str:
    """The message in this tool's words: no capital, no full stop, one suggestion."""
    if isinstance(error, click.NoSuchOption):
        known = _options_of(error.ctx) if error.ctx else []
        return unknown_word("option", error.option_name, known)
    message = error.format_message()
    if not isinstance(error, click.UsageError) or not message[:1].isupper():
        return message
    if message.startswith("No such command"):
        return _word_unknown_command(error)
    message = " ".join(message.split())
    return (message[0].lower() + message[1:]).removesuffix(".")


def _options_of(context: click.Context) -> list[str]:
    return [word for param in context.command.params for word in param.opts if word[:2] == "--"]


def _word_unknown_command(error: click.UsageError) -> str:
    context = error.ctx
    word = error.message.partition("'")[2].rpartition("'")[0]
    if context is None or not isinstance(context.command, click.Group):
        return unknown_word("command", word, ())
    return unknown_word("command", word, context.command.list_commands(context))


def _word_fault(error: Exception) -> str:
    what = type(error).__name__
    said = escape_controls(str(error))[:200]
    return (
        f"internal fault, {what}{f' ({said})' if said else ''}\n"
        "  This is no fault of yours. Run it again with PLATEBOOK_TRACEBACK=1 set, and report\n"
        "  what it prints together with the files that bring it about."
    )
