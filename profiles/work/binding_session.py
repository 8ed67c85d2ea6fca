"""How far a binding session has come, kept in a file so that it can be resumed.

The file has the keys of steps done or skipped. A step of which anything changed since (the action,
the control, the number) is open again.
"""

import json
import os
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from profiles.files.documents import read_bytes
from profiles.files.faults import FileFaultError
from profiles.report.data import dump_json
from profiles.sheets.session_steps import DONE, OPEN, SKIPPED, SessionStep
from profiles.text.inert import escape_controls
from profiles.work.outputs import Output, OutputError, is_own, write_outputs


@dataclass
class BindingSession:
    """The steps of a profile and how each stands; every answer is written at once."""

    profile: str
    steps: Sequence[SessionStep]
    path: Path
    states: dict[str, str] = field(default_factory=dict)
    at: int = 0

    @classmethod
    def resume(cls, profile: str, steps: Sequence[SessionStep], path: Path) -> "BindingSession":
        """Return the session as the file left it, at its first open step; anew without a file.

        Raises:
            OutputError: where the file is not one that a session of this profile wrote.
        """
        states: dict[str, str] = {}
        if os.path.lexists(path):
            try:
                data = read_bytes(path)
                content = json.loads(data) if is_own(data) else {}
                known: Any = content["states"] if content["profile"] == profile else None
                states = {str(key): str(one) for key, one in dict(known).items()}
            except FileFaultError as fault:
                raise OutputError(fault.message, "Name another file with --state.") from None
            except (RecursionError, ValueError, KeyError, TypeError, AttributeError):
                shown = escape_controls(path.as_posix())
                raise OutputError(
                    f"`{shown}` is no file of a binding session of `{profile}`",
                    "Name another with --state, or delete it.",
                ) from None
        kept = {step.key: states.get(step.key, OPEN) for step in steps}
        kept = {key: one for key, one in kept.items() if one in (DONE, SKIPPED)}
        session = cls(profile, steps, path, kept)
        session.at = session.find_open(0)
        return session

    @property
    def step(self) -> SessionStep | None:
        """The step at hand; None at the end."""
        return self.steps[self.at] if self.at < len(self.steps) else None

    def find_open(self, start: int) -> int:
        """Return the place of the first open step from `start` on, their count where none is."""
        for at in range(start, len(self.steps)):
            if self.steps[at].key not in self.states:
                return at
        return len(self.steps)

    def tick(self, state: str) -> None:
        """Note the step at hand as done or skipped, keep that, and go to the next open one.

        Raises:
            OutputError: where the file cannot be written.
        """
        step = self.step
        if step is None:
            return
        self.states[step.key] = state
        self.keep()
        self.at = self.find_open(self.at + 1)

    def go_back(self) -> None:
        """Open the step before again.

        Raises:
            OutputError: where the file cannot be written.
        """
        self.at = max(0, self.at - 1)
        if self.step is not None and self.states.pop(self.step.key, None) is not None:
            self.keep()

    def count(self) -> Mapping[str, int]:
        """How many steps are done, skipped and open."""
        signs = [self.states.get(step.key, OPEN) for step in self.steps]
        return {sign: signs.count(sign) for sign in (DONE, SKIPPED, OPEN)}

    def keep(self) -> None:
        """Write how far it is.

        Raises:
            OutputError: where the file cannot be written.
        """
        content = {"format": 1, "profile": self.profile, "states": self.states}
        write_outputs([Output(self.path, dump_json(content).encode("ascii"))])
