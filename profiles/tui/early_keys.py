"""Keys pressed on the plate that is shown first: they act once it is read."""

from textual.events import Event, Key

from profiles.tui.frame import ScreenApp

AT_ONCE = ("q", "ctrl+q", "ctrl+c", "f1", "question_mark")
"""Keys that ask for nothing of the library."""


class EarlyKeys(ScreenApp):
    """A screen that is shown before it can do what is asked of it."""

    _early: list[Key] | None = None
    """What was pressed meanwhile; None where nothing is to be kept."""

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
        if self._early is None or not isinstance(event, Key) or event.key in AT_ONCE:
            await super().on_event(event)
        else:
            self._early.append(event)
