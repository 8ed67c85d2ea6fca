"""The exit codes, and the one way a command ends early."""

from enum import IntEnum

import click


class Exit(IntEnum):
    """The exit codes of a run."""

    FINE = 0
    FINDINGS = 1
    """Findings at or above the chosen severity."""
    UNUSABLE = 2
    """Input that cannot be used, or a wrong call."""
    INTERNAL = 3
    """A fault of Platebook itself."""
    STOPPED = 130
    """Stopped by hand."""


class Unusable(click.ClickException):
    """Input that cannot be used: one message, one remedy, exit code 2."""

    exit_code = Exit.UNUSABLE

    def __init__(self, message: str, remedy: str = "") -> None:
        super().__init__(message)
        self.remedy = remedy

    def format_message(self) -> str:
        """The message, and the remedy on a line of its own."""
        return f"{self.message}\n  {self.remedy}" if self.remedy else self.message
