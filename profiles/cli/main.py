"""The start and the one end of the command line; imports next to nothing until it has begun.

A stop by hand (SIGINT) ends it with 130 at any moment: while modules load at once, and while a
command runs after what it was writing is put away.
"""

import gc
import os
import signal
import sys
from collections.abc import Sequence
from contextlib import suppress

STOPPED = 130
"""Exit code of a run stopped by hand: 128 and the signal's number, as shells count."""


def run(arguments: Sequence[str] | None = None) -> int:
    """Run one command and return its exit code; no traceback leaves here."""
    import click

    from profiles.cli.exits import Exit
    from profiles.cli.group import platebook
    from profiles.cli.output import ReaderGoneError, note

    try:
        result = platebook.main(
            args=None if arguments is None else list(arguments),
            prog_name="platebook",
            standalone_mode=False,
        )
    except (click.Abort, KeyboardInterrupt):
        note("stopped")
        return STOPPED
    except ReaderGoneError:
        return Exit.FINE
    except Exception as error:
        if _is_stop(error):
            note("stopped")
            return STOPPED
        from profiles.cli.complaints import complain

        return complain(error)
    return int(result) if isinstance(result, int) else Exit.FINE


def main() -> None:
    """The console script."""
    listens = signal.getsignal(signal.SIGINT) in (signal.default_int_handler, stop_at_once)
    if listens:
        signal.signal(signal.SIGINT, stop_at_once)
        sys.unraisablehook = _end_if_stopped
    os.environ.setdefault("PYDANTIC_DISABLE_PLUGINS", "__all__")  # they cost 20 ms at every start
    gc.disable()  # a run of the command line is short: collecting only costs time
    import profiles.cli.group  # noqa: F401  while a stop still ends at once

    try:
        if listens:
            signal.signal(signal.SIGINT, signal.default_int_handler)
        code = run()
        if listens:
            signal.signal(signal.SIGINT, stop_at_once)
    except KeyboardInterrupt:  # a second stop, while the first was reported
        stop_at_once()
    if code == STOPPED:  # Python itself would end by the signal if the stop came within `exec`
        os._exit(code)
    gc.freeze()  # nor is anything to be collected at the end
    sys.exit(code)


def _is_stop(error: BaseException | None) -> bool:
    """Whether an error comes from a stop: Python before 3.12 makes a RuntimeError of any that falls
    into `__set_name__` (python/cpython, issue 77757)."""
    return isinstance(error, KeyboardInterrupt) or (error is not None and _is_stop(error.__cause__))


def stop_at_once(_number: int = 0, _frame: object = None) -> None:
    """End here and now; nothing of a run is under way."""
    with suppress(OSError):
        os.write(2, b"\nstopped\n")
    os._exit(STOPPED)


def _end_if_stopped(fault: "sys.UnraisableHookArgs") -> None:
    """A stop in a place that Python cannot leave, such as a finaliser, ends the run too."""
    if issubclass(fault.exc_type, KeyboardInterrupt):
        stop_at_once()
    sys.__unraisablehook__(fault)
