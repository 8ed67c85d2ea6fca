"""What the screen asks: about a clash, leftover work, leaving; which profile, device or action."""

from collections.abc import Callable, Iterable
from typing import TYPE_CHECKING

from profiles.text.inert import escape_controls
from profiles.text.prose import count
from profiles.tui.dialogs import Choice, Choose, Decide, Picked, Read
from profiles.tui.frame import ScreenApp

if TYPE_CHECKING:
    from profiles.work.recovery import Leftover


def ask_about_clash(app: ScreenApp, document: str) -> None:
    """A key changed on disk and on the screen: show both and let the user decide."""
    from profiles.work.fixes import list_unsaved

    copy = app.session.copy
    name = escape_controls(copy.path(document).name)
    later = f"On disk {name} differs; Ctrl+S asks again before anything is replaced."
    ways = {
        "k": "keep mine at these keys; Ctrl+S then writes it, with all else that was changed",
        "t": "take theirs at these keys; my other edits stay (undo brings mine back)",
        "r": "read the file again: all my edits of it go (undo brings them back)",
        "n": "neither now: ask me again at the next save",
    }

    def settle(way: str) -> None:
        if way == "n":
            app.tell(later)
        elif way == "k":
            copy.settle(document, "mine")
            app.tell(f"Kept. Ctrl+S writes {name}.")
        else:
            copy.settle(document, "theirs" if way == "t" else "disk")
            app.tell("Taken from disk. Ctrl+Z brings your own edits back.")
        app.after_change()

    app.tell(later)
    lines = [*copy.describe_clash(document), "", *list_unsaved(copy, document)]
    app.ask(Decide(f"{name} was changed by someone else", lines, ways), settle)


def offer_leftover(app: ScreenApp, leftover: "Leftover") -> None:
    """Offer unsaved work of an earlier time."""
    ways = {
        "t": "take it up: it becomes unsaved again, nothing is written",
        "l": "leave it for the next time",
        "r": "remove it for good",
    }

    def take(way: str) -> None:
        refused: tuple[str, ...] = ()
        if way == "t":
            refused = app.session.copy.restore(leftover.work)
            app.tell(refused[0] if refused else "Unsaved work is back on the screen.")
            app.after_change()
        if way != "l" and not refused:
            from profiles.work.recovery import discard

            discard(leftover)

    were = "was" if len(leftover.work) == 1 else "were"
    lines = [f"{count(len(leftover.work), 'file')} {were} not saved when the screen ended:"]
    lines += [f"  {app.name_document(one)}" for one in leftover.work]
    app.ask(Decide("Unsaved work was found", lines, ways), take)


def ask_to_leave(app: ScreenApp) -> None:
    """Ask what becomes of unsaved files before the screen ends."""
    ways = {"s": "save, then leave", "w": "leave without saving", "b": "back to the screen"}

    def take(way: str) -> None:
        if way == "s":
            app.action_save()
        if way == "w" or (way == "s" and not app.session.copy.dirty):
            app.end()

    lines = [f"  {app.name_document(one)}" for one in app.session.copy.dirty]
    app.ask(Decide("Not saved yet", lines, ways), take)


def show_differences(app: ScreenApp) -> None:
    """Show every unsaved line."""
    from profiles.work.fixes import list_unsaved

    lines: list[str] = []
    for document in app.session.copy.dirty:
        differ = list_unsaved(app.session.copy, document)
        lines += [app.name_document(document), *differ, ""]
    app.push_screen(Read("Unsaved lines", lines or ["Everything is saved."]))


def choose_document(
    app: ScreenApp, title: str, names: Iterable[tuple[str, str]], choose: Callable[[str], None]
) -> None:
    """Choose the profile or device that is looked at, by id and name."""

    def take(picked: Picked) -> None:
        choose(picked.id)
        app.show_all()

    known = app.session.view.documents
    choices = [Choice(key, (name, key), known.get(key, f"{name} [{key}]")) for key, name in names]
    app.ask(Choose(title, choices), take)
