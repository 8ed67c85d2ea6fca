"""Keys that come before what they are for: on the plate that is shown first, or as a box opens."""

from itertools import count
from typing import Any
from weakref import WeakKeyDictionary

from textual.events import Event, Key
from textual.screen import Screen

from profiles.tui.frame import ScreenApp

AT_ONCE = ("q", "ctrl+q", "ctrl+c", "f1", "question_mark")
"""Keys that ask for nothing of the library."""

SOON = 0.02
"""Seconds between keys that are handed on to a box, each of which may open another."""


class EarlyKeys(ScreenApp):
    """A screen that is shown before it can do what is asked of it."""

    _early: list[Key] | None = None
    """What was pressed meanwhile; None where nothing is to be kept."""

    def __init__(self) -> None:
        super().__init__()
        self._numbers = count()
        self._aims: WeakKeyDictionary[Key, tuple[int, Screen[Any]]] = WeakKeyDictionary()
        """Which key of all each is, and the box or view that was on top when it was pressed."""
        self._late: list[tuple[int, Key]] = []
        """What was pressed for a box that was about to open, in order."""

    def keep_keys(self) -> None:
        """Keep keys from here on, but those that act at once."""
        self._early = []

    def release_keys(self, *, act: bool) -> None:
        """Let what was kept act, or forget it."""
        early, self._early = self._early or [], None
        for key in early if act else ():
            self.post_message(key)

    async def on_event(self, event: Event) -> None:
        """Take what happens, or keep it for later."""
        if not isinstance(event, Key) or not self.screen_stack:
            await super().on_event(event)
        elif self._early is not None and event.key not in AT_ONCE:
            self._early.append(event)
        elif event not in self._aims and not event.is_forwarded:
            self._aims[event] = number, _ = next(self._numbers), self.screen
            if self._late:
                self._hold(number, event)
            else:
                await super().on_event(event)
        elif event.is_forwarded and self._is_late(event):
            self._hold(self._aims[event][0], event)
        else:
            await super().on_event(event)

    def _is_late(self, key: Key) -> bool:
        """Whether nobody took a key before a box opened over whom it went to."""
        _, aim = self._aims.get(key, (0, self.screen))
        return len(self.screen_stack) > 1 and aim is not self.screen

    def _hold(self, number: int, key: Key) -> None:
        if not self._late:
            self.set_timer(SOON, self._hand_on)
        self._late.append((number, key))
        self._late.sort(key=lambda one: one[0])

    def _hand_on(self) -> None:
        """Hand the first key on to what has the keyboard now, once anything has it."""
        if not self.screen_stack:  # the screen is closing
            return
        if self.focused is not None and self._late:
            number, late = self._late.pop(0)
            key = Key(late.key, late.character)
            self._aims[key] = number, self.screen
            self.post_message(key)
        if self._late:
            self.set_timer(SOON, self._hand_on)
